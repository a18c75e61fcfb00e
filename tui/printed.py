"""Tables and charts as plain text for stdout: the same columns, cells and charts that the screens show."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from balance.errors import UnknownName
from balance.tell.curves import CHARTS, speed_chart
from balance.tell.figures import Show, number
from balance.tell.head import session_line, state_line
from balance.tell.order import order_rows
from balance.tell.remarks import gathered, run_remarks, session_remarks
from balance.tell.run_table import RunTable
from balance.tell.words import CAUTIONS
from tui.widgets.braille_chart import draw, to_text
from tui.widgets.columns import Column, header_lines, lay_out, row_line
from tui.widgets.plain import needs_ascii

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.decide.assessment import Assessment, Sweep
    from balance.tell.run_table import Cell, TableColumn

WIDE = 110
"""Width from which a table has room for verdicts in full."""
_SPEED = "speed_m_s"


def as_column(column: TableColumn) -> Column:
    """Give a column of a table the form that is drawn."""
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


def sorted_rows(table: RunTable, count: int, sort: str | None) -> list[int]:
    """Order rows by a column; ``-column`` turns the order, and rows without a value stay last.

    Raises
    ------
    UnknownName
        If there is no such column.
    """
    rows = list(range(count))
    if sort is None:
        return rows
    falling, wanted = sort.startswith("-"), sort.removeprefix("-").strip().casefold().replace(" ", "_")
    keys = {column.key.removeprefix("setting:"): column.key for column in table.columns}
    if wanted not in keys:
        raise UnknownName("column to sort by", sort, keys)
    return order_rows(rows, lambda row: table.sort_value(row, keys[wanted]), falling=falling)


def print_table(result: Assessment, show: Show, width: int, sort: str | None) -> tuple[str, tuple[str, ...]]:
    """Write a session's table for paper.

    Parameters
    ----------
    result : Assessment
        The session at one speed.
    show : Show
        System of units.
    width : int
        Characters there are.
    sort : str or None
        Column to sort by.

    Returns
    -------
    tuple of str and tuple of str
        The text, and the titles of the columns left out for want of width.
    """
    table = RunTable(result, show, wide=width >= WIDE)
    count = len(result.labels)
    rows = sorted_rows(table, count, sort)
    grid, dropped = _grid([as_column(c) for c in table.columns], rows, table.cell, width)
    titles = {column.key: column.title for column in table.columns}
    notes = gathered(result.labels, [list(run_remarks(result, row, show)) for row in range(count)])
    parts = [
        session_line(result.day.session),
        state_line(result, show),
        "",
        grid,
        "",
        *_wrapped("Notes", [*notes, *session_remarks(result, show)], width),
        "",
        *_wrapped("Cautions", CAUTIONS, width),
    ]
    return "\n".join(parts), tuple(titles[key] for key in dropped)


def print_sweep(result: Sweep, record: dict[str, Any], name: str | None, show: Show, width: int) -> str:
    """Write a run against speed as a table: the usual quantities, or the one that was picked, in SI."""
    head = f"{session_line(result.day.session)}\nrun {record['run']} {result.day.readings.runs[result.row].configuration}"
    unit = show.system.unit("speed")
    keys = [key for key in record if isinstance(record[key], list) and key != _SPEED]
    if name is None:
        keys = [key for key in keys if key in _USUAL]
    columns = [Column(key=_SPEED, title="speed", unit=unit.label, align="right", width=6, priority=0)]
    for place, key in enumerate(keys):
        title, unit_text, _ = _USUAL.get(key) or (_spaced(key), "SI", None)
        columns.append(
            Column(
                key=key,
                title=title,
                unit=_force_unit(unit_text, show),
                align="left" if key == "verdict" else "right",
                width=22 if key == "verdict" else 8,
                priority=1 + place,
                group=key if key == "verdict" else "",
            )
        )

    def cell(row: int, key: str) -> Cell:
        value = record[key][row]
        if key == _SPEED:
            return number(unit.from_si(value), 0), ""
        return _value_text(key, value, show), ""

    grid, _ = _grid(columns, range(len(record[_SPEED])), cell, width)
    return f"{head}\ndownforce positive, LIFT negative; at {show.quantity('density', result.air_density)}\n\n{grid}"


def print_chart(result: Sweep, name: str, show: Show, width: int) -> str:
    """Draw a run against speed as text."""
    known = {name, name.removesuffix("_N"), "axle_loads" if "downforce" in name else name}
    kind = next((k for k in CHARTS if k in known), name)
    run = result.day.readings.runs[result.row]
    chart = draw(speed_chart(result, kind, show), min(width, 100), 18, ascii_only=needs_ascii())
    return f"{session_line(result.day.session)}\nrun {run.label} {run.configuration}\n\n{to_text(chart)}"


_USUAL: dict[str, tuple[str, str, int | None]] = {
    "front_downforce_N": ("front", "force", None),
    "rear_downforce_N": ("rear", "force", None),
    "downforce_N": ("total", "force", None),
    "drag_N": ("drag", "force", None),
    "front_load_share": ("front load", "%", 1),
    "neutral_steer_shift": ("shift", "% of wb.", 2),
    "grip_surplus": ("surplus", "%", 1),
    "verdict": ("verdict", "", None),
}


def _force_unit(text: str, show: Show) -> str:
    return show.unit("force") if text == "force" else text


def _spaced(key: str) -> str:
    return key.replace("_", " ")


def _value_text(key: str, value: Any, show: Show) -> str:
    if value is None:
        return "·"
    if isinstance(value, list):
        return " to ".join("beyond" if end is None else f"{end:.4g}" for end in value)
    if isinstance(value, dict | str):
        return value if isinstance(value, str) else ", ".join(f"{k} {v:.2f}" for k, v in value.items())
    usual = _USUAL.get(key)
    if usual is None:
        return f"{value:.5g}".replace("-", "−")
    return show.bare("force", value) if usual[1] == "force" else number(value * 100.0, usual[2] or 0)


def _grid(
    columns: Sequence[Column], rows: Sequence[int], cell: Callable[[int, str], Cell], width: int
) -> tuple[str, tuple[str, ...]]:
    """Draw columns and rows into a width; say which columns had no room."""
    layout = lay_out(columns, width)
    lines = [*header_lines(layout, None)]
    lines += [row_line(layout, lambda key, row=row: cell(row, key), cursor=False) for row in rows]  # type: ignore[misc]
    return to_text(lines), layout.dropped


def _wrapped(title: str, sentences: Sequence[str], width: int) -> list[str]:
    """Write sentences one under the other, folded to the width."""
    lines = [title]
    for sentence in sentences:
        lines += textwrap.wrap(sentence, width - 2, initial_indent="- ", subsequent_indent="  ") or ["-"]
    return lines
