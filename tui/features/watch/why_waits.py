"""Why a row of a watched file is no run yet, in short and at length."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING

from balance.model.errors import AxletrimError

if TYPE_CHECKING:
    from balance.files.day.open_day import OpenDay
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.watch.file_watch import WatchedRow
    from tui.features.watch.live_file import LiveFile


def why_waits(live: LiveFile, row: WatchedRow) -> tuple[str, str]:
    """Say why a row waits although it may say all."""
    day = live.desk.day
    if day is None:
        return "", ""
    if reason := day.decided.why_aside(row):
        return "set aside, reads anew", f"{row.name} was set aside as {reason}; reads otherwise now"
    mark = live.mark
    if not isinstance(mark, str):
        return "decimal mark?", ""  # it is asked above the rows
    return _by_its_cells(live, day, row, mark) or _by_the_import(live, row)


def _by_its_cells(live: LiveFile, day: OpenDay, row: WatchedRow, mark: Mark) -> tuple[str, str] | None:
    """Say what of its own cells speaks against it; nothing where the import is to be asked."""
    from balance.files.tables.rows.row_cells import row_faults, stands_already, total_fault  # noqa: PLC0415 - only when asked
    from balance.reduce.repeatability import stated_by_facility  # noqa: PLC0415 - only when asked

    if faults := row_faults(day.sheet, row, live.called, mark):
        return "CANNOT BE READ", "; ".join(faults)
    if day.decided.wait_again(row):
        return "was taken back", ""
    try:
        label = stands_already(day.sheet, row, live.called, mark)
    except AxletrimError:  # said above the rows
        return "", ""
    if label:
        return f"run {label} says the same", ""
    stated = stated_by_facility(day.session)
    std = None if stated is None or not isfinite(stated.deviation[3]) else float(stated.deviation[3])
    if differs := total_fault(day.sheet, row, live.called, mark, reading_std=std):
        return "TOTAL DIFFERS", f"{row.name}: {differs} Enter takes the row as it is"
    return None


def _by_the_import(live: LiveFile, row: WatchedRow) -> tuple[str, str]:
    """Say what an import would ask about a row, or why it would leave it out."""
    read, line = live.read(), live.line_of(row)
    if read is not None and line in read.dropped:
        why = read.dropped[line]
        return "NO RUN?", f"{row.name}: {why}; - sets it aside, Enter takes it all the same"
    if read is not None and line in read.asked:
        return "ASKED ABOUT", f"{row.name}: {read.asked[line]}; Enter takes the row, - sets it aside"
    return "", ""
