"""What is done to the runs of the day: asked step by step, each answer one key or one line."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from balance.files.day.open_day import OpenDay
    from tui.host.host import Host
    from tui.host.typed_run import TypedRun


def add_run(app: Host, start: str | None = None) -> None:
    """Enter a run; what was half typed is gone on with."""
    day = app.open_day.ready()
    if day is None:
        return
    from tui.host.typed_run import TypedRun, typing_from  # noqa: PLC0415 - only when asked

    if day.half_typed.run is not None and start is None:
        app.show_entry(typing_from(day.sheet, day.half_typed.run, lambda file: day.watches.of(file).called))
        return
    _enter(app, day, TypedRun(sheet=day.sheet, start=start), f"start from run {start}")


def enter_planned(app: Host, cells: Mapping[str, str]) -> None:
    """Enter a run that was planned: what is to be fitted stands in its fields."""
    day = app.open_day.ready()
    if day is None:
        return
    from tui.host.typed_run import TypedRun  # noqa: PLC0415 - only when asked

    _enter(app, day, TypedRun(sheet=day.sheet, typed=MappingProxyType(dict(cells))), "take the planned one")


def _enter(app: Host, day: OpenDay, fresh: TypedRun, otherwise: str) -> None:
    """Let a run be typed; where another is half typed ask first which one."""
    if day.half_typed.run is None:
        app.show_entry(fresh)
        return
    from tui.host.questions import Choice, Pick  # noqa: PLC0415 - only when asked
    from tui.host.typed_run import draft_words  # noqa: PLC0415 - as above

    def take(chosen: str | None) -> None:
        if chosen == "g":
            add_run(app)
        elif chosen == "d":
            app.open_day.drop_typing()
            app.show_entry(fresh)

    choices = (
        Choice("g", "go on with it"),
        Choice("d", f"drop it, and {otherwise}"),
    )
    app.push_screen(Pick("A run is half typed", choices, lines=(draft_words(day.half_typed.run),)), take)


def _with_run(app: Host, label: str | None) -> OpenDay | None:
    """Return the open day where a run can be worked on, or say why not."""
    day = app.open_day.ready()
    if day is not None and label not in day.sheet.labels:
        app.notify("no run is picked: a enters one")
        return None
    return day


def for_reading(app: Host, then: Callable[[Host, str | None], None], *, void: bool = False) -> None:
    """Do something with the picked run; on a row that stands for several readings ask first which one is meant."""
    state, day = app.state, app.open_day.ready()
    if day is None:
        return
    row = state.picked_row
    rows = state.repeats_of(row) if state.folded and row is not None else ()
    if len(rows) < 2 or state.day is None:
        then(app, None if state.run is None else state.run.label)
        return
    from balance.tell.runs.reading_words import reading_line  # noqa: PLC0415 - only when asked
    from tui.host.questions import Pick, keyed  # noqa: PLC0415 - only when asked

    runs = [state.day.readings.runs[one] for one in rows]
    listed = [*runs, *(run for run in reversed(day.session.runs) if void and run.status == "void")]
    choices = keyed(
        [(run.label, f"run {run.label}", reading_line(state.day.session, run, state.show)) for run in listed]
    )

    def take(label: str | None) -> None:
        if label is not None:
            then(app, label)

    title = f"{runs[0].configuration}: which of its {len(runs)} readings?"
    app.push_screen(Pick(title, choices, start=state.picked or ""), take)


def ask_what(app: Host, label: str | None) -> None:
    """Pick what to do with a run."""
    day = app.open_day.ready()
    if day is None:
        return
    run = next((one for one in day.session.runs if one.label == label), None)
    from tui.host.questions import Choice, Pick  # noqa: PLC0415 - only when asked

    undo = Choice("U", "undo", more=day.can_undo or "nothing to undo")
    redo = Choice("R", "redo", more=day.can_redo or "nothing to redo")
    choices = [undo, redo]
    title = "No run is picked"
    if run is not None:
        title = f"Run {run.label}  {run.configuration}"
        choices = [
            Choice("e", "correct it", more="figures, settings, remarks"),
            Choice("x", "enter a run that starts from it"),
            Choice("m", "mark it suspect or void, or good again"),
            Choice("k", "start a new block at it", more="repair, re-zero, refit, weighing"),
            Choice("b", "compare it with another run", more="move its baseline"),
            *choices,
        ]
    doing: dict[str, Callable[[Host, str | None], None]] = {
        "e": correct,
        "x": run_again,
        "m": mark,
        "k": block,
        "b": baseline,
        "U": _undo,
        "R": _redo,
    }

    def take(chosen: str | None) -> None:
        if chosen is not None:
            doing[chosen](app, label)

    app.push_screen(Pick(title, choices), take)


def correct(app: Host, label: str | None) -> None:
    """Correct a run."""
    day = _with_run(app, label)
    if label is None or day is None:
        return
    from tui.host.typed_run import TypedRun  # noqa: PLC0415 - only when asked

    app.show_entry(TypedRun(sheet=day.sheet, edited=label))


def run_again(app: Host, label: str | None) -> None:
    """Enter a run that starts from another."""
    if _with_run(app, label) is not None:
        add_run(app, label)


def mark(app: Host, label: str | None) -> None:
    """Mark a run suspect or void, or good again."""
    from tui.features.runs import run_marks  # noqa: PLC0415 - only when asked

    run_marks.mark(app, label)


def block(app: Host, label: str | None) -> None:
    """Start a new block at a run."""
    day = _with_run(app, label)
    if label is None or day is None:
        return
    from balance.files.day.run_entry import next_block  # noqa: PLC0415 - only when asked
    from balance.files.day.run_sheet import start_block  # noqa: PLC0415 - only when asked
    from tui.host.questions import AskText  # noqa: PLC0415 - only when asked

    sheet = day.sheet

    def take(name: str | None) -> None:
        if name is not None:
            app.open_day.change(f"block {name} begun at run {label}", start_block(sheet, label, name))

    app.push_screen(
        AskText(
            f"A new block begins at run {label}. Its name:",
            value=next_block(sheet),
            hint="after a repair, re-zero, refit or weighing: drift and automatic baselines do not cross it",
            check=lambda name: start_block(sheet, label, name),
        ),
        take,
    )


def baseline(app: Host, label: str | None) -> None:
    """Choose what a run is compared with."""
    if label is None or _with_run(app, label) is None:
        return

    def take(chosen: tuple[str | None] | None) -> None:
        if chosen is not None:
            app.open_day.keep_baseline(label, chosen[0])

    app.ask_baseline(label, take)


def live(app: Host) -> None:
    """Watch a file, or look at the rows of the watched one."""
    if app.open_day.ready() is not None:
        app.show_live()


def import_file(app: Host) -> None:
    """Bring a table of somebody else's into a session of the car at hand."""
    app.show_import()


def _undo(app: Host, _label: str | None) -> None:
    app.open_day.undo()


def _redo(app: Host, _label: str | None) -> None:
    app.open_day.redo()
