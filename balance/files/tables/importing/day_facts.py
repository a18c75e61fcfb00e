"""The facts of the day for session.toml: from the answers, else from the file, else asked or left out."""

from __future__ import annotations

import datetime as dt
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from balance.files.tables.importing.plan import option_of
from balance.files.tables.reading.grid import cell_text
from balance.files.toml.tree import written_toml
from balance.model.columns import CONDITIONS
from balance.model.errors import InputError, UnitError
from balance.units.stated import parse_chosen

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.tables.importing.facts import Facts
    from balance.files.tables.importing.plan import Findings, ImportOptions
    from balance.model.kinds import Kind
    from balance.model.records import Vehicle

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
    date = _date(findings.options, facts)
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


def _date(options: ImportOptions, facts: Facts) -> str:
    if options.date is None:
        return facts.values.get("date", "")
    try:
        return dt.date.fromisoformat(options.date.strip()).isoformat()
    except ValueError:
        raise InputError(
            f"--date: found '{cell_text(options.date)}', expected a date as 2026-05-14"
        ) from None
