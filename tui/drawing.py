"""From what telling says of a table to what the widgets draw."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.widgets.columns import Column

if TYPE_CHECKING:
    from balance.tell.run_table import TableColumn


def as_column(column: TableColumn) -> Column:
    """Give a column of a table the form that is drawn.

    Parameters
    ----------
    column : TableColumn
        As telling describes it.

    Returns
    -------
    Column
        As the widgets draw it.
    """
    return Column(
        key=column.key,
        title=column.title,
        unit=column.unit,
        align=column.align,
        width=column.width,
        priority=column.priority,
        group=column.group,
        flexible=column.flexible,
    )
