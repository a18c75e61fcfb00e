"""Units that stand in the cells themselves, as in ``160 km/h``: parted from the figures, and each heeded."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from balance.files.tables.header.unit_words import moment_unit, spelled
from balance.files.tables.reading.grid import spans
from balance.files.tables.reading.numerals import missing
from balance.model.columns import CONDITIONS
from balance.units.text import dimension_of, known_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.tables.header.head import Head, HeadColumn
    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import Grid, Row
    from balance.model.kinds import Kind

_WITH_UNIT = re.compile(
    r"(?P<figure>[+\-\u2212\u2013]?\s*[\d.,'\u2019\u00a0\u2009\u202f ]*\d(?:[eE][+-]?\d+)?)\s*"
    r"(?P<unit>[A-Za-zµ°º%][A-Za-zµ°º%²³/*^·\d. -]{0,13})"
)
_SAMPLE = 20
_READINGS = ("front", "rear", "drag", "total", "moment")


def part_units(grid: Grid, head: Head, findings: Findings) -> tuple[Grid, Head]:
    """Part units from the figures before them, in columns of readings, conditions and settings."""
    below = grid.rows[head.after :]
    columns = list(head.columns)
    units: dict[int, str] = {}
    for place, column in enumerate(columns):
        first = _unit_in_cells(column, below)
        if first:
            units[column.index] = column.unit or first
            columns[place] = replace(column, unit=column.unit or first)
            example = next(row.text(column.index) for row in below if _parted(row, column))
            findings.understood.append(f"'{column.header}': a unit stands in its cells, as in '{example}'")
    if not units:
        return grid, head
    mine = [column for column in columns if column.index in units]
    plain = [_plain(row, mine) for row in below]
    for column in mine:
        if others := [row.line for row in plain if column.index in row.units]:
            findings.understood.append(
                f"'{column.header}': brought to {column.unit} from another unit in the cell: line{'s' * (len(others) > 1)} "
                + spans(others)
            )
    return replace(grid, rows=(*grid.rows[: head.after], *plain)), replace(head, columns=tuple(columns))


def _unit_in_cells(column: HeadColumn, rows: Sequence[Row]) -> str:
    """Return the first unit in the cells of a column, if that is where its units stand: in most of the first ones.

    Of a column that is not understood every one has to have a unit, for it may hold names.
    """
    meaning = column.meaning
    if meaning.quantity == "text":
        return ""
    said = [row for row in rows[: 3 * _SAMPLE] if not missing(row.text(column.index))][:_SAMPLE]
    found = [parted[1] for row in said if (parted := _parted(row, column))]
    understood = meaning.quantity in _READINGS or meaning.name in CONDITIONS or column.unit
    enough = 2 * len(found) >= len(said) if understood else len(found) == len(said)
    return found[0] if found and enough else ""


def _parted(row: Row, column: HeadColumn) -> tuple[str, str] | None:
    """Part the figure of a cell from its unit; nothing where it is not one figure with one known unit."""
    cell = row.cell(column.index)
    match = _WITH_UNIT.fullmatch(cell.strip()) if isinstance(cell, str) else None
    if match is None:
        return None
    unit = match["unit"].strip()
    plain = spelled(unit, _kind(column))
    if moment_unit(unit) or plain == "%" or (known_unit(plain) and dimension_of(plain) is not None):
        return match["figure"], unit
    return None


def _kind(column: HeadColumn) -> Kind | None:
    meaning = column.meaning
    if meaning.name in CONDITIONS:
        return CONDITIONS[meaning.name].measures
    return "force" if meaning.quantity in _READINGS else None


def _plain(row: Row, columns: Sequence[HeadColumn]) -> Row:
    cells, units = list(row.cells), dict(row.units)
    for column in columns:
        parted = _parted(row, column)
        if parted is not None:
            cells[column.index] = parted[0]
            if spelled(parted[1], _kind(column)) != spelled(column.unit, _kind(column)):
                units[column.index] = parted[1]
    return replace(row, cells=tuple(cells), units=units)
