"""What a run should read, and whether it did: ranges in the units shown or as they are typed, and likely causes."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.model.channels import CHANNELS, DRAG, FRONT, REAR, WITH_TOTAL
from balance.reduce.air import dynamic_pressure
from balance.tell.figures import NONE, decimals_for, number, percent
from balance.tell.table import Cell
from balance.units.text import unit_scale

if TYPE_CHECKING:
    from balance.decide.plan.expected_reading import ExpectedReading
    from balance.decide.plan.judged_reading import Cause, JudgedReading
    from balance.model.records import Session
    from balance.tell.figures import Show
    from balance.tell.plan.plan_names import Names

SWAPPED_TWO = 2


def facility_pressure(session: Session) -> float:
    """Return the dynamic pressure at which expected readings are stated: the facility's speed and air density [Pa]."""
    return float(dynamic_pressure(session.facility.speed, session.facility.air_density))


def stated_at(session: Session, show: Show) -> str:
    """Name the speed and the air density at which expected readings are stated."""
    facility = session.facility
    return f"at {show.speed(facility.speed)}, {show.quantity('density', facility.air_density)}"


def range_text(expected: ExpectedReading, channel: int, pressure: float, show: Show) -> str:
    """Write what a channel should read with its 95 % range, without a unit.

    The digits are those that a standard deviation supports.
    """
    std = float(expected.std[channel]) * pressure
    mean, low, high = (
        show.bare("force", float(value[channel]) * pressure, std=std)
        for value in (expected.mean, expected.low(), expected.high())
    )
    return f"{mean} ({low} to {high})"


def expected_cell(expected: ExpectedReading, channel: int, pressure: float, show: Show) -> Cell:
    """Return the cell of what a channel should read, with half of its 95 % range."""
    std = float(expected.std[channel]) * pressure
    value, half = float(expected.mean[channel]) * pressure, float(expected.half_width()[channel]) * pressure
    text = f"{show.bare('force', value, std=std)} ± {show.bare('force', half, std=std)}"
    return Cell(text, value=show.system.unit("force").from_si(value))


def expected_line(expected: ExpectedReading, pressure: float, show: Show) -> str:
    """Write in a line what a run should read, each channel with its 95 % range."""
    unit = show.unit("force")
    return ", ".join(
        f"{name} {range_text(expected, k, pressure, show)} {unit}" for k, name in enumerate(WITH_TOTAL)
    )


def basis_words(expected: ExpectedReading, names: Names) -> str:
    """State what an expectation rests on, and what in it nobody has seen yet."""
    if expected.first_of:
        called = " and ".join(names.part(name, None) for name in expected.first_of)
        return f"first fit of {called}, whose effect is not measured yet{sources_of(expected, names)}"
    if expected.repeat:
        return "run before, the range of a repeat"
    return "not run yet, from the runs so far"


def sources_of(expected: ExpectedReading, names: Names) -> str:
    """State behind an expectation what in it comes from other cars; empty where nothing does."""
    return "".join(
        f"; {names.part(name, None)} {names.sources[name]}"
        for name in expected.first_of
        if name in names.sources
    )


def typed_ranges(
    expected: ExpectedReading, session: Session, pressure: float
) -> tuple[tuple[str, str, str], ...]:
    """Write what should be typed into each column of forces: its name, the range and its unit.

    A column of lift is positive upwards, so that its range is turned.
    """
    area = session.reference_area
    found = []
    for k, channel in enumerate(CHANNELS):
        column = session.columns[channel]
        scale = {"force": pressure, "area": 1.0, "coefficient": 1.0 / area}[column.form]
        if column.form != "coefficient":
            scale /= unit_scale(column.unit, column.form)[0]
        sign = -1.0 if column.positive_up else 1.0
        ends = sorted(sign * scale * float(end[k]) for end in (expected.low(), expected.high()))
        places = decimals_for(scale * float(expected.std[k]), fallback=0)
        unit = "" if column.form == "coefficient" else column.unit
        low, high = (number(end, places) for end in ends)
        found.append((column.name.replace("_", " "), f"{low} to {high}", unit))
    return tuple(found)


def typed_line(expected: ExpectedReading, session: Session, pressure: float) -> str:
    """Write the ranges of all columns of forces in one line, as they are typed."""
    return ", ".join(
        f"{name} {between} {unit}".rstrip()
        for name, between, unit in typed_ranges(expected, session, pressure)
    )


