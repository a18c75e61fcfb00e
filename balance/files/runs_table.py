"""runs.csv: the runs of a day, in the order of running."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from balance.errors import Fault, FileFaults, did_you_mean, quoted
from balance.files.cells import cell_problem, read_cell
from balance.files.runs_header import ColumnPlan, plan_columns
from balance.files.text_file import clean_text, read_text
from balance.records import Channel, Column, Run, Setting, Triple

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

_LIMIT = 20_000_000
_MOST_FAULTS = 1000
_WHAT = "a table of runs as comma-separated text"
_STATUS = ("good", "suspect", "void")
_REQUIRED = ("run", "configuration")


@dataclass(frozen=True, slots=True, kw_only=True)
class RunsTable:
    """The runs of a file and what its header says."""

    runs: tuple[Run, ...]
    columns: Mapping[Channel, Column]
    plans: tuple[ColumnPlan, ...]

    def names(self, role: str) -> tuple[str, ...]:
        """Give the names of the columns of one role, in the order of the file."""
        return tuple(plan.name for plan in self.plans if plan.role == role)


def read_runs(path: Path, *, recorded: Sequence[str] = (), shown_as: str = "runs.csv") -> RunsTable:
    """Read a table of runs.

    Parameters
    ----------
    path : Path
        The file.
    recorded : sequence of str
        Names of columns that are measured and not set.
    shown_as : str
        The file's name in messages.

    Returns
    -------
    RunsTable
        The runs, readings as downforce and drag in SI.

    Raises
    ------
    FileFaults
        If anything in it cannot be used; all its faults together.
    """
    text = read_text(path, shown_as=shown_as, limit=_LIMIT, what=_WHAT)
    reader = _Reader(shown_as)
    rows = reader.rows(text)
    line, header = next(rows, (1, []))
    if len(header) == 1 and (found := next((mark for mark in ";\t" if mark in header[0]), "")):
        name = "semicolons" if found == ";" else "tabs"
        reader.fault(line, None, f"columns parted by {name}", "by commas", "save it again with commas")
        raise FileFaults(reader.faults)
    plans, faults = plan_columns(header, line=line, file=shown_as, recorded=recorded)
    reader.faults.extend(faults)
    runs = []
    for line, cells in rows:
        if len(reader.faults) >= _MOST_FAULTS:
            reader.fault(line, None, f"{_MOST_FAULTS} faults above", "fewer", "reading stopped here")
            break
        if len(cells) != len(header):
            _wrong_length(reader, line, cells, len(header))
        elif run := reader.run(line, cells, plans):
            runs.append(run)
    if not faults:
        _check_labels(reader, runs)
        _check_links(reader, runs)
    if not reader.faults and all(run.status == "void" for run in runs):
        reader.fault(
            line, None, "no run that counts", "at least one that is not void", "add a row for each run"
        )
    if reader.faults:
        raise FileFaults(sorted(reader.faults, key=lambda fault: fault.line or 0))
    return RunsTable(runs=tuple(runs), columns=_columns(plans), plans=tuple(plans))


class _Reader:
    """Turns rows into runs and gathers the faults of one file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.faults: list[Fault] = []

    def fault(self, line: int, column: str | None, found: str, expected: str, mend: str = "") -> None:
        self.faults.append(
            Fault(file=self.file, line=line, column=column, found=found, expected=expected, mend=mend)
        )

    def rows(self, text: str) -> Iterator[tuple[int, list[str]]]:
        """Give each row that is not blank, with the physical line on which it begins."""
        reader = csv.reader(io.StringIO(text, newline=""), strict=True)
        line = 1
        try:
            for cells in reader:
                if any(cell.strip() for cell in cells):
                    yield line, cells
                line = reader.line_num + 1
        except csv.Error as error:
            end = "unexpected end" in str(error)
            self.fault(
                line,
                None,
                "a quotation mark that is never closed" if end else f"text that is no table row ({error})",
                'cells parted by commas, with " around a cell that holds one',
                'write a quotation mark inside a cell as ""',
            )

    def run(self, line: int, cells: Sequence[str], plans: Sequence[ColumnPlan]) -> Run | None:
        before = len(self.faults)
        values: dict[str, Any] = {"line": line}
        fitted: dict[str, dict[str, Setting]] = {"setting": {}, "recorded": {}}
        readings: dict[str, tuple[float, float]] = {}
        for plan in plans:
            cell = cells[plan.index]
            if plan.role == "reading":
                pair = self.number(line, plan, cell)
                if pair and plan.channel:
                    readings[plan.channel] = pair
            elif plan.role == "text":
                values[plan.name] = self.words(line, plan, cell)
            elif not cell.strip():
                continue
            elif plan.role == "condition":
                pair = self.number(line, plan, cell)
                values[plan.name] = pair[0] if pair else None
            elif plan.role == "nameless":
                self.fault(line, plan.header, quoted(cell.strip()), "nothing", "give the column a name")
            elif plan.unit:
                pair = self.number(line, plan, cell)
                fitted[plan.role][plan.name] = Setting(value=pair[0] if pair else 0.0, unit=plan.unit)
            else:
                fitted[plan.role][plan.name] = Setting(value=self.words(line, plan, cell))
        status = self.status(line, values)
        if len(self.faults) > before or len(readings) < 3:
            return None
        return Run(
            label=values.pop("run"),
            status=status,  # type: ignore[arg-type]  # one of the three words
            baseline=values.pop("baseline", None) or None,
            repeat_of=values.pop("repeat_of", None) or None,
            reading=Triple(**{channel: pair[0] for channel, pair in readings.items()}),
            resolution=Triple(**{channel: pair[1] for channel, pair in readings.items()}),
            settings=fitted["setting"],
            recorded=fitted["recorded"],
            **values,
        )

    def number(self, line: int, plan: ColumnPlan, cell: str) -> tuple[float, float] | None:
        pair = read_cell(cell)
        if pair is None:
            found, mend = cell_problem(cell)
            self.fault(line, plan.header, found, "a number", mend)
            return None
        value = pair[0] * plan.factor + plan.offset
        if not plan.low <= value <= plan.high:
            self.fault(
                line, plan.header, quoted(cell.strip()), plan.expected, "check the figure and its unit"
            )
            return None
        return value + 0.0, pair[1] * abs(plan.factor)  # + 0.0: no minus zero

    def words(self, line: int, plan: ColumnPlan, cell: str) -> str:
        text = clean_text(cell)
        if text is None:
            self.fault(line, plan.header, quoted(cell), "text without control characters", "type it again")
            return ""
        if not text and plan.name in _REQUIRED:
            self.fault(line, plan.header, "an empty cell", "text", "fill it in, or leave the row out")
        return text

    def status(self, line: int, values: dict[str, Any]) -> str:
        typed = values.pop("status", "")
        word = typed.casefold() or "good"
        if word not in _STATUS:
            mend = did_you_mean(word, _STATUS)
            self.fault(line, "status", quoted(typed), "good, suspect, void or an empty cell", mend)
        return word


