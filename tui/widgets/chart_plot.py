"""The inside of a chart: bands, levels, curves and points on their cells."""

from __future__ import annotations

from collections import defaultdict
from math import isfinite
from typing import TYPE_CHECKING, NamedTuple

from tui.widgets.plain import cells, plain
from tui.widgets.raster import Raster

if TYPE_CHECKING:
    from balance.tell.chart_parts import Chart, Series, Window
    from tui.widgets.canvas import Canvas

_PATTERNS = ("1", "11111000", "100", "111110010")


class Ink(NamedTuple):
    """The characters of one kind of terminal."""

    horizontal: str = "─"
    vertical: str = "│"
    corner: str = "└"
    x_tick: str = "┬"
    y_tick: str = "┤"
    guide: str = "┊"
    edge: str = "┄"
    shade: str = "·"
    levels: str = "╌┈━"
    curves: str = "⠒⠒⠒⠒"
    points: str = "●○◆▲■"
    left: str = "←"
    right: str = "→"
    minus: str = "−"
    more: str = "…"
    ascii_only: bool = False


UNICODE = Ink()
ASCII = Ink(
    horizontal="-",
    vertical="|",
    corner="+",
    x_tick="+",
    y_tick="+",
    guide="|",
    edge="- ",
    shade=".",
    levels="=~_",
    curves="*ox%",
    points="*ox%@",
    left="<",
    right=">",
    minus="-",
    more="..",
    ascii_only=True,
)


def role_of(index: int) -> str:
    """Name the role of a series by its place: four roles, then again from the first."""
    return f"series{index % 4 + 1}"


def _pattern(index: int, ink: Ink) -> str:
    """Choose the dashes of a curve; in ASCII the character itself tells curves apart."""
    return "1" if ink.ascii_only else _PATTERNS[index % 4]


def sample_of(series: Series, index: int, ink: Ink) -> str:
    """Draw the short sample of a series that stands beside its name."""
    if series.mark == "dots":
        return ink.points[index % len(ink.points)]
    raster = Raster(3, 1, ascii_only=ink.ascii_only)
    raster.curve([(0.0, 0.5), (1.0, 0.5)], "", ink.curves[index % 4], _pattern(index, ink))
    drawn = {x: character for x, _, character, _ in raster.cells()}
    return "".join(drawn.get(x, " ") for x in range(3))


def level_of(index: int, ink: Ink) -> str:
    """Choose the character of a horizontal line by its place."""
    return ink.levels[index % len(ink.levels)]


class Plot(NamedTuple):
    """The cells inside the axes of one chart."""

    chart: Chart
    window: Window
    canvas: Canvas
    raster: Raster
    left: int
    top: int
    ink: Ink

    def row(self, y: float) -> int | None:
        """Find the row of a height, None outside the window."""
        share = self.window.y(y)
        return self.top + self.raster.row_of(share) if 0.0 <= share <= 1.0 else None

    def column(self, x: float) -> int | None:
        """Find the column of a place, None outside the window."""
        share = self.window.x(x)
        return self.left + self.raster.column_of(share) if 0.0 <= share <= 1.0 else None

    def backdrop(self) -> None:
        """Draw bands, the line of zero and the named levels."""
        for band in self.chart.bands:
            low, high = sorted((band.low, band.high))
            if not (self.window.y(high) >= 0.0 and self.window.y(low) <= 1.0):
                continue
            top, bottom = self.row(high), self.row(low)
            first = self.top if top is None else top
            last = self.top + self.raster.height - 1 if bottom is None else bottom
            for row in range(first, last + 1):
                shade = f"{self.ink.shade:<4}"
                shift = 2 * (row % 2)
                self._across(
                    row, self.ink.edge if row in {top, bottom} else shade[shift:] + shade[:shift], "band"
                )
        zero = self.row(0.0)
        if zero is not None and self.window.y_low < 0.0:
            self._across(zero, self.ink.horizontal, "muted")
        for index, line in enumerate(self.chart.lines):
            level = self.row(line.y)
            if level is not None:
                self._across(level, level_of(index, self.ink), "axis")

    def _across(self, row: int, pattern: str, role: str) -> None:
        width = self.raster.width
        self.canvas.put(self.left, row, (pattern * width)[:width], role)

    def curves(self) -> None:
        """Draw intervals, then the curves over them."""
        for series in self.chart.series:
            if series.low is not None and series.high is not None:
                bounds = zip(series.x, series.low, series.high, strict=True)
                shares = [
                    (self.window.x(x), self.window.y(low), self.window.y(high)) for x, low, high in bounds
                ]
                self.raster.fill(shares, "band", ":")
        for index, series in enumerate(self.chart.series):
            if series.mark == "line":
                places = [
                    (self.window.x(x), self.window.y(y)) for x, y in zip(series.x, series.y, strict=True)
                ]
                points = [place if all(map(isfinite, place)) else None for place in places]
                self.raster.curve(
                    points, role_of(index), self.ink.curves[index % 4], _pattern(index, self.ink)
                )
        for x, y, character, role in self.raster.cells():
            self.canvas.put(self.left + x, self.top + y, character, role)

    def points(self) -> None:
        """Draw the symbols of point series, then their words where there is room beside them."""
        words: list[tuple[int, int, str]] = []
        for index, series in enumerate(self.chart.series):
            if series.mark != "dots":
                continue
            symbol = self.ink.points[index % len(self.ink.points)]
            for number, (x, y) in enumerate(zip(series.x, series.y, strict=True)):
                column, row = self.column(x), self.row(y)
                if column is None or row is None:
                    continue
                self.canvas.put(column, row, symbol, role_of(index))
                if series.labels is not None:
                    words.append((column, row, plain(series.labels[number])))
        written: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for column, row, word in words:
            length = cells(word)
            beside = [(column + 2, row), (column - 1 - length, row)]
            apart = [(column - length // 2, row + step) for step in (-1, 1)]
            corners = [(x, row + step) for step in (-1, 1) for x in (column + 1, column - length)]
            background = f" {self.ink.shade}{self.ink.guide}{self.ink.horizontal}"
            for x, y in beside + apart + corners:
                inside = self.left <= x and self.top <= y < self.top + self.raster.height
                apart_from_words = all(x > end or x + length < start for start, end in written[y])
                if inside and apart_from_words and self.canvas.is_free(x, y, length, over=background):
                    self.canvas.put(x, y, word, "")
                    written[y].append((x, x + length))
                    break
