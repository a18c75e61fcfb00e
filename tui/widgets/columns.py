"""Columns of a table: which have room, where they stand, and how their cells are filled."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from balance.tell.table import Cell
from tui.widgets.plain import cells, cut, plain

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.tell.table import Column
    from tui.widgets.canvas import Line


class Place(NamedTuple):
    """A column that has room: first cell, number of cells, and whether a rule stands before it."""

    column: Column
    x: int
    width: int
    rule: bool


class Layout(NamedTuple):
    """The columns of a table for one width."""

    places: tuple[Place, ...]
    dropped: tuple[str, ...]
    width: int

    @property
    def room(self) -> dict[str, int]:
        """Width of each column, by its key."""
        return {place.column.key: place.width for place in self.places}


class Marks(NamedTuple):
    """The signs of one kind of terminal."""

    cursor: str = "►"
    rule: str = "│"
    rising: str = "↑"
    falling: str = "↓"
    more: str = "…"


UNICODE = Marks()
ASCII = Marks(">", "|", "/", "\\", "..")
GUTTER = 2


def least(column: Column) -> int:
    """Count the cells that a column needs."""
    return max(column.width, cells(plain(column.title)), cells(plain(column.unit)))


def lay_out(columns: Sequence[Column], width: int) -> Layout:
    """Choose the columns that have room, whole, and give the rest to the flexible one.

    Examples
    --------
    >>> from balance.tell.table import Column
    >>> columns = [Column(key="run", title="run"), Column(key="drag", title="drag", priority=2)]
    >>> lay_out(columns, 8).dropped
    ('drag',)
    """
    kept, dropped = list(columns), []
    while len(kept) > 1 and _needed(kept, 1) > width:
        least_important = max(reversed(kept), key=lambda column: column.priority)
        kept.remove(least_important)
        dropped.append(least_important.key)
    gap = 2 if _needed(kept, 2) <= width else 1
    spare = max(0, width - _needed(kept, gap))
    flexible = next((column for column in kept if column.flexible), None)
    places: list[Place] = []
    x = GUTTER
    for before, column in zip([None, *kept], kept, strict=False):
        rule = before is not None and before.group != column.group
        x += 0 if before is None else 3 if rule else gap
        cells_wide = least(column) + (spare if column is flexible else 0)
        cells_wide = min(cells_wide, max(0, width - x - 1))
        places.append(Place(column, x, cells_wide, rule))
        x += cells_wide
    return Layout(tuple(places), tuple(dropped), width)


def _needed(columns: list[Column], gap: int) -> int:
    between = sum(3 if a.group != b.group else gap for a, b in pairwise(columns))
    return GUTTER + sum(least(column) for column in columns) + between + 1


def header_lines(layout: Layout, sort: tuple[str, bool] | None, marks: Marks = UNICODE) -> tuple[Line, Line]:
    """Write the two header lines: titles with the sort mark, and units below."""

    def title(place: Place) -> Cell:
        # the sort mark may stand in the gap after the column, which is always there
        text = plain(place.column.title)
        mark = ""
        if sort is not None and sort[0] == place.column.key:
            mark = marks.falling if sort[1] else marks.rising
        spare = place.width - cells(text)
        if place.column.align == "left":
            return Cell(text + mark, "header")
        return Cell(" " * spare + text + mark, "header")

    def unit(place: Place) -> Cell:
        text = plain(place.column.unit)
        spare = 0 if place.column.align == "left" else place.width - cells(text)
        return Cell(" " * spare + text, "unit")

    return _line(layout, title, "header", marks), _line(layout, unit, "unit", marks)


def row_line(layout: Layout, cell: Callable[[str], Cell], *, cursor: bool, marks: Marks = UNICODE) -> Line:
    """Write one row."""

    def filled(place: Place) -> Cell:
        one = cell(place.column.key)
        return Cell(fill(plain(one.text), place.column, place.width, marks.more), one.role)

    return _line(layout, filled, "", marks, marks.cursor if cursor else "")


def _line(layout: Layout, text: Callable[[Place], Cell], blank: str, marks: Marks, cursor: str = "") -> Line:
    line: Line = [(cursor, "cursor-mark")] if cursor else []
    x = cells(cursor)
    for place in layout.places:
        if place.rule:
            line.append((" " * (place.x - 2 - x), blank))
            line.append((marks.rule, "rule"))
            x = place.x - 1
        line.append((" " * (place.x - x), blank))
        one = text(place)
        line.append((one.text, one.role))
        x = place.x + cells(one.text)
    line.append((" " * max(0, layout.width - x), blank))
    return [piece for piece in line if piece[0]]


def fill(text: str, column: Column, width: int, more: str = "…") -> str:
    """Fit a text into a column.

    Examples
    --------
    >>> from balance.tell.table import Column
    >>> column = Column(key="share", title="share", align="decimal", decimals=2)
    >>> [fill(text, column, 6) for text in ("1.25", "12.5", "7")]
    ['  1.25', ' 12.5 ', '  7   ']
    """
    length = cells(text)
    if length > width:
        text = cut(text if column.align == "left" else more, width, more)
        length = cells(text)
    if column.align == "left":
        return text + " " * (width - length)
    behind = 0
    if column.align == "decimal" and column.decimals and (length == 1 or any(map(str.isdigit, text))):
        behind = max(0, column.decimals + 1 - cells(_tail(text)))
        behind = min(behind, width - length)
    return " " * (width - length - behind) + text + " " * behind


def _tail(text: str) -> str:
    """Return what stands behind the whole part of the first number, with its point."""
    first = next((index for index, character in enumerate(text) if character.isdigit()), len(text) - 1)
    end = first
    while end < len(text) and text[end].isdigit():
        end += 1
    return text[max(end, first + 1) :]
