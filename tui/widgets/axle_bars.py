"""Bars from a common line of zero, one a row, with their words and intervals."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from textual.reactive import reactive

from tui.widgets.canvas import Canvas
from tui.widgets.drawn import Drawn, component_classes
from tui.widgets.plain import cells, cut, plain
from tui.widgets.ticks import round_ticks

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from textual.geometry import Size

    from tui.widgets.canvas import Lines

_LEAST_BAR = 8
_EIGHTHS = " ▏▎▍▌▋▊▉█"


class Bar(NamedTuple):
    """One bar: its name, its figure in words, and how far it reaches."""

    label: str
    value: str
    fraction: float
    low: float | None = None
    high: float | None = None
    role: str = "bar"


def draw_bars(
    bars: Sequence[Bar],
    width: int,
    *,
    scale: tuple[float, float] | None = None,
    tick: Callable[[float], str] | None = None,
    ascii_only: bool = False,
) -> Lines:
    """Draw bars on a common scale: to the right of zero when positive, else to the left.

    The part that an interval leaves certain is solid, the interval is shaded.

    Examples
    --------
    >>> from tui.widgets.canvas import to_text
    >>> pair = [Bar("front", "5.9 %", 0.059), Bar("rear", "11.5 %", 0.115)]
    >>> print(to_text(draw_bars(pair, 34)))
    front │█████████▊           5.9 %
    rear  │███████████████████  11.5 %
    """
    more = ".." if ascii_only else "…"
    canvas = Canvas(width, len(bars) + (tick is not None))
    if not bars:
        return canvas.lines()
    values = [plain(bar.value) for bar in bars]
    value_width = max(map(cells, values))
    labels = [cut(plain(bar.label), max(4, width // 3), more) for bar in bars]
    left = max(map(cells, labels)) + 1
    room = width - left - value_width - 2
    if room < _LEAST_BAR:  # words before pictures
        for row, (label, value) in enumerate(zip(labels, values, strict=True)):
            canvas.put(0, row, label, "label")
            canvas.put(left, row, cut(value, width - left, more))
        return canvas.lines()[: len(bars)]
    ruler = _Ruler(left, room, *_scale(bars, scale), ascii_only=ascii_only)
    for row, bar in enumerate(bars):
        canvas.put(0, row, labels[row], "label")
        ruler.draw_bar(canvas, row, bar)
        canvas.put(left + room + 2, row, values[row])
    if tick is not None:
        ruler.draw_scale(canvas, len(bars), tick)
    return canvas.lines()


def _scale(bars: Sequence[Bar], given: tuple[float, float] | None) -> tuple[float, float]:
    ends = [
        end for bar in bars for end in (bar.fraction, bar.low, bar.high) if end is not None and isfinite(end)
    ]
    low, high = (
        min([0.0, *(given or ends)]),
        max([0.0, *(given or ends)]),
    )
    return (low, high) if high > low else (0.0, 1.0)


class _Ruler:
    """The cells of the bars and the fractions they stand for."""

    def __init__(self, left: int, room: int, low: float, high: float, *, ascii_only: bool) -> None:
        self.left, self.room, self.low, self.high, self.ascii_only = left, room, low, high, ascii_only
        cells_for_bars = room - 1  # one is the line of zero
        self.below = min(cells_for_bars, round(cells_for_bars * (-low / (high - low))))
        self.above = cells_for_bars - self.below
        self.zero = left + self.below

    def reach(self, fraction: float) -> float:
        """Measure a fraction in cells from zero, to the left negative, kept on the scale."""
        if fraction >= 0.0:
            return self.above * min(1.0, fraction / self.high) if self.high else 0.0
        return -self.below * min(1.0, fraction / self.low) if self.low else 0.0

    def draw_bar(self, canvas: Canvas, row: int, bar: Bar) -> None:
        canvas.put(self.zero, row, "|" if self.ascii_only else "│", "zero")
        if not isfinite(bar.fraction):
            return
        low, high = bar.low, bar.high
        if low is None or high is None or not (isfinite(low) and isfinite(high)):
            self._solid(canvas, row, self.reach(bar.fraction), bar.role)
        else:
            ends = sorted((self.reach(low), self.reach(high)))
            certain = 0.0 if ends[0] < 0.0 < ends[1] else min(ends, key=abs)
            self._solid(canvas, row, float(round(certain)), bar.role)
            self._shade(canvas, row, round(ends[0]), round(ends[1]))
        if bar.fraction > self.high or bar.fraction < self.low:  # beyond the scale
            beyond = bar.fraction > self.high
            arrow = (">" if beyond else "<") if self.ascii_only else ("▶" if beyond else "◀")
            canvas.put(self.left + self.room - 1 if beyond else self.left, row, arrow, "interval")

    def _solid(self, canvas: Canvas, row: int, reach: float, role: str) -> None:
        full, part = divmod(round(abs(reach) * 8), 8)
        if self.ascii_only:
            full, part = full + (part >= 4), 0
        block = "#" if self.ascii_only else "█"
        if reach >= 0.0:
            canvas.put(self.zero + 1, row, block * full + (_EIGHTHS[part] if part else ""), role)
        else:
            end = " ▕▐█"[(part + 2) // 3]  # to the left there are only an eighth and a half
            canvas.put(self.zero - full, row, block * full, role)
            if part:
                canvas.put(self.zero - full - 1, row, end, role)

    def _shade(self, canvas: Canvas, row: int, low: int, high: int) -> None:
        shade = "=" if self.ascii_only else "▒"
        if high > 0:
            canvas.put(self.zero + 1 + max(0, low), row, shade * (high - max(0, low)), "interval")
        if low < 0:
            canvas.put(self.zero + low, row, shade * (min(0, high) - low), "interval")

    def draw_scale(self, canvas: Canvas, row: int, tick: Callable[[float], str]) -> None:
        """Write as many round fractions as have room."""
        for most in range(max(2, self.room // 8), 0, -1):
            placed: list[tuple[int, str]] = []
            for fraction in round_ticks(self.low, self.high, most):
                label, reach = plain(tick(fraction)), round(self.reach(fraction))
                column = self.zero + reach
                placed.append((max(0, min(canvas.width - cells(label), column - cells(label) // 2)), label))
            if all(a[0] + cells(a[1]) < b[0] for a, b in pairwise(placed)):
                for column, label in placed:
                    canvas.put(column, row, label, "scale")
                return


class AxleBars(Drawn):
    """Shows bars on a common scale; as high as it has bars."""

    COMPONENT_CLASSES: ClassVar[set[str]] = component_classes(
        "axle-bars", "label", "bar", "good", "warn", "danger", "interval", "zero", "scale"
    )
    DEFAULT_CSS = """
    AxleBars {
        width: 1fr;
        height: auto;
        color: $foreground;
        & > .axle-bars--label { color: $foreground; }
        & > .axle-bars--bar { color: $text-primary; }
        & > .axle-bars--good { color: $text-success; }
        & > .axle-bars--warn { color: $text-warning; }
        & > .axle-bars--danger { color: $text-error; }
        & > .axle-bars--interval { color: $foreground; }
        & > .axle-bars--zero { color: $foreground; }
        & > .axle-bars--scale { color: $text-muted; }
    }
    """

    bars: reactive[tuple[Bar, ...]] = reactive((), layout=True)
    """What is shown, from the top."""

    def __init__(
        self,
        bars: Sequence[Bar] = (),
        *,
        scale: tuple[float, float] | None = None,
        tick: Callable[[float], str] | None = None,
        ascii_only: bool | None = None,
        id: str | None = None,  # noqa: A002 - Textual's own word
    ) -> None:
        super().__init__(ascii_only=ascii_only, id=id)
        self.scale = scale
        self.tick = tick
        self.set_reactive(AxleBars.bars, tuple(bars))

    def watch_bars(self) -> None:
        """Draw the new bars."""
        self.redraw()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002 - Textual's
        """One row a bar, and one for the scale."""
        return len(self.bars) + (self.tick is not None)

    def drawing(self, width: int, height: int) -> Lines:  # noqa: ARG002 - the height follows from the bars
        """Draw for a size in cells."""
        return draw_bars(self.bars, width, scale=self.scale, tick=self.tick, ascii_only=self.ascii_only)
