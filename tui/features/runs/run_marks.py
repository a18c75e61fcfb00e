"""Which runs count: marked suspect, void or good again, alone or all since the last good baseline."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from balance.files.day.open_day import OpenDay
    from balance.files.day.run_sheet import RunSheet
    from balance.model.records import Run, Status
    from tui.host.host import Host

Marking = tuple[str, "Status", tuple[str, ...], str]
"""Key, status, the runs, and what stands behind the words."""


def mark(app: Host, label: str | None) -> None:
    """Mark runs suspect, void or good: one, or all since the last good baseline."""
    from tui.host.questions import Choice, Pick  # noqa: PLC0415 - only when asked

    day = app.open_day.ready()
    if day is None:
        return
    run = next((one for one in day.session.used if one.label == label), None)
    here = run is not None and run.label in day.sheet.labels
    offered = [*(_of_picked(day, run) if run is not None and here else ()), *_of_void(day)]
    if not offered:
        app.notify("no run to mark: a enters one")
        return
    by_key = {key: (status, labels) for key, status, labels, _ in offered}
    choices = [
        Choice(key, f"{'good again' if status == 'good' else status}: {runs_named(labels)}", more=more)
        for key, status, labels, more in offered
    ]

    def take(chosen: str | None) -> None:
        if chosen is not None:
            _ask_reason(app, *by_key[chosen])

    title = f"Run {run.label}  {run.configuration}: does it count?" if run and here else "Which runs count?"
    app.push_screen(Pick(title, choices), take)


def _of_picked(day: OpenDay, run: Run) -> list[Marking]:
    from balance.decide.parts.baselines import runs_since_baseline  # noqa: PLC0415 - only when asked

    one = (run.label,)
    offered: list[Marking] = [
        ("s", "suspect", one, "counts, and is marked wherever it is used"),
        ("v", "void", one, "kept in the file, left out of every result"),
    ]
    since = runs_since_baseline(day.session, run.label)
    if len(since) > 1:
        counting = [one.label for one in day.session.runs if one.status != "void"]
        at = counting.index(since[0])
        all_of_them = (
            f"all since run {counting[at - 1]}, the last good baseline" if at else "all up to this one"
        )
        offered += [("S", "suspect", since, all_of_them), ("V", "void", since, all_of_them)]
    if run.status != "good":
        offered.append(("g", "good", one, ""))
    return offered


def _of_void(day: OpenDay) -> list[Marking]:
    """Offer to bring back void runs, which no table shows."""
    void = [run for run in day.session.runs if run.status == "void"]
    return [
        (key, "good", (run.label,), f"void: {run.reason or 'no reason given'}")
        for key, run in zip("123456789", reversed(void), strict=False)
    ]


def _ask_reason(app: Host, status: Status, labels: tuple[str, ...]) -> None:
    """Ask for the reason where one is needed, and mark the runs."""
    from balance.files.day.run_sheet import mark_runs  # noqa: PLC0415 - only when asked
    from tui.host.questions import AskText  # noqa: PLC0415 - only when asked

    day = app.open_day.day
    if day is None:
        return
    sheet, named = day.sheet, runs_named(labels)
    if status == "good":
        app.open_day.change(f"{named} good again", mark_runs(sheet, labels, "good"))
        return

    def marked(reason: str) -> RunSheet:
        return mark_runs(sheet, labels, status, reason)

    def take(reason: str | None) -> None:
        if reason is not None:
            app.open_day.change(f"{named} marked {status}", marked(reason))

    title = f"Why {'is' if len(labels) == 1 else 'are'} {named} {status}?"
    app.push_screen(AskText(title, hint="a few words, such as: left canard turned", check=marked), take)


def runs_named(labels: tuple[str, ...]) -> str:
    """Name runs: one, a few, or a stretch.

    Examples
    --------
    >>> runs_named(("4",)), runs_named(("4", "5", "6", "7"))
    ('run 4', 'runs 4 to 7')
    """
    if len(labels) == 1:
        return f"run {labels[0]}"
    listed = f"{labels[0]} to {labels[-1]}" if len(labels) > 3 else ", ".join(labels)
    return f"runs {listed}"
