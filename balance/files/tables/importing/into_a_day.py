"""An import that joins a day that is there: its runs as rows of that day's sheet, nothing else of it touched."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from balance.files.day.run_entry import CARRIED, label_after, next_entry
from balance.files.formats.runs_header import FORMS, plan_columns
from balance.files.tables.header.file_column import FileColumn, positive_of
from balance.files.tables.header.mapping import likely
from balance.files.tables.header.understood import table_of
from balance.files.tables.importing.plan import NOT_FITTED, Findings, ImportOptions
from balance.files.tables.reading.grid import Row, RunRow
from balance.files.tables.rows.sheet_columns import sheet_columns
from balance.model.columns import LINKS
from balance.model.errors import InputError, one_line
from balance.units.text import dimension_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.day.run_sheet import RunSheet
    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.tables.importing.plan import ImportPlan, Question

_OF_THE_DAY = ("speed", "air_density", "reference_area", "forces")
"""Questions that a day which is there has answered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A sheet with the runs of an import added at its end.

    There is no sheet while any question is open. ``added`` are the labels of runs that were added, ``there`` those of runs
    that the day has already with the same readings, ``left`` the headers of records that it has no column for.
    """

    sheet: RunSheet | None = None
    questions: tuple[Question, ...] = ()
    added: tuple[str, ...] = ()
    there: tuple[str, ...] = ()
    left: tuple[str, ...] = ()


def open_for(plan: ImportPlan) -> tuple[Question, ...]:
    """Return the questions of a plan that a day which is there does not answer."""
    return tuple(question for question in plan.questions if question.key not in _OF_THE_DAY)


def join(sheet: RunSheet, plan: ImportPlan, options: ImportOptions | None = None) -> Joined:
    """Add the runs of an import to a sheet."""
    findings = Findings(options)
    answers = findings.options
    if first := open_for(plan):
        return Joined(questions=first)
    called, new, left = _columns(sheet, plan, answers)
    there = {*called, *(ours.name for ours in sheet.plans if ours.header in plan.header)}
    for name in sheet.names("setting"):
        if name not in there and name not in answers.not_fitted:
            free = [header for header in new if _could_be(header, sheet.plan(name))]
            near = likely(sheet.plan(name), free)
            findings.ask(
                f"column.{name}", f"the day has the setting '{name}': which column of the file is it?",
                f'--column {name}="{free[0] if free else "HEADER"}", or --not-fitted {name}', "columns",
                (*near, *(header for header in free if header not in near), NOT_FITTED),
            )  # fmt: skip
    grown = sheet.with_columns(new)
    added, there_already = _labelled(grown, _cells(grown, plan, called), findings)
    if findings.questions:
        return Joined(questions=tuple(findings.questions))
    return Joined(
        sheet=grown.appended(*added) if added else sheet,
        added=tuple(cells["run"] for cells in added),
        there=tuple(there_already),
        left=tuple(left),
    )


def _columns(
    sheet: RunSheet, plan: ImportPlan, answers: ImportOptions
) -> tuple[dict[str, FileColumn], list[str], list[str]]:
    """Find for each column of an import the one of the sheet; those that are new, and those that are left."""
    theirs, _ = plan_columns(
        plan.header, line=1, file=plan.source.name, recorded=plan.recorded, file_format=plan.file_format
    )
    called: dict[str, FileColumn] = {}
    new, left = [], []
    becomes = {column.header: column.becomes for column in plan.columns}
    said = {becomes.get(header, header): name for name, header in answers.columns.items()}
    for one in theirs:
        ours = sheet.plan(said[one.header]) if one.header in said else _same(sheet, one)
        if ours is None:
            filled = any(row[one.index] for row in plan.rows)
            if one.role == "recorded":
                left.append(one.header)
            elif filled and one.role != "text":
                new.append(one.header)
            continue
        _refuse_another(one, ours, plan.source.name)
        if ours.header != one.header:
            called[ours.name] = FileColumn(
                header=one.header,
                unit=one.unit,
                positive=positive_of(one) if one.role in ("reading", "total") else "",
            )
    return called, new, left


def _could_be(header: str, ours: ColumnPlan) -> bool:
    """Return whether a new column has a unit of the same kind as one of the sheet, or both have none."""
    unit = header.partition(" [")[2].removesuffix("]")
    return unit == ours.unit or bool(unit and ours.unit and dimension_of(unit) == dimension_of(ours.unit))


def _same(sheet: RunSheet, one: ColumnPlan) -> ColumnPlan | None:
    """Return the sheet's column that is what one of the import is, whatever its unit and sign."""
    for ours in sheet.plans:
        alike = ours.channel == one.channel if one.channel else ours.role == one.role == "total"
        if alike or ours.name == one.name:
            return ours
    return None


