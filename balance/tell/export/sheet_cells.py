"""How cells are put on a sheet: a head and its units, numbers as numbers, texts always as texts."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

FIRST_ROW = 2
"""Row of the first figures, counted from 0: below the head and its units."""


Filled = tuple[Column, "Sequence[float | str | None]"]
"""A column of a sheet, and what its rows hold: a figure, a text, or nothing."""


def filled(
    *,
    title: str,
    values: Sequence[float | str | None],
    key: str = "",
    unit: str = "",
    style: str = "0.0",
    width: int = 12,
    formula: Callable[[int], str] | None = None,
) -> Filled:
    """Return a column of a sheet with its values; it goes by its title where it has no key of its own."""
    column = Column(key or title, title, unit=unit, style=style, width=width, formula=formula)
    return column, values


def sheet_table(filled: Sequence[Filled]) -> Table:
    """Lay filled columns out as one table."""
    rows = zip(*(values for _, values in filled), strict=True)
    return table_of([column for column, _ in filled], ([Cell(value=value) for value in row] for row in rows))


def letters(index: int) -> str:
    """Name a column as a spreadsheet does.

    Examples
    --------
    >>> letters(0), letters(27)
    ('A', 'AB')
    """
    name = ""
    while index >= 0:
        name = chr(65 + index % 26) + name
        index = index // 26 - 1
    return name


def write_table(book: Any, sheet: Any, table: Table) -> None:
    """Write a table with the heads and units of its columns, and keep the heads in sight."""
    head = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    unit = book.add_format({"italic": True})
    for index, column in enumerate(table.columns):
        style = book.add_format({"num_format": column.style})
        sheet.set_column(index, index, column.width)
        sheet.write_string(0, index, column.title, head)
        sheet.write_string(1, index, column.unit, unit)
        for row, cells in enumerate(table.rows, start=FIRST_ROW):
            value = cells[column.key].value
            if isinstance(value, str):
                sheet.write_string(row, index, value)
            elif value is not None and math.isfinite(value):
                if column.formula is None:
                    sheet.write_number(row, index, value, style)
                else:
                    sheet.write_formula(row, index, f"={column.formula(row + 1)}", style, value)
    sheet.freeze_panes(FIRST_ROW, 2)
