"""Text made safe to draw: one terminal cell is one cell, whatever was typed."""

from __future__ import annotations

import os
from unicodedata import category, normalize

from rich.cells import cell_len, set_cell_size

PLACEHOLDER = "\N{REPLACEMENT CHARACTER}"
_UNSEEN = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"})
_VARIATION_SELECTORS = frozenset(map(chr, range(0xFE00, 0xFE10)))


def plain(text: str) -> str:
    r"""Replace what a terminal would obey, hide or reorder by a visible placeholder.

    Control characters, direction marks, zero-width and private characters become ``PLACEHOLDER``; special
    spaces become a space; variation selectors, on whose width terminals disagree, are left out.

    Examples
    --------
    >>> plain("wing [/] 4°")
    'wing [/] 4°'
    >>> plain("a\tb\u202e") == f"a{PLACEHOLDER}b{PLACEHOLDER}"
    True
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_shown, normalize("NFC", text)))


def plain_lines(text: str) -> str:
    r"""Do what ``plain`` does, and leave line breaks.

    Examples
    --------
    >>> plain_lines("wing 4°\nflap")
    'wing 4°\nflap'
    """
    return "\n".join(map(plain, text.split("\n")))


def _shown(character: str) -> str:
    kind = category(character)
    if character in _VARIATION_SELECTORS:
        return ""
    if kind in _UNSEEN:
        return PLACEHOLDER
    if kind == "Zs":
        return " "
    if kind[0] != "M" and cell_len(character) == 0:
        return PLACEHOLDER
    return character


def cells(text: str) -> int:
    """Count the terminal cells that a text fills.

    Examples
    --------
    >>> cells("日本"), cells("flap")
    (4, 4)
    """
    return cell_len(text)


def cut(text: str, width: int, more: str = "…") -> str:
    """Shorten a text that is too long, and say so by a trailing sign.

    Examples
    --------
    >>> cut("splitter and wing", 9)
    'splitter…'
    """
    if cells(text) <= width:
        return text
    kept = set_cell_size(text, max(0, width - cells(more))).rstrip()
    return set_cell_size(kept + more, max(0, width)).rstrip()


def pack(text: str, width: int, between: str = " · ") -> list[str]:
    """Break a text into lines between its clauses, inside one only where a line has no room for it.

    Examples
    --------
    >>> pack("a coupe · a day · fixed floor", 18)
    ['a coupe · a day', 'fixed floor']
    """
    lines: list[str] = []
    for clause in plain(text).split(between):
        longer = f"{lines[-1]}{between}{clause}" if lines else clause
        if lines and cells(longer) <= width:
            lines[-1] = longer
        else:
            lines.extend(_broken(clause, width))
    return lines


def _broken(clause: str, width: int) -> list[str]:
    """Break a clause that is too long once, between words."""
    if cells(clause) <= width:
        return [clause]
    first = cut(clause, width, "")
    if not clause[len(first) :].startswith(" "):
        first = first.rpartition(" ")[0] or first
    return [first, cut(clause[len(first) :].strip(), width)]


def needs_ascii() -> bool:
    """Return whether this terminal lacks the characters that charts are made of."""
    return os.environ.get("TERM", "") in {"linux", "dumb", "vt100", "vt102", "vt220"}
