"""A file that another computer adds to: its rows become runs by themselves where they say all, else they wait."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, Literal

from balance.model.errors import AxletrimError
from tui.app.workers import Latest

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path
    from typing import Any

    from balance.files.day.open_day import OpenDay
    from balance.files.tables.header.file_column import FileColumn
    from balance.files.tables.header.understood import ForeignTable
    from balance.files.tables.importing.plan import ImportOptions, Question
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.rows.sheet_rows import SheetRows
    from balance.files.tables.watch.file_watch import FileWatch, WatchedRow, WatchEvent
    from balance.files.tables.watch.waiting_rows import WaitingRows
    from tui.app.open_day import Desk


class LiveFile:
    """Looks at one file in a thread, and holds what waits in its tray."""

    def __init__(self, desk: Desk, path: Path) -> None:
        from balance.files.tables.watch.file_watch import watch_file  # noqa: PLC0415 - only when asked
        from balance.files.tables.watch.waiting_rows import WaitingRows  # noqa: PLC0415 - only when asked

        self.desk, self.path = desk, path
        self._misfit, self._finished = "", False
        self._mapping = False
        self._mark: tuple[tuple[object, ...], Mark | Question] | None = None
        self._read: tuple[tuple[object, ...], SheetRows | None] | None = None
        self._lines: tuple[tuple[WatchedRow, ...], dict[str, int]] = ((), {})
        self.tray: WaitingRows = WaitingRows()
        self._found: deque[WatchEvent] = deque()
        day = desk.day
        if day is not None:
            day.watches.begin(path)
        taken = None if day is None else day.decided.taken_from(path.name)
        self._watch: FileWatch = watch_file(path, taken=taken, options=self.answers)
        self._looks = Latest(desk.app, self._take)

    @property
    def name(self) -> str:
        """The file's name."""
        return self.path.name

    @property
    def header(self) -> tuple[str, ...]:
        """What the file's columns are called."""
        return self._watch.header

    @property
    def table(self) -> ForeignTable | None:
        """The file as it was seen last."""
        return self._watch.table

    @property
    def called(self) -> Mapping[str, FileColumn]:
        """What columns of the session are in the file, as was said by hand."""
        return {} if self.desk.day is None else self.desk.day.watches.of(self.name).called

    @property
    def answers(self) -> ImportOptions:
        """What was said of the file, as an import takes it."""
        from balance.files.tables.importing.plan import ImportOptions  # noqa: PLC0415 - only when asked

        return ImportOptions() if self.desk.day is None else self.desk.day.watches.of(self.name).options

    @property
    def said_mark(self) -> Mark | Literal[""]:
        """What the decimal mark of the file was said to be; empty where its figures are to show it."""
        return "" if self.desk.day is None else self.desk.day.watches.of(self.name).decimal

    @property
    def mark(self) -> Mark | Question:
        """The decimal mark of the file, or what has to be asked first."""
        from balance.files.tables.rows.sheet_rows import mark_of  # noqa: PLC0415 - only when asked

        day, rows = self.desk.day, self._watch.rows
        if day is None:
            return "point"
        basis = (id(rows), rows, day.sheet.plans, self.called, self.said_mark)
        if self._mark is None or self._mark[0] != basis:
            mark = mark_of(day.sheet, self.header, rows, self.called, self.said_mark or None)
            self._mark = basis, mark
        return self._mark[1]

    @property
    def chosen(self) -> tuple[str, ...]:
        """What was said of the columns and of the decimal mark, in words."""
        from tui.features.watch.column_words import chosen_words  # noqa: PLC0415 - only when asked
        from tui.features.watch.decimal_question import mark_words  # noqa: PLC0415 - only when asked

        day = self.desk.day
        if day is None:
            return ()
        columns = chosen_words(day.sheet.plans, self.called, self.header)
        shown = self.said_mark or self.mark == "comma"
        return (*columns, f"decimal mark: {mark_words(self)}") if shown else columns

    @property
    def aside(self) -> tuple[Mapping[str, Any], ...]:
        """The rows set aside as no runs, but for those that wait again because they read otherwise by now."""
        day = self.desk.day
        if day is None:
            return ()
        waiting = {row.key for row in self.tray.rows} & day.decided.keys_aside(self.name)
        begun = day.watches.of(self.name).begun
        return tuple(
            row
            for row in day.decided.aside(self.name)
            if row.get("begun", 0) != begun or row["key"] not in waiting
        )

    def row_of(self, record: Mapping[str, Any]) -> WatchedRow | None:
        """Find a row that was decided on in the file as it is now."""
        day = self.desk.day
        if day is None or record.get("begun", 0) != day.watches.of(self.name).begun:
            return None
        return next((row for row in self._watch.rows if row.key == record["key"]), None)

    def read_with(self, mark: Mark | Literal[""]) -> None:
        """Take what the decimal mark of the file is said to be, and try its rows with it."""
        if self.desk.day is not None:
            self.desk.day.watches.read_with(self.name, mark)
            self._make_runs(self.desk.day)
            self.desk.tell()

    def answer(self, options: ImportOptions) -> None:
        """Take what is said of the file as a whole, and read it anew with that."""
        if self.desk.day is not None:
            self.desk.day.watches.answer(self.name, options)
            self._watch.read_with(options)
            self.look()

    @property
    def questions(self) -> tuple[Question, ...]:
        """What the file as a whole leaves open."""
        read = self.read()
        return () if read is None else read.questions

    def map_columns(self, *, under_way: bool) -> None:
        """Let rows wait while somebody says which column is which, and try them once that is left."""
        if self._mapping and not under_way:
            self._mapping = False
            if self.desk.day is not None:
                self._make_runs(self.desk.day)
                self.desk.tell()
        self._mapping = under_way

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
    def all_figures(self) -> Iterator[str]:
        """Give what stands in the columns of figures that are known, in all rows of the file."""
        from balance.files.tables.header.mapping import columns_found  # noqa: PLC0415 - only when asked

        day = self.desk.day
        if day is not None:
            found = columns_found(day.sheet, self.header, self.called)
            wanted = [text for text, name in found.items() if day.sheet.plan(name).role != "text"]
            for row in self._watch.rows:
                yield from (row.cells.get(text, "") for text in wanted)

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
        self.read()  # so that it is at hand

    def _take(self, _: None) -> None:
        """Take up what looks have brought, none of it lost: rows that say all become runs, the others wait."""
        from balance.files.tables.watch.file_watch import LostRows, Restarted  # noqa: PLC0415 - only when asked

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
        taken = day.decided.taken_from(self.name) if events else {}
        self.tray = self.tray.after(events, aside=day.decided.keys_aside(self.name))
        for row in self.tray.rows:
            if taken.get(row.key) == row.cells:  # it was entered before the file was looked at
                self.tray = self.tray.without(row)
        self._make_runs(day)
        self.desk.tell()

    def _make_runs(self, day: OpenDay) -> None:
        """Make rows runs where they say all; where the file's columns cannot be read, say why, once for all rows."""
        from balance.files.tables.header.mapping import check_columns, unsaid_speed  # noqa: PLC0415 - only when asked

        self._misfit = ""
        try:
            if self.header:
                check_columns(day.sheet, self.name, self.header, self.called)
        except AxletrimError as fault:
            self._misfit = f"{str(fault).splitlines()[0]} · m on the live screen says which column is which"
            return
        mark = self.mark
        if not isinstance(mark, str):
            self._misfit = f"{self.name}: {mark.text} · m on the live screen says it" if self.waiting else ""
            return
        speed = unsaid_speed(day.sheet, self.header, self.called)
        if speed:
            self._misfit = (
                f"{self.name}: is '{speed}' the speed of each run? m on the live screen says it"
                if self.waiting
                else ""
            )
            return
        read = self.read()
        if read is not None and read.questions:
            asked = f"{self.name}: {read.questions[0].text} · m on the live screen says it"
            self._misfit = asked if self.waiting else ""
            return
        if self._mapping or read is None:
            return
        for row in self.tray.rows:
            self._make_run(day, row, read)

    def _make_run(self, day: OpenDay, row: WatchedRow, read: SheetRows) -> None:
        from balance.files.day.run_entry import next_entry  # noqa: PLC0415 - only when asked
        from balance.files.tables.rows.sheet_rows import run_from  # noqa: PLC0415 - only when asked

        cells = read.runs.get(self.line_of(row))
        try:
            if cells is None or self.why_waits(row)[0]:
                return
            entry = run_from(day.sheet, next_entry(day.sheet), cells)
            if entry is None:
                return
            sheet = day.sheet.appended(entry.cells)
        except AxletrimError as fault:
            self._misfit = self._misfit or str(fault).splitlines()[0]
            return
        self.desk.change(f"run {entry.cells['run']} taken from {row.file}", sheet, taken=row)
        self.decided(row)

    def read(self) -> SheetRows | None:
        """Read the rows of the file as an import does; None where its columns do not fit."""
        from balance.files.tables.rows.sheet_rows import read_rows  # noqa: PLC0415 - only when asked

        day, table = self.desk.day, self.table
        if day is None or table is None:
            return None
        basis = (table, day.sheet.plans, self.called, self.answers)
        if self._read is None or self._read[0] != basis:
            try:
                read = read_rows(day.sheet, table, self.called, self.answers)
            except AxletrimError:  # said above the rows
                read = None
            self._read = basis, read
        return self._read[1]

    def line_of(self, row: WatchedRow) -> int:
        """Give the line on which a row stands by now."""
        rows = self._watch.rows
        if self._lines[0] is not rows:
            self._lines = rows, {one.key: one.line for one in rows}
        return self._lines[1].get(row.key, row.line)

    def why_waits(self, row: WatchedRow) -> tuple[str, str]:
        """Say why a row waits although it may say all, in short and at length; empty where it would not."""
        from tui.features.watch.why_waits import why_waits  # noqa: PLC0415 - only when asked

        return why_waits(self, row)

    def decided(self, row: WatchedRow) -> None:
        """Take a row out of the tray."""
        self.tray = self.tray.without(row)
        self.desk.tell()
