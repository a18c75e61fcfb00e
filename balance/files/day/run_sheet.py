"""The run sheet: runs.csv as text, of which only what was changed is ever written anew; and what is done to its runs."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from balance.files.formats.cells import NOT_FITTED_SINCE, not_fitted
from balance.files.formats.runs import NO_RUN, read_runs
from balance.files.session_path import RUNS_FILE
from balance.files.text_file import clean_cell, text_at_hand
from balance.model.baseline_names import named_baselines
from balance.model.columns import LINKS, TEXTS
from balance.model.errors import FileFaults, InputError, UnknownName, quoted

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from balance.files.formats.runs_header import ColumnPlan
    from balance.model.channels import Channel
    from balance.model.records import Column, Run, Status

_BYTE_ORDER_MARK = "\ufeff"


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One row as it stands in the file: its cells, its text with its line end, and blank lines before it."""

    cells: tuple[str, ...]
    raw: str
    before: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSheet:
    """A whole runs.csv, frozen: ``text`` is the file to the last byte, ``runs`` what it says in SI.

    Every change gives a new sheet, read by the same reader as a file, so that no sheet is ever at fault.
    """

    text: str
    header: SheetRow
    rows: tuple[SheetRow, ...]
    tail: str
    plans: tuple[ColumnPlan, ...]
    columns: Mapping[Channel, Column]
    runs: tuple[Run, ...]
    recorded: tuple[str, ...] = ()
    total: Column | None = None
    file_format: int = 1

    @property
    def labels(self) -> tuple[str, ...]:
        """The runs' labels, in running order."""
        return tuple(run.label for run in self.runs)

    @property
    def force_columns(self) -> tuple[ColumnPlan, ...]:
        """The columns of readings, in the order of the file."""
        return tuple(plan for plan in self.plans if plan.role == "reading")

    def names(self, role: str) -> tuple[str, ...]:
        """Return the names of the columns of one role, in the order of the file."""
        return tuple(plan.name for plan in self.plans if plan.role == role)

    def plan(self, name: str) -> ColumnPlan:
        """Find a column by its name, or say which are near."""
        for plan in self.plans:
            if plan.name == name:
                return plan
        raise UnknownName("column", name, [plan.name for plan in self.plans if plan.name])

    def cells(self, label: str) -> dict[str, str]:
        """Return the cells of a run as typed, each in one line, by the names of their columns; not fitted is empty."""
        row = self.rows[self.position(label)]
        cells = {plan.name: " ".join(row.cells[plan.index].split()) for plan in self.plans if plan.name}
        return self.as_fitted(cells) if self.file_format >= NOT_FITTED_SINCE else cells

    def as_fitted(self, cells: Mapping[str, str]) -> dict[str, str]:
        """Empty the cells of settings that say in words that the part is not fitted.

        In a day of an older format such a word is a value like others: where the column has it already, it stays.
        """
        settings = self.names("setting")
        return {
            name: "" if name in settings and not_fitted(text) and not self._has(name, text) else text
            for name, text in cells.items()
        }

    def _has(self, name: str, text: str) -> bool:
        """Return whether a column of a day of an older format has a text as a value."""
        if self.file_format >= NOT_FITTED_SINCE or not text.strip():
            return False
        index = self.plan(name).index
        return any(row.cells[index].strip() == text.strip() for row in self.rows)

    def position(self, label: str) -> int:
        """Find the place of a run, from 0."""
        if label not in self.labels:
            raise UnknownName("run", label, self.labels)
        return self.labels.index(label)

    def changed(self, changes: Mapping[str, Mapping[str, str]]) -> RunSheet:
        """Change cells of some runs; all other rows stay as they are to the last byte."""
        sheet = self.with_columns(_missing(self, changes.values()))
        rows = list(sheet.rows)
        for label, cells in changes.items():
            at = sheet.position(label)
            filled = list(rows[at].cells)
            sheet._fill(filled, cells)  # noqa: SLF001 - its own class
            if tuple(filled) != rows[at].cells:
                rows[at] = _written(filled, rows[at])
        return sheet._with_rows(rows)  # noqa: SLF001 - its own class

    def appended(self, *added: Mapping[str, str]) -> RunSheet:
        """Add runs at the end."""
        sheet = self.with_columns(_missing(self, added))
        rows = list(sheet.rows)
        header = sheet.header
        if rows and not _line_end(rows[-1].raw):
            rows[-1] = replace(rows[-1], raw=rows[-1].raw + sheet._newline)  # noqa: SLF001 - its own class
        elif not rows and not _line_end(header.raw):
            header = replace(header, raw=header.raw + sheet._newline)  # noqa: SLF001 - its own class
        for cells in added:
            filled = [""] * len(header.cells)
            sheet._fill(filled, cells)  # noqa: SLF001 - its own class
            rows.append(_written(filled, SheetRow(cells=(), raw=sheet._newline)))  # noqa: SLF001 - its own class
        return sheet._with_rows(rows, header)  # noqa: SLF001

    def with_columns(self, headers: Sequence[str]) -> RunSheet:
        """Append columns, empty in every run."""
        if not headers:
            return self
        names = [clean_cell("header", header) for header in headers]
        head = _with_more(self.header, names)
        return self._with_rows([_with_more(row, [""] * len(names)) for row in self.rows], head)

    def _fill(self, row: list[str], cells: Mapping[str, str]) -> None:
        there = {plan.name: plan.index for plan in self.plans}
        for name, text in self.as_fitted(cells).items():
            if name in there:
                clean = clean_cell(name, text)
                if clean != " ".join(row[there[name]].split()):
                    row[there[name]] = clean
            elif text or name not in TEXTS:
                self.plan(name)  # raises, with the names that are near

    @property
    def _newline(self) -> str:
        return _line_end(self.header.raw) or "\n"

    def _with_rows(self, rows: Sequence[SheetRow], header: SheetRow | None = None) -> RunSheet:
        text = "".join(row.before + row.raw for row in (header or self.header, *rows)) + self.tail
        return sheet_from(text, recorded=self.recorded, file_format=self.file_format)


