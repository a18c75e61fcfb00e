"""Long tables laid out as several whole ones, each of which fits on one printed sheet."""

from __future__ import annotations

from dataclasses import replace
from textwrap import wrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.tell.table import Cell, Table

LINES = 43.0
"""Printed lines that the rows of one table may take: less than a sheet of Letter, the shorter of the two."""
_ACROSS = 94
"""Characters from edge to edge of a sheet of A4, the narrower of the two."""
_GAP = 2
"""Characters that the space between two columns takes."""
_RULE = 0.5
"""Lines that the space and the rule under a row take."""


def in_sheets(table: Table) -> tuple[Table, ...]:
    """Lay a table out so that none of it has to be split between two printed sheets."""
    heights = _heights(table)
    count = len(_split(heights, LINES))
    if count <= 1:
        return (table,)
    steps = (sum(heights) / count + 0.5 * k for k in range(int(2 * LINES) + 1))
    parts = next((p for most in steps if most < LINES and len(p := _split(heights, most)) == count), None)
    return tuple(
        replace(
            table,
            number=number,
            heading=f"{table.heading}; rows {part.start + 1} to {part.stop} of {len(table.rows)}",
            rows=table.rows[part.start : part.stop],
            note=table.note if part.stop == len(table.rows) else "",
        )
        for number, part in enumerate(parts or _split(heights, LINES), start=1)
    )


def _split(heights: Sequence[float], most: float) -> list[range]:
    """Put as many rows together as are not higher than that; a row that is higher by itself stands alone."""
    starts, height = [0], 0.0
    for row, more in enumerate(heights):
        if height + more > most and row > starts[-1]:
            starts.append(row)
            height = 0.0
        height += more
    return [range(a, b) for a, b in zip(starts, [*starts[1:], len(heights)], strict=True)]


def _heights(table: Table) -> list[float]:
    """Estimate the printed lines of each row: columns of words share what columns of figures leave over."""
    columns = range(len(table.columns))
    rows = [table.cells(row) for row in range(len(table.rows))]
    longest = [max((_long(row[k]) for row in rows), default=0) + _GAP for k in columns]
    words = [k for k in columns if table.columns[k].align == "left"]
    room = _ACROSS - sum(longest[k] for k in columns if k not in words)
    share = min(1.0, room / sum(longest[k] for k in words)) if words else 1.0
    widths = {k: max(4, int(longest[k] * share) - _GAP) for k in words}
    return [max(_lines(cell, widths.get(k)) for k, cell in enumerate(row)) + _RULE for row in rows]


def _long(cell: Cell) -> int:
    return max(len(cell.text), len(cell.between), len(cell.other))


def _lines(cell: Cell, width: int | None) -> int:
    """Count the lines of a cell; a figure keeps to one line each for itself, its interval and its other unit."""
    texts = [text for text in (cell.text, cell.between, cell.other) if text]
    return sum(1 if width is None else max(1, len(wrap(text, width))) for text in texts)
