"""The remaining runs in order and on the clock, and what the day can resolve, in words and tables."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal, NamedTuple

from balance.decide.plan.configuration import Configuration, configuration
from balance.decide.plan.planned_day import MORE_BASELINES
from balance.files.formats.plan import clock_text
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import NONE
from balance.tell.plan.expected_words import facility_pressure
from balance.tell.plan.plan_names import hours_words, minutes_text
from balance.tell.table import Cell, Column, Table, table_of

Which = Literal["cheapest", "protected"]

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.plan.clock import PlannedOrder, Schedule, Slot
    from balance.decide.plan.part_contrasts import Detectable
    from balance.decide.plan.planned_day import PlannedDay
    from balance.tell.figures import Show
    from balance.tell.plan.plan_names import Names


def schedule_of(order: PlannedOrder, which: Which) -> Schedule:
    """Return one of the two orders."""
    return order.cheapest if which == "cheapest" else order.protected


def order_line(planned: PlannedDay, which: Which = "cheapest") -> str:
    """State what an order takes beside the one that was typed."""
    order = planned.order
    if order is None or not planned.plan.wanted:
        return no_order_words(planned)
    here = schedule_of(order, which)
    if not here.slots:
        return "All wanted runs are made." if not order.dropped else "No wanted run has time left."
    how = "in the order of fewest minutes" if which == "cheapest" else "in the order least disturbed by drift"
    other = order.protected if which == "cheapest" else order.cheapest
    beside = ""
    if [s.configuration for s in other.slots] != [s.configuration for s in here.slots]:  # breaks count
        named = "least disturbed by drift" if which == "cheapest" else "of fewest minutes"
        beside = f"; {named}: {hours_words(other.time)}"
    return (
        f"{_count(here.changes, 'change')}, {hours_words(here.time)} {how}"
        f" (as typed: {hours_words(order.typed.time)}{beside})"
    )


def no_order_words(planned: PlannedDay) -> str:
    """State why there is no order: nothing is wanted, or what is wanted cannot be put in one yet."""
    count = len(planned.plan.wanted)
    if not count:
        return "No runs are wanted yet: F2 adds one."
    if planned.order is not None:
        return "All wanted runs are made."
    return f"{_count(count, 'wanted run')}: no order before a reading of the baseline."


def _count(count: int, what: str) -> str:
    return f"{count} {what}{'s' * (count != 1)}"


def drift_words(planned: PlannedDay, names: Names, which: Which = "cheapest") -> tuple[str, ...]:
    """Warn of parts that an order cannot tell from a drift."""
    order = planned.order
    if order is None:
        return ()
    shared = schedule_of(order, which).shared
    confused = [one for one in shared if one.confused]
    if not confused:
        return ()
    called = " or ".join(names.part(one.name, one.value) for one in confused)
    worst = max(abs(one.correlation) for one in confused)
    return (
        f"{called} can hardly be told from a drift in this order (correlation {worst:.2f}): move a baseline between",
    )


def dropped_words(planned: PlannedDay, names: Names) -> str:
    """Name the wanted runs for which no time is left."""
    order = planned.order
    if order is None or not order.dropped:
        return ""
    said = [
        f"{names.fitted(job.configuration)}{' (must be made)' if job.must else ''}" for job in order.dropped
    ]
    return f"no time left for: {'; '.join(said)}"


class OrderRow(NamedTuple):
    """A row of the order: a run, a baseline or a break on the clock, a wanted run without time left, or one that is made.

    ``wanted`` is its place among the wanted runs of the plan.
    """

    kind: Literal["run", "baseline", "break", "dropped", "made"]
    configuration: Configuration | None
    slot: Slot | None = None
    wanted: int | None = None


def order_rows(
    planned: PlannedDay, which: Which = "cheapest", *, whole: bool = False
) -> tuple[OrderRow, ...]:
    """Return the rows of an order; ``whole`` adds the wanted runs that have no time left, and those that are made."""
    order = planned.order
    wanted = [configuration(one.settings) for one in planned.plan.wanted]

    def place(one: Configuration | None) -> int | None:
        return wanted.index(one) if one in wanted else None

    rows = [
        OrderRow(
            slot.kind, slot.configuration, slot, place(slot.configuration) if slot.kind == "run" else None
        )
        for slot in (schedule_of(order, which).slots if order is not None else ())
    ]
    if whole:
        dropped = order.dropped if order is not None else ()
        rows += [OrderRow("dropped", job.configuration, None, place(job.configuration)) for job in dropped]
        rows += [
            OrderRow("made", one, None, k)
            for k, (one, made) in enumerate(zip(wanted, planned.made, strict=True))
            if made
        ]
    return tuple(rows)


def order_table(
    planned: PlannedDay, names: Names, which: Which = "cheapest", *, whole: bool = False
) -> Table:
    """Lay out an order on the clock."""
    columns = (
        Column("clock", "clock", align="right"),
        Column("run", "run", width=24, flexible=True),
        Column("change", "change to make", width=20, priority=3),
        Column("minutes", "time", unit="min", align="right", priority=1),
        Column("why", "why", width=8, priority=2),
    )
    rows, before = [], None if planned.stand is None else planned.stand.present
    for one in order_rows(planned, which, whole=whole):
        fitted, slot = one.configuration, one.slot
        if fitted is None or slot is None:
            rows.append(_off_clock(planned, one, names))
            continue
        change = "" if before is None else names.changes(before, fitted)
        before = fitted
        danger = fitted in planned.dangers
        rows.append(
            [
                Cell(clock_text(slot.start)),
                Cell(f"{'! ' if danger else ''}{names.fitted(fitted)}", "danger" if danger else ""),
                Cell(change),
                _minutes(slot),
                Cell(_why(slot), "muted"),
            ]
        )
    return table_of(columns, rows)


def _off_clock(planned: PlannedDay, one: OrderRow, names: Names) -> list[Cell]:
    """Return the cells of a break, of a run that has no time left, or of one that is made."""
    if one.slot is not None:
        return [Cell(clock_text(one.slot.start)), Cell("break", "muted"), Cell(), _minutes(one.slot), Cell()]
    assert one.configuration is not None  # noqa: S101 - only a break has none
    made = one.kind == "made"
    must = one.wanted is not None and planned.plan.wanted[one.wanted].must
    why = "made" if made else "no time left, must" if must else "no time left"
    return [
        Cell("✓" if made else NONE, "good" if made else "muted"),
        Cell(names.fitted(one.configuration), "muted" if made else "warn"),
        Cell(),
        Cell(),
        Cell(why, "muted" if made else "warn"),
    ]


def _why(slot: Slot) -> str:
    if slot.kind == "baseline":
        return "baseline"
    return f"{'must' if slot.must else 'wanted'}{f': {slot.label}' if slot.label else ''}"


def _minutes(slot: Slot) -> Cell:
    return Cell(minutes_text(slot.end - slot.start), value=slot.end - slot.start)


def order_runs(planned: PlannedDay, which: Which = "cheapest") -> tuple[Configuration, ...]:
    """Return what is fitted in the runs of an order."""
    if planned.order is None:
        return ()
    return schedule_of(planned.order, which).fitted


def detectable_table(planned: PlannedDay, names: Names, show: Show) -> Table:
    """Lay out how small a part the day can detect with the runs made and planned."""
    force = show.unit("force")
    columns = (
        Column("part", "part", width=18, flexible=True),
        *(Column(key, key, unit=force, align="right") for key in ("front", "rear", "total", "drag")),
        Column("more", f"total, {MORE_BASELINES} more baselines", unit=force, align="right", priority=1),
    )
    if planned.order is None:
        return table_of(columns, [])
    pressure = facility_pressure(planned.session)
    more = {(one.name, one.value): one for one in planned.more}
    rows = []
    for one in planned.order.detectable:
        better = more.get((one.name, one.value))
        rows.append(
            [
                Cell(names.part(one.name, one.value)),
                *(_force(one, k, pressure, show) for k in (FRONT, REAR, TOTAL, DRAG)),
                Cell(NONE, "muted") if better is None else _force(better, TOTAL, pressure, show),
            ]
        )
    return table_of(columns, rows)


def _force(one: Detectable, channel: int, pressure: float, show: Show) -> Cell:
    force = float(one.difference[channel]) * pressure
    if not math.isfinite(force):
        return Cell(NONE, "muted")
    return Cell(show.bare("force", force), value=force)


def detectable_line(planned: PlannedDay, show: Show) -> str:
    """State in a line what the hours can resolve, with the runs made and planned."""
    order = planned.order
    if order is None:
        return planned.why_not
    runs = len(order.cheapest.fitted)
    made = len(planned.session.used)
    pressure = facility_pressure(planned.session)
    here, better = _largest(order.detectable, pressure), _largest(planned.more, pressure)
    count = f"{_count(made + runs, 'run')} ({made} made, {runs} planned)" if made else _count(runs, "run")
    if not order.detectable:
        return f"{count}: no part can be told from the others; run parts one at a time to tell them apart"
    if here is None:
        return f"{count}: nothing can be detected for sure, as nothing is repeated and the facility states no figure"
    said = f"{count}: {show.quantity('force', here)} of total downforce detectable for each part (80 % power)"
    return (
        said
        if better is None
        else f"{said}; {MORE_BASELINES} more baselines: {show.quantity('force', better)}"
    )


def _largest(found: Sequence[Detectable], pressure: float) -> float | None:
    forces = [float(one.difference[TOTAL]) * pressure for one in found]
    finite = [force for force in forces if math.isfinite(force)]
    return max(finite, default=None)
