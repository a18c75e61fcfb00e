"""runs.csv: the runs of a day, in the order of running."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from balance.files.formats.cells import NOT_FITTED_SINCE, cell_problem, not_fitted, read_cell
from balance.files.formats.runs_header import ColumnPlan, plan_columns
from balance.files.formats.table_reader import MOST_FAULTS, TableReader
from balance.files.formats.versions import RAISE
from balance.files.text_file import clean_text, read_text, refuse_beyond
from balance.model.baseline_names import named_baselines
from balance.model.channels import CHANNELS, Channel
from balance.model.columns import LINKS, TEXTS
from balance.model.errors import Fault, did_you_mean, quoted
from balance.model.records import Column, Run, Setting, Triple

if TYPE_CHECKING:
    import csv
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

_LIMIT = 20_000_000
_MOST_COMPARED = 500  # labels among which a near one is sought
_WHAT = "a table of runs as comma-separated text"
NO_RUN = "no run that counts"
"""The one fault that a run sheet may have: a day begins without runs."""
_STATUS = ("good", "suspect", "void")
_REQUIRED = tuple(name for name, known in TEXTS.items() if known.required)


class RunsTable(NamedTuple):
    """The runs of a file, what its header says, and all that is wrong with it, in the order of lines."""

    runs: tuple[Run, ...]
    columns: Mapping[Channel, Column]
    plans: tuple[ColumnPlan, ...]
    faults: tuple[Fault, ...]
    total: Column | None = None

    def names(self, role: str) -> tuple[str, ...]:
        """Return the names of the columns of one role, in the order of the file."""
        return tuple(plan.name for plan in self.plans if plan.role == role)


def read_runs(
    path: Path, *, recorded: Sequence[str] = (), file_format: int = 1, shown_as: str = "runs.csv"
) -> RunsTable:
    """Read a table of runs."""
    text = read_text(path, shown_as=shown_as, limit=_LIMIT, what=_WHAT)
    refuse_beyond(text.encode(errors="replace"), shown_as=shown_as)
    reader = _Reader(shown_as, file_format)
    rows = reader.rows(text)
    line, header = next(rows, (1, []))
    plans: list[ColumnPlan] = []
    runs: list[Run] = []
    if header and not reader.refuse_other_marks(line, header):
        plans, faults = plan_columns(
            header, line=line, file=shown_as, recorded=recorded, file_format=file_format
        )
        reader.faults.extend(faults)
        runs = reader.runs(rows, plans, len(header))
    if not reader.faults and all(run.status == "void" for run in runs):
        reader.fault(line, None, NO_RUN, "at least one that is not void", "add a row for each run")
    return RunsTable(
        runs=tuple(runs),
        columns=_columns(plans),
        plans=tuple(plans),
        total=next((_column(plan) for plan in plans if plan.role == "total"), None),
        faults=tuple(sorted(reader.faults, key=lambda fault: fault.line or 0)),
    )


class _Link(NamedTuple):
    """What one row says of itself and of other rows, whatever else is wrong with it."""

    line: int
    label: str
    baseline: str
    repeat_of: str


class _Reader(TableReader):
    """Turns rows into runs."""

    def __init__(self, file: str, file_format: int) -> None:
        super().__init__(file)
        self.words_for_nothing = file_format >= NOT_FITTED_SINCE

    def broken(self, line: int, error: csv.Error) -> None:
        end = "unexpected end" in str(error)
        self.fault(
            line,
            None,
            "a quotation mark that is never closed" if end else f"text that is no table row ({error})",
            'cells parted by commas, with " around a cell that holds one',
            'write a quotation mark inside a cell as ""',
        )

    def runs(
        self, rows: Iterator[tuple[int, list[str]]], plans: Sequence[ColumnPlan], wanted: int
    ) -> list[Run]:
        """Read every row below the header, and hold the rows against one another."""
        places = {plan.name: plan.index for plan in plans}
        runs: list[Run] = []
        links: list[_Link] = []
        for line, cells in rows:
            if len(self.faults) > MOST_FAULTS:
                return runs
            link = _Link(line, *(_cell(cells, places.get(name)) for name in ("run", *LINKS)))
            links.append(link if len(cells) == wanted else _Link(line, link.label, "", ""))
            if len(cells) != wanted:
                _wrong_length(self, line, cells, wanted)
            elif run := self.run(line, cells, plans):
                runs.append(run)
        if "run" not in places:
            return runs
        _check_links(self, links)
        order = {link.label: k for k, link in enumerate(links)}
        return [_between_baselines(run, order) for run in runs]

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
            elif not cell.strip() or (plan.role == "setting" and self.words_for_nothing and not_fitted(cell)):
                continue
            elif plan.role in ("condition", "total"):
                pair = self.number(line, plan, cell)
                values["total" if plan.role == "total" else plan.name] = pair[0] if pair else None
            elif plan.role == "nameless":
                self.fault(line, plan.header, quoted(cell.strip()), "nothing", "give the column a name")
            elif plan.unit:
                pair = self.number(line, plan, cell)
                value, half_digit = pair or (0.0, 0.0)
                fitted[plan.role][plan.name] = Setting(value=value, unit=plan.unit, resolution=half_digit)
            else:
                fitted[plan.role][plan.name] = Setting(value=self.words(line, plan, cell))
        status = self.status(line, values)
        complete = len(readings) == len(CHANNELS) and values.keys() >= set(_REQUIRED)
        if len(self.faults) > before or not complete:
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
            if plan.role == "setting" and not_fitted(cell):
                mend = f"leave it empty if nothing is fitted, or {RAISE}"
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
            mend = (
                did_you_mean(word, _STATUS) or "write one of them; what else there is to say goes into a note"
            )
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


def _cell(cells: Sequence[str], place: int | None) -> str:
    return (clean_text(cells[place]) or "") if place is not None and place < len(cells) else ""


def _check_links(reader: _Reader, links: Sequence[_Link]) -> None:
    """Hold labels against one another, and every baseline and repeat_of against the labels."""
    first: dict[str, _Link] = {}
    for link in links:
        if link.label in first:
            found = f"{quoted(link.label)}, which stands on line {first[link.label].line} too"
            reader.fault(link.line, "run", found, "a label of its own for each run", "rename one")
        elif link.label:
            first[link.label] = link
    for link in links:
        baselines = named_baselines(link.baseline, first)
        for column, named in (*(("baseline", one) for one in baselines), ("repeat_of", link.repeat_of)):
            if named and named == link.label:
                reader.fault(
                    link.line, column, "the run itself", "another run", "name the run it goes back to"
                )
            elif named and named not in first:
                others = first.keys() - {link.label} if len(first) <= _MOST_COMPARED else ()
                mend = did_you_mean(named, others) or "write the label of a run in this file"
                found = f"{quoted(named)}, which is no run here"
                reader.fault(link.line, column, found, "the label of a run", mend)
        if len(baselines) > 1 and link.label in first and all(one in first for one in baselines):
            _check_around(reader, link, [first[one] for one in baselines])
    for line, named in _circles(first):
        reader.fault(
            line,
            "repeat_of",
            f"{quoted(named)}, which leads back to this run",
            "the run that was made first",
            "leave it empty for the first of them",
        )


def _check_around(reader: _Reader, link: _Link, baselines: Sequence[_Link]) -> None:
    """Hold two baselines against the run that names them: one was run before it, one after."""
    mend = 'name one run before and one after, such as "3 and 9"; name one alone where there is no other'
    found = f"{len(baselines)} runs"
    if len(baselines) == 2:
        early, late = sorted(one.line for one in baselines)
        if early < link.line < late:
            return
        found = f"{quoted(link.baseline)}, " + (
            "the same run twice" if early == late else "both on one side of this run"
        )
    reader.fault(link.line, "baseline", found, "one run, or two around this one", mend)


def _between_baselines(run: Run, order: Mapping[str, int]) -> Run:
    """Split two baselines that stand in one cell, the earlier one first."""
    named = named_baselines(run.baseline or "", order)
    if len(named) != 2 or any(one not in order for one in named):
        return run
    early, late = sorted(named, key=order.__getitem__)
    return replace(run, baseline=early, second_baseline=late)


def _circles(first: Mapping[str, _Link]) -> Iterator[tuple[int, str]]:
    """Find the runs that repeat one another in a circle of two or more."""
    done: set[str] = set()
    for label in first:
        trail: list[str] = []
        here = label
        while here in first and here not in done:
            done.add(here)
            trail.append(here)
            here = first[here].repeat_of
        circle = trail[trail.index(here) :] if here in trail else []
        if len(circle) > 1:
            yield from ((first[one].line, first[one].repeat_of) for one in circle)


def _columns(plans: Sequence[ColumnPlan]) -> dict[Channel, Column]:
    by_channel = {plan.channel: plan for plan in plans if plan.channel}
    return {channel: _column(by_channel[channel]) for channel in CHANNELS if channel in by_channel}


def _column(plan: ColumnPlan) -> Column:
    return Column(name=plan.name, unit=plan.unit, form=plan.form, positive_up=plan.factor < 0)
