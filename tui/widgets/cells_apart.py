"""The cells of runs in a table on the screen, where no two rows look alike whatever columns have room."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from balance.tell.runs.run_table import RunTable
    from balance.tell.table import Cell
    from tui.widgets.line_table import LineTable


def cells_apart(table: RunTable, rows: Sequence[int], widget: LineTable) -> Callable[[int, str], Cell]:
    """Give the cells of some rows by their position, laid out anew whenever other columns have room."""
    laid: list[tuple[Mapping[str, int], Callable[[int, str], Cell]]] = []

    def cell(position: int, key: str) -> Cell:
        if not laid or laid[-1][0] is not widget.room:
            laid[:] = [(widget.room, table.apart(rows, widget.room))]
        return laid[-1][1](rows[position], key)

    return cell
