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
_LOOKS = (("front", FRONT_INK, "o", 0.02), ("rear", REAR_INK, "s", 0.2), ("drag", THIRD, "^", 0.38))


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
        two_lines = any(len(one.name) > _LINE for one in parts)
        figure, axes = empty_picture(height=max(2.4, 1.15 + (0.74 if two_lines else 0.56) * len(parts)))
        for k, one in enumerate(parts):
            axes.axhline(k + 0.52, color=GRID, linewidth=0.8)
            axes.text(
                0.0,
                k - 0.1,
                fill(label_of(one.name, 2 * _LINE), _LINE),
                transform=axes.get_yaxis_transform(),
                ha="left",
                va="bottom",
                color=INK,
                fontsize=TYPE_SIZE,
                bbox={"boxstyle": "square,pad=0.08", "facecolor": PAPER, "edgecolor": "none"},
                zorder=4,
            )
            for name, colour, marker, offset in _LOOKS:
                value, least, most = getattr(one, name)
                if not math.isfinite(value):
                    continue
                error = [[value - least], [most - value]] if math.isfinite(least + most) else None
                axes.errorbar(
                    [value],
                    [k + offset],
                    xerr=error,
                    color=colour,
                    marker=marker,
                    markersize=6,
                    capsize=3,
                    linestyle="none",
                    zorder=3,
                )
        for name, colour, marker, _ in _LOOKS:
            label = f"{name} downforce" if name != "drag" else name
            axes.plot([], [], color=colour, marker=marker, linestyle="none", label=label)
        axes.axvline(0.0, color=INK, linewidth=1.2)
        axes.set_xlim(low - room, high + room)
        axes.set_ylim(len(parts) - 0.48, -0.75)
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        axes.grid(axis="x", color=GRID, linewidth=0.8)
        axes.locator_params(axis="x", nbins=5)
        axes.set_xlabel(f"change, more to the right [{unit}]")
        head(axes, title)
        legend_below(figure, length=2.0, apart=1.0)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)
