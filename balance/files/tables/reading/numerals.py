"""Numbers as people and programs write them: which mark is the decimal one of a file, and what a cell says then."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal, NamedTuple

from balance.files.tables.reading.grid import UNSTORED

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import Cell

Mark = Literal["point", "comma"]
MARKS: tuple[Mark, ...] = ("point", "comma")
MISSING = frozenset(
    ("", "-", "--", "---", "—", "–", ".", "?", "n/a", "na", "n.a.", "nan", "null", "none", "nil", "#n/a", "#na",
     "#div/0!", "#value!", "#ref!", "#name?", "#num!", "#null!", "#error!", "err", "error", "missing", "k.a.", UNSTORED)
)  # fmt: skip
_SPACES = re.compile(r"(?<=\d)[ \u00a0\u2009\u202f'’](?=\d{3}(?!\d))")
_MINUS = str.maketrans(dict.fromkeys("\u2212\u2013\u2012\ufe63\uff0d", "-"))
_SHAPE = re.compile(r"([+-]?)(\d*)((?:[.,]\d*)*)([eE][+-]?\d+)?", re.ASCII)
_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,2})?", re.ASCII)


class Marks(NamedTuple):
    """What the numbers of a file say about their decimal mark.

    ``sure`` holds the marks that some number can only be read with; ``open`` an example of a number that
    means two things, where no other number settles it.
    """

    sure: frozenset[Mark]
    open: str


def tidy(cell: Cell) -> str:
    r"""Bring a number's signs and thousands spaces to plain characters: no decision about its marks.

    Examples
    --------
    >>> tidy("(1 234,5)"), tidy("\u2212 84"), tidy("84-"), tidy("'-12")
    ('-1234,5', '-84', '-84', '-12')
    """
    text = cell.strip().translate(_MINUS) if isinstance(cell, str) else repr(cell)
    if text[:1] in "'(" or text[-1:] == "-" or " " in text or "\u00a0" in text or not text.isascii():
        if text[:1] == "'" and text[1:2] in "+-=0123456789.,":
            text = text[1:]
        if text.startswith("(") and text.endswith(")") and len(text) > 2:
            text = "-" + text[1:-1].strip()
        elif len(text) > 1 and text.endswith("-") and text[-2].isdigit():
            text = "-" + text[:-1]
        text = re.sub(r"^([+-])\s+(?=[\d.,])", r"\1", text)
    return _SPACES.sub("", text)


def missing(cell: Cell) -> bool:
    """Return whether a cell says that there is no figure.

    Examples
    --------
    >>> missing("#DIV/0!"), missing(" "), missing("0")
    (True, True, False)
    """
    return cell != cell if isinstance(cell, float) else cell.strip().casefold() in MISSING  # noqa: PLR0124


def marks(cells: Iterable[Cell]) -> Marks:
    """Find out which decimal mark the numbers of a file can be read with.

    Examples
    --------
    >>> marks(["12,5", "1.234"])
    Marks(sure=frozenset({'comma'}), open='')
    >>> marks(["1,234", "84"])
    Marks(sure=frozenset(), open='1,234')
    """
    sure: set[Mark] = set()
    doubtful = ""
    for cell in dict.fromkeys(cells):
        if isinstance(cell, float) or ("," not in cell and "." not in cell):
            continue
        match = _SHAPE.fullmatch(tidy(cell))
        if match is None or not (match[2] or match[3].strip(".,")):
            continue
        reading = _says(match[2], match[3], spaced=bool(_SPACES.search(cell)) or bool(match[4]))
        if reading:
            sure.add(reading)
        else:
            doubtful = doubtful or cell.strip()
    return Marks(frozenset(sure), "" if sure else doubtful)


def plain_numbers(cells: Iterable[Cell]) -> bool:
    """Return whether a column holds numbers and nothing else, so that its marks say something: no dates, no versions.

    Examples
    --------
    >>> plain_numbers(["12,5", ""]), plain_numbers(["14.05.2026"]), plain_numbers(["B 1.2"])
    (True, False, False)
    """
    for cell in dict.fromkeys(cells):
        if isinstance(cell, float) or missing(cell):
            continue
        match = _SHAPE.fullmatch(tidy(cell))
        if match is None or not (match[2] or match[3].strip(".,")) or match[3].count(".") > 1:
            return False
    return True


def _says(whole: str, rest: str, *, spaced: bool) -> Mark | None:
    """Return the decimal mark that one number can only have, or nothing where both would do."""
    used = [c for c in rest if c in ".,"]
    last: Mark = "point" if used[-1] == "." else "comma"
    other: Mark = "comma" if last == "point" else "point"
    if len(set(used)) == 2 or spaced:
        return last
    if len(used) > 1:
        return other  # 1.234.567: the mark that stands twice parts thousands
    digits = len(rest) - 1
    if digits != 3 or not 1 <= len(whole) <= 3 or whole.startswith("0"):
        return last
    return None


def number_text(cell: Cell, decimal: Mark) -> str | None:
    """Write a number with a decimal point and nothing between thousands, digits as they were typed.

    Examples
    --------
    >>> number_text("1.234,50", "comma"), number_text("(84)", "point"), number_text("12x", "point")
    ('1234.50', '-84', None)
    """
    if decimal == "point" and isinstance(cell, str) and _PLAIN.fullmatch(cell):
        return cell
    text = tidy(cell)
    if isinstance(cell, float):
        whole = text.removesuffix(".0")
        return whole if _PLAIN.fullmatch(whole) else None
    if decimal == "comma":
        if "." in text:
            text = _without_thousands(text, ".", ",")
        text = text.replace(",", ".", 1)
    elif "," in text:
        text = _without_thousands(text, ",", ".")
    return text if _PLAIN.fullmatch(text) else None


def _without_thousands(text: str, thousands: str, decimal: str) -> str:
    """Take out the marks between thousands, if they stand where they should; else leave no number."""
    whole, mark, rest = text.partition(decimal)
    groups = whole.lstrip("+-").split(thousands)
    proper = (
        1 <= len(groups[0]) <= 3
        and not groups[0].startswith("0")
        and all(len(group) == 3 for group in groups[1:])
    )
    return whole.replace(thousands, "") + mark + rest if proper and thousands not in rest else "no number"


def settle_decimal(
    figures: Sequence[Sequence[Cell]],
    rest: Sequence[Sequence[Cell]],
    findings: Findings,
) -> tuple[Mark | None, bool]:
    """Settle the decimal mark, or ask for it."""
    if findings.options.decimal:
        findings.understood.append(f"decimal {findings.options.decimal}, as given")
        return findings.options.decimal, True
    found = marks(cell for column in figures for cell in column)
    if not found.sure:
        also = marks(cell for column in rest if plain_numbers(column) for cell in column)
        found = found if found.open and not also.sure else also
    if len(found.sure) == 1:
        (mark,) = found.sure
        findings.understood.append(f"decimal {mark}")
        return mark, True
    if found.sure or found.open:
        text = (
            f"'{found.open}' can be read in two ways"
            if found.open
            else "some numbers have a decimal point, others a comma"
        )
        findings.ask_choice("decimal", f"which is the decimal mark? {text}", MARKS)
        return None, False
    return "point", False
