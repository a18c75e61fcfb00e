"""The columns of a file that are those of the session: their roles, units and signs there, and their cells here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.files.formats.cells import NOT_FITTED_SINCE
from balance.files.tables.header.file_column import FileColumn, positive_of
from balance.files.tables.header.mapping import columns_found, quantity_of
from balance.files.tables.header.roles import Roles
from balance.files.tables.reading.numerals import number_text
from balance.files.tables.rows.fittings import as_fitted, brought, cells_under, filled_down, texts_of
from balance.files.tables.rows.measures import Measure, doubt_unit, measure_reading
from balance.files.tables.rows.table import condition_cells, reading_cells, text_columns

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.day.run_sheet import RunSheet
    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.tables.header.head import HeadColumn
    from balance.files.tables.header.understood import ForeignTable
    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import Cell, Row, RunRow
    from balance.files.tables.reading.numerals import Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetColumns:
    """What each column of a file is for a session.

    ``found`` gives for the name of a session's column the one of the file, and its unit and sign there; ``drag_said``
    whether somebody has said which way drag points.
    """

    sheet: RunSheet
    found: Mapping[str, tuple[HeadColumn, FileColumn]]
    roles: Roles
    readings: Mapping[str, Measure]
    conditions: Mapping[str, Measure]
    own: bool
    drag_said: bool

    def figures(self, rows: Sequence[Row]) -> tuple[list[list[Cell]], list[list[Cell]]]:
        """Return the cells of the columns that should be numbers, and of the others that have a unit."""
        plans = {name: self.sheet.plan(name) for name in self.found}

        def cells(*roles: str) -> list[list[Cell]]:
            places = [
                self.found[name][0].index
                for name, plan in plans.items()
                if plan.role in roles and (plan.role == "reading" or plan.unit)
            ]
            return [[row.cells[at] for row in rows if at < len(row.cells)] for at in places]

        return cells("reading", "total", "condition"), cells("setting", "recorded")

    def cells(self, run_rows: Sequence[RunRow], decimal: Mark, findings: Findings) -> dict[str, list[str]]:
        """Return the cells of rows that are runs by the names of the session's columns, in their units and signs."""
        texts = text_columns(run_rows, self.roles, findings, labels=self.sheet.labels)
        if "run" not in self.roles.texts or findings.options.labels == "number":
            del texts["run"]  # the next label of the day
        if "configuration" not in self.roles.texts and findings.options.configuration is None:
            del texts["configuration"]
        there = {name: texts.get(name, [""] * len(run_rows)) for name in (*texts, *self.roles.texts)}
        drag_sign = "rearward" if self.drag_said else findings.options.drag_sign
        readings = reading_cells(run_rows, self.readings, drag_sign, findings)
        air = condition_cells(run_rows, self.conditions, decimal, findings)
        for name, (column, file) in self.found.items():
            plan = self.sheet.plan(name)
            if plan.role == "text":
                continue
            own = readings[plan.channel] if plan.channel else air.get(name)
            cells = own or self._fitted(column, file, plan, run_rows, decimal, findings)
            there[name] = [file.cell(text, plan) for text in cells]
        return {name: there[name] for name in there if name not in self.roles.texts or name in self.found}

    def _fitted(
        self,
        column: HeadColumn,
        file: FileColumn,
        plan: ColumnPlan,
        run_rows: Sequence[RunRow],
        decimal: Mark,
        findings: Findings,
    ) -> list[str]:
        """Return the cells of a setting, a record or a total."""
        cells = cells_under(column, run_rows)
        if plan.role != "total":
            cells = filled_down(column, run_rows, cells, findings)
        if plan.role == "setting" and not (self.own and self.sheet.file_format < NOT_FITTED_SINCE):
            cells = as_fitted(cells)
        texts, numeric = texts_of(cells, decimal, bare=self.own and not plan.unit)
        if numeric:
            return brought(column, plan.name, file.unit, run_rows, texts, findings)
        return [number_text(cell, decimal) or "" for cell in cells] if plan.unit else texts


def sheet_columns(
    sheet: RunSheet,
    table: ForeignTable,
    called: Mapping[str, FileColumn],
    findings: Findings,
) -> SheetColumns:
    """Find the columns of a session in a file."""
    found = columns_found(sheet, table.names, called)
    texts: dict[str, HeadColumn] = {}
    readings: dict[str, Measure] = {}
    conditions: dict[str, Measure] = {}
    files: dict[str, tuple[HeadColumn, FileColumn]] = {}
    others = []
    for header, column in zip(table.names, table.head.columns, strict=True):
        name = found.get(header)
        if name is None:
            others.append(column)
            continue
        plan, file = sheet.plan(name), called.get(name)
        if file is None or file.header != header:
            file = _by_its_header(plan, column, table, findings)
        files[name] = column, file
        if plan.role == "text":
            texts[name] = column
        elif plan.role == "condition":
            conditions[name] = Measure(column=column, quantity=name, unit=file.unit)
        elif plan.channel:
            down = file.positive == "down"
            readings[plan.channel] = Measure(
                column=column,
                quantity=plan.channel,
                unit=file.unit,
                form=plan.form,
                down=down,
                scale=file.scale,
            )
    roles = Roles(
        texts=texts,
        conditions={name: one.column for name, one in conditions.items()},
        readings={channel: one.column for channel, one in readings.items()},
        recorded=(),
        others=tuple(column for column in others if column.header),
    )
    said = "drag" in called or "drag_coefficient" in called
    return SheetColumns(
        sheet=sheet, found=files, roles=roles, readings=readings, conditions=conditions, own=table.own, drag_said=said,
    )  # fmt: skip


def _by_its_header(
    plan: ColumnPlan, column: HeadColumn, table: ForeignTable, findings: Findings
) -> FileColumn:
    """Take a column that is called as in the session for what it is called, unless other words speak against that."""
    header = column.header
    if plan.role not in ("reading", "total"):
        return FileColumn(header=header, unit=plan.unit)
    positive = positive_of(plan)
    if plan.channel and not table.own:
        quantity = quantity_of(plan)
        measure = measure_reading(quantity, column, table.facts, findings)
        doubt_unit(measure, table.facts, findings)
        if measure is not None and quantity != "drag":
            positive = "down" if measure.down else "up"
        if measure is not None:
            return FileColumn(header=header, unit=measure.unit, positive=positive, scale=measure.scale)
    return FileColumn(header=header, unit=plan.unit, positive=positive)
