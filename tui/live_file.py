"""A file that another computer adds to: its rows become runs by themselves where they say all, else they wait."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.errors import AxletrimError
from tui.latest import Latest

if TYPE_CHECKING:
    from pathlib import Path

    from balance.files.file_watch import FileWatch, WatchedRow, WatchEvent
    from balance.files.open_day import OpenDay
    from balance.files.tray import Tray
    from tui.desk import Desk


class LiveFile:
    """Looks at one file in a thread, and holds what waits in its tray.

    Parameters
    ----------
    desk : Desk
        Whose day takes the rows.
    path : Path
        The file.
    """

    def __init__(self, desk: Desk, path: Path) -> None:
        from balance.files.file_watch import watch_file  # noqa: PLC0415 - only when asked
        from balance.files.tray import Tray  # noqa: PLC0415 - only when asked

        self.desk, self.path = desk, path
        self._misfit = ""
        self.tray: Tray = Tray()
        day = desk.day
        self._watch: FileWatch = watch_file(path, taken=None if day is None else day.taken_from(path.name))
        self._looks = Latest(desk.app, self._take)

    @property
    def name(self) -> str:
        """The file's name."""
        return self.path.name

    @property
    def waiting(self) -> int:
        """How many rows wait, and corrections of rows that are runs already."""
        return len(self.tray.rows) + len(self.tray.corrections)

    @property
    def half_row(self) -> bool:
        """Whether the last row is not complete yet."""
        return bool(self._watch.waiting)

    @property
    def trouble(self) -> str:
        """Why rows cannot be taken over at present; empty where they can."""
        text = self._watch.trouble or self._misfit
        return f"✖ {text}" if text else ""

    def look(self) -> None:
        """Look at the file."""
        self._looks.ask(self._watch.poll)

    def take_half_row(self) -> None:
        """Take the last row as complete: the file is known to be finished."""
        self._looks.ask(self._watch.take_waiting)

    def _take(self, events: tuple[WatchEvent, ...]) -> None:
        """Take up what a look has brought: rows that say all become runs, the others wait."""
        from balance.files.file_watch import LostRows, Restarted  # noqa: PLC0415 - only when asked

        if self.desk.live is not self or self.desk.day is None:
            return
        notify = self.desk.app.notify
        for event in events:
            if isinstance(event, Restarted):
                notify(
                    f"{event.file} holds nothing of what it held: it was begun anew", markup=False, timeout=8
                )
            elif isinstance(event, LostRows):
                gone = ", ".join(event.keys)
                notify(
                    f"{self.name}: no longer there: {gone}; runs made of them stay", markup=False, timeout=8
                )
        self._misfit = ""
        self.tray = self.tray.after(events)
        for row in self.tray.rows:
            if not self._make_run(self.desk.day, row):
                break
        self.desk.tell()

    def _make_run(self, day: OpenDay, row: WatchedRow) -> bool:
        """Make a row a run where it says all; where its columns cannot be read, say why, once for all rows."""
        from balance.files.run_entry import next_entry  # noqa: PLC0415 - only when asked
        from balance.files.tray import entry_from_row, settled  # noqa: PLC0415 - only when asked

        try:
            if not settled(day.sheet, row):
                return True
            entry = entry_from_row(day.sheet, next_entry(day.sheet), row)
            sheet = day.sheet.appended(entry.cells)
        except AxletrimError as fault:
            self._misfit = str(fault).splitlines()[0]
            return False
        self.desk.change(f"run {entry.cells['run']} taken from {row.file}", sheet, taken=row)
        self.decided(row)
        return True

    def row_called(self, key: str) -> WatchedRow | None:
        """Find a waiting row by its key."""
        return next((row for row in self.tray.rows if row.key == key), None)

    def decided(self, row: WatchedRow) -> None:
        """Take a row out of the tray."""
        self.tray = self.tray.without(row)
        self.desk.tell()
