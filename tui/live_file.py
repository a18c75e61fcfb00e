"""A file that another computer adds to: its rows become runs by themselves where they say all, else they wait."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from balance.errors import AxletrimError
from tui.latest import Latest

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from balance.files.file_watch import FileWatch, WatchedRow, WatchEvent
    from balance.files.open_day import OpenDay
    from balance.files.tray import Tray
    from balance.files.watched_columns import FileColumn
    from balance.files.watched_header import Heads
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
        self._misfit, self._finished = "", False
        self.tray: Tray = Tray()
        self._found: deque[WatchEvent] = deque()
        day = desk.day
        if day is not None:
            day.watches.begin(path)
        self._watch: FileWatch = watch_file(path, taken=None if day is None else day.taken_from(path.name))
        self._looks = Latest(desk.app, self._take)

    @property
    def name(self) -> str:
        """The file's name."""
        return self.path.name

    @property
    def heads(self) -> Heads:
        """The file's header, and what stands above it."""
        return self._watch.heads

    @property
    def called(self) -> Mapping[str, FileColumn]:
        """What columns of the session are in the file, as was said by hand."""
        return {} if self.desk.day is None else self.desk.day.watches.of(self.name).called

    @property
    def chosen(self) -> tuple[str, ...]:
        """What was said of the columns, in words."""
        from tui.column_words import chosen_words  # noqa: PLC0415 - only when asked

        day = self.desk.day
        return () if day is None else chosen_words(day.sheet.plans, self.called, self.heads.header)

    def call(self, called: Mapping[str, FileColumn]) -> None:
        """Take what the columns of the file are said to be, and try its rows with it."""
        if self.desk.day is not None:
            self.desk.day.watches.call(self.name, called)
            self._make_runs(self.desk.day)
            self.desk.tell()

    def figures(self, header: str) -> tuple[str, ...]:
        """Give what stands in a column of the rows that wait."""
        return tuple(text for row in self.tray.rows if (text := row.cells.get(header, "")))

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
        self._looks.ask(self._look)

    def take_half_row(self) -> None:
        """Take the last row as complete: the file is known to be finished."""
        self._finished = True
        self.look()

    def _look(self) -> None:
        """Look in a thread; what was found waits until it is taken up, for it is told only once."""
        finished, self._finished = self._finished, False
        self._found.extend(self._watch.take_waiting() if finished else self._watch.poll())

    def _take(self, _: None) -> None:
        """Take up what looks have brought, none of it lost: rows that say all become runs, the others wait."""
        from balance.files.file_watch import LostRows, Restarted  # noqa: PLC0415 - only when asked

        day = self.desk.day
        if self.desk.live is not self or day is None:
            return
        events = [self._found.popleft() for _ in range(len(self._found))]
        notify = self.desk.app.notify
        for event in events:
            if isinstance(event, Restarted):
                day.watches.begun_anew(self.name)
                notify(
                    f"{event.file} holds nothing of what it held: it was begun anew", markup=False, timeout=8
                )
            elif isinstance(event, LostRows):
                gone = ", ".join(event.keys)
                notify(
                    f"{self.name}: no longer there: {gone}; runs made of them stay", markup=False, timeout=8
                )
        taken = day.taken_from(self.name) if events else {}
        self.tray = self.tray.after(events)
        for row in self.tray.rows:
            if taken.get(row.key) == row.cells:  # it was entered before the file was looked at
                self.tray = self.tray.without(row)
        self._make_runs(day)
        self.desk.tell()

    def _make_runs(self, day: OpenDay) -> None:
        """Make rows runs where they say all; where the file's columns cannot be read, say why, once for all rows."""
        from balance.files.tray import check_columns  # noqa: PLC0415 - only when asked

        self._misfit = ""
        try:
            if self.heads.header:
                check_columns(day.sheet, self.name, self.heads.header, self.called)
        except AxletrimError as fault:
            self._misfit = f"{str(fault).splitlines()[0]} · m on the live screen says which column is which"
            return
        for row in self.tray.rows:
            self._make_run(day, row)

    def _make_run(self, day: OpenDay, row: WatchedRow) -> None:
        from balance.files.run_entry import next_entry  # noqa: PLC0415 - only when asked
        from balance.files.tray import entry_from_row, settled  # noqa: PLC0415 - only when asked

        try:
            if self.why_waits(row) or not settled(day.sheet, row, self.called):
                return
            entry = entry_from_row(day.sheet, next_entry(day.sheet), row, self.called)
            sheet = day.sheet.appended(entry.cells)
        except AxletrimError as fault:
            self._misfit = self._misfit or str(fault).splitlines()[0]
            return
        self.desk.change(f"run {entry.cells['run']} taken from {row.file}", sheet, taken=row)
        self.decided(row)

    def why_waits(self, row: WatchedRow) -> str:
        """Say why a row waits although it may say all; empty where it would not."""
        from balance.files.tray import stands_already  # noqa: PLC0415 - only when asked

        day = self.desk.day
        if day is None:
            return ""
        if day.was_given_back(row):
            return "was taken back"
        try:
            label = stands_already(day.sheet, row, self.called)
        except AxletrimError:  # said above the rows
            return ""
        return f"run {label} says the same" if label else ""

    def decided(self, row: WatchedRow) -> None:
        """Take a row out of the tray."""
        self.tray = self.tray.without(row)
        self.desk.tell()
