"""The picture of parts: what each changed at both axles and in drag, each with its interval, in a row of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass
from textwrap import fill
from typing import TYPE_CHECKING

from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    GRID,
    INK,
    PAPER,
    REAR_INK,
    THIRD,
    TYPE_SIZE,
    Picture,
    drawing,
    empty_picture,
    label_of,
    legend_below,
)
from balance.tell.report.pictures.curves import head

if TYPE_CHECKING:
    from collections.abc import Sequence

_LINE = 38
_LOOKS = (("front", FRONT_INK, "o"), ("rear", REAR_INK, "s"), ("drag", THIRD, "^"))
_NAME, _MARK, _GAP, _AROUND = 0.21, 0.11, 0.08, 1.72
"""Heights of a line of a name, of a mark, of the space under a row and of all around the rows, in inches.

No name may lie on another row's marks.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """One part: its name, and value, low and high end of what it changed at front, rear and in drag."""

    name: str
    front: tuple[float, float, float]
    rear: tuple[float, float, float]
    drag: tuple[float, float, float]


def draw_parts(
    parts: Sequence[Changed], *, key: str, title: str, unit: str, alternative: str, caption: str
) -> Picture:
    """Draw every part in a row under its own name."""
    ends = [
        v for one in parts for three in (one.front, one.rear, one.drag) for v in three if math.isfinite(v)
    ]
    low, high = min(0.0, *ends), max(0.0, *ends)
    room = 0.06 * (high - low) or 1.0
    with drawing():
        names = [fill(label_of(one.name, 2 * _LINE), _LINE) for one in parts]
        heights = [_NAME * (name.count("\n") + 1) + _MARK * len(_LOOKS) + _GAP for name in names]
        figure, axes = empty_picture(height=_AROUND + sum(heights))
        end = 0.0
        for one, name, height in zip(parts, names, heights, strict=True):
            end += height
            first = end - _GAP - _MARK * (len(_LOOKS) - 0.5)
            axes.axhline(end, color=GRID, linewidth=0.8)
            axes.text(
                0.0,
                first - 0.7 * _MARK,
                name,
                transform=axes.get_yaxis_transform(),
                ha="left",
                va="bottom",
                color=INK,
                fontsize=TYPE_SIZE,
                bbox={"boxstyle": "square,pad=0.08", "facecolor": PAPER, "edgecolor": "none"},
                zorder=4,
            )
            for k, (what, colour, marker) in enumerate(_LOOKS):
                value, least, most = getattr(one, what)
                if not math.isfinite(value):
                    continue
                error = [[value - least], [most - value]] if math.isfinite(least + most) else None
                axes.errorbar(
                    [value],
                    [first + k * _MARK],
                    xerr=error,
                    color=colour,
                    marker=marker,
                    markersize=6,
                    capsize=3,
                    linestyle="none",
                    zorder=3,
                )
        for what, colour, marker in _LOOKS:
            label = f"{what} downforce" if what != "drag" else what
            axes.plot([], [], color=colour, marker=marker, linestyle="none", label=label)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        axes.set_xlim(low - room, high + room)
        axes.set_ylim(end, 0.0)
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        axes.grid(axis="x", color=GRID, linewidth=0.8)
        axes.locator_params(axis="x", nbins=5)
        axes.set_xlabel(f"change, more to the right [{unit}]")
        head(axes, title)
        legend_below(figure, length=2.0, apart=1.0)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)
