"""A foreign file into a plan: what it says, what is to be asked, what would be written."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from balance.files.formats.vehicle import read_vehicle
from balance.files.tables.header.head import Head, find_head
from balance.files.tables.header.meanings import Meaning, meaning_of, words_of
from balance.files.tables.header.roles import Roles, find_roles, target_meaning
from balance.files.tables.header.understood import facts_around
from balance.files.tables.importing.doubts import ask_header_above, doubt_answers, doubt_columns, settle_names
from balance.files.tables.importing.facts import Facts, day_text
from balance.files.tables.importing.plan import (
    Findings,
    ImportOptions,
    ImportPlan,
    ImportStopped,
    PlannedColumn,
)
from balance.files.tables.reading.cell_units import part_units
from balance.files.tables.reading.file_grid import RUNS, grid_of, read_table
from balance.files.tables.reading.numerals import settle_decimal
from balance.files.tables.reading.own_export import own_facts, own_text, without_facts
from balance.files.tables.rows.fittings import fit_columns
from balance.files.tables.rows.measures import measure_conditions, measure_readings
from balance.files.tables.rows.moments import resolving
from balance.files.tables.rows.rows import RowSorter
from balance.files.tables.rows.table import (
    condition_cells,
    fitting_columns,
    reading_columns,
    reading_header,
    text_columns,
)
from balance.files.tables.rows.total_column import doubt_total, total_fitting
from balance.model.columns import FORMAT
from balance.model.errors import FileFaults

if TYPE_CHECKING:
    import threading
    from collections.abc import Callable, Collection, Mapping, Sequence

    from balance.files.tables.header.head import Head, HeadColumn
    from balance.files.tables.header.roles import Roles
    from balance.files.tables.reading.grid import Cell, Grid, RunRow
    from balance.files.tables.reading.numerals import Mark
    from balance.files.tables.rows.fittings import Fitting
    from balance.files.tables.rows.measures import Measure
    from balance.model.records import Vehicle


def plan_import(
    source: str | Path,
    *,
    vehicle: str | Path,
    options: ImportOptions | None = None,
    progress: Callable[[float, str], None] | None = None,
    stop: threading.Event | None = None,
) -> ImportPlan:
    """Understand a foreign table of runs, and plan its import; nothing is written."""
    path, car = Path(source), Path(vehicle)
    tick, findings = Ticker(progress=progress, stop=stop), Findings(options)
    tick.span(0.0, 0.05, "reading the file")
    raw = read_table(path, RUNS)
    base: dict[str, Any] = {
        "source": path, "raw": raw, "vehicle_file": car, "vehicle": read_vehicle(car),
    }  # fmt: skip
    tick.span(0.05, 0.4, "parting rows and columns")
    text, grid = grid_of(raw, path.name, RUNS, findings, tick)
    if findings.questions:
        return ImportPlan(**base, options=findings.options, questions=tuple(findings.questions))
    facts = own_facts(text)
    if facts is not None:
        grid = without_facts(grid)
        findings.understood.append("an export of axletrim: names, roles and facts stand as they are")
    findings.understood.extend(grid.notes)
    return _Planner(base, grid, findings, tick, facts).plan()


class _Planner:
    """The steps from rows and cells to a plan."""

    def __init__(
        self, base: dict[str, Any], grid: Grid, findings: Findings, tick: Ticker, own: str | None
    ) -> None:
        self.base, self.grid, self.findings, self.tick, self.own = base, grid, findings, tick, own
        self.vehicle: Vehicle = base["vehicle"]

    def finish(self, head: Head | None = None, **more: Any) -> ImportPlan:
        found = self.findings
        return ImportPlan(
            **self.base,
            options=found.options,
            shape=_shape(head) if head else "",
            understood=tuple(dict.fromkeys(found.understood)),
            assumed=tuple(dict.fromkeys(found.assumed)),
            not_stated=tuple(found.not_stated),
            questions=tuple(found.questions),
            dropped=tuple(found.dropped),
            **more,
        )

    def plan(self) -> ImportPlan:
        findings, options = self.findings, self.findings.options
        head = find_head(self.grid, options)
        refuse_transposed(self.grid, head, named=options.columns, shown_as=self.base["source"].name)
        if head is None:
            findings.ask(
                "header_line", "no line is understood as the header", "--header-line N", "header_line"
            )
            return self.finish()
        findings.understood.append(head.told(self.grid))
        facts = Facts() if self.own is not None else facts_around(self.grid, head)
        self.other_header(head)
        recorded: tuple[str, ...] = ()
        session_text, file_format = "", FORMAT
        if self.own is not None:
            session_text, recorded, file_format = own_text(self.own, options)
            head = _exact(head)
        else:
            self.grid, head = part_units(self.grid, head, findings)
        roles = find_roles(head, findings, recorded)
        readings = measure_readings(roles, facts, findings)
        conditions = measure_conditions(roles, findings)
        resolver = None
        if "moment" in roles.readings and readings.keys() >= {"total", "moment", "drag"}:
            resolver = resolving(
                readings["total"], readings["moment"], readings["drag"], self.vehicle, findings
            )
        decimal, settled = self.decimal(head, roles)
        if decimal is None or len(readings) < 3:
            return self.finish(head, columns=planned_columns(head, roles, readings, [], {}))
        self.tick.span(0.4, 0.75, "sorting rows")
        sorter = RowSorter(
            head, roles, readings, decimal, findings, own=self.own is not None, settled=settled
        )
        run_rows = sorter.sort(self.grid, self.tick)
        if not run_rows:
            if all(one.key != "cells" for one in findings.questions):  # then the rows wait for another file
                findings.ask(
                    "rows",
                    "no row is left that is a run",
                    "--keep-rows PATTERN, or --header-line N",
                    "keep_rows",
                )
            return self.finish(head, columns=planned_columns(head, roles, readings, [], {}))
        self.tick.span(0.75, 1.0, "writing the table down")
        cells = text_columns(run_rows, roles, findings)
        named = len(cells)
        if resolver is not None or "moment" not in readings:
            cells |= reading_columns(run_rows, readings, resolver, findings)
        self.tick(0.3)
        cells |= {
            f"{name} [{conditions[name].unit}]": texts
            for name, texts in condition_cells(run_rows, conditions, decimal, findings).items()
        }
        self.tick(0.6)
        fittings = self.fittings(roles, readings, run_rows, decimal, file_format)
        cells |= fitting_columns(fittings)
        every = {**readings, **conditions}
        doubt_columns(head, roles, run_rows, every.values(), findings)
        doubt_total(roles, run_rows, cells, decimal, findings, settled=options.recorded)
        doubt_answers(head, fittings, sorter.used, every, findings)
        if self.own is None:
            settle_names(cells, [one.header for one in fittings if not one.recorded], findings)
            recorded = tuple(one.name for one in fittings if one.recorded)
            session_text = day_text(
                name=self.base["source"].stem, facts=facts, vehicle=self.vehicle, columns=cells,
                recorded=recorded, findings=findings,
            )  # fmt: skip
        findings.assumed += [
            f"line {line} above the header is not used: {words[:60]}" for line, words in facts.remarks
        ]
        ordered = _ordered(cells, named)
        self.tick(1.0)
        return self.finish(
            head,
            columns=planned_columns(head, roles, readings, fittings, conditions),
            header=tuple(ordered),
            rows=tuple(zip(*ordered.values(), strict=True)),
            lines=tuple(one.row.line for one in run_rows),
            recorded=recorded,
            session_text=session_text,
            file_format=file_format,
        )

    def fittings(
        self,
        roles: Roles,
        readings: Mapping[str, Measure],
        run_rows: Sequence[RunRow],
        decimal: Mark,
        file_format: int,
    ) -> list[Fitting]:
        """Decide what becomes of the columns that are neither words nor channels."""
        own, total = self.own is not None, None
        if not own and readings.keys() >= {"front", "rear"}:
            form = readings["front"].form
            total = total_fitting(roles.recorded, run_rows, form, decimal, self.findings)
        recorded = [c for c in roles.recorded if total is None or c is not total.column]
        found = fit_columns(
            roles.others, recorded, run_rows, decimal, self.findings, own=own, file_format=file_format,
        )  # fmt: skip
        return [*found, total] if total else found

    def other_header(self, head: Head) -> None:
        """Heed another table above."""
        given = self.findings.options.header_line is not None or self.findings.options.lines is not None
        if self.own is None and not given:
            ask_header_above(self.grid, head, self.findings)

    def decimal(self, head: Head, roles: Roles) -> tuple[Mark | None, bool]:
        """Settle the decimal mark, or ask for it; and tell whether some number shows it."""
        figures = [c.index for c in (*roles.measured, *roles.conditions.values())]
        rest = [c.index for c in (*roles.others, *roles.recorded) if c.unit]
        rows = self.grid.rows[head.after :]

        def cells(places: list[int]) -> list[list[Cell]]:
            return [[row.cells[i] for row in rows if i < len(row.cells)] for i in places]

        return settle_decimal(cells(figures), cells(rest), self.findings)


def _exact(head: Head) -> Head:
    """Take the names of an export of ours as our own, whatever else they might mean."""
    columns = []
    for column in head.columns:
        name, _, unit = column.header.partition(" [")
        meaning = target_meaning(name) if name != "air_density" else None
        columns.append(replace(column, name=name, unit=unit.removesuffix("]"), meaning=meaning or Meaning()))
    return replace(head, columns=tuple(columns), rows=1, units_row=False)


def _shape(head: Head) -> str:
    """Return a short name to the shape of a file: what its columns are called, and their units."""
    text = "\n".join(f"{words_of(c.header)}|{c.unit}" for c in head.columns)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _ordered(cells: Mapping[str, list[str]], named: int) -> dict[str, list[str]]:
    """Put label and configuration first, then settings, conditions, readings, and the other texts last."""
    names = list(cells)
    texts = names[2:named]
    return {name: cells[name] for name in (*names[:2], *names[named:], *texts)}


def planned_columns(
    head: Head,
    roles: Roles,
    readings: Mapping[str, Measure],
    fittings: Sequence[Fitting],
    conditions: Mapping[str, Measure],
) -> tuple[PlannedColumn, ...]:
    """State for each column with a header what it becomes."""
    becomes: dict[int, tuple[str, Any, str]] = {}
    for name, column in roles.texts.items():
        becomes[column.index] = (name, "text", "")
    for name, measure in conditions.items():
        becomes[measure.column.index] = (f"{name} [{measure.unit}]", "condition", "")
    for quantity, measure in readings.items():
        words = (
            "positive down" if measure.down else "positive up" if quantity not in ("drag", "moment") else ""
        )
        target = (
            "front and rear lift"
            if quantity in ("total", "moment")
            else reading_header(measure, quantity, down=measure.down)
        )
        becomes[measure.column.index] = (target, "reading", words)
    for one in fittings:
        outcome = "reading" if one.total else "recorded" if one.recorded else "setting"
        becomes[one.column.index] = (one.header, outcome, one.why)
    return tuple(
        _planned(column, *becomes.get(column.index, ("", "left out", "")))
        for column in head.columns
        if column.header
    )


def _planned(column: HeadColumn, becomes: str, outcome: Any, why: str) -> PlannedColumn:
    return PlannedColumn(header=column.header, unit=column.unit, becomes=becomes, outcome=outcome, why=why)


@dataclass(slots=True, kw_only=True)
class Ticker:
    """Tells how far the work is, and stops it when asked to."""

    progress: Callable[[float, str], None] | None
    stop: threading.Event | None
    low: float = 0.0
    high: float = 1.0
    words: str = ""

    def span(self, low: float, high: float, words: str) -> None:
        """Begin a part of the work."""
        self.low, self.high, self.words = low, high, words
        self(0.0)

    def __call__(self, share: float) -> None:
        """State how far this part is, and stop if asked to."""
        if self.stop is not None and self.stop.is_set():
            raise ImportStopped("stopped; nothing was written")
        if self.progress is not None:
            self.progress(self.low + (self.high - self.low) * share, self.words)


_SEARCHED = 200
_LONGEST = 60


def refuse_transposed(grid: Grid, head: Head | None, *, named: Collection[str], shown_as: str) -> None:
    """Refuse a table whose readings are named down a column instead of along its header."""
    if named or (head is not None and any(c.meaning.quantity == "drag" for c in head.columns)):
        return
    rows = grid.rows[:_SEARCHED]
    for index in range(max((len(row.cells) for row in rows), default=0)):
        readings = [(row.line, quantity) for row in rows if (quantity := _quantity(row.text(index)))]
        lines = [line for line, quantity in readings if quantity == "drag"]
        lifts = {quantity for _, quantity in readings} & {"front", "rear", "total"}
        if not lines or not lifts:
            continue
        again = len(lines) > 1 or head is not None or index > 0
        found = "a line for each reading" if again else "a column for each run"
        table = "a spreadsheet's pivot table brings it to that"
        mend = table if again else "a spreadsheet can paste it transposed"
        raise FileFaults.of(
            shown_as,
            found,
            "a line for each run, with a column for each reading",
            mend,
            line=readings[0][0],
            column=f"column {index + 1}",
        )


def _quantity(text: str) -> str:
    return meaning_of(text)[0].quantity if 0 < len(text) <= _LONGEST else ""
