"""The total of a file that has both axles as well: kept as the total of runs.csv, and held against their sum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.header.meanings import words_of
from balance.files.tables.header.unit_words import spelled
from balance.files.tables.importing.plan import AS_RECORD
from balance.files.tables.reading.numerals import missing, number_text
from balance.files.tables.rows.fittings import Fitting, brought, cells_under, texts_of, unit_of
from balance.files.tables.rows.measures import converted
from balance.model.axle_sum import total_parts
from balance.model.columns import TOTALS
from balance.units.text import dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.tables.header.head import HeadColumn
    from balance.files.tables.header.meanings import Sign
    from balance.files.tables.header.roles import Roles
    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import Cell, RunRow
    from balance.files.tables.reading.numerals import Mark
    from balance.model.records import Form


def total_fitting(
    recorded: Sequence[HeadColumn],
    run_rows: Sequence[RunRow],
    form: Form,
    decimal: Mark,
    findings: Findings,
) -> Fitting | None:
    """Find the total among the columns that are measured."""
    names = {"up": "total_lift", "down": "total_downforce"}
    said = {words_of(name) for name in findings.options.recorded}
    for column in recorded:
        name = names.get(column.meaning.sign, "")
        if column.meaning.quantity != "total" or column.meaning.coefficient or name not in TOTALS:
            continue
        if said & {words_of(column.header), words_of(column.name)}:
            continue
        unit = unit_of(column, name, findings.options, "force")
        if not known_unit(unit) or dimension_of(unit) != form:
            continue
        cells = cells_under(column, run_rows)
        texts, numeric = texts_of(cells, decimal, bare=False)
        if numeric:
            return Fitting(
                column=column,
                name=name,
                unit=unit,
                recorded=False,
                cells=tuple(brought(column, name, unit, run_rows, texts, findings)),
                why="held against the sum of the axles",
                total=True,
            )
    return None


def doubt_total(
    roles: Roles,
    run_rows: Sequence[RunRow],
    cells: Mapping[str, Sequence[str]],
    decimal: Mark,
    findings: Findings,
    *,
    settled: Sequence[str],
) -> None:
    """Hold the file's own total against the axles, and ask where they do not agree."""
    axles = {
        header.partition("_")[0]: (header, 1.0 if "downforce" in header else -1.0)
        for header in cells
        if header.startswith(("front_", "rear_"))
    }
    totals = [column for column in roles.recorded if column.meaning.quantity == "total"]
    if axles.keys() != {"front", "rear"} or not totals:
        return
    column, (header, _) = totals[0], axles["front"]
    if column.meaning.coefficient != ("_coefficient" in header):
        return
    unit = header.partition(" [")[2].removesuffix("]")
    found = []
    for place, one in enumerate(run_rows):
        cell = one.row.cell(column.index)
        front, rear = (float(cells[name][place]) * turn for name, turn in axles.values())
        there = one.units.get(column.index, column.unit)
        total = total_apart(front, rear, cell, there, unit, column.meaning.sign, decimal)
        if total is not None:
            found.append(
                f"line {one.row.line}: front {front:g} and rear {rear:g}, the file's total {total:g} {unit}"
            )
    if found and not any(words_of(name) == words_of(column.header) for name in settled):
        more = f", and {len(found) - 1} more lines" if len(found) > 1 else ""
        findings.ask(
            f"column.{column.header}",
            f"{found[0].rstrip()} (downforce positive) do not agree{more}: is a sign or a column mixed up?",
            f'--recorded "{column.header}" if the axles are right',
            "columns",
            (f"{AS_RECORD}{column.header}",),
        )


def total_apart(
    front: float,
    rear: float,
    cell: Cell,
    there: str,
    unit: str,
    sign: Sign,
    decimal: Mark,
    *,
    allowed: float | None = None,
) -> float | None:
    """Read a total, and give it where it is not the sum of the axles."""
    text = "" if missing(cell) else number_text(cell, decimal)
    if not text:
        return None
    total = float(_brought_to(text, there, unit))
    return total if total_parts(front, rear, total, sign, allowed=allowed) else None


def _brought_to(text: str, unit: str, into: str) -> str:
    """Bring a force to another unit where both are known; else it stands as it is."""
    written = spelled(unit, "force")
    if (
        unit
        and into
        and written != into
        and known_unit(written)
        and dimension_of(written) == dimension_of(into) == "force"
    ):
        return converted(text, written, into, "force")
    return text