def _wrong_length(reader: _Reader, line: int, cells: Sequence[str], wanted: int) -> None:
    reader.fault(
        line,
        None,
        f"{len(cells)} cell{'s' if len(cells) != 1 else ''}",
        f"{wanted} as in the header",
        'a comma inside a cell? put " around that cell'
        if len(cells) > wanted
        else "add a comma for each empty cell",
    )


def _check_labels(reader: _Reader, runs: Sequence[Run]) -> None:
    first: dict[str, int] = {}
    for run in runs:
        if run.label in first:
            reader.fault(
                run.line,
                "run",
                f"{quoted(run.label)}, which stands on line {first[run.label]} too",
                "a label of its own for each run",
                "rename one",
            )
        first.setdefault(run.label, run.line)


def _check_links(reader: _Reader, runs: Sequence[Run]) -> None:
    """Hold every baseline and repeat_of against the runs that exist."""
    parents = {run.label: run.repeat_of for run in runs}
    whole = not reader.faults  # a row at fault has a label that is not known here
    for run in runs:
        for column, link in (("baseline", run.baseline), ("repeat_of", run.repeat_of)):
            if link == run.label:
                reader.fault(
                    run.line, column, "the run itself", "another run", "name the run it goes back to"
                )
            elif link is not None and link not in parents and whole:
                mend = did_you_mean(link, parents) or "write the label of a run in this file"
                reader.fault(
                    run.line, column, f"{quoted(link)}, which is no run here", "the label of a run", mend
                )
    for run in runs:
        walked = {run.label}
        label = run.repeat_of
        while label is not None and label not in walked:
            walked.add(label)
            label = parents.get(label)
        if label == run.label and run.repeat_of != run.label:
            reader.fault(
                run.line,
                "repeat_of",
                f"{quoted(run.repeat_of or '')}, which leads back to this run",
                "the run that was made first",
                "leave it empty for the first of them",
            )


def _columns(plans: Sequence[ColumnPlan]) -> dict[Channel, Column]:
    by_channel = {plan.channel: plan for plan in plans if plan.channel}
    order: tuple[Channel, ...] = ("front", "rear", "drag")
    return {
        channel: Column(
            name=by_channel[channel].name,
            unit=by_channel[channel].unit,
            form=by_channel[channel].form,
            positive_up=by_channel[channel].factor < 0,
        )
        for channel in order
    }
