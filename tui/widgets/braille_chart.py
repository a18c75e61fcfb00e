"""Charts drawn as text: curves in braille dots, round ticks, bands, named places on the axis."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

from balance.tell.chart_parts import window_of
from tui.widgets.canvas import Canvas
from tui.widgets.chart_plot import ASCII, UNICODE, Ink, Plot, level_of, role_of, sample_of
from tui.widgets.plain import cells, cut, plain
from tui.widgets.raster import Raster
from tui.widgets.ticks import round_ticks, tick_labels

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.tell.chart_parts import Chart, VerticalMark, Window
    from tui.widgets.canvas import Lines

GAP = 2
LEAST_WIDTH, LEAST_HEIGHT = 20, 6
_NAMES_AT_ENDS_FROM = 60  # columns


class _Name(NamedTuple):
    """Something drawn that has a name: its sample, its words, its role and the height it stands at."""

    sample: str
    words: str
    role: str
    height: float


def draw(chart: Chart, width: int, height: int, *, ascii_only: bool = False) -> Lines:
    """Draw a chart as lines of text with roles.

    Examples
    --------
    >>> from balance.tell.chart_parts import Chart, Series
    >>> from tui.widgets.canvas import to_text
    >>> rising = Series([0, 1, 2, 3], [0, 1, 2, 3])
    >>> print(to_text(draw(Chart(title="rise", y_unit="N", series=[rising]), 20, 7, ascii_only=True)))
    rise  N
      |             ***
    2 +        *****
      |   *****
    0 +***
      ++---------+-----
       0         2
    """
    canvas = Canvas(width, height)
    window = window_of(chart)
    if window is None:
        _say(canvas, plain(chart.empty))
    elif width < LEAST_WIDTH or height < LEAST_HEIGHT:
        _say(canvas, f"chart needs {LEAST_WIDTH} x {LEAST_HEIGHT} characters")
    else:
        _Drawing(chart, window, canvas, ASCII if ascii_only else UNICODE).draw()
    return canvas.lines()


def _say(canvas: Canvas, sentence: str) -> None:
    text = cut(sentence, canvas.width)
    canvas.put((canvas.width - cells(text)) // 2, max(0, canvas.height - 1) // 2, text, "muted")


def _shorter(words: str, more: str) -> Iterator[str]:
    """Return a name, then the name without its last words: never part of a word or number."""
    yield words
    for count in range(words.count(" "), 0, -1):
        yield " ".join(words.split(" ")[:count]) + more


class Placed(NamedTuple):
    """A text and where it begins."""

    x: int
    row: int
    text: str
    role: str


class LabelRows:
    """Rows of a given width that are filled from the top, each text on the first row with room."""

    def __init__(self, width: int, most: int) -> None:
        self.width = width
        self.most = most
        self.placed: list[Placed] = []

    @property
    def used(self) -> int:
        """Number of rows with a text."""
        return max((placed.row + 1 for placed in self.placed), default=0)

    def add(self, *choices: tuple[int, str], role: str = "") -> bool:
        """Place a text on the first row where one of its choices has room."""
        for row in range(self.most):
            for x, text in choices:
                if self._has_room(x, row, cells(text)):
                    self.placed.append(Placed(x, row, text, role))
                    return True
        return False

    def _has_room(self, x: int, row: int, length: int) -> bool:
        if x < 0 or x + length > self.width:
            return False
        return all(
            other.row != row or x >= other.x + cells(other.text) + GAP or x + length + GAP <= other.x
            for other in self.placed
        )


def spread(rows: list[int], height: int) -> list[int]:
    """Move rows apart so that each is taken once, as little as need be.

    Examples
    --------
    >>> spread([3, 3, 9], 10)
    [3, 4, 9]
    >>> spread([9, 9], 10)
    [8, 9]
    """
    taken: list[int] = []
    for row in rows:
        taken.append(max(row, taken[-1] + 1 if taken else 0))
    limit = height - 1
    for index in range(len(taken) - 1, -1, -1):
        taken[index] = min(taken[index], limit)
        limit = taken[index] - 1
    return taken


class _Drawing:
    """One chart on its way to one canvas: its lay-out, and all that stands around the plot."""

    def __init__(self, chart: Chart, window: Window, canvas: Canvas, ink: Ink) -> None:
        self.chart, self.window, self.canvas, self.ink = chart, window, canvas, ink
        self.names = self._named()
        widest = max((cells(name.sample) + 1 + cells(name.words) for name in self.names), default=0)
        self.at_ends = (
            0 < len(self.names) <= canvas.height // 3
            and canvas.width >= _NAMES_AT_ENDS_FROM
            and widest <= canvas.width // 3
            and all(series.mark == "line" for series in chart.series)
        )
        top = self._head()
        most = max(2, min(9, (canvas.height - top - 3) // 3 + 1))
        self.y_ticks = round_ticks(window.y_low, window.y_high, most)
        self.y_labels = tick_labels(self.y_ticks, minus=ink.minus)
        left = max(map(cells, self.y_labels), default=0) + 2
        width = canvas.width - left - (widest + 2 if self.at_ends else 1)
        self.below = self._below(left, Raster(width, 1, ascii_only=ink.ascii_only))
        height = max(2, canvas.height - top - 2 - self.below.used)
        raster = Raster(width, height, ascii_only=ink.ascii_only)
        self.plot = Plot(
            chart=chart, window=window, canvas=canvas, raster=raster, left=left, top=top, ink=ink
        )

    def draw(self) -> None:
        """Draw from the back to the front."""
        self.plot.backdrop()
        self._axes()
        self._marks()
        self.plot.curves()
        self.plot.points()
        if self.at_ends:
            self._names_at_ends()

    def _caption(self, label: str, unit: str) -> str:
        return plain(", ".join(filter(None, (label, unit))))

    def _named(self) -> list[_Name]:
        names: list[_Name] = []
        for index, series in enumerate(self.chart.series):
            heights = [y for x, y in zip(series.x, series.y, strict=True) if isfinite(x) and isfinite(y)]
            if heights:
                sample = sample_of(series, index, self.ink)
                names.append(_Name(sample, plain(series.label), role_of(index), heights[-1]))
        for band in self.chart.bands:
            sample = self.ink.edge + self.ink.shade
            names.append(_Name(sample, plain(band.label), "band", (band.low + band.high) / 2))
        for index, line in enumerate(self.chart.lines):
            names.append(_Name(level_of(index, self.ink) * 2, plain(line.label), "axis", line.y))
        return [name for name in names if name.words and isfinite(name.height)]

    def _head(self) -> int:
        """Write title, caption and names from left to right, wrapped; give the rows used."""
        parts = [
            [(plain(self.chart.title), "title")],
            [(self._caption(self.chart.y_label, self.chart.y_unit), "muted")],
        ]
        if not self.at_ends:
            parts += [[(f"{name.sample} ", name.role), (name.words, "")] for name in self.names]
        x = row = 0
        for part in parts:
            length = sum(cells(text) for text, _ in part)
            if not length:
                continue
            if x and x + length > self.canvas.width:
                x, row = 0, row + 1
            for text, role in part:
                shown = cut(text, self.canvas.width - x, self.ink.more)
                self.canvas.put(x, row, shown, role)
                x += cells(shown)
            x += GAP
        return row + 1 if x else 0

    def _below(self, left: int, raster: Raster) -> LabelRows:
        """Place the caption of the x axis and the names of the marks below the ticks."""
        height, width = self.canvas.height, self.canvas.width
        rows = LabelRows(width, 1 if height < 10 else 2 if height < 16 else 3)
        caption = self._caption(self.chart.x_label, self.chart.x_unit)
        if caption:
            texts = (caption, plain(self.chart.x_unit))
            any(rows.add((width - cells(text), text), role="muted") for text in texts)
        for mark in self.chart.marks:
            if not isfinite(mark.x):
                continue
            share, symbol = self.window.x(mark.x), self._symbol(mark)
            column = left + raster.column_of(min(1.0, max(0.0, share)))
            for words in _shorter(plain(mark.label), self.ink.more):
                after, before = f"{symbol} {words}".strip(), f"{words} {symbol}".strip()
                if rows.add((column, after), (column - cells(before) + 1, before), role="mark"):
                    break
        return rows

    def _symbol(self, mark: VerticalMark) -> str:
        """Choose the symbol of a mark; beyond an edge, an arrow that points there."""
        share = self.window.x(mark.x)
        if share < 0.0:
            return self.ink.left
        if share > 1.0:
            return self.ink.right
        return "^" if self.ink.ascii_only else mark.symbol

    def _axes(self) -> None:
        plot, axis = self.plot, self.plot.left - 1
        bottom = plot.top + plot.raster.height
        for row in range(plot.top, bottom):
            self.canvas.put(axis, row, self.ink.vertical, "axis")
        self.canvas.put(axis, bottom, self.ink.corner + self.ink.horizontal * plot.raster.width, "axis")
        taken: set[int | None] = {None}
        for tick, label in zip(self.y_ticks, self.y_labels, strict=True):
            tick_row = plot.row(tick)
            if tick_row is not None and tick_row not in taken:
                taken.add(tick_row)
                self.canvas.put(axis, tick_row, self.ink.y_tick, "axis")
                self.canvas.put(axis - 1 - cells(label), tick_row, label, "axis")
        for column, x, label in self._x_ticks():
            self.canvas.put(column, bottom, self.ink.x_tick, "axis")
            self.canvas.put(x, bottom + 1, label, "axis")

    def _x_ticks(self) -> list[tuple[int, int, str]]:
        """Choose as many ticks as have room: column, first column of the label, label."""
        for most in range(max(2, self.plot.raster.width // 5), 0, -1):
            ticks = round_ticks(self.window.x_low, self.window.x_high, most)
            chosen: list[tuple[int, int, str]] = []
            for tick, label in zip(ticks, tick_labels(ticks, minus=self.ink.minus), strict=True):
                column = self.plot.column(tick)
                if column is not None:
                    x = max(0, min(self.canvas.width - cells(label), column - cells(label) // 2))
                    chosen.append((column, x, label))
            if all(a[1] + cells(a[2]) + GAP <= b[1] for a, b in pairwise(chosen)):
                return chosen
        return []

    def _marks(self) -> None:
        plot, bottom = self.plot, self.plot.top + self.plot.raster.height
        for mark in self.chart.marks:
            column = plot.column(mark.x)
            if column is None:
                continue
            self.canvas.put(column, bottom, self._symbol(mark), "mark")
            for row in range(plot.top, bottom):
                if self.canvas.is_free(column, row, 1, over=f" {self.ink.shade}"):
                    self.canvas.put(column, row, self.ink.guide, "muted")
        for x, row, text, role in self.below.placed:
            self.canvas.put(x, bottom + 2 + row, text, role)

    def _names_at_ends(self) -> None:
        plot = self.plot
        names = sorted(self.names, key=lambda name: -name.height)
        wanted = [plot.raster.row_of(min(1.0, max(0.0, self.window.y(name.height)))) for name in names]
        x = plot.left + plot.raster.width + 1
        for name, row in zip(names, spread(wanted, plot.raster.height), strict=True):
            self.canvas.put(x, plot.top + row, name.words, "")
            self.canvas.put(x + cells(name.words) + 1, plot.top + row, name.sample, name.role)