def _refuse_another(one: ColumnPlan, ours: ColumnPlan, file: str) -> None:
    """Refuse a column that measures something else in the sheet."""
    if one.channel and one.form != ours.form:
        raise InputError(
            one_line(
                f"{file}: found {FORMS[one.form]} under '{one.header}', expected {FORMS[ours.form]} as in '{ours.header}'"
            )
        )
    if one.unit != ours.unit and not (
        one.unit and ours.unit and dimension_of(one.unit) == dimension_of(ours.unit)
    ):
        raise InputError(
            one_line(f"{file}: found the column '{one.header}', expected '{ours.header}' as in runs.csv")
        )


def _cells(sheet: RunSheet, plan: ImportPlan, called: Mapping[str, FileColumn]) -> list[dict[str, str]]:
    """Return the cells of each run in the columns of the sheet."""
    rows = [Row(line=line, cells=cells) for line, cells in zip(plan.lines, plan.rows, strict=True)]
    table = replace(table_of(plan.header), own=True)
    findings = Findings(ImportOptions(drag_sign="rearward", zero_means="reading"))
    found = sheet_columns(sheet, table, called, findings)
    places = {name: plan.header.index(name) if name in plan.header else -1 for name in ("run", "status")}
    run_rows = [
        RunRow(
            row=row,
            label=row.text(places["run"]),
            configuration=row.text(plan.header.index("configuration")),
            status=row.text(places["status"]) if places["status"] >= 0 else "",
            figures={one.column.index: row.text(one.column.index) for one in found.readings.values()},
        )
        for row in rows
    ]
    cells = found.cells(run_rows, "point", findings)
    carried = {name: text for name, text in next_entry(sheet).cells.items() if name in CARRIED}
    return [carried | dict(zip(cells, texts, strict=True)) for texts in zip(*cells.values(), strict=True)]


def _labelled(
    sheet: RunSheet, rows: list[dict[str, str]], findings: Findings
) -> tuple[list[dict[str, str]], list[str]]:
    """Give each run a label that the day has not, as somebody has said; and tell which runs it has already."""
    answers = findings.options
    taken, renamed = set(sheet.labels), dict[str, str]()
    added, there = [], []
    last = sheet.labels[-1] if sheet.labels else "0"
    for cells in rows:
        label = cells["run"]
        if label in sheet.labels:
            known = sheet.cells(label)
            if all(known[plan.name] == cells[plan.name] for plan in sheet.force_columns):
                there.append(label)
                continue
            if answers.labels is None:
                text = f"the day has a run '{label}' already, with other readings"
                findings.ask_choice("labels", text, ("suffix", "number"))
        if answers.labels == "number":
            last = renamed[label] = label_after(last, taken)
        elif label in taken:
            renamed[label] = _suffixed(label, taken)
        taken.add(renamed.get(label, label))
        added.append(cells)
    for cells in added:
        for name in ("run", *LINKS):
            if name in cells:
                cells[name] = renamed.get(cells[name], cells[name])
    return added, there


def _suffixed(label: str, taken: set[str]) -> str:
    count = 2
    while f"{label} ({count})" in taken:
        count += 1
    return f"{label} ({count})"
