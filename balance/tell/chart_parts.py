"""What a chart is made of: ready numbers and ready words, nothing of how they are drawn."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """A curve or a cloud of points, with an interval about it and a word for each point if wanted."""

    x: Sequence[float]
    y: Sequence[float]
    label: str = ""
    mark: Literal["line", "dots"] = "line"
    low: Sequence[float] | None = None
    high: Sequence[float] | None = None
    labels: Sequence[str] | None = None

    def __post_init__(self) -> None:
        for name in ("y", "low", "high", "labels"):
            values = getattr(self, name)
            if values is not None and len(values) != len(self.x):
                raise ValueError(f"series {self.label!r}: {len(values)} of {name} for {len(self.x)} of x")
        if (self.low is None) != (self.high is None):
            raise ValueError(f"series {self.label!r}: an interval needs both low and high")


class HorizontalBand(NamedTuple):
    """A range of y that means something, such as a tolerance."""

    low: float
    high: float
    label: str = ""


class HorizontalLine(NamedTuple):
    """A height that means something, such as a static weight."""

    y: float
    label: str = ""


class VerticalMark(NamedTuple):
    """A place on the x axis that has a name, such as a corner."""

    x: float
    label: str = ""
    symbol: str = "|"


@dataclass(frozen=True, slots=True, eq=False)
class Chart:
    """All that one chart shows; equal only to itself."""

    title: str = ""
    x_label: str = ""
    x_unit: str = ""
    y_label: str = ""
    y_unit: str = ""
    series: Sequence[Series] = ()
    bands: Sequence[HorizontalBand] = ()
    lines: Sequence[HorizontalLine] = ()
    marks: Sequence[VerticalMark] = ()
    x_range: tuple[float, float] | None = None
    y_range: tuple[float, float] | None = None
    empty: str = "nothing to draw yet"


class Window(NamedTuple):
    """The part of the plane that a chart shows, mapped to the unit square."""

    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value: float) -> float:
        """Map a place to 0 (left edge) to 1 (right edge)."""
        return (value - self.x_low) / (self.x_high - self.x_low)

    def y(self, value: float) -> float:
        """Map a height to 0 (lower edge) to 1 (upper edge)."""
        return (value - self.y_low) / (self.y_high - self.y_low)


def window_of(chart: Chart) -> Window | None:
    """Find the ranges to show, from what is given or else from all that is drawn."""
    points = [
        (x, y)
        for series in chart.series
        for x, y in zip(series.x, series.y, strict=True)
        if isfinite(x) and isfinite(y)
    ]
    if not points:
        return None
    x_values = [x for x, _ in points] + [mark.x for mark in chart.marks]
    y_values = [y for _, y in points] + list(_heights(chart))
    cloud = any(series.mark == "dots" for series in chart.series)
    x_range = _range(chart.x_range, x_values, margin=0.05 if cloud else 0.0)
    y_range = _range(chart.y_range, y_values, margin=0.05)
    if x_range is None or y_range is None:
        return None
    return Window(*x_range, *y_range)


def _heights(chart: Chart) -> Iterator[float]:
    for series in chart.series:
        yield from series.low if series.low is not None else ()
        yield from series.high if series.high is not None else ()
    for band in chart.bands:
        yield from (band.low, band.high)
    for line in chart.lines:
        yield line.y


def _range(
    given: tuple[float, float] | None, values: Sequence[float], *, margin: float
) -> tuple[float, float] | None:
    """Choose a range that is never empty; None when its width is no finite number."""
    finite = [float(value) for value in values if isfinite(value)]
    low, high = sorted(map(float, given)) if given else (min(finite), max(finite))
    spare = 0.0 if given else margin * (high - low)
    least = 1e-9 * max(abs(low), abs(high))
    if high - low <= least:
        spare = 0.1 * max(abs(low), abs(high)) or 1.0
    # a range that begins at zero keeps zero as its edge
    low, high = (0.0 if low == 0.0 < high else low - spare), (0.0 if high == 0.0 > low else high + spare)
    return (low, high) if isfinite(high - low) else None
