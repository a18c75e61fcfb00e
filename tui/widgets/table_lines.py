"""A small table as lines of a page, its columns dropped where they have no room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.table import EMPTY
from tui.widgets.columns import GUTTER, header_lines, lay_out, row_line
from tui.widgets.plain import cells, plain

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.tell.table import Column, Table


def table_lines(table: Table, width: int) -> list[tuple[str, str]]:
    """Write a table as lines, danger and answers set off."""
    layout = lay_out(fitted_columns(table, width + GUTTER), width + GUTTER)
    titles, units = (_text(line) for line in header_lines(layout, None))
    lines = [(table.heading, "heading")] if table.heading else []
    lines += [(text, "muted") for text in (titles, units) if text.strip()]
    for row in table.rows:
        roles = {one.role for one in row.values()}
        line = row_line(layout, lambda key, row=row: row.get(key, EMPTY), cursor=False)  # type: ignore[misc]
        lines.append((_text(line), next((role for role in ("danger", "strong") if role in roles), "")))
    return lines


def shown_whole(table: Callable[..., Table], width: int) -> Table:
    """Make a table with whole names where all of it has room, else with ``short`` ones that tell its rows apart."""
    whole = table(short=False)
    columns = [_fitted(whole, column, whole=True) for column in whole.columns]
    return table(short=True) if lay_out(columns, width + GUTTER).dropped else whole


def fitted_columns(table: Table, width: int) -> list[Column]:
    """Fit columns to what stands in them; flexible ones may be narrower where not all have room."""
    whole = [_fitted(table, column, whole=True) for column in table.columns]
    if not lay_out(whole, width).dropped:
        return whole
    return [_fitted(table, column, whole=False) for column in table.columns]


def _fitted(table: Table, column: Column, *, whole: bool) -> Column:
    """Fit a column to what stands in it; a flexible one may be narrower where room is short."""
    longest = max((cells(plain(row[column.key].text)) for row in table.rows if column.key in row), default=1)
    narrow = column.flexible and not whole
    width = min(longest, column.width) if narrow else longest
    return column._replace(width=width, flexible=narrow)


def _text(line: list[tuple[str, str]]) -> str:
    return "".join(text for text, _ in line)[GUTTER:].rstrip()
