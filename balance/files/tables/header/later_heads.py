"""Headers and units among the data: the first header again, one with other columns, another table's."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.header.head import (
    FEWEST,
    SEARCHED,
    figure,
    head_at,
    texts_of,
    units_there,
    words_only,
)
from balance.files.tables.header.meanings import recognised, words_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.tables.header.head import Head
    from balance.files.tables.reading.grid import Grid, Row


def again(rows: Sequence[Row], head: Head) -> Head | None:
    """Read a header among the data, which says what the first one says or what a header would."""
    if not words_only(rows[0]):
        return None
    names = {c.index: words_of(c.name) for c in head.columns if c.name}
    one = head_at(rows, 0)
    there = [c for c in one.columns if c.header]
    same = sum(1 for c in there if names.get(c.index) == words_of(c.name))
    if same >= max(FEWEST, len(there) / 2) or recognised(texts_of(rows[0])) >= FEWEST:
        return one
    return None


def said_again(rows: Sequence[Row], head: Head) -> tuple[int, dict[int, str]]:
    """Read a header or units among the data."""
    later = again(rows, head)
    if later is not None:
        return later.rows, {c.index: c.unit for c in later.columns if c.unit}
    if units_only(rows[0]):
        row = rows[0]
        return 1, {i: row.text(i).strip("[](){} ") for i in range(len(row.cells)) if row.text(i)}
    return 0, {}


def other_units(units: Mapping[int, str], head: Head) -> dict[int, str]:
    """Keep the units that are not those of the first header."""
    first = {c.index: c.unit for c in head.columns}
    return {index: unit for index, unit in units.items() if unit != first.get(index, "")}


def moved(head: Head, first: Head) -> bool:
    """Return whether a later header puts something else into a column than the first one does."""
    ours = {c.index: c for c in first.columns if c.header}
    for column in head.columns:
        known = ours.get(column.index)
        if not column.header or (known and words_of(known.name) == words_of(column.name)):
            continue
        if known is None or not column.meaning.quantity or known.meaning != column.meaning:
            return True
    return False


def header_above(grid: Grid, head: Head) -> Row | None:
    """Return the header of another table above the one found, which has rows of figures of its own."""
    for position in range(max(0, head.first - SEARCHED), head.first):
        rows = grid.rows[position + 1 : head.first]
        if (
            words_only(grid.rows[position])
            and recognised(texts_of(grid.rows[position])) >= FEWEST
            and any(sum(map(figure, row.cells)) >= FEWEST for row in rows)
        ):
            return grid.rows[position]
    return None


def lower_header(row: Row, under: Row, head: Head) -> bool:
    """Return whether a row of words right below a header may be a part of it that was not understood.

    It has words where the header has none and where the next row has figures.
    """
    blank = [i for i in range(len(row.cells)) if not any(c.index == i and c.header for c in head.columns)]
    return words_only(row) and any(
        row.text(i) and i < len(under.cells) and under.cells[i] != "" and figure(under.cells[i])
        for i in blank
    )


def units_only(row: Row) -> bool:
    """Return whether a row among the data holds units and nothing else."""
    return words_only(row) and units_there(row)