def judged_lines(
    judged: JudgedReading, pressure: float, show: Show, names: Names
) -> tuple[tuple[str, str], ...]:
    """State whether a run reads as expected, and what to look at where it does not: texts and their roles."""
    expected = judged.expected
    if expected is None:
        return (("First run: there is nothing yet to expect of it.", "muted"), *_asked(judged))
    said: list[tuple[str, str]] = []
    if judged.unseen:
        called = " and ".join(names.part(name, None) for name in judged.unseen)
        said.append(
            (f"First fit of {called}: its effect cannot be judged yet, only sign, drag and total.", "muted")
        )
    outside = [k for k in range(len(CHANNELS)) if judged.by_channel[k] != "95"] if not judged.unseen else []
    if outside:
        head, role = (
            ("Not as expected", "warn") if judged.asked else ("Just outside what is expected", "muted")
        )
        away = "; ".join(_away(judged, expected, k, pressure, show) for k in outside)
        said.append((f"{head}: {away}.", role))
    else:
        if not judged.unseen:
            said.append(("As expected: front, rear and drag are inside their 95 % ranges.", "good"))
        said.append((f"Expected: {expected_line(expected, pressure, show)}.", "muted"))
    return (*said, *_asked(judged))


def far_words(judged: JudgedReading, show: Show) -> str:
    """State of a run of the day that it reads otherwise than those before it expect, and what to look at."""
    assert judged.expected is not None  # noqa: S101 - asked for where something is expected
    away = "; ".join(
        _away(judged, judged.expected, k, judged.pressure, show)
        for k in range(len(CHANNELS))
        if judged.by_channel[k] == "outside"
    )
    likely = cause_words(judged)
    return f"run {judged.run}: not as expected: {away}" + (f". Check: {'; '.join(likely)}?" if likely else "")


def _away(judged: JudgedReading, expected: ExpectedReading, k: int, pressure: float, show: Show) -> str:
    """State how far a channel lies outside its range."""
    far = judged.by_channel[k] == "outside"
    confidence = 0.997 if far else 0.95
    read = float(judged.read[k])
    low, high = float(expected.low(confidence)[k]), float(expected.high(confidence)[k])
    above = read > high
    std = float(expected.std[k]) * pressure
    beyond = (read - high if above else low - read) * pressure
    bare = [show.bare("force", end * pressure, std=std) for end in (low, high)]
    return (
        f"{CHANNELS[k]} {show.quantity('force', read * pressure, std=std)}, {show.quantity('force', beyond, std=std)} "
        f"{'above' if above else 'below'} the {'99.7' if far else '95'} % range of the runs before "
        f"({bare[0]} to {bare[1]})"
    )


def _asked(judged: JudgedReading) -> tuple[tuple[str, str], ...]:
    likely = cause_words(judged) if judged.asked else ()
    return ((f"Check: {'; '.join(likely)}?", "warn"),) if likely else ()


def cause_words(judged: JudgedReading) -> tuple[str, ...]:
    """Name the likely causes of a reading that is not as expected, the likeliest first."""
    return tuple(dict.fromkeys(_cause(cause) for cause in judged.likely))


def _cause(cause: Cause) -> str:  # noqa: PLR0911 - one kind a line
    named = [CHANNELS[k] for k in cause.channels]
    axles = f"{', '.join(named[:-1])} and {named[-1]}" if named[1:] else "".join(named)
    match cause.kind:
        case "sign":
            return f"sign of the {axles} turned"
        case "swapped":
            how = "swapped" if len(named) == SWAPPED_TWO else "in another order"
            return f"{axles} {how}"
        case "speed":
            factor = cause.factor or math.nan
            return (
                f"another speed or unit: all forces are {number(factor, 2)} times what is expected, "
                f"as at {number(math.sqrt(factor), 2)} times the speed"
            )
        case "typed again":
            return f"the figures of run {cause.run} typed again"
        case "total":
            return "the total is not front and rear together"
        case "drag":
            return (
                f"drag is {number(cause.factor or math.nan, 2)} times the baseline's: unit, column or speed"
            )
        case "part loose":
            return f"a part loose or damaged ({axles})"
    return f"a setting that is not as typed ({axles})"


def judged_short(judged: JudgedReading, pressure: float, show: Show) -> str:
    """State in a few words whether a run reads as expected."""
    if judged.expected is None:
        return "first run"
    causes = cause_words(judged) if judged.asked else ()
    if judged.unseen and not causes:
        return "a first fit, of which nothing is expected yet"
    if judged.inside == "95" and not causes:
        return "as expected"
    worst = max((FRONT, REAR, DRAG), key=lambda k: _times(judged, k))
    away = float(judged.read[worst] - judged.expected.mean[worst]) * pressure
    said = f"{CHANNELS[worst]} {show.quantity('force', abs(away))} {'above' if away > 0.0 else 'below'} what is expected"
    return f"{said}: {causes[0]}?" if causes else said


def _times(judged: JudgedReading, k: int) -> float:
    assert judged.expected is not None  # noqa: S101 - asked for where something is expected
    return abs(float(judged.read[k] - judged.expected.mean[k])) / float(judged.expected.std[k])


def share_words(share: float | None) -> str:
    """Write a share of draws, to stand in a cell."""
    return NONE if share is None else percent(share, decimals=0)
