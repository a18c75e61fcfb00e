"""The picture of a part over cars: a row a car with its interval, then the mean and the range for the next car."""

from __future__ import annotations

import math
from dataclasses import dataclass
from textwrap import fill
from typing import TYPE_CHECKING, Literal

from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    GRID,
    INK,
    PAPER,
    REAR_INK,
    SOFT,
    TINT,
    TYPE_SIZE,
    Picture,
    drawing,
    empty_picture,
    label_of,
)
from balance.tell.report.pictures.curves import head

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_WIDE = 7.2
"""Width in inches: names stand over their bars, figures behind them."""
_LINE = 60
_NAME, _MARK, _GAP, _AROUND = 0.21, 0.20, 0.08, 1.35
"""Heights of a line of a name, of a mark, of the space under a row and of all around the rows, in inches."""
_FIGURES = 0.30
"""Share of the width that is left to the figures at the right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OverCars:
    """One row: its name, its figure in words, value and ends of its interval, each not a number where unknown."""

    name: str
    figure: str
    value: float
    low: float
    high: float
    kind: Literal["car", "mean", "next"]


def draw_over_cars(
    rows: Sequence[OverCars],
    *,
    key: str,
    title: str,
    unit: str,
    scale: tuple[float, float],
    alternative: str,
    caption: str,
) -> Picture:
    """Draw every row under its own name, a line between the cars and what they say together."""
    low, high = scale
    room = 0.04 * (high - low) or 1.0
    low, high = low - room, high + room
    right = high + (high - low) * _FIGURES / (1.0 - _FIGURES)
    with drawing():
        names = [fill(label_of(one.name, 2 * _LINE), _LINE) for one in rows]
        heights = [_NAME * (name.count("\n") + 1) + _MARK + _GAP for name in names]
        figure, axes = empty_picture(width=_WIDE, height=_AROUND + sum(heights))
        end, together = 0.0, False
        for one, name, height in zip(rows, names, heights, strict=True):
            begins = one.kind != "car" and not together
            axes.axhline(end, color=SOFT if begins else GRID, linewidth=1.6 if begins else 0.8)
            together = together or begins
            end += height
            y = end - _GAP - 0.5 * _MARK
            _write(axes, name, y - 0.55 * _MARK, bold=one.kind != "car")
            _draw(axes, one, y, (low, high))
            axes.text(high + room, y, one.figure, va="center", ha="left", color=INK, fontsize=TYPE_SIZE)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        axes.set_xlim(low, right)
        axes.set_ylim(end, 0.0)
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        axes.locator_params(axis="x", nbins=6)
        axes.set_xticks([tick for tick in axes.get_xticks() if low <= tick <= high])
        axes.grid(axis="x", color=GRID, linewidth=0.8)
        axes.set_xlabel(unit)
        head(axes, title)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)


def _write(axes: Axes, name: str, y: float, *, bold: bool) -> None:
    axes.text(
        0.0, y, name, transform=axes.get_yaxis_transform(), ha="left", va="bottom", color=INK, fontsize=TYPE_SIZE,
        weight="bold" if bold else "normal",
        bbox={"boxstyle": "square,pad=0.08", "facecolor": PAPER, "edgecolor": "none"}, zorder=4,
    )  # fmt: skip


def _draw(axes: Axes, one: OverCars, y: float, scale: tuple[float, float]) -> None:
    """Draw one interval; an arrow where it goes beyond the scale."""
    ends = (max(one.low, scale[0]), min(one.high, scale[1]))
    if one.kind == "next" and math.isfinite(one.low):
        axes.barh(y, ends[1] - ends[0], left=ends[0], height=0.11, facecolor=TINT, edgecolor=INK, zorder=3)
        return
    colour, marker = (REAR_INK, "D") if one.kind == "mean" else (FRONT_INK, "o")
    if math.isfinite(one.low):
        axes.plot(ends, (y, y), color=colour, linewidth=2.0, zorder=3)
        for place, whole, beyond in ((ends[0], one.low, "<"), (ends[1], one.high, ">")):
            axes.plot(
                [place], [y], color=colour, marker="|" if place == whole else beyond, markersize=9, zorder=3
            )
    if math.isfinite(one.value):
        axes.plot([one.value], [y], color=colour, marker=marker, markersize=8, linestyle="none", zorder=4)
