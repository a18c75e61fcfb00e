"""Tables and charts as plain text for stdout: the same columns, cells and charts that the screens show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import UnknownName
from balance.tell.head import session_line, state_line
from balance.tell.runs.remarks import deciding_remarks, gathered, misleading, run_remarks, session_remarks
from balance.tell.runs.run_table import RunTable
from balance.tell.table import order_rows
from tui.printing.lines import folded, foot, grid
from tui.widgets.plain import cells, needs_ascii, plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.sweeps import Sweep
    from balance.tell.figures import Show
    from balance.tell.table import Column

WIDE = 110
"""Width from which a table has room for verdicts in full."""
_ALWAYS_SHOWN = ("run", "to", "verdict")
"""Columns that stay on the narrowest page: which run, and the answer in two columns."""
_LONGEST_LABEL = 24


def sorted_rows(result: Assessment, show: Show, sort: str | None) -> list[int]:
    """Order runs by a column; ``-column`` turns the order, and runs without a value stay last."""
    rows = list(range(len(result.labels)))
    if sort is None:
        return rows
    table = RunTable(result, show)
    falling, wanted = sort.startswith("-"), sort.removeprefix("-").strip().casefold().replace(" ", "_")
    keys = {column.key.removeprefix("setting:").casefold(): column.key for column in table.columns}
    if wanted not in keys:
        raise UnknownName("column to sort by", sort.removeprefix("-"), keys)
    return order_rows(rows, lambda row: table.sort_value(row, keys[wanted]), falling=falling)


def print_table(
    result: Assessment, show: Show, width: int, sort: str | None, *, full: bool
) -> tuple[str, tuple[str, ...]]:
    """Write a session's table for paper."""
    table = RunTable(result, show, wide=width >= WIDE)
    count = len(result.labels)
    rows = sorted_rows(result, show, sort)
    columns = [_fitted(c, [table.cell(row, c.key).text for row in rows]) for c in table.columns]
    drawn, dropped = grid(table, rows, width, columns=columns, fitted=table.apart)
    deciding, first = deciding_remarks(result, show), misleading(result.day, show)
    everything = [
        *gathered(result.labels, [list(run_remarks(result, row, show)) for row in range(count)]),
        *session_remarks(result, show),
    ]
    seen = {*deciding, *first, *result.day.session.left_out}
    parts = [
        *folded(session_line(result.day.session), width),
        *folded(state_line(result, show), width),
        "",
        drawn,
        *foot(deciding, [one for one in everything if one not in seen], width, full=full, first=first),
    ]
    return "\n".join(parts), dropped


def _fitted(column: Column, texts: Sequence[str]) -> Column:
    """Fit a column to what stands in it, so that it stays or goes whole; only names may be cut."""
    width = max((cells(plain(text)) for text in texts), default=1)
    if column.flexible:
        width = min(width, column.width)
    if column.key == "run":
        width = min(width, _LONGEST_LABEL)
    return column._replace(
        width=width, priority=-1 if column.key in _ALWAYS_SHOWN else max(column.priority, 1)
    )


def print_chart(result: Sweep, name: str, show: Show, width: int) -> str:
    """Draw a run against speed as text."""
    from balance.tell.runs.curves import CHARTS, speed_chart
    from tui.printing.streams import draws_curves
    from tui.widgets.braille_chart import draw
    from tui.widgets.canvas import to_text

    known = {name, name.removesuffix("_N"), "axle_loads" if "downforce" in name else name}
    kind = next((k for k in CHARTS if k in known), name)
    no_curves = needs_ascii() or not draws_curves()
    chart = draw(speed_chart(result, kind, show), min(width, 100), 18, ascii_only=no_curves)
    head = (session_line(result.day.session), result.name)
    return "\n".join([*(line for text in head for line in folded(text, width)), "", to_text(chart)])
