"""Intervals on one common scale as a column of a table: a bar in each row, round figures over them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from typing import TYPE_CHECKING, Protocol

from balance.tell.table import EMPTY, Cell, Column
from tui.widgets.canvas import Canvas, to_text
from tui.widgets.plain import cells
from tui.widgets.ticks import round_ticks, tick_labels

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.tell.table import Table

_NARROWEST, _WIDEST = 22, 60
"""Cells below which bars say less than figures, and that are enough for them."""
BARS = "bars"
"""Key of the column."""


class Spanned(Protocol):
    """A value with the ends of its interval, each not a number where there is none."""

    @property
    def value(self) -> float:
        """Where its mark stands."""

    @property
    def low(self) -> float:
        """Its lower end."""

    @property
    def high(self) -> float:
        """Its upper end."""

    @property
    def kind(self) -> str:
        """What it is: "car", "mean" or "next"."""


@dataclass(frozen=True, slots=True)
class Pens:
    """The signs of one kind of terminal: ends, line, line of the range, value, mean, beyond the scale, zero."""

    low: str = "├"
    high: str = "┤"
    line: str = "─"
    range: str = "═"
    value: str = "┼"
    mean: str = "◆"
    below: str = "◀"
    above: str = "▶"
    zero: str = "┊"


UNICODE = Pens()
ASCII = Pens("|", "|", "-", "=", "+", "O", "<", ">", ":")


@dataclass(frozen=True, slots=True)
class Ruler:
    """A scale laid over so many cells."""

    low: float
    high: float
    width: int

    @property
    def cells_a_unit(self) -> float:
        """How many cells a unit of the scale fills."""
        return (self.width - 1) / ((self.high - self.low) or 1.0)

    def at(self, value: float) -> int:
        """Return the cell of a value, which may lie outside."""
        return round((value - self.low) * self.cells_a_unit)


def interval_bar(span: Spanned | None, ruler: Ruler, pens: Pens = UNICODE) -> str:
    """Draw one interval; the line of zero alone where there is none.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> ruler = Ruler(-20.0, 100.0, 25)
    >>> interval_bar(SimpleNamespace(value=60.0, low=40.0, high=80.0, kind="car"), ruler)
    '    ┊       ├───┼───┤    '
    """
    canvas = Canvas(ruler.width, 1)
    canvas.put(ruler.at(0.0), 0, pens.zero)
    if span is not None:
        _draw(canvas, span, ruler, pens)
    return "".join(text for text, _ in canvas.lines()[0])


def _draw(canvas: Canvas, span: Spanned, ruler: Ruler, pens: Pens) -> None:
    last = ruler.width - 1
    if isfinite(span.low) and isfinite(span.high):
        low, high = ruler.at(span.low), ruler.at(span.high)
        left, right = max(low, 0), min(high, last)
        canvas.put(left, 0, (pens.range if span.kind == "next" else pens.line) * (right - left + 1))
        canvas.put(ruler.at(0.0), 0, pens.zero)
        canvas.put(left, 0, pens.low if low >= 0 else pens.below)
        canvas.put(right, 0, pens.high if high <= last else pens.above)
    if isfinite(span.value):
        canvas.put(ruler.at(span.value), 0, pens.mean if span.kind == "mean" else pens.value)


def scale_line(ruler: Ruler, unit: float, pens: Pens = UNICODE) -> str:
    """Write as many round figures as have room, in units of so much.

    Examples
    --------
    >>> scale_line(Ruler(-20.0, 100.0, 25), 1.0)
    '    0        50       100'
    """
    minus = "-" if pens is ASCII else "−"
    for most in range(max(2, ruler.width // 6), 0, -1):
        ticks = round_ticks(ruler.low / unit, ruler.high / unit, most)
        placed = [
            (max(0, min(ruler.width - cells(label), ruler.at(tick * unit) - cells(label) // 2)), label)
            for tick, label in zip(ticks, tick_labels(ticks, minus=minus), strict=True)
        ]
        if all(a[0] + cells(a[1]) < b[0] for a, b in pairwise(placed)):
            canvas = Canvas(ruler.width, 1)
            for column, label in placed:
                canvas.put(column, 0, label)
            return to_text(canvas.lines()).ljust(ruler.width)
    raise AssertionError  # pragma: no cover - one figure always has room


def with_bars(
    table: Table,
    spans: Sequence[Spanned | None],
    scale: tuple[float, float],
    *,
    width: int,
    unit: float,
    ascii_only: bool = False,
) -> Table:
    """Put bars before the last column of a table that is to have so many cells; the figures over them are in its unit.

    Without room for bars the table stays as it is.
    """
    room = min(_WIDEST, width * 3 // 8)
    if room < _NARROWEST:
        return table
    pens, ruler = ASCII if ascii_only else UNICODE, Ruler(*scale, room)
    bars = Column(BARS, "", unit=scale_line(ruler, unit, pens), width=room)
    rows = tuple(
        {**row, BARS: Cell(interval_bar(span, ruler, pens), row.get(table.columns[-1].key, EMPTY).role)}
        for row, span in zip(table.rows, spans, strict=True)
    )
    return table._replace(columns=(*table.columns[:-1], bars, table.columns[-1]), rows=rows)
