"""The rows of a file as cells of the session's table: all at once, or one as it comes; and why one cannot be read."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from balance.files.day.run_entry import CARRIED
from balance.files.formats.cells import not_fitted, read_cell
from balance.files.tables.header.file_column import AS_THEY_ARE
from balance.files.tables.header.mapping import check_columns, columns_found
from balance.files.tables.header.meanings import meaning_of
from balance.files.tables.header.understood import table_of
from balance.files.tables.importing.doubts import ask_header_above, doubt_columns
from balance.files.tables.importing.plan import Findings, ImportOptions
from balance.files.tables.reading.grid import RunRow, cell_text
from balance.files.tables.reading.junk import status_word
from balance.files.tables.reading.numerals import missing, number_text, settle_decimal
from balance.files.tables.rows.rows import RowSorter
from balance.files.tables.rows.sheet_columns import sheet_columns
from balance.files.tables.rows.total_column import total_apart
from balance.model.axle_sum import WITHIN_STDS, total_parts
from balance.model.columns import READINGS, TOTALS
from balance.model.errors import InputError, one_line, quoted
from balance.units.text import dimension_of, unit_scale

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.files.day.run_entry import RunEntry
    from balance.files.day.run_sheet import RunSheet
    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.tables.header.file_column import FileColumn
    from balance.files.tables.header.understood import ForeignTable
    from balance.files.tables.importing.plan import Question
    from balance.files.tables.reading.grid import Cell, Row
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.watch.file_watch import WatchedRow


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRows:
    """What an import would make of the rows of a file, in the columns of the session.

    With any of the ``questions`` about the file as a whole no row is a run. ``runs`` holds the cells of each row that is
    one, by its line and the names of the session's columns; ``asked`` and ``dropped`` say of others, by their lines, what is
    asked about them and why they are none.
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


