"""A file that another computer adds to: its rows become runs by themselves where they say all, else they wait."""

from __future__ import annotations

from collections import deque
from math import isfinite
from typing import TYPE_CHECKING, Literal, Protocol

from balance.model.channels import TOTAL
from balance.model.errors import AxletrimError
from tui.host.workers import Latest

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path
    from typing import Any

    from balance.files.day.open_day import OpenDay
    from balance.files.day.run_sheet import RunSheet
    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.tables.header.file_column import FileColumn
    from balance.files.tables.header.understood import ForeignTable
    from balance.files.tables.importing.plan import ImportOptions, Question
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.rows.sheet_rows import SheetRows
    from balance.files.tables.watch.file_watch import FileWatch, WatchedRow, WatchEvent
    from tui.host.stateful import StatefulApp


class WatchingDay(Protocol):
    """What a watched file needs of the day that watches it."""

    app: StatefulApp

    @property
    def live(self) -> LiveFile | None:
        """The file that is watched by now."""

    def change(self, what: str, sheet: RunSheet, *, taken: WatchedRow | None = None) -> None:
        """Make a sheet the present state of the day."""

    def tell(self) -> None:
        """Tell the application how the day stands."""


class LiveFile:
    """Looks at one file in a thread for the day that watches it, and holds the rows that wait."""

    def __init__(self, open_day: WatchingDay, day: OpenDay, path: Path) -> None:
        from balance.files.tables.watch.file_watch import WaitingRows, watch_file  # noqa: PLC0415 - only when asked

        self.open_day, self.day, self.path = open_day, day, path
        self._misfit, self._finished = "", False
        self._mapping = False
        self._mark: tuple[tuple[object, ...], Mark | Question] | None = None
        self._read: tuple[tuple[object, ...], SheetRows | None] | None = None
        self._lines: tuple[tuple[WatchedRow, ...], dict[str, int]] = ((), {})
        self.waiting_rows = WaitingRows()
        self._found: deque[WatchEvent] = deque()
        day.watches.begin(path)
        self._watch: FileWatch = watch_file(
            path, taken=day.decided.taken_from(path.name), options=self.answers
        )
        self._looks = Latest(open_day.app, self._take)

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
        return self.day.watches.of(self.name).called

    @property
    def answers(self) -> ImportOptions:
        """What was said of the file, as an import takes it."""
        return self.day.watches.of(self.name).options

    @property
    def said_mark(self) -> Mark | Literal[""]:
        """What the decimal mark of the file was said to be; empty where its figures are to show it."""
        return self.day.watches.of(self.name).decimal

    @property
    def mark(self) -> Mark | Question:
        """The decimal mark of the file, or what has to be asked first."""
        from balance.files.tables.rows.sheet_rows import mark_of  # noqa: PLC0415 - only when asked

        sheet, rows = self.day.sheet, self._watch.rows
        key = (id(rows), rows, sheet.plans, self.called, self.said_mark)
        if self._mark is None or self._mark[0] != key:
            mark = mark_of(sheet, self.header, rows, self.called, self.said_mark or None)
            self._mark = key, mark
        return self._mark[1]

    @property
    def mark_words(self) -> str:
        """What the decimal mark is, and how that is known."""
        if self.said_mark:
            return f"{self.said_mark}, chosen by you"
        mark = self.mark
        if not isinstance(mark, str):
            return f"NEEDED: {mark.text.partition('? ')[2]}"
        if mark == "comma" or self.telling_figure:  # a point is taken where no figure has either
            return f"{mark}, as the figures show"
        return "no figure has one yet"

    @property
    def telling_figure(self) -> str:
        """A figure that two marks read in two ways, of those that a decimal mark stands in; empty where there is none."""
        from balance.files.tables.reading.numerals import MARKS, number_text  # noqa: PLC0415 - only when asked

        figures = [text for text in self.all_figures if "," in text or "." in text]
        twofold = (text for text in figures if None not in {number_text(text, mark) for mark in MARKS})
        return next(twofold, figures[0] if figures else "")

    @property
    def chosen(self) -> tuple[str, ...]:
        """What was said of the columns and of the decimal mark, in words."""
        columns = chosen_words(self.day.sheet.plans, self.called, self.header)
        shown = self.said_mark or self.mark == "comma"
        return (*columns, f"decimal mark: {self.mark_words}") if shown else columns

    @property
    def aside(self) -> tuple[Mapping[str, Any], ...]:
        """The rows set aside as no runs, but for those that wait again because they read otherwise by now."""
        day = self.day
        waiting = {row.key for row in self.waiting_rows.rows} & day.decided.keys_aside(self.name)
        begun = day.watches.of(self.name).begun
        return tuple(
            row
            for row in day.decided.aside(self.name)
            if row.get("begun", 0) != begun or row["key"] not in waiting
        )

    def row_of(self, record: Mapping[str, Any]) -> WatchedRow | None:
        """Find a row that was decided on in the file as it is now."""
        if record.get("begun", 0) != self.day.watches.of(self.name).begun:
            return None
        return next((row for row in self._watch.rows if row.key == record["key"]), None)

    def read_with(self, mark: Mark | Literal[""]) -> None:
        """Take what the decimal mark of the file is said to be, and try its rows with it."""
        self.day.watches.read_with(self.name, mark)
        self._try_rows()

    def answer(self, options: ImportOptions) -> None:
        """Take what is said of the file as a whole, and read it anew with that."""
        self.day.watches.answer(self.name, options)
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
            self._try_rows()
        self._mapping = under_way

    def call(self, called: Mapping[str, FileColumn]) -> None:
        """Take what the columns of the file are said to be, and try its rows with it."""
        self.day.watches.call(self.name, called)
        self._try_rows()

    def _try_rows(self) -> None:
        """Make rows runs with what was said by now."""
        if self.open_day.live is self:
            self._make_runs()
            self.open_day.tell()

    def figures(self, header: str) -> tuple[str, ...]:
        """Return what stands in a column of the rows that wait."""
        return tuple(text for row in self.waiting_rows.rows if (text := row.cells.get(header, "")))

    @property
    def all_figures(self) -> Iterator[str]:
        """Return what stands in the columns of figures that are known, in all rows of the file."""
        from balance.files.tables.header.mapping import columns_found  # noqa: PLC0415 - only when asked

        sheet = self.day.sheet
        found = columns_found(sheet, self.header, self.called)
        wanted = [text for text, name in found.items() if sheet.plan(name).role != "text"]
        for row in self._watch.rows:
            yield from (row.cells.get(text, "") for text in wanted)

    @property
    def waiting(self) -> int:
        """How many rows wait, and corrections of rows that are runs already."""
        return len(self.waiting_rows.rows) + len(self.waiting_rows.corrections)

    @property
    def half_row(self) -> bool:
        """Whether the last row is not complete yet."""
        return bool(self._watch.waiting)

    @property
    def trouble(self) -> str:
        """Why rows cannot be taken over at present; empty where they can."""
        text = self._watch.trouble or self._misfit
        return f"× {text}" if text else ""

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

        day = self.day
        if self.open_day.live is not self:
            return
        events = [self._found.popleft() for _ in range(len(self._found))]
        notify = self.open_day.app.notify
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
        self.waiting_rows = self.waiting_rows.after(events, aside=day.decided.keys_aside(self.name))
        for row in self.waiting_rows.rows:
            if taken.get(row.key) == row.cells:  # it was entered before the file was looked at
                self.waiting_rows = self.waiting_rows.without(row)
        self._make_runs()
        self.open_day.tell()

    def _make_runs(self) -> None:
        """Make rows runs where they say all; where the file's columns cannot be read, say why, once for all rows."""
        from balance.files.tables.header.mapping import check_columns, unsaid_speed  # noqa: PLC0415 - only when asked

        self._misfit, sheet = "", self.day.sheet
        try:
            if self.header:
                check_columns(sheet, self.name, self.header, self.called)
        except AxletrimError as fault:
            self._misfit = f"{str(fault).splitlines()[0]} · F6 on the live screen says which column is which"
            return
        mark, speed, read = self.mark, unsaid_speed(sheet, self.header, self.called), self.read()
        asked = ""
        if not isinstance(mark, str):
            asked = f"{mark.text} · "
        elif speed:
            asked = f"is '{speed}' the speed of each run? "
        elif read is not None and read.questions:
            asked = f"{read.questions[0].text} · "
        if asked and self.waiting:
            self._misfit = f"{self.name}: {asked}F6 on the live screen says it"
        if asked or self._mapping or read is None:
            return
        for row in self.waiting_rows.rows:
            self._make_run(row, read)

    def _make_run(self, row: WatchedRow, read: SheetRows) -> None:
        from balance.files.day.run_entry import next_entry  # noqa: PLC0415 - only when asked
        from balance.files.tables.rows.sheet_rows import run_from  # noqa: PLC0415 - only when asked

        cells = read.runs.get(self.line_of(row))
        try:
            if cells is None or self.why_waits(row)[0]:
                return
            entry = run_from(self.day.sheet, next_entry(self.day.sheet), cells)
            if entry is None:
                return
            sheet = self.day.sheet.appended(entry.cells)
        except AxletrimError as fault:
            self._misfit = self._misfit or str(fault).splitlines()[0]
            return
        self.open_day.change(f"run {entry.cells['run']} taken from {row.file}", sheet, taken=row)
        self.decided(row)

    def read(self) -> SheetRows | None:
        """Read the rows of the file as an import does; None where its columns do not fit."""
        from balance.files.tables.rows.sheet_rows import read_rows  # noqa: PLC0415 - only when asked

        sheet, table = self.day.sheet, self.table
        if table is None:
            return None
        key = (table, sheet.plans, self.called, self.answers)
        if self._read is None or self._read[0] != key:
            try:
                read = read_rows(sheet, table, self.called, self.answers)
            except AxletrimError:  # said above the rows
                read = None
            self._read = key, read
        return self._read[1]

    def line_of(self, row: WatchedRow) -> int:
        """Return the line on which a row stands by now."""
        rows = self._watch.rows
        if self._lines[0] is not rows:
            self._lines = rows, {one.key: one.line for one in rows}
        return self._lines[1].get(row.key, row.line)

    def why_waits(self, row: WatchedRow) -> tuple[str, str]:
        """State why a row waits although it may say all, in short and at length; empty where it would not."""
        if reason := self.day.decided.why_aside(row):
            return "set aside, reads anew", f"{row.name} was set aside as {reason}; reads otherwise now"
        mark = self.mark
        if not isinstance(mark, str):
            return "decimal mark?", ""  # it is asked above the rows
        return self._by_its_cells(row, mark) or self._by_the_import(row)

    def _by_its_cells(self, row: WatchedRow, mark: Mark) -> tuple[str, str] | None:
        """State what of its own cells speaks against it; nothing where the import is to be asked."""
        from balance.files.tables.rows.sheet_rows import row_faults, stands_already, total_fault  # noqa: PLC0415 - only when asked
        from balance.reduce.repeatability import stated_by_facility  # noqa: PLC0415 - only when asked

        day = self.day
        if faults := row_faults(day.sheet, row, self.called, mark):
            return "CANNOT BE READ", "; ".join(faults)
        if day.decided.wait_again(row):
            return "was taken back", ""
        try:
            label = stands_already(day.sheet, row, self.called, mark)
        except AxletrimError:  # said above the rows
            return "", ""
        if label:
            return f"run {label} says the same", ""
        stated = stated_by_facility(day.session)
        std = (
            None
            if stated is None or not isfinite(stated.deviation[TOTAL])
            else float(stated.deviation[TOTAL])
        )
        if differs := total_fault(day.sheet, row, self.called, mark, reading_std=std):
            return "TOTAL DIFFERS", f"{row.name}: {differs} Enter takes the row as it is"
        return None

    def _by_the_import(self, row: WatchedRow) -> tuple[str, str]:
        """State what an import would ask about a row, or why it would leave it out."""
        read, line = self.read(), self.line_of(row)
        if read is not None and line in read.dropped:
            why = read.dropped[line]
            return "NO RUN?", f"{row.name}: {why}; Del sets it aside, Enter takes it all the same"
        if read is not None and line in read.asked:
            return "ASKED ABOUT", f"{row.name}: {read.asked[line]}; Enter takes the row, Del sets it aside"
        return "", ""

    def decided(self, row: WatchedRow) -> None:
        """Take a row out of those that wait."""
        self.waiting_rows = self.waiting_rows.without(row)
        self.open_day.tell()


def column_words(plan: ColumnPlan, column: FileColumn) -> str:
    """State what a column of the session is in the file."""
    words = [f"the file's '{column.name}'"]
    if column.unit:
        restated = column.restated(plan)
        words.append(f"{column.unit}, brought to {plan.unit}" if restated else column.unit)
    elif column.scale != "1":
        words.append(f"times {column.scale}")
    if column.positive:
        turned = column.sign_reversed(plan)
        words.append(f"positive {column.positive}" + (", its sign turned" if turned else ""))
    return ", ".join(words)


def chosen_words(
    plans: Sequence[ColumnPlan], called: Mapping[str, FileColumn], header: Sequence[str]
) -> tuple[str, ...]:
    """State of each column that was chosen by hand what it is."""
    lines = []
    for plan in plans:
        if plan.name in called and called[plan.name].header:
            column = called[plan.name]
            gone = "" if column.header in header or not header else ", WHICH IS NOT THERE"
            lines.append(f"{plan.name} is {column_words(plan, column)}{gone}: chosen by you")
    return tuple(lines)
