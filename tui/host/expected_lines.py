"""What a run that is typed, or waits to be taken, should read, and what is asked about it; worked out in threads."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import AxletrimError

if TYPE_CHECKING:
    from balance.decide.plan.judged_reading import JudgedReading
    from balance.files.day.open_day import OpenDay
    from balance.model.plans import DayPlan, ExpectedEffect
    from balance.model.records import Session
    from balance.tell.figures import Show
    from balance.tell.plan.plan_names import Names
    from tui.host.typed_run import TypedRun

Lines = list[tuple[str, str]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GuardWords:
    """What is said of a run by the guard, and whether it is doubted, so that saving it is asked about."""

    lines: Lines
    doubted: bool = False


def guard_words(typing: TypedRun, day: OpenDay, show: Show) -> GuardWords:
    """State what a run should read while it is typed; once its figures stand, what is asked about it."""
    after = typing.after
    if after is None:
        return GuardWords(lines=_before_figures(typing, day))
    return run_words(day.preview(after), typing.label, show)


def run_words(session: Session, label: str, show: Show) -> GuardWords:
    """State whether a run of a day reads as expected, and what else is asked about it."""
    from balance.decide.plan.entry_guard import guard_run  # noqa: PLC0415 - only when typed
    from balance.tell.plan.expected_words import judged_lines  # noqa: PLC0415 - as above
    from balance.tell.runs.doubt_words import doubt_words  # noqa: PLC0415 - as above

    try:
        plan = plan_of(session)
        guarded = guard_run(session, label, plan)
    except AxletrimError as fault:
        return GuardWords(lines=[(f"! {fault}", "warn")])
    judged = guarded.judged
    lines: Lines = []
    if judged is not None and judged.expected is not None:
        lines += judged_lines(judged, judged.pressure, show, names_of(session, plan))
    lines += [(f"! {doubt_words(doubt, show)}", "warn") for doubt in guarded.doubts]
    if not guarded.asked and (judged is None or judged.expected is None or judged.unseen):
        lines.append(("✔ nothing unlikely in it", "good"))
    return GuardWords(lines=lines, doubted=guarded.asked)


def waiting_lines(typing: TypedRun, day: OpenDay, show: Show) -> Lines:
    """State of a row that waits what it should read, and whether it does, had nothing else been changed on the car."""
    from balance.tell.plan.expected_words import judged_short, typed_line  # noqa: PLC0415 - only when shown

    start, after = typing.base.start, typing.after
    if start is None or after is None:
        return []
    session = day.preview(after)
    try:
        judged = _judged(session, typing.label)
    except AxletrimError:
        return []
    if judged.expected is None:
        return []
    expected = typed_line(judged.expected, session, judged.pressure)
    changed = "; ".join(name.replace("_", " ") for name, _, _ in typing.changes)
    since = f"with {changed} changed since run {start}" if changed else f"unchanged since run {start}"
    said = judged_short(judged, judged.pressure, show)
    return [
        (f"expected, {since}: {expected} (95 %)", ""),
        (
            f"it reads {said}" if said == "as expected" else f"it reads otherwise: {said}",
            "warn" if judged.asked else "",
        ),
    ]


def _before_figures(typing: TypedRun, day: OpenDay) -> Lines:
    """State what the run should read with the settings that are typed so far."""
    sheet, cells = typing.sheet, dict(typing.entry.cells)
    if typing.edited is not None or not sheet.runs or not cells.get("configuration"):
        return []
    like = sheet.cells(typing.base.start) if typing.base.start else {}
    figures = {plan.name: like.get(plan.name, "") or "1" for plan in sheet.force_columns}
    try:
        session = day.preview(sheet.appended({**cells, **figures, "status": ""}))
        judged = _judged(session, cells["run"])
    except AxletrimError:
        return []  # it cannot be read yet: what stands in the way is said already
    return _range_lines(judged, session)


def _judged(session: Session, label: str) -> JudgedReading:
    from balance.decide.plan.judged_reading import judge_run  # noqa: PLC0415 - only when typed

    return judge_run(session, plan_of(session), label)


def _range_lines(judged: JudgedReading, session: Session) -> Lines:
    from balance.tell.plan.expected_words import basis_words, typed_line  # noqa: PLC0415 - only when typed

    if judged.expected is None:
        return []
    names = names_of(session, plan_of(session))
    return [
        (f"expected: {typed_line(judged.expected, session, judged.pressure)} (95 %)", "strong"),
        (basis_words(judged.expected, names), "muted"),
    ]


def plan_of(session: Session) -> DayPlan:
    """Read the plan of a day; one with faults counts as one that states nothing."""
    from balance.files.formats.plan_edit import look_at_plan  # noqa: PLC0415 - only when typed
    from balance.model.plans import DayPlan  # noqa: PLC0415 - as above

    return _with_library(session, look_at_plan(session, Path(session.folder)).plan or DayPlan())


def _with_library(session: Session, plan: DayPlan) -> DayPlan:
    """Let the library state what the plan expects from it; it is asked again where plan or library says otherwise.

    A run is looked at with every key that is typed, and opening a large library takes a good part of a second.
    """
    if all(one.library is None for one in plan.expected):
        return plan
    from balance.tell.library.other_cars import plan_with_library  # noqa: PLC0415 - only where a plan asks
    from tui.host.plan_view import glance_at_library  # noqa: PLC0415 - as above

    asked = (
        session.folder,
        session.vehicle.source,
        plan.expected,
        tuple(plan.units.items()),
        glance_at_library(),
    )
    expected = _SAID.get(asked)
    if expected is None:
        expected = plan_with_library(session, plan).expected
        _SAID.clear()
        _SAID[asked] = expected
    return replace(plan, expected=expected)


_SAID: dict[tuple[object, ...], tuple[ExpectedEffect, ...]] = {}
"""What the library said last, by what it was asked."""


def names_of(session: Session, plan: DayPlan) -> Names:
    """Return what the settings of a day are called."""
    from balance.tell.plan.plan_names import Names  # noqa: PLC0415 - only when typed

    return Names.of_plan(session, plan, {})