def sheet_from(
    text: str, *, recorded: Sequence[str] = (), file_format: int = 1, shown_as: str = RUNS_FILE
) -> RunSheet:
    """Read a run sheet from a text."""
    table = read_runs(
        text_at_hand(text, shown_as), recorded=recorded, file_format=file_format, shown_as=shown_as
    )
    faults = [fault for fault in table.faults if fault.found != NO_RUN]
    if faults:
        raise FileFaults(faults)
    header, *rows = _rows(text)
    end = sum(len(row.before + row.raw) for row in (header, *rows))
    return RunSheet(
        text=text,
        header=header,
        rows=tuple(rows),
        tail=text[end:],
        plans=table.plans,
        columns=table.columns,
        runs=table.runs,
        recorded=tuple(recorded),
        total=table.total,
        file_format=file_format,
    )


def _rows(text: str) -> Iterator[SheetRow]:
    """Split a table that the reader has accepted into rows, none of its characters lost."""
    before = _BYTE_ORDER_MARK if text.startswith(_BYTE_ORDER_MARK) else ""
    lines = io.StringIO(text.removeprefix(_BYTE_ORDER_MARK), newline="").readlines()
    reader = csv.reader(lines, strict=True)
    start = 0
    for cells in reader:
        raw = "".join(lines[start : reader.line_num])
        start = reader.line_num
        if any(cell.strip() for cell in cells):
            yield SheetRow(cells=tuple(cells), raw=raw, before=before)
            before = ""
        else:
            before += raw


def _written(cells: Sequence[str], old: SheetRow) -> SheetRow:
    """Write a row anew, with the blank lines before it and the line end that it had."""
    return SheetRow(cells=tuple(cells), raw=_csv(cells) + _line_end(old.raw), before=old.before)


def _missing(sheet: RunSheet, rows: Iterable[Mapping[str, str]]) -> list[str]:
    """Name the text columns that some cells need and the file lacks."""
    there = {plan.name for plan in sheet.plans}
    wanted = {name for cells in rows for name, text in cells.items() if text}
    return [name for name in TEXTS if name in wanted - there]


def _with_more(row: SheetRow, cells: Sequence[str]) -> SheetRow:
    end = _line_end(row.raw)
    more = "".join(f",{_csv([cell])}" if cell else "," for cell in cells)
    raw = row.raw[: len(row.raw) - len(end)] + more + end
    return SheetRow(cells=(*row.cells, *cells), raw=raw, before=row.before)


def _csv(cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def _line_end(raw: str) -> str:
    return next((end for end in ("\r\n", "\n", "\r") if raw.endswith(end)), "")


def edit_run(sheet: RunSheet, label: str, cells: Mapping[str, str]) -> RunSheet:
    """Correct cells of a run; a new label is followed wherever the old one is named."""
    changes: dict[str, dict[str, str]] = {label: dict(cells)}
    renamed = " ".join(cells.get("run", label).split())
    if renamed != label:
        for run in sheet.runs:
            for column in LINKS:
                if getattr(run, column) == label:
                    changes.setdefault(run.label, {}).setdefault(column, renamed)
    return sheet.changed(changes)


def mark_runs(sheet: RunSheet, labels: Iterable[str], status: Status, reason: str = "") -> RunSheet:
    """Mark runs good, suspect or void; void ones stay in the file and out of every result."""
    if status != "good" and not reason.strip():
        raise InputError(f"reason: found nothing, expected why the run is {status}; a word will do")
    cells = {"status": "" if status == "good" else status, "reason": reason}
    return sheet.changed(dict.fromkeys(labels, cells))


def move_baseline(sheet: RunSheet, labels: Iterable[str], baseline: str | None) -> RunSheet:
    """Compare runs with another baseline, or with the one that is proposed."""
    for named in named_baselines(baseline or "", sheet.labels):
        sheet.position(named)
    return sheet.changed({label: {"baseline": baseline or ""} for label in labels})


def start_block(sheet: RunSheet, label: str, name: str) -> RunSheet:
    """Begin a new block at a run: it and those after it, as far as the old block goes."""
    if not name.strip():
        raise InputError("block: found no name, expected one, such as 'after re-zero'")
    if any(run.block == name.strip() for run in sheet.runs):
        raise InputError(f"block: found {quoted(name)}, which is there already, expected a new name")
    first = sheet.position(label)
    old = sheet.runs[first].block
    changes = {}
    for run in sheet.runs[first:]:
        if run.block != old:
            break
        changes[run.label] = {"block": name}
    return sheet.changed(changes)
