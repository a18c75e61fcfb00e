"""A table, the same on the screen, in print, on a page and in a workbook: columns that give way, and ready cells."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence


class Cell(NamedTuple):
    """Ready text and its role, with what a page and a workbook show beyond it.

    ``role`` is "", "muted", "good", "warn", "danger", "soft" or "strong". A page writes ``between`` (the interval)
    and ``other`` (the same in the other system of units) under the text. A workbook stores ``value`` as a number or a
    text; nothing leaves its cell empty.
    """

    text: str = ""
    role: str = ""
    between: str = ""
    other: str = ""
    value: float | str | None = None


class Column(NamedTuple):
    """One column: what stands over it, how wide it is, and how readily it gives way (a higher priority goes first).

    ``width`` is the least width in cells, widened to hold title and unit. ``decimals`` is the most characters
    after the decimal point, for cells aligned on it. A flexible column takes what width is left over. ``term`` is the
    key of the glossary entry that explains it. In a workbook ``style`` is the number format, and ``formula`` gives
    what computes the value in a row, counted from 1.
    """

    key: str
    title: str
    unit: str = ""
    align: Literal["left", "right", "decimal"] = "left"
    width: int = 1
    priority: int = 0
    group: str = ""
    decimals: int = 0
    flexible: bool = False
    term: str = ""
    style: str = "0.0"
    formula: Callable[[int], str] | None = None


class Cells(Protocol):
    """Columns, and a cell for each row and column's key: what every table is shown from."""

    @property
    def columns(self) -> tuple[Column, ...]:
        """All columns, in order."""

    def cell(self, row: int, key: str) -> Cell:
        """Return one cell."""


class Table(NamedTuple):
    """A heading, columns, and rows: cells by the columns' keys.

    On a page the first cell of a row names it, ``key`` is the table's name there, ``note`` stands below it, and
    ``number`` counts the tables that a long one is laid out as.
    """

    columns: tuple[Column, ...]
    rows: tuple[Mapping[str, Cell], ...]
    heading: str = ""
    key: str = ""
    note: str = ""
    number: int = 1
    kind: str = "table"

    def cell(self, row: int, key: str) -> Cell:
        """Return one cell, an empty one where the row has none."""
        return self.rows[row].get(key, EMPTY)

    def cells(self, row: int) -> tuple[Cell, ...]:
        """Return the cells of a row from the left."""
        return tuple(self.cell(row, column.key) for column in self.columns)


EMPTY = Cell()


def words_columns(*titles: str) -> tuple[Column, ...]:
    """Return columns of words that go by their titles."""
    return tuple(Column(title, title) for title in titles)


def figures_columns(*titles: str) -> tuple[Column, ...]:
    """Return columns of figures that go by their titles."""
    return tuple(Column(title, title, align="right") for title in titles)


def table_of(
    columns: Sequence[Column],
    rows: Iterable[Sequence[Cell]],
    *,
    heading: str = "",
    key: str = "",
    note: str = "",
) -> Table:
    """Lay out rows whose cells stand in the order of the columns."""
    keys = [column.key for column in columns]
    if len(set(keys)) < len(keys):
        raise ValueError(f"found columns with equal keys, expected one of each: {keys}")
    named = tuple(dict(zip(keys, row, strict=True)) for row in rows)
    return Table(columns=tuple(columns), rows=named, heading=heading, key=key, note=note)


def order_rows(
    rows: Sequence[int], value: Callable[[int], tuple[int, float | str]], *, falling: bool
) -> list[int]:
    """Order rows by a value, those without one last whichever way it goes.

    Examples
    --------
    >>> order_rows([0, 1, 2], {0: (0, 5.0), 1: (2, ""), 2: (0, 7.0)}.__getitem__, falling=True)
    [2, 0, 1]
    """
    keyed = [(value(row), row) for row in rows]
    present = sorted((item for item in keyed if item[0][0] != 2), key=lambda item: item[0], reverse=falling)
    return [row for _, row in present] + [row for key, row in keyed if key[0] == 2]


def aligned_lines(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> list[tuple[str, str]]:
    """Set a small table in lines of label and text, figures one under the other."""
    table = [head, *rows]
    widths = [max(len(row[k]) for row in table) for k in range(1, len(head))]
    return [
        (row[0], "  ".join(cell.rjust(width) for cell, width in zip(row[1:], widths, strict=True)).rstrip())
        for row in table
    ]
