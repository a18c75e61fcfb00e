"""How cells are put on a sheet: a head and its units, numbers as numbers, texts always as texts."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

FIRST_ROW = 2
"""Row of the first figures, counted from 0: below the head and its units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetColumn:
    """One column of a sheet: what stands over it, and each row's figure or text, with a formula where it has one."""

    title: str
    unit: str = ""
    values: Sequence[float | str | None]
    formula: Callable[[int], str] | None = None
    style: str = "0.0"
    width: float = 12.0


def letters(index: int) -> str:
    """Name a column as a spreadsheet does.

    Parameters
    ----------
    index : int
        From 0. [1]

    Returns
    -------
    str
        One letter or more. [1]

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


def write_columns(book: Any, sheet: Any, columns: Sequence[SheetColumn]) -> None:
    """Write columns with their heads and units, and keep the heads in sight.

    Parameters
    ----------
    book, sheet : object
        Of the workbook's writer. [1]
    columns : sequence of SheetColumn
        From left to right. [1]
    """
    head = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    unit = book.add_format({"italic": True})
    for index, column in enumerate(columns):
        style = book.add_format({"num_format": column.style})
        sheet.set_column(index, index, column.width)
        sheet.write_string(0, index, column.title, head)
        sheet.write_string(1, index, column.unit, unit)
        for row, value in enumerate(column.values, start=FIRST_ROW):
            if isinstance(value, str):
                sheet.write_string(row, index, value)
            elif value is not None and math.isfinite(value):
                if column.formula is None:
                    sheet.write_number(row, index, value, style)
                else:
                    sheet.write_formula(row, index, f"={column.formula(row + 1)}", style, value)
    sheet.freeze_panes(FIRST_ROW, 2)
