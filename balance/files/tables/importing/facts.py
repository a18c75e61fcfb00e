"""What the lines before a header state about the day: speed, density, area, date, and which way lift counts."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from balance.files.tables.header.header_words import header_words
from balance.files.tables.header.meanings import words_of
from balance.files.tables.header.unit_words import spelled
from balance.files.tables.reading.numerals import MARKS, number_text
from balance.model.errors import UnitError
from balance.units.text import parse_quantity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.tables.reading.grid import Row
    from balance.model.kinds import Kind

# fmt: off
_KEYS = header_words("facts")
_KINDS: dict[str, tuple[Kind, float, float]] = {  # and what is credible, common practice, no source
    "speed": ("speed", 3.0, 170.0), "air_density": ("density", 0.5, 2.0), "reference_area": ("area", 0.3, 10.0),
}
# fmt: on
_QUANTITY = re.compile(r"([+-]?[\d.,]+)\s*(.*)")
_PLUS = r"(?:\bpositiv\w*|\bpos\b\.?|\+ ?ve|\+)"
_LESS = r"(?:\bnegativ\w*|\bneg\b\.?|- ?ve)"
_LINK = (
    r"(?:[\s=:,>→-]|is|are|as|in|when|for|means?|denotes?|indicates?|represents?|points?|acts?|counts?|shown|given|stated|taken"
    r"|values?|numbers?|figures?|forces?|readings?|loads?|signs?|the|a|ist|sind|bedeutet|werte?|nach|direction|z|fz)*"
)
_UPWARD = r"\b(?:up|upwards?|lift|auftrieb|oben)\b"
_DOWNWARD = r"\b(?:down|downwards?|downforce|abtrieb|unten)\b"


def _either(one: str, other: str) -> str:
    return f"{one}{_LINK}{other}|{other}{_LINK}{one}"


_FORCES_IN = re.compile(
    r"\b(?:forces?|loads?|lifts?|downforce|drag|readings?|units?|kr[äa]fte|einheit(?:en)?)\b[^\d]*?(?:\bin\b|[:=\[(])[\s\[(:=]*"
    r"(lbf|lbs?|pounds|kgf|kp|kg|daN|kN|N|newtons?)\b",
    re.IGNORECASE,
)
_DOWN = re.compile(f"{_either(_PLUS, _DOWNWARD)}|{_either(_LESS, _UPWARD)}", re.IGNORECASE)
_UP = re.compile(f"{_either(_PLUS, _UPWARD)}|{_either(_LESS, _DOWNWARD)}", re.IGNORECASE)


@dataclass(slots=True, kw_only=True)
class Facts:
    """Stated facts as our files write them, with their lines; and what cannot be read, in words."""

    values: dict[str, str] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)
    unread: dict[str, str] = field(default_factory=dict)
    up: bool = False
    down: bool = False
    unit: str = ""
    remarks: list[tuple[int, str]] = field(default_factory=list)


def facts_before(rows: Sequence[Row]) -> Facts:
    """Read what the rows before a header state."""
    facts = Facts()
    for row in rows:
        texts = [
            text for text in (row.text(i).lstrip("#/%!*; ").strip() for i in range(len(row.cells))) if text
        ]
        if not texts:
            continue
        whole = " ".join(texts)
        facts.up, facts.down = facts.up or bool(_UP.search(whole)), facts.down or bool(_DOWN.search(whole))
        facts.unit = facts.unit or force_unit(whole)
        key, value = _split(texts)
        name = next((n for n, phrases in _KEYS.items() if words_of(key) in phrases), "")
        if not name or not value:
            facts.remarks.append((row.line, whole))
            continue
        _take(facts, name, value, row.line)
    return facts


def force_unit(text: str) -> str:
    """Return the unit that a line says its forces are in, or nothing.

    Examples
    --------
    >>> force_unit("All forces in lbf"), force_unit("Units: kg"), force_unit("Ballast: 20 kg")
    ('lbf', 'kgf', '')
    """
    found = _FORCES_IN.search(text)
    unit = spelled(found[1], "force") if found else ""
    return {"lb": "lbf", "kg": "kgf"}.get(unit, unit)


def sign_words(text: str) -> tuple[bool, bool]:
    """Return whether a text says that positive is up, and whether it says that positive is down."""
    return bool(_UP.search(text)), bool(_DOWN.search(text))


def _split(texts: Sequence[str]) -> tuple[str, str]:
    """Part a line into what it speaks of and what it says, its unit behind the figure."""
    head, _, tail = texts[0].replace("=", ":", 1).partition(":")
    rest = [tail.strip(), *texts[1:]]
    match = re.fullmatch(r"(.*?)\s*[\[(]([^\[\]()]+)[\])]", head.strip())
    if match:
        return match[1], " ".join([*rest, match[2]]).strip()
    return head.strip(), " ".join(rest).strip()


def _take(facts: Facts, name: str, value: str, line: int) -> None:
    read = value if name == "title" else _date(value) if name == "date" else _quantity(name, value)
    if not read:
        facts.unread[name] = f"line {line} says '{value[:40]}'"
    elif name in facts.values and facts.values[name] != read:
        facts.unread[name] = f"line {facts.lines[name]} says '{facts.values[name]}' and line {line} '{read}'"
    else:
        facts.values[name], facts.lines[name] = read, line


def _date(value: str) -> str:
    dotted = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", value)  # day first, wherever points part a date
    try:
        if dotted:
            return dt.date(*map(int, reversed(dotted.groups()))).isoformat()
        return dt.date.fromisoformat(value[:10]).isoformat()
    except ValueError:
        return ""


def _quantity(name: str, value: str) -> str:
    """Read a figure with its unit, if only one decimal mark makes it credible."""
    kind, low, high = _KINDS[name]
    match = _QUANTITY.fullmatch(value)
    unit = spelled(match[2], kind) if match else ""
    if match is None or not unit:
        return ""
    credible = set()
    for mark in MARKS:
        figure = number_text(match[1], mark)
        try:
            if figure and low <= parse_quantity(f"{figure} {unit}", kind) <= high:
                credible.add(figure)
        except UnitError:
            return ""
    return f"{credible.pop()} {unit}" if len(credible) == 1 else ""
