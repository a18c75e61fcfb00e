"""The plan of a day as a sheet to print and fill in by pencil, and with what was read once runs are made."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, log10
from typing import TYPE_CHECKING

from balance.decide.plan.expected_reading import expected_readings
from balance.files.formats.plan import clock_text
from balance.model.channels import CHANNELS
from balance.tell.figures import number
from balance.tell.head import session_line
from balance.tell.plan.expected_words import facility_pressure, stated_at, typed_ranges
from balance.tell.plan.next_words import aim_words, clock_line, danger_words
from balance.tell.plan.order_words import dropped_words, order_line
from balance.tell.plan.plan_names import minutes_text, plan_sources
from balance.tell.report.layout import template
from balance.tell.words import CAUTIONS
from balance.units.text import unit_scale

if TYPE_CHECKING:
    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.planned_day import PlannedDay
    from balance.model.records import Column, Run, Session
    from balance.tell.figures import Show
    from balance.tell.plan.plan_names import Names

EMPTY_ROWS = 4
"""Rows left for runs that nobody planned."""
MOST_NEXT = 5
"""Runs that are offered where time is left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """A run on the sheet: a break has no ranges; ``read`` holds what was read, empty boxes where nothing was yet."""

    clock: str = ""
    minutes: str = ""
    run: str = ""
    name: str = ""
    change: str = ""
    ranges: tuple[str, ...] = ()
    read: tuple[str, ...] = ()
    time: str = ""
    note: str = ""
    warning: str = ""
    kind: str = "run"


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSheetPage:
    """What stands on a run sheet."""

    title: str
    day: str
    state: tuple[str, ...]
    columns: tuple[tuple[str, str], ...]
    rows: tuple[SheetRow, ...]
    more: tuple[SheetRow, ...]
    made: tuple[SheetRow, ...]
    left_out: str
    how: str
    cautions: tuple[str, ...] = CAUTIONS


def sheet_page(planned: PlannedDay, names: Names, show: Show) -> RunSheetPage:
    """Gather what a run sheet holds."""
    session = planned.session
    columns = tuple((_head(session.columns[c]), _unit(session.columns[c])) for c in CHANNELS)
    rows = _planned(planned, names, show)
    shown = {row.name for row in rows}
    left_out = dropped_words(planned, names)
    sources = "".join(f"; {source}" for source in plan_sources(planned.plan, names))
    return RunSheetPage(
        title=f"Run sheet: {session.vehicle.name}",
        day=session_line(session).partition(" · ")[2],
        state=(
            clock_line(planned),
            f"Aim: {aim_words(planned, show)}",
            f"Order: {order_line(planned)}",
        ),
        columns=columns,
        rows=rows,
        more=tuple(row for row in _next(planned, names, show) if row.name not in shown)[:MOST_NEXT],
        made=tuple(_made(run, session, names) for run in session.runs),
        left_out=f"{left_out[:1].upper()}{left_out[1:]}." if left_out else "",
        how=(
            f"Ranges hold 95 % of readings that are as expected, {stated_at(session, show)}, in the columns and signs of "
            "runs.csv. A reading outside its range: look at sign, units, speed, parts and settings before the next change. "
            f"Expected, never measured{sources}."
        ),
    )


def sheet_html(planned: PlannedDay, names: Names, show: Show) -> str:
    """Write the run sheet as a page that stands alone."""
    page = sheet_page(planned, names, show)
    return template("run_sheet.html.j2").render(page=page, empty=range(EMPTY_ROWS))


def _planned(planned: PlannedDay, names: Names, show: Show) -> tuple[SheetRow, ...]:
    order, stand = planned.order, planned.stand
    if order is None or stand is None:
        return ()
    rows, before = [], stand.present
    for slot in order.cheapest.slots:
        if slot.configuration is None:
            rows.append(
                SheetRow(
                    clock=clock_text(slot.start), name=f"break until {clock_text(slot.end)}", kind="break"
                )
            )
            continue
        rows.append(
            SheetRow(
                clock=clock_text(slot.start),
                minutes=minutes_text(slot.end - slot.start),
                name=f"{names.fitted(slot.configuration)}{' (must)' if slot.must else ''}",
                change=names.changes(before, slot.configuration),
                ranges=_ranges(planned, slot.configuration),
                warning=danger_words(planned, slot.configuration, show),
            )
        )
        before = slot.configuration
    return tuple(rows)


def _next(planned: PlannedDay, names: Names, show: Show) -> tuple[SheetRow, ...]:
    """Return the runs that are worth most for their minutes."""
    if planned.found is None:
        return ()
    return tuple(
        SheetRow(
            minutes=minutes_text(one.time),
            name=names.fitted(one.configuration),
            ranges=_ranges(planned, one.configuration),
            warning=danger_words(planned, one.configuration, show),
        )
        for one in planned.found.runs[: 2 * MOST_NEXT]
    )


def _ranges(planned: PlannedDay, one: Configuration) -> tuple[str, ...]:
    assert planned.stand is not None  # noqa: S101 - a run of it is written
    (expected,) = expected_readings(planned.stand, [one])
    pressure = facility_pressure(planned.session)
    return tuple(between for _, between, _ in typed_ranges(expected, planned.session, pressure))


def _made(run: Run, session: Session, names: Names) -> SheetRow:
    """Return a run that was made, with what was read in the columns and signs of the file."""
    settings = ", ".join(names.setting(name, one.value) for name, one in run.settings.items())
    known = settings.casefold().startswith(f"{run.configuration.casefold()} ")
    name = settings if known else f"{run.configuration}{f': {settings}' if settings else ''}"
    read = []
    for channel in CHANNELS:
        value = getattr(run.reading, channel)
        read.append(number(*_as_typed(value, session.columns[channel], getattr(run.resolution, channel))))
    reason = f"{run.status}{f': {run.reason}' if run.reason else ''}" if run.status != "good" else ""
    return SheetRow(
        run=run.label,
        name=name,
        read=tuple(read),
        time=run.time,
        note="; ".join(part for part in (reason, run.note) if part),
    )


def _as_typed(value: float, column: Column, resolution: float) -> tuple[float, int]:
    """Return a reading in the unit and sign of its column, and its decimals."""
    scale = 1.0 if column.form == "coefficient" else unit_scale(column.unit, column.form)[0]
    sign = -1.0 if column.positive_up else 1.0
    least = 2.0 * resolution / scale
    places = max(0, ceil(-log10(least) - 1e-9)) if least > 0.0 else 0
    return sign * value / scale, min(places, 4)


def _head(column: Column) -> str:
    return column.name.replace("_", " ")


def _unit(column: Column) -> str:
    return "" if column.form == "coefficient" else column.unit
