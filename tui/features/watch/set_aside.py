"""Rows of a watched file that are no runs: set aside with a reason, and brought back one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import InputError
from tui.host.questions import AskText, Choice, Pick, keyed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.tables.watch.file_watch import WatchedRow
    from tui.host.host import Host
    from tui.host.live_file import LiveFile

_OTHER = "\tother"
_LONGEST = 80


def set_aside(app: Host, live: LiveFile, row: WatchedRow) -> None:
    """Ask why a row is no run, and take it out of those that wait: one step of the day, which undo takes back."""

    def take(reason: str | None) -> None:
        if reason == _OTHER:
            app.push_screen(AskText(f"Why is {row.name} no run?", hint="in a few words", check=_check), take)
            return
        day = app.open_day.ready()
        if reason is None or day is None or app.open_day.live is not live:
            return
        app.open_day.change(
            f"{row.name} of {row.file} set aside: {reason}", day.sheet, taken=row, aside=reason
        )
        live.decided(row)

    choices = (
        Choice("t", "tare or zero", value="tare or zero"),
        Choice("a", "average", value="average"),
        Choice("b", "aborted", value="aborted"),
        Choice("e", "entered by hand already", value="entered by hand already"),
        Choice("o", "another reason, to be typed", value=_OTHER),
    )
    app.push_screen(
        Pick(f"Set {row.name} of {row.file} aside: why is it no run?", choices, lines=(said(row.cells),)),
        take,
    )


def _check(text: str) -> None:
    if not text:
        raise InputError("found nothing, expected a reason in a few words")
    if len(text) > _LONGEST or not text.isprintable():
        raise InputError(f"found {len(text)} characters, expected one short line of at most {_LONGEST}")


def bring_back(app: Host, live: LiveFile) -> None:
    """List the rows that are set aside, and let the one that is picked wait again."""
    records = live.aside
    if not records:
        app.notify(f"no row of {live.name} is set aside", markup=False)
        return

    def take(place: str | None) -> None:
        day = app.open_day.ready()
        if place is None or day is None or app.open_day.live is not live:
            return
        record = records[int(place)]
        row = live.row_of(record)
        if row is None:
            app.notify(
                f"row {record['key']} is in {live.name} no more; it said: {said(record['cells'])}",
                severity="warning", markup=False, timeout=20,
            )  # fmt: skip
            return
        app.open_day.change(f"{row.name} of {row.file} waits again", day.sheet, taken=row, aside="")
        app.open_day.watch(str(live.path))

    def more(record: Mapping[str, object]) -> str:
        gone = "" if live.row_of(record) else "NOT IN THE FILE NOW · "
        cells = record["cells"]
        return gone + (said(cells) if isinstance(cells, dict) else "")

    listed = keyed([(str(at), f"{one['key']}: {one['aside']}", more(one)) for at, one in enumerate(records)])
    app.push_screen(Pick(f"Rows of {live.name} set aside: which one waits again?", listed), take)


def said(cells: Mapping[str, str]) -> str:
    """Return what a row says, on one line."""
    return " · ".join(f"{name} {text}" for name, text in cells.items() if text)
