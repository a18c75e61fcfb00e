"""What is done to the runs of the day: asked step by step, each answer one key or one line."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.app import AxletrimApp


def add_run(app: AxletrimApp, start: str | None = None) -> None:
    """Enter a run; what was half typed is gone on with.

    Parameters
    ----------
    app : App
        The application.
    start : str, optional
        The run to start from; the last one where absent.
    """
    day = app.desk.ready()
    if day is None:
        return
    from tui.entry_typing import Typing, draft_words, typing_from  # noqa: PLC0415 - only when asked

    if day.half_typed.run is not None and start is None:
        app.show_entry(typing_from(day.sheet, day.half_typed.run, lambda file: day.watches.of(file).called))
        return
    fresh = Typing(sheet=day.sheet, start=start)
    if day.half_typed.run is None:
        app.show_entry(fresh)
        return
    from tui.asking.pick import Choice, Pick  # noqa: PLC0415 - only when asked

    def take(chosen: str | None) -> None:
        if chosen == "g":
            add_run(app)
        elif chosen == "d":
            app.desk.drop_typing()
            app.show_entry(fresh)

    choices = (
        Choice(key="g", words="go on with it"),
        Choice(key="d", words=f"drop it, and start from run {start}"),
    )
    app.push_screen(Pick("A run is half typed", choices, lines=(draft_words(day.half_typed.run),)), take)


def picked(app: AxletrimApp) -> str | None:
    """Give the picked run where it can be worked on, or say why not.

    Parameters
    ----------
    app : App
        The application.

    Returns
    -------
    str or None
        Its label.
    """
    day, run = app.desk.ready(), app.state.run
    if day is None:
        return None
    if run is None or run.label not in day.sheet.labels:
        app.notify("no run is picked: a enters one")
        return None
    return run.label


def ask_what(app: AxletrimApp) -> None:
    """Pick what to do with the picked run.

    Parameters
    ----------
    app : App
        The application.
    """
    day = app.desk.ready()
    if day is None:
        return
    run = app.state.run
    from tui.asking.pick import Choice, Pick  # noqa: PLC0415 - only when asked

    undo = Choice(key="U", words="undo", more=day.can_undo or "nothing to undo")
    redo = Choice(key="R", words="redo", more=day.can_redo or "nothing to redo")
    choices = [undo, redo]
    title = "No run is picked"
    if run is not None:
        title = f"Run {run.label}  {run.configuration}"
        choices = [
            Choice(key="e", words="correct it", more="figures, settings, remarks"),
            Choice(key="x", words="enter a run that starts from it"),
            Choice(key="m", words="mark it suspect or void, or good again"),
            Choice(key="k", words="start a new block at it", more="repair, re-zero, refit, weighing"),
            Choice(key="b", words="compare it with another run", more="move its baseline"),
            *choices,
        ]
    doing: dict[str, Callable[[AxletrimApp], None]] = {
        "e": correct,
        "x": run_again,
        "m": _mark,
        "k": block,
        "b": baseline,
        "U": _undo,
        "R": _redo,
    }

    def take(chosen: str | None) -> None:
        if chosen is not None:
            doing[chosen](app)

    app.push_screen(Pick(title, choices), take)


def correct(app: AxletrimApp, label: str | None = None) -> None:
    """Correct a run.

    Parameters
    ----------
    app : App
        The application.
    label : str, optional
        The run; the picked one where absent.
    """
    label = label or picked(app)
    day = app.desk.day
    if label is None or day is None:
        return
    from tui.entry_typing import Typing  # noqa: PLC0415 - only when asked

    app.show_entry(Typing(sheet=day.sheet, edited=label))


def run_again(app: AxletrimApp) -> None:
    """Enter a run that starts from the picked one.

    Parameters
    ----------
    app : App
        The application.
    """
    if (label := picked(app)) is not None:
        add_run(app, label)


def block(app: AxletrimApp) -> None:
    """Start a new block at the picked run.

    Parameters
    ----------
    app : App
        The application.
    """
    label, day = picked(app), app.desk.day
    if label is None or day is None:
        return
    from balance.files.run_entry import next_block  # noqa: PLC0415 - only when asked
    from balance.files.sheet_edits import start_block  # noqa: PLC0415 - only when asked
    from tui.asking.ask_text import AskText  # noqa: PLC0415 - only when asked

    sheet = day.sheet

    def take(name: str | None) -> None:
        if name is not None:
            app.desk.change(f"block {name} begun at run {label}", start_block(sheet, label, name))

    app.push_screen(
        AskText(
            f"A new block begins at run {label}. Its name:",
            value=next_block(sheet),
            hint="after a repair, re-zero, refit or weighing: drift and proposed baselines do not cross it",
            check=lambda name: start_block(sheet, label, name),
        ),
        take,
    )


def baseline(app: AxletrimApp) -> None:
    """Choose what the picked run is compared with.

    Parameters
    ----------
    app : App
        The application.
    """
    label = picked(app)
    if label is None:
        return

    def take(chosen: tuple[str | None] | None) -> None:
        if chosen is not None:
            keep_baseline(app, label, chosen[0])

    app.ask_baseline(label, take)


def keep_baseline(app: AxletrimApp, run: str, chosen: str | None) -> bool:
    """Write into runs.csv what a run is compared with.

    Parameters
    ----------
    app : App
        The application.
    run : str
        The run.
    chosen : str or None
        The run that it is compared with; nothing leaves it to be proposed.

    Returns
    -------
    bool
        Whether the day is open for work, so that it was written.
    """
    day = app.desk.day
    if day is None or run not in day.sheet.labels:
        return False
    from balance.errors import InputError  # noqa: PLC0415 - only when asked
    from balance.files.sheet_edits import move_baseline  # noqa: PLC0415 - only when asked

    try:
        sheet = move_baseline(day.sheet, [run], chosen)
    except InputError as fault:
        app.notify(str(fault), severity="error", markup=False)
        return True
    with_what = f"run {chosen}" if chosen is not None else "the proposed run"
    app.desk.change(f"run {run} compared with {with_what}", sheet)
    return True


def live(app: AxletrimApp) -> None:
    """Watch a file, or look at the rows of the watched one.

    Parameters
    ----------
    app : App
        The application.
    """
    if app.desk.ready() is not None:
        app.show_live()


def import_file(app: AxletrimApp) -> None:
    """Bring a table of somebody else's into a session of the car at hand.

    Parameters
    ----------
    app : App
        The application.
    """
    app.show_import()


def _mark(app: AxletrimApp) -> None:
    from tui.run_marks import mark  # noqa: PLC0415 - only when asked

    mark(app)


def _undo(app: AxletrimApp) -> None:
    app.desk.undo()


def _redo(app: AxletrimApp) -> None:
    app.desk.redo()
