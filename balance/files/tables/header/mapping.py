"""Which column of a file is which of the session: by its own header, as somebody has said, or as it seems to be."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from balance.files.formats.runs_header import FORMS
from balance.files.tables.header.file_column import AS_THEY_ARE, FileColumn, kind_of
from balance.files.tables.header.meanings import meaning_of
from balance.files.tables.header.roles import Roles, of_speed
from balance.files.tables.header.unit_words import spelled
from balance.files.tables.importing.plan import Findings
from balance.files.tables.reading.numerals import tidy
from balance.files.tables.rows.measures import ask_drag_sign, measure_conditions, measure_reading
from balance.model.columns import CONDITIONS, TEXTS
from balance.model.errors import InputError, one_line
from balance.model.kinds import KINDS
from balance.units.text import dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from balance.files.day.run_sheet import RunSheet
    from balance.files.formats.runs_header import ColumnPlan
    from balance.files.tables.header.head import HeadColumn
    from balance.files.tables.header.meanings import Quantity
    from balance.files.tables.header.understood import ForeignTable
    from balance.files.tables.importing.plan import ImportOptions, Question


def columns_found(
    sheet: RunSheet, header: Iterable[str], called: Mapping[str, FileColumn] = AS_THEY_ARE
) -> dict[str, str]:
    """Find the columns of the sheet among those of another computer's table."""
    there = tuple(header)
    headers = {_bare(plan.header): plan.name for plan in sheet.plans if plan.name}
    said = {column.header: name for name, column in called.items() if column.header in there}
    names = {plan.name for plan in sheet.plans}
    found = {}
    for text in there:
        name = said.get(text, "")
        if not name and (same := headers.get(_bare(text), "")) not in said.values():
            name = same
        if name in names and name:
            found[text] = name
    return found


def columns_asked(
    sheet: RunSheet, header: Iterable[str], called: Mapping[str, FileColumn] = AS_THEY_ARE
) -> tuple[ColumnPlan, ...]:
    """Return the columns of the sheet that the other table has not by their own headers."""
    own = {name for name in columns_found(sheet, header).values() if name not in called}
    asked = [plan for plan in sheet.plans if plan.name and plan.name not in own]
    order = {"reading": 0, "setting": 2, "condition": 3, "total": 3, "recorded": 3, "text": 4}

    def place(plan: ColumnPlan) -> int:
        return 1 if plan.name in TEXTS and TEXTS[plan.name].required else order[plan.role]

    return tuple(sorted(asked, key=place))


def check_columns(
    sheet: RunSheet, file: str, header: Iterable[str], called: Mapping[str, FileColumn] = AS_THEY_ARE
) -> dict[str, str]:
    """Return the columns as `columns_found` does, or say why rows of the table cannot be taken over."""
    there = tuple(header)
    found = columns_found(sheet, there, called)
    names = {plan.name: plan.header for plan in sheet.plans if plan.name}
    for text in there:
        name = text.split("[")[0].strip()
        if name in names and name not in found.values():
            raise InputError(
                one_line(
                    f"{file}: found the column '{text}', expected '{names[name]}' as in runs.csv; "
                    "let both have one unit"
                )
            )
    for plan in sheet.force_columns:
        if plan.name not in found.values():
            raise InputError(
                one_line(
                    f"{file}: found no column '{plan.header}', expected one, name, sign and unit as in runs.csv; "
                    f"there: {', '.join(there)}"
                )
            )
    return found


def _bare(header: str) -> str:
    return "".join(header.split())


