"""The plan of a day as plain text for stdout and the clipboard."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.head import session_line
from balance.tell.plan.expected_words import (
    basis_words,
    expected_line,
    facility_pressure,
    judged_lines,
    stated_at,
    typed_line,
)
from balance.tell.plan.next_words import (
    aim_words,
    best_line,
    clock_line,
    dangers_of,
    differs_line,
    next_detail,
    next_table,
    plan_doubts,
    plan_notes,
    stop_line,
)
from balance.tell.plan.order_words import (
    detectable_line,
    detectable_table,
    drift_words,
    dropped_words,
    order_line,
    order_runs,
    order_table,
)
from tui.printing.lines import folded, foot, listed, printed

if TYPE_CHECKING:
    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.expected_reading import ExpectedReading
    from balance.decide.plan.judged_reading import JudgedReading
    from balance.decide.plan.planned_day import PlannedDay
    from balance.model.records import Session
    from balance.tell.figures import Show
    from balance.tell.plan.plan_names import Names

MOST_RUNS, MOST_IN_FULL = 8, 20
"""Next runs that are printed, and those that are where more is asked for."""


def print_plan(planned: PlannedDay, names: Names, show: Show, width: int, *, full: bool) -> str:
    """Write what could be run next, the order, and what the day can detect."""
    lines = [
        *folded(session_line(planned.session), width),
        *folded(clock_line(planned), width),
        *folded(best_line(planned, names, show), width),
    ]
    found, order = planned.found, planned.order
    notes: list[str] = []
    shown: list[Configuration] = []
    others: list[str] = []
    if found is not None:
        most = MOST_IN_FULL if full else MOST_RUNS
        head = f"Next runs, the best for its minutes first, {stated_at(planned.session, show)}, downforce positive:"
        lines += ["", *folded(head, width)]
        lines += printed(next_table(planned, names, show, most=most), width)
        lines += ["", *folded(stop_line(planned, names, show), width)]
        if full:
            details = [next_detail(planned, one, names, show) for one in found.runs[:MOST_RUNS]]
            others += [" ".join(text for text, _ in detail) for detail in details]
        shown += [one.configuration for one in found.runs[:most]]
    if order is not None:
        lines += ["", *folded(f"Order: {order_line(planned)}", width)]
        if order.cheapest.slots:
            lines += printed(order_table(planned, names), width)
        if dropped := dropped_words(planned, names):
            lines += folded(dropped, width)
        lines += ["", *folded(f"The day: {detectable_line(planned, show)}", width)]
        if full and order.detectable:
            lines += printed(detectable_table(planned, names, show), width)
        shown += order_runs(planned)
        notes += drift_words(planned, names)
    notes = [*dangers_of(planned, shown, names, show), *notes]
    notes += [
        f"the aim is {aim_words(planned, show)}",
        differs_line(planned, show),
        *plan_notes(planned, names),
    ]
    notes = [note for note in notes if note]
    return "\n".join([*lines, *foot(notes, others, width, full=full, first=plan_doubts(planned, show))])


def print_expected(
    expected: ExpectedReading, one: Configuration, session: Session, names: Names, show: Show, width: int
) -> str:
    """Write what a configuration should read."""
    pressure = facility_pressure(session)
    said = [
        f"{expected_line(expected, pressure, show)} (95 %, downforce positive)",
        f"as typed: {typed_line(expected, session, pressure)}",
        basis_words(expected, names),
        "expected, never measured",
    ]
    return "\n".join(
        [
            *folded(session_line(session), width),
            "",
            *listed(f"{names.fitted(one)}, {stated_at(session, show)}:", said, width),
        ]
    )


def print_judged(judged: JudgedReading, session: Session, names: Names, show: Show, width: int) -> str:
    """Write whether a run reads as expected."""
    lines = judged_lines(judged, facility_pressure(session), show, names)
    head = f"Run {judged.run}, {stated_at(session, show)}, downforce positive:"
    return "\n".join(
        [*folded(session_line(session), width), "", *listed(head, [text for text, _ in lines], width)]
    )
