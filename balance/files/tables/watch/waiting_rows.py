"""Rows of a watched file that wait until somebody says what was changed on the car."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.files.tables.watch.file_watch import CorrectedRow, NewRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from balance.files.tables.watch.file_watch import WatchedRow, WatchEvent


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingRows:
    """Rows that wait, in the order of the file, and corrections of rows that have become runs already."""

    rows: tuple[WatchedRow, ...] = ()
    corrections: tuple[CorrectedRow, ...] = ()

    def after(self, events: Iterable[WatchEvent], *, aside: Collection[str] = ()) -> WaitingRows:
        """Take up what a look at the file has brought."""
        rows, corrections = list(self.rows), list(self.corrections)
        for event in events:
            if isinstance(event, NewRow):
                rows.append(event.row)
            elif isinstance(event, CorrectedRow):
                places = [place for place, row in enumerate(rows) if row.key == event.row.key]
                if places:
                    rows[places[-1]] = event.row
                elif event.row.key in aside:
                    rows.append(event.row)
                else:
                    corrections.append(event)
        return WaitingRows(rows=tuple(rows), corrections=tuple(corrections))

    def without(self, decided: WatchedRow) -> WaitingRows:
        """Take out what was decided on: a row that has become a run, or a correction that was taken or left."""
        return WaitingRows(
            rows=tuple(row for row in self.rows if not _says_the_same(row, decided)),
            corrections=tuple(event for event in self.corrections if not _says_the_same(event.row, decided)),
        )


def _says_the_same(one: WatchedRow, other: WatchedRow) -> bool:
    return (one.key, one.cells) == (other.key, other.cells)
