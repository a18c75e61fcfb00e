"""The chart of one setting: both axles and drag against it, the useful range, and the answer."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.tell.report.canvas import (
    HEIGHT,
    INK,
    LOOKS,
    PAPER,
    SOFT,
    Picture,
    drawing,
    empty_picture,
    legend_below,
    quantity_label,
)
from balance.tell.report.curves_picture import head

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One quantity over a setting: the tested points with their intervals, and the curve through them."""

    name: str
    points: Sequence[float]
    half: Sequence[float]
    curve_x: Sequence[float] = ()
    curve_y: Sequence[float] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """All tracks over the tested values; ``useful`` is the useful range, ``answer`` the setting advised."""

    setting: str
    unit: str
    values: Sequence[float]
    tracks: Sequence[Track]
    useful: tuple[float, float] | None = None
    answer: float | None = None


def draw_response(response: Response, *, key: str, title: str, unit: str, alternative: str) -> Picture:
    """Draw how loads and drag answer to a setting."""
    values = list(response.values)
    with drawing():
        figure, axes = empty_picture(height=HEIGHT + 0.7)
        for track, (colour, dash, marker) in zip(response.tracks, LOOKS, strict=False):
            half = [h if math.isfinite(h) else 0.0 for h in track.half]
            curve_x, curve_y = (track.curve_x, track.curve_y) if track.curve_x else (values, track.points)
            axes.plot(list(curve_x), list(curve_y), color=colour, linestyle=dash, linewidth=2.0)
            axes.errorbar(values, list(track.points), yerr=half, color=colour, linestyle="none", capsize=3)
            axes.plot([], [], color=colour, linestyle=dash, linewidth=2.0, marker=marker, label=track.name)
            axes.plot(values, list(track.points), color=colour, linestyle="none", marker=marker, markersize=7)
        spare = 0.06 * (values[-1] - values[0])
        axes.set_xlim(values[0] - spare, values[-1] + spare)
        if response.useful is not None:
            low, high = response.useful
            outside = [
                (a, b)
                for a, b in ((values[0] - spare, low), (high, values[-1] + spare))
                if b - a > spare * 1.01
            ]
            for a, b in outside:
                axes.axvspan(
                    a, b, facecolor=PAPER, edgecolor=SOFT, hatch="xx", linewidth=0, alpha=0.35, zorder=0
                )
            if outside:
                axes.fill_between(
                    [],
                    [],
                    [],
                    facecolor=PAPER,
                    edgecolor=SOFT,
                    hatch="xx",
                    linewidth=0,
                    label="outside useful range",
                )
        if response.answer is not None:
            axes.axvline(response.answer, color=INK, linewidth=1.6)
            axes.plot(
                [],
                [],
                color=INK,
                linewidth=1.6,
                label=f"answer: {response.answer:.1f} {response.unit}".strip(),
            )
        axes.axhline(0.0, color=SOFT, linewidth=0.8)
        axes.set_xticks(values if len(values) <= 7 else values[:: -(-len(values) // 7)])
        axes.set_xlabel(quantity_label(response.setting.replace("_", " "), response.unit))
        axes.set_ylabel(quantity_label("force", unit))
        axes.locator_params(axis="y", nbins=6)
        head(axes, title)
        legend_below(figure, length=2.0, apart=1.0)
    return Picture(key=key, title=title, alternative=alternative, figure=figure)