def cells_of(
    sheet: RunSheet,
    row: WatchedRow,
    called: Mapping[str, FileColumn] = AS_THEY_ARE,
    decimal: Mark = "point",
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return what a row says by the columns of the sheet, its figures with a decimal point."""
    found = check_columns(sheet, row.file, row.cells, called)
    there, findings = row.parted, Findings(ImportOptions(decimal=decimal, drag_sign="rearward"))
    columns = sheet_columns(sheet, table_of(tuple(row.cells), rows=[there]), called, findings)
    label, configuration, status = (
        there.text(columns.roles.texts[name].index) if name in columns.roles.texts else ""
        for name in ("run", "configuration", "status")
    )
    word = status_word(status)
    run_row = RunRow(
        row=there,
        label=label,
        configuration=configuration,
        status=status if word is None else "" if word == "good" else word,
        figures={
            measure.column.index: number_text(there.text(measure.column.index), decimal) or ""
            for measure in columns.readings.values()
        },
        units=there.units,
    )
    cells = columns.cells([run_row], decimal, findings)
    return {name: texts[0] for name, texts in cells.items()}, tuple(h for h in row.cells if h not in found)


def row_faults(
    sheet: RunSheet,
    row: WatchedRow,
    called: Mapping[str, FileColumn] = AS_THEY_ARE,
    decimal: Mark = "point",
) -> tuple[str, ...]:
    """State why a row cannot be taken over as it stands."""
    where = f"{row.file}:{row.line}, {row.name}"
    if row.beyond:
        count = len(row.cells)
        return (
            one_line(
                f"{where}: found {count} cells, expected {count - len(row.beyond)} as in the header "
                "(a separator inside a cell, as a decimal comma between commas?)"
            ),
        )
    faults, names, there = [], tuple(row.cells), row.parted
    for header, name in columns_found(sheet, row.cells, called).items():
        at, text = names.index(header), row.cells[header]
        cell = there.cell(at)
        if not _readable(sheet.plan(name), cell, decimal):
            shown = quoted(text) if text else "an empty cell"
            faults.append(
                one_line(
                    f"{where}: found {shown} under '{header}', expected a number with a decimal {decimal}"
                )
            )
    return tuple(faults)


def total_fault(
    sheet: RunSheet,
    row: WatchedRow,
    called: Mapping[str, FileColumn] = AS_THEY_ARE,
    decimal: Mark = "point",
    *,
    reading_std: float | None = None,
) -> str:
    """State where the file's own total is not the sum of the axles."""
    cells, others = cells_of(sheet, row, called, decimal)
    axles = [plan for plan in sheet.force_columns if plan.channel != "drag"]
    figures = [read_cell(cells.get(plan.name, "")) for plan in axles]
    if len(axles) != 2 or None in figures:
        return ""
    front, rear = (
        pair[0] * (-1.0 if READINGS[plan.name].positive_up else 1.0)
        for pair, plan in zip(figures, axles, strict=True)
        if pair is not None
    )
    allowed = None
    if reading_std is not None and dimension_of(axles[0].unit) == "force":
        allowed = WITHIN_STDS * reading_std / unit_scale(axles[0].unit, "force")[0]
    for name in sheet.names("total"):
        pair = read_cell(cells.get(name, ""))
        total = (0.0 if pair is None else pair[0]) * (-1.0 if TOTALS[name].positive_up else 1.0)
        if pair is not None and total_parts(front, rear, total, "down", allowed=allowed):
            return _total_words(front, rear, name, total, axles[0].unit)
    for header in others:
        meaning, _, unit = meaning_of(header)
        if meaning.quantity != "total" or meaning.coefficient != READINGS[axles[0].name].coefficient:
            continue
        apart = total_apart(
            front, rear, row.cells[header], unit, axles[0].unit, meaning.sign, decimal, allowed=allowed
        )
        if apart is not None:
            return _total_words(front, rear, header, apart, axles[0].unit)
    return ""


def _total_words(front: float, rear: float, header: str, total: float, unit: str) -> str:
    return (
        f"front {front:g} and rear {rear:g}, but '{header}' says {total:g} {unit} (downforce positive): "
        "is a sign or a column mixed up?"
    )


def _readable(plan: ColumnPlan, cell: Cell, decimal: Mark) -> bool:
    """Return whether a cell can stand under a column: words, a number, or what stands for none where that may be."""
    if plan.role == "text" or (plan.role in ("setting", "recorded") and not plan.unit):
        return True
    text = cell_text(cell)
    if plan.role == "setting" and not_fitted(text):
        return True
    if plan.role != "reading" and (not text or (plan.role in ("condition", "total") and missing(text))):
        return True
    plain = text.removesuffix("%").rstrip() if plan.unit == "%" else cell
    return number_text(plain, decimal) is not None


def stands_already(
    sheet: RunSheet,
    row: WatchedRow,
    called: Mapping[str, FileColumn] = AS_THEY_ARE,
    decimal: Mark = "point",
) -> str:
    """Name the run that a row is already: of the same label and with the same readings.

    Where the journal is gone nothing else tells that a row was taken.
    """
    cells, _ = cells_of(sheet, row, called, decimal)
    label = cells.get("run", "")
    if label not in sheet.labels:
        return ""
    there = sheet.cells(label)
    return label if all(there[plan.name] == cells[plan.name] for plan in sheet.force_columns) else ""


def entry_from_row(
    sheet: RunSheet,
    entry: RunEntry,
    row: WatchedRow,
    called: Mapping[str, FileColumn] = AS_THEY_ARE,
    decimal: Mark = "point",
) -> RunEntry:
    """Fill an entry with what a row holds; what was changed on the car is added with `parse_entry_line`."""
    cells, _ = cells_of(sheet, row, called, decimal)
    if cells.get("run", "") in ("", *sheet.labels):
        cells.pop("run", None)
    return entry.with_cells(said(sheet, cells))


def said(sheet: RunSheet, cells: Mapping[str, str]) -> dict[str, str]:
    """Keep what a row says: a blank setting says that the part is not fitted, any other blank nothing."""
    settings = sheet.names("setting")
    return {name: text for name, text in cells.items() if text or name in settings}


def corrected_cells(
    sheet: RunSheet, row: WatchedRow, called: Mapping[str, FileColumn], decimal: Mark
) -> dict[str, str]:
    """Return what a corrected row says of the run that it has become."""
    if faults := row_faults(sheet, row, called, decimal):
        raise InputError(faults[0])
    cells, _ = cells_of(sheet, row, called, decimal)
    return {name: text for name, text in said(sheet, cells).items() if name != "run"}