def column_of(
    plan: ColumnPlan, header: str, table: ForeignTable, figures: Sequence[str], options: ImportOptions
) -> FileColumn | Question:
    """Find unit and sign of the column of a file that somebody has picked for a column of the session."""
    column = table.column(header)
    meaning = column.meaning
    if plan.role == "text":
        return FileColumn(header=header)
    findings = Findings(options)
    quantity = quantity_of(plan)
    if quantity:
        if quantity == "drag":
            _doubt_drag(column, figures, findings)
        else:
            sign = meaning.sign or "unknown"
            column = replace(column, meaning=replace(meaning, quantity=quantity, name="", sign=sign))
        measure = measure_reading(quantity, column, table.facts, findings)
        if findings.questions or measure is None:
            return findings.questions[0]
        if measure.form != plan.form:
            raise InputError(
                one_line(
                    f"found {FORMS[measure.form]} under '{header}', expected {FORMS[plan.form]} as in "
                    f"'{plan.header}'; pick another column"
                )
            )
        lift = "down" if measure.down else "up"
        positive = lift if quantity != "drag" else options.drag_sign or "rearward"
        return FileColumn(header=header, unit=measure.unit, positive=positive, scale=measure.scale)
    if plan.role == "condition":
        roles = Roles(texts={}, conditions={plan.name: column}, readings={}, recorded=(), others=())
        measures = measure_conditions(roles, findings)
        if findings.questions:
            return findings.questions[0]
        return FileColumn(header=header, unit=measures[plan.name].unit)
    return _setting(plan, column, findings)


def _doubt_drag(column: HeadColumn, figures: Sequence[str], findings: Findings) -> None:
    """Ask which way drag points where the header does not name it, or most figures are negative."""
    if findings.options.drag_sign is not None:
        return
    negative = sum(tidy(text).startswith("-") for text in figures)
    if 2 * negative > len(figures):
        ask_drag_sign(f"{negative} of {len(figures)} are negative", findings)
    elif column.meaning.quantity != "drag":
        ask_drag_sign(f"'{column.header}' does not say", findings)


def _setting(plan: ColumnPlan, column: HeadColumn, findings: Findings) -> FileColumn | Question:
    kind = kind_of(plan)
    unit = spelled(findings.options.units.get(plan.name, column.unit), kind)
    if not plan.unit or unit == plan.unit or (kind and known_unit(unit) and dimension_of(unit) == kind):
        return FileColumn(header=column.header, unit=unit)
    choices = tuple(dict.fromkeys((plan.unit, *(KINDS[kind].common if kind else ()))))
    known = f"has the unit '{unit}', which is none of {plan.name}" if unit else "has no unit"
    findings.ask_unit(plan.name, f"'{column.header}' {known}: {', '.join(choices)}?", choices)
    return findings.questions[0]


def quantity_of(plan: ColumnPlan) -> Quantity:
    """Return what was read in a column, as headers of others mean it; empty where it is no reading."""
    return plan.channel or ("total" if plan.role == "total" else "")


def likely(plan: ColumnPlan, headers: Sequence[str]) -> tuple[str, ...]:
    """Return the headers that seem to be a column of the session, by the words in them."""
    words = "".join(plan.name.split("_"))
    found: list[tuple[int, str]] = []
    for header in headers:
        meaning, name, _ = meaning_of(header)
        same = (meaning.coefficient or meaning.area) == (plan.form != "force")
        named = plan.role in ("text", "condition") and meaning.name == plan.name
        named = named or (plan.name == "speed" and speed_like(header))
        bare = _plain(name)
        spelled_so = (
            plan.role in ("setting", "recorded") and len(bare) > 2 and (bare in words or words in bare)
        )
        if meaning.quantity and meaning.quantity == quantity_of(plan):
            found.append((0 if same else 1, header))
        elif named or spelled_so:
            found.append((0, header))
    return tuple(header for _, header in sorted(found, key=lambda one: one[0]))


def speed_like(header: str) -> bool:
    """Return whether a header calls its column a speed, or its unit is one of speed."""
    meaning, _, unit = meaning_of(header)
    if meaning.quantity not in ("", "condition", "recorded"):
        return False
    return meaning.name == "speed" or of_speed(unit)


def unsaid_speed(sheet: RunSheet, header: Iterable[str], called: Mapping[str, FileColumn]) -> str:
    """Find a column of speeds of which nobody has said whether it is that of the runs."""
    found = columns_found(sheet, header, called)
    if "speed" in called or "speed" in found.values():
        return ""
    return next((text for text in header if text not in found and speed_like(text)), "")


def speed_header(header: str) -> str:
    """Name the column that a speed gets in runs.csv, with the unit that it has in the file."""
    unit = meaning_of(header)[2]
    return f"speed [{spelled(unit, 'speed') if of_speed(unit) else CONDITIONS['speed'].unit}]"


def _plain(name: str) -> str:
    return "".join(character for character in name.casefold() if character.isalnum())
