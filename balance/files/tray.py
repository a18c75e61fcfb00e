"""The tray: rows of a watched file that wait until somebody says what was changed on the car."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.errors import InputError, one_line
from balance.files.file_watch import CorrectedRow, NewRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from balance.files.file_watch import WatchedRow, WatchEvent
    from balance.files.run_entry import RunEntry
    from balance.files.run_sheet import RunSheet

_AS_THEY_ARE: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Tray:
    """Rows that wait, in the order of the file, and corrections of rows that have become runs already."""

    rows: tuple[WatchedRow, ...] = ()
    corrections: tuple[CorrectedRow, ...] = ()

    def after(self, events: Iterable[WatchEvent]) -> Tray:
        """Take up what a look at the file has brought; a waiting row that was corrected waits as it now reads."""
        rows, corrections = list(self.rows), list(self.corrections)
        for event in events:
            if isinstance(event, NewRow):
                rows.append(event.row)
            elif isinstance(event, CorrectedRow):
                places = [place for place, row in enumerate(rows) if row.key == event.row.key]
                if places:
                    rows[places[-1]] = event.row
                else:
                    corrections.append(event)
        return Tray(rows=tuple(rows), corrections=tuple(corrections))

    def without(self, decided: WatchedRow) -> Tray:
        """Take out what was decided on: a row that has become a run, or a correction that was taken or left."""
        return Tray(
            rows=tuple(row for row in self.rows if row is not decided),
            corrections=tuple(event for event in self.corrections if event.row is not decided),
        )


def cells_of(
    sheet: RunSheet, row: WatchedRow, called: Mapping[str, str] = _AS_THEY_ARE
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Bring a row of another computer's table to the columns of the sheet.

    Parameters
    ----------
    sheet : RunSheet
        The present state.
    row : WatchedRow
        The row.
    called : mapping of str to str, optional
        For headers of the other table that differ, the sheet's column with the same unit and sign, as somebody
        has said: ``{"Lift FA (N)": "front_lift"}``.

    Returns
    -------
    cells : dict of str to str
        By the names of the sheet's columns: what has the same name and unit.
    others : tuple of str
        Headers that the sheet has no column for.

    Raises
    ------
    InputError
        If the unit or the sign of a column differs: figures are never converted unseen.
    """
    headers = {_plain(plan.header): plan.name for plan in sheet.plans if plan.name}
    names = {plan.name: plan.header for plan in sheet.plans if plan.name}
    readings = {plan.channel: plan.header for plan in sheet.plans if plan.channel}
    cells: dict[str, str] = {}
    others: list[str] = []
    for header, text in row.cells.items():
        name = header.split("[")[0].strip()
        if header in called:
            cells[sheet.plan(called[header]).name] = text
        elif _plain(header) in headers:
            cells[headers[_plain(header)]] = text
        elif name in names:
            raise InputError(
                one_line(
                    f"{row.file}: found the column '{header}', expected '{names[name]}' as in runs.csv; "
                    "let both have one unit"
                )
            )
        else:
            others.append(header)
    if missing := [header for channel, header in readings.items() if _channel_missing(sheet, cells, channel)]:
        raise InputError(
            one_line(
                f"{row.file}: found no column '{missing[0]}', expected one, name, sign and unit as in runs.csv; "
                f"there: {', '.join(row.cells)}"
            )
        )
    return cells, tuple(others)


def settled(sheet: RunSheet, row: WatchedRow, called: Mapping[str, str] = _AS_THEY_ARE) -> bool:
    """Tell whether a row says itself what was fitted: its configuration and every setting of the sheet."""
    cells, _ = cells_of(sheet, row, called)
    return bool(cells.get("configuration")) and all(name in cells for name in sheet.names("setting"))


def entry_from_row(
    sheet: RunSheet, entry: RunEntry, row: WatchedRow, called: Mapping[str, str] = _AS_THEY_ARE
) -> RunEntry:
    """Fill an entry with what a row holds; what was changed on the car is added with `parse_entry_line`.

    Parameters
    ----------
    sheet : RunSheet
        The present state.
    entry : RunEntry
        What the run starts from, as `next_entry` gives it.
    row : WatchedRow
        The row.
    called : mapping of str to str, optional
        As for `cells_of`.

    Returns
    -------
    RunEntry
        The entry with figures, air, speed and records of the row; its label where no run has it yet.

    Raises
    ------
    InputError
        If the row's columns are not those of the sheet.
    """
    cells, _ = cells_of(sheet, row, called)
    if cells.get("run", "") in ("", *sheet.labels):
        cells.pop("run", None)
    return entry.with_cells({name: text for name, text in cells.items() if text})


def _plain(header: str) -> str:
    return "".join(header.split())


def _channel_missing(sheet: RunSheet, cells: dict[str, str], channel: object) -> bool:
    return not any(plan.channel == channel and plan.name in cells for plan in sheet.plans)
