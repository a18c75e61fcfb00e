"""The facts of the day: what the lines before a header state, and what of them stands in session.toml or is asked."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from balance.files.tables.header.header_words import header_words
from balance.files.tables.header.meanings import words_of
from balance.files.tables.header.unit_words import spelled
from balance.files.tables.importing.plan import option_of
from balance.files.tables.reading.grid import cell_text
from balance.files.tables.reading.numerals import MARKS, number_text
from balance.files.toml.tree import written_toml
from balance.model.columns import CONDITIONS
from balance.model.errors import InputError, UnitError
from balance.units.stated import parse_chosen
from balance.units.text import parse_quantity

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.tables.importing.plan import Findings, ImportOptions
    from balance.files.tables.reading.grid import Row
    from balance.model.kinds import Kind
    from balance.model.records import Vehicle

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


_QUANTITIES: Mapping[str, tuple[Kind, str, str]] = MappingProxyType(
    {
        "speed": ("speed", "160 km/h", "the speed of the runs"),
        "air_density": ("density", "1.225 kg/m^3", "the air density of the day"),
        "reference_area": ("area", "2.05 m^2", "the area of the coefficients"),
    }
)
"""What it measures, a sample, and its name in a question."""


def day_text(
    *,
    name: str,
    facts: Facts,
    vehicle: Vehicle,
    columns: Mapping[str, Sequence[str]],
    recorded: Sequence[str],
    findings: Findings,
) -> str:
    """Write session.toml, but for the line that names the car."""
    stated = _stated(facts, vehicle, columns, findings)
    title = findings.options.title or facts.values.get("title") or ""
    if not title:
        title = name
        findings.assumed.append(f"title from the file's name: {cell_text(name)}")
    date = _date_answered(findings.options, facts)
    facility = {}
    for key in ("kind", "floor"):
        if value := getattr(findings.options, key):
            facility[key] = value
        else:
            findings.not_stated.append(f"facility {key} (--{key})")
    if not date:
        why = (
            f": {facts.unread['date']}, which can be read in more than one way or in none"
            if "date" in facts.unread
            else ""
        )
        findings.not_stated.append(f"date (--date){why}")
    findings.not_stated.append(
        "repeatability: it comes from repeated runs alone, unless session.toml states one"
    )
    facility |= {key: stated[key] for key in ("speed", "air_density") if key in stated}
    if forces := _forces(columns, findings):
        facility["forces"] = forces
    if "reference_area" in stated:
        facility["reference_area"] = stated["reference_area"]
    tree: dict[str, Any] = {"title": cell_text(title)}
    if date:
        tree["date"] = dt.date.fromisoformat(date)
    tree["facility"] = {key: cell_text(value) for key, value in facility.items()}
    if recorded:
        tree["columns"] = {"recorded": [cell_text(name) for name in recorded]}
    return written_toml(tree)


def _stated(
    facts: Facts,
    vehicle: Vehicle,
    columns: Mapping[str, Sequence[str]],
    findings: Findings,
) -> dict[str, str]:
    """Return speed, density and area as stated, and ask for those that are needed."""
    stated = _quantities(facts, findings)
    if "speed" not in stated:
        _speed(columns, facts, stated, findings)
    if "air_density" not in stated:
        _ask_fact("air_density", facts, findings)
    if any(header.endswith("_coefficient") for header in columns) and "reference_area" not in stated:
        if vehicle.frontal_area is None:
            _ask_fact("reference_area", facts, findings)
        else:
            findings.assumed.append(
                f"coefficients refer to the car's frontal area, {vehicle.frontal_area:g} m²"
            )
    return stated


def _quantities(facts: Facts, findings: Findings) -> dict[str, str]:
    stated = {}
    for key, (kind, _, _) in _QUANTITIES.items():
        given, option = getattr(findings.options, key), option_of(key)
        if given is not None:
            try:
                parse_chosen(given, kind)
            except UnitError as fault:
                raise UnitError(f"{option}: {fault.found}", fault.expected, fault.mend) from None
            stated[key] = given
            if key in facts.values and facts.values[key] != given:
                findings.assumed.append(f"{option} {given} stands before the file's {facts.values[key]}")
        elif key in facts.values and key not in facts.unread:
            stated[key] = facts.values[key]
            findings.understood.append(
                f"line {facts.lines[key]}: {key.replace('_', ' ')} {facts.values[key]}"
            )
    return stated


def _ask_fact(key: str, facts: Facts, findings: Findings) -> None:
    _, sample, what = _QUANTITIES[key]
    why = facts.unread.get(key)
    text = f"what is {what}? " + (f"{why}, which cannot be read for sure" if why else "the file does not say")
    findings.ask(key, text, f'{option_of(key)} "{sample}"', key)


def _speed(
    columns: Mapping[str, Sequence[str]], facts: Facts, stated: dict[str, str], findings: Findings
) -> None:
    """Take the facility's speed from the column of speeds: the one in the middle."""
    header = next((one for one in columns if one.startswith("speed [")), "")
    figures = sorted((cell for cell in columns.get(header, ()) if cell), key=float)
    if not figures or "speed" in facts.unread:
        _ask_fact("speed", facts, findings)
        return
    unit = header.removeprefix("speed [").removesuffix("]")
    stated["speed"] = f"{figures[len(figures) // 2]} {unit}"
    findings.assumed.append(
        f"the facility's speed is the middle one of its column: {stated['speed']} (--speed)"
    )


def _forces(columns: Mapping[str, Sequence[str]], findings: Findings) -> str | None:
    own = [header for header in columns if header.partition(" [")[0] in CONDITIONS]
    if findings.options.forces or not own:
        return findings.options.forces
    if not any(header.startswith(("drag [", "front_lift [", "front_downforce [")) for header in columns):
        return "as read"  # coefficients are the same either way
    findings.ask(
        "forces",
        f"are the forces as read at each run's '{own[0]}', or has the facility corrected them at its own speed and density?",
        '--forces "as read" or --forces restated',
        "forces",
        ("as read", "restated"),
    )
    return None


def _date_answered(options: ImportOptions, facts: Facts) -> str:
    if options.date is None:
        return facts.values.get("date", "")
    try:
        return dt.date.fromisoformat(options.date.strip()).isoformat()
    except ValueError:
        raise InputError(
            f"--date: found '{cell_text(options.date)}', expected a date as 2026-05-14"
        ) from None
