"""The rows of a file as cells of the session's table: what becomes a run by itself, what is asked about, what is none."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from balance.files.day.run_entry import CARRIED
from balance.files.tables.header.file_column import AS_THEY_ARE
from balance.files.tables.header.mapping import check_columns
from balance.files.tables.header.understood import table_of
from balance.files.tables.importing.doubts import ask_header_above, doubt_columns
from balance.files.tables.importing.plan import Findings, ImportOptions
from balance.files.tables.reading.decimal_mark import settle_decimal
from balance.files.tables.rows.row_cells import said
from balance.files.tables.rows.rows import RowSorter
from balance.files.tables.rows.sheet_columns import sheet_columns

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.files.day.run_entry import RunEntry
    from balance.files.day.run_sheet import RunSheet
    from balance.files.tables.header.file_column import FileColumn
    from balance.files.tables.header.understood import ForeignTable
    from balance.files.tables.importing.plan import Question
    from balance.files.tables.reading.grid import Row
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.watch.file_watch import WatchedRow


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRows:
    """What an import would make of the rows of a file, in the columns of the session.

    Attributes
    ----------
    questions : tuple of Question
        What the file as a whole leaves open; with any of them no row is a run.
    runs : mapping of int to mapping
        The cells of each row that is a run, by its line and the names of the session's columns.
    asked, dropped : mapping of int to str
        What is asked about single rows, and why rows are no runs, by their lines.
    """

    questions: tuple[Question, ...] = ()
    runs: Mapping[int, Mapping[str, str]] = field(default_factory=dict)
    asked: Mapping[int, str] = field(default_factory=dict)
    dropped: Mapping[int, str] = field(default_factory=dict)


_DECIDED = ("decimal", "configuration", "rows")
"""Questions of an import that are put elsewhere: the decimal mark by the page itself, the others by rows that wait."""


def read_rows(
    sheet: RunSheet,
    table: ForeignTable,
    called: Mapping[str, FileColumn] = AS_THEY_ARE,
    options: ImportOptions | None = None,
) -> SheetRows:
    """Read the rows of a file as an import does, into the columns of a session."""
    check_columns(sheet, "the file", table.names, called)
    findings = Findings(options)
    columns = sheet_columns(sheet, table, called, findings)
    if not table.own and findings.options.lines is None:
        ask_header_above(table.grid, table.head, findings)
    mark, shown = settle_decimal(*columns.figures(_whole(table)), findings)
    if mark is None:
        return SheetRows(questions=_of_the_file(findings))
    sorter = RowSorter(
        table.head, columns.roles, columns.readings, mark, findings, own=table.own, settled=shown
    )
    run_rows = sorter.sort(table.grid, lambda _: None)
    cells = columns.cells(run_rows, mark, findings)
    if run_rows:
        every = (*columns.readings.values(), *columns.conditions.values())
        doubt_columns(table.head, columns.roles, run_rows, every, findings)
    named = [dict(zip(cells, texts, strict=True)) for texts in zip(*cells.values(), strict=True)]
    return SheetRows(
        questions=_of_the_file(findings),
        runs={one.row.line: row for one, row in zip(run_rows, named, strict=True)},
        asked=findings.at,
        dropped={one.line: one.reason for one in findings.dropped},
    )


def _of_the_file(findings: Findings) -> tuple[Question, ...]:
    """Return the questions about the file as a whole that nothing else on the page asks."""
    return tuple(one for one in findings.questions if one.line is None and one.key not in _DECIDED)


def _whole(table: ForeignTable) -> list[Row]:
    """Return the rows without cells beyond the header, for others may hold halves of figures."""
    width = len(table.names)
    return [row for row in table.rows if not any(row.text(at) for at in range(width, len(row.cells)))]


def run_from(sheet: RunSheet, entry: RunEntry, cells: Mapping[str, str]) -> RunEntry | None:
    """Fill an entry with what a row says that says all: its configuration and every setting of the sheet."""
    if not cells.get("configuration") or any(name not in cells for name in sheet.names("setting")):
        return None
    there = {name: text for name, text in said(sheet, cells).items() if name != "run"}
    blank = {name: "" for name in CARRIED if cells.get(name) == ""}
    label = cells.get("run", "")
    free = {"run": label} if label and label not in sheet.labels else {}
    return entry.with_cells({**there, **blank, **free})


def mark_of(
    sheet: RunSheet,
    header: Iterable[str],
    rows: Sequence[WatchedRow],
    called: Mapping[str, FileColumn] = AS_THEY_ARE,
    decimal: Mark | None = None,
) -> Mark | Question:
    """Find the decimal mark of a watched file as an import finds it."""
    findings = Findings(ImportOptions(decimal=decimal))
    table = table_of(tuple(header), rows=[row.parted for row in rows])
    columns = sheet_columns(sheet, table, called, Findings())
    mark, _ = settle_decimal(*columns.figures(_whole(table)), findings)
    return findings.questions[0] if mark is None else mark
