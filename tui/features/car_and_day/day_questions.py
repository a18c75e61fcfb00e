"""What has to be decided when a day is opened, left, or changed by somebody else: asked in words, never passed over."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.formats.report import REPORT_FILE, report_file
from balance.tell.report.outline import kept_words, lost_words
from tui.host.open_day import open_since
from tui.host.questions import Choice, Pick
from tui.host.typed_run import draft_words

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from balance.files.day.open_day import OpenDay
    from balance.model.errors import AlreadyOpen
    from tui.host.host import Host


def ask_reading_only(app: Host, other: AlreadyOpen) -> None:
    """Show that another copy of the tool has the session, and let it be looked at only."""
    path = app.open_day.path

    def take(chosen: str | None) -> None:
        if chosen == "t":
            app.open_day.open(path, take_over=True)
        elif chosen == "o":
            app.call_later(app.action_choose)

    app.push_screen(
        Pick(
            "This day is open in another axletrim",
            (
                Choice("r", "look at it only", more="nothing can be changed here"),
                Choice("o", "open another day"),
                Choice("t", "take it over", more="only if the other one is known to be gone"),
            ),
            lines=(
                f"Process {other.pid} on {other.host or 'an unknown computer'}, since {open_since(other)}.",
                "Two copies that write one day would lose runs.",
            ),
        ),
        take,
    )


def ask_after_opening(app: Host, day: OpenDay) -> None:
    """Show what the journal brought back, and what was half typed: to be kept or dropped."""
    for note in day.notes:
        app.notify(note, markup=False, timeout=10)
    if day.half_typed.brief:
        app.notify(kept_words(day.half_typed.brief, report_file(day.folder)), markup=False, timeout=10)
    if day.recovered:
        _ask_recovered(app, day)
    else:
        _ask_watch(app, day)


def _ask_recovered(app: Host, day: OpenDay) -> None:
    steps = day.recovered

    def take(chosen: str | None) -> None:
        if chosen == "d":
            for what in reversed(steps):
                if day.can_undo == what:
                    app.open_day.undo()
        if app.open_day.day is day:
            _ask_watch(app, day)

    count = len(steps)
    app.push_screen(
        Pick(
            "Brought back from the journal",
            (
                Choice("k", "keep it", more="it is saved in runs.csv"),
                Choice("d", "drop it", more="redo brings it back all the same"),
            ),
            lines=(
                f"axletrim ended before {'these steps were' if count > 1 else 'this step was'} saved:",
                *(f"· {what}" for what in steps),
            ),
        ),
        take,
    )


def _ask_watch(app: Host, day: OpenDay) -> None:
    """Offer to go on with the file that was watched; what was half typed comes after it."""
    kept = day.watches.current

    def take(chosen: str | None) -> None:
        if app.open_day.day is not day:
            return
        if chosen == "w" and kept is not None:
            app.open_day.watch(kept.path)
            app.notify(f"watching {kept.path}: l shows its rows", markup=False, timeout=8)
        elif chosen == "n":
            app.open_day.watch_no_more()
        if day.half_typed.run is not None:
            _ask_draft(app, day)
        else:
            _ask_form(app, day)

    if kept is None:
        take(None)
        return
    aside = len(day.decided.keys_aside(kept.name))
    count = len(day.decided.taken_from(kept.name)) - aside
    taken = f"{count or 'No'} row{'' if count == 1 else 's'} of it taken so far"
    columns = f", {aside} set aside" if aside else ""
    columns += f"; what {len(kept.called)} of its columns are is known" if kept.called else ""
    columns += f"; decimal {kept.decimal}" if kept.decimal else ""
    app.push_screen(
        Pick(
            f"{kept.name} was watched when this day was open last",
            (
                Choice("w", "watch on", more="no row is lost, none is taken twice"),
                Choice("n", "no longer"),
            ),
            lines=(kept.path, f"{taken}{columns}."),
        ),
        take,
    )


def _ask_draft(app: Host, day: OpenDay) -> None:
    def take(chosen: str | None) -> None:
        if chosen == "t":
            app.add_run()
            return
        if chosen == "d":
            app.open_day.drop_typing()
        if app.open_day.day is day:
            _ask_form(app, day)

    app.push_screen(
        Pick(
            "A run was half typed when axletrim ended",
            (
                Choice("t", "take it up", more="go on where it was left"),
                Choice("d", "drop it"),
            ),
            lines=(draft_words(day.half_typed.run or {}),),
        ),
        take,
    )


def _ask_form(app: Host, day: OpenDay) -> None:
    """Offer to go on with the form of the car or the day."""
    from tui.features.car_and_day.stated_edit import form_words, half_typed_forms  # noqa: PLC0415 - only when asked

    forms = half_typed_forms(day)
    if not forms:
        return
    file, edit = forms[0]

    def take(chosen: str | None) -> None:
        if app.open_day.day is not day:
            return
        if chosen == "t":
            edit(app)
        elif chosen == "d":
            day.half_typed.keep_form(file, {})
            _ask_form(app, day)

    app.push_screen(
        Pick(
            f"The form of {Path(file).name} was half typed when axletrim ended",
            (
                Choice("t", "take it up", more="go on where it was left"),
                Choice("d", "drop it", more="nothing is written"),
            ),
            lines=(form_words(day.half_typed.forms[file]),),
        ),
        take,
    )


def _whereabouts(unkept: str) -> str:
    """State what becomes of what is not saved when the session is left."""
    if unkept:
        return f"× It is on no disk, and if you leave now, it is lost: {unkept}"
    return "It is in the journal, and is offered again when this day is opened next."


async def ask_to_leave(app: Host, leave: Callable[[], object]) -> None:
    """Leave as soon as all is saved; else say what is not, and where it is kept."""
    app.open_day.flush()
    await app.open_day.saving.settle()
    lines = _not_saved(app)
    if not lines:
        leave()
        return
    unsaved = app.open_day.day is not None and app.open_day.day.unsaved
    choices = [Choice("s", "stay")]
    if unsaved:
        choices.append(Choice("a", "save again, and stay"))
    choices.append(Choice("l", "leave"))

    def take(chosen: str | None) -> None:
        if chosen == "a":
            app.open_day.save_again()
        elif chosen == "l":
            leave()

    app.push_screen(Pick("Leave with something unsaved?", choices, lines=lines), take)


def _not_saved(app: Host) -> list[str]:
    """State what is not saved, and where it is kept."""
    day, brief = app.open_day.day, app.state.brief_typed
    lines = []
    if day is not None and day.unsaved:
        lines.append(f"× Not saved: {day.trouble or 'runs.csv is not up to date'}")
    if day is not None and day.half_typed.run:
        lines.append(f"Half typed: {draft_words(day.half_typed.run)}")
    if day is not None and lines:
        lines.append(_whereabouts(day.unkept))
    if brief:
        lines.append(_brief_words(day, brief))
    if in_form := app.typed_in_forms:
        lines.append(_form_words(in_form, app.unkept_forms))
    return lines


def _form_words(labels: Sequence[str], unkept: str) -> str:
    """State what becomes of what is typed into a form when it is left."""
    typed = ", ".join(labels)
    if unkept:
        return f"× Lost on leaving, typed into a form and not written: {typed}: {unkept}"
    return f"Typed into a form and not written: {typed}. It is kept, and stands there when the form is opened next."


def _brief_words(day: OpenDay | None, typed: Mapping[str, str]) -> str:
    """State where that is which the file of the customer's report does not hold yet."""
    file = REPORT_FILE if day is None else report_file(day.folder)
    if day is not None and not day.unkept:
        return kept_words(typed, file)
    return f"× {lost_words(typed, file)}"
