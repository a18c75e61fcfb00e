"""Reading and condition columns: their unit, their sign, and the header they get in runs.csv."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from balance.files.tables.header.meanings import words_of
from balance.files.tables.header.unit_words import counts, moment_unit, spelled
from balance.model.columns import CONDITIONS
from balance.units.text import dimension_of, known_unit, unit_scale

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.tables.header.head import HeadColumn
    from balance.files.tables.header.roles import Roles
    from balance.files.tables.importing.facts import Facts
    from balance.files.tables.importing.plan import Findings, ImportOptions
    from balance.model.kinds import Kind
    from balance.model.records import Form

_FORCES = {"lb": "lbf", "kg": "kgf", "pound": "lbf", "kilogram": "kgf", "g": "gf"}
SCALES = ("0.001", "0.0001")
"""What turns counts into a coefficient."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A column of figures: where it stands, what it is for us, its unit and its sign.

    ``scale`` turns a figure of the file into one of ``unit``: 0.001 where a coefficient is given in
    thousandths, else 1.
    """

    column: HeadColumn
    quantity: str
    unit: str
    form: Form = "force"
    down: bool = False
    scale: str = "1"


def reading_name(measure: Measure, quantity: str) -> str:
    """Name a reading as runs.csv does, without its unit."""
    name = "drag" if quantity == "drag" else f"{quantity}_{'downforce' if measure.down else 'lift'}"
    return f"{name}_coefficient" if measure.form == "coefficient" else name


def given_unit(column: HeadColumn, names: Sequence[str], options: ImportOptions) -> str | None:
    """Return the unit that the person states for a column, under any of its names."""
    known = {words_of(name) for name in (*names, column.header, column.name)}
    return next((unit for name, unit in options.units.items() if words_of(name) in known), None)


def measure_readings(roles: Roles, facts: Facts, findings: Findings) -> dict[str, Measure]:
    """Find unit, form and sign of the reading columns."""
    measures = {}
    for quantity, column in roles.readings.items():
        measure = measure_reading(quantity, column, facts, findings)
        doubt_unit(measure, facts, findings)
        if measure is not None:
            measures[quantity] = measure
    have = set(roles.readings)
    if not have >= {"front", "rear"} and not have >= {"total", "moment"}:
        for quantity in ("front", "rear"):
            if quantity not in have:
                _ask_column(quantity, f"{quantity}_lift", findings, total="total" in have)
    if "drag" not in have:
        _ask_column("drag", "drag", findings)
    return measures


def measure_reading(quantity: str, column: HeadColumn, facts: Facts, findings: Findings) -> Measure | None:
    """Find unit, form and sign of one reading column."""
    if quantity == "drag" and "fx" in words_of(column.name).split() and findings.options.drag_sign is None:
        ask_drag_sign(f"'{column.header}' does not say", findings)
    down = quantity not in ("drag", "moment") and _down(column, facts, findings)
    return _measured(quantity, column, down=down, findings=findings)


def doubt_unit(measure: Measure | None, facts: Facts, findings: Findings) -> None:
    """Ask where a line above the header gives the forces another unit than the header does."""
    if measure is None or measure.form != "force" or measure.quantity == "moment" or not facts.unit:
        return
    base, names = _names(measure.quantity)
    if facts.unit == measure.unit or given_unit(measure.column, names, findings.options) is not None:
        return
    text = f"'{measure.column.header}' is in {measure.unit}, and a line above the header says {facts.unit}: which is it?"
    findings.ask_unit(base, text, (measure.unit, facts.unit))


def ask_drag_sign(why: str, findings: Findings) -> None:
    """Ask which way positive figures of drag point."""
    text = f"do positive figures of drag point rearward (drag) or forward (thrust)? {why}"
    findings.ask_choice("drag_sign", text, ("rearward", "forward"))


def ask_zero(what: str, line: int, findings: Findings) -> None:
    """Ask whether a figure of exactly 0 was read."""
    text = f"line {line}: {what} is exactly 0: a reading, or nothing read?"
    findings.ask_choice("zero_means", text, ("reading", "missing"), line=line)


def _ask_column(quantity: str, target: str, findings: Findings, *, total: bool = False) -> None:
    if any(
        one.key.startswith("column.") and one.key.removeprefix("column.").startswith(target.partition("_")[0])
        for one in findings.questions
    ):
        return
    also = f" ({quantity}_downforce, if its figures are positive down)" if quantity != "drag" else ""
    also += "; total lift parts into axles only with a pitching moment" if total else ""
    findings.ask_column(target, f"no column is understood as the {quantity} reading{also}")


def _down(column: HeadColumn, facts: Facts, findings: Findings) -> bool:
    sign = column.meaning.sign
    if findings.options.lift_sign:
        return findings.options.lift_sign == "down"
    stated = "" if facts.up is facts.down else "up" if facts.up else "down"
    if sign == "unknown" and stated:
        findings.understood.append(f"'{column.header}': positive {stated}, as other words of the file say")
        return stated == "down"
    contradicted = (facts.down and sign == "up") or (facts.up and sign == "down")
    if sign == "unknown" or contradicted:
        why = (
            f"'{column.header}' and other words of the file do not agree on it"
            if contradicted
            else f"'{column.header}' does not say"
        )
        text = f"do positive figures of lift mean up (lift) or down (downforce)? {why}"
        findings.ask_choice("lift_sign", text, ("up", "down"))
    return sign == "down"


def _names(quantity: str) -> tuple[str, tuple[str, ...]]:
    """Return our name of a reading, and all under which the person may give its unit."""
    base = {"drag": "drag", "total": "total_lift", "moment": "pitching_moment"}.get(
        quantity, f"{quantity}_lift"
    )
    names: tuple[str, ...] = (base, base.replace("lift", "downforce"), f"{base}_coefficient", quantity)
    names += ("lift", "downforce") if quantity in ("front", "rear", "total") else ()
    return base, names


def _measured(quantity: str, column: HeadColumn, *, down: bool, findings: Findings) -> Measure | None:
    base, names = _names(quantity)
    given = given_unit(column, names, findings.options)
    written = column.unit if given is None else given
    if given in SCALES or (given and given in ("1", "-")):
        scale = given if given in SCALES else "1"
        return Measure(column=column, quantity=quantity, unit="", form="coefficient", down=down, scale=scale)
    moment = moment_unit(written) if quantity == "moment" else None
    if moment is not None:
        return Measure(column=column, quantity=quantity, unit=written)
    unit = spelled(written, "force")
    if unit in ("", "1") and (column.meaning.coefficient or unit == "1") and not column.meaning.area:
        return Measure(column=column, quantity=quantity, unit="", form="coefficient", down=down)
    measured = dimension_of(unit) if unit and known_unit(unit) else None
    if measured in ("force", "area") and quantity != "moment" and not column.meaning.coefficient:
        form: Form = "area" if measured == "area" else "force"
        return Measure(column=column, quantity=quantity, unit=unit, form=form, down=down)
    _ask_unit(base, column, written, unit, findings)
    return None


def _ask_unit(base: str, column: HeadColumn, written: str, unit: str, findings: Findings) -> None:
    if counts(written):
        text = f"'{column.header}' is in counts: thousandths or ten-thousandths of a coefficient?"
        findings.ask_unit(base, text, SCALES)
    elif unit in _FORCES:
        text = f"'{column.header}' is in {unit}, which measures a mass: is it {_FORCES[unit]}?"
        findings.ask_unit(base, text, (_FORCES[unit],))
    else:
        known = "has no unit" if not written else f"has the unit '{written}', which is no force here"
        samples = ("N*m", "lbf*ft", "1") if base == "pitching_moment" else ("N", "lbf", "kgf", "1", "m^2")
        text = f"'{column.header}' {known}: which is it (1 for a coefficient)?"
        findings.ask_unit(base, text, samples)


def measure_conditions(roles: Roles, findings: Findings) -> dict[str, Measure]:
    """Find the units of speed, temperature, pressure and humidity columns."""
    measures = {}
    for name, column in roles.conditions.items():
        kind, usual = CONDITIONS[name].measures, CONDITIONS[name].unit
        given = given_unit(column, (name,), findings.options)
        unit = spelled(column.unit if given is None else given, kind)
        if unit and known_unit(unit) and dimension_of(unit) == kind:
            measures[name] = Measure(column=column, quantity=name, unit=unit)
            continue
        known = f"has the unit '{unit}', which is none of a {name}" if unit else "has no unit"
        choices = {"speed": ("km/h", "mph", "m/s", "knot"), "temperature": ("degC", "degF", "K"),
                   "pressure": ("hPa", "inHg", "kPa", "psi")}.get(name, (usual, "1"))  # fmt: skip
        findings.ask_unit(name, f"'{column.header}' {known}: {', '.join(choices)}?", choices)
    return measures


_DIGITS = 6


def converted(text: str, unit: str, into: str, kind: Kind) -> str:
    """Bring a figure to another unit, one digit more than it had and at least six that count.

    A workbook does not tell how many digits a figure had: 1.2 may be 1.2000.

    Examples
    --------
    >>> converted("100", "lbf", "N", "force"), converted("1.15", "kN", "N", "force")
    ('444.822', '1150')
    """
    factor, offset = unit_scale(unit, kind)
    size, zero = unit_scale(into, kind)
    exponent = Decimal(text).as_tuple().exponent
    step = 10.0 ** (exponent if isinstance(exponent, int) else 0) * factor / size
    value = (float(text) * factor + offset - zero) / size
    least = max(0, 1 - math.floor(math.log10(step)))
    places = max(least, _DIGITS - 1 - math.floor(math.log10(abs(value)))) if value else least
    written = f"{value:.{places}f}"
    cut = len(written) - (places - least)
    return (written[:cut] + written[cut:].rstrip("0")).removesuffix(".")
