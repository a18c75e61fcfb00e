"""The picture of one setting: grip balance against it, with the limits, the useful range and the trim."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    HEIGHT,
    INK,
    PAPER,
    REAR_INK,
    SOFT,
    TINT,
    Picture,
    drawing,
    empty_picture,
    legend_below,
    quantity_label,
)
from balance.tell.report.pictures.curves import head

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """Grip balance over a setting, in per cent: tested values with their intervals, and the curve through them.

    ``limits`` are the oversteer and the understeer limit, ``useful`` the useful range, ``trim`` the setting that meets the target.
    """

    setting: str
    unit: str
    values: Sequence[float]
    balance: Sequence[float]
    low: Sequence[float]
    high: Sequence[float]
    curve_x: Sequence[float]
    curve_y: Sequence[float]
    limits: tuple[float, float]
    useful: tuple[float, float]
    trim: float | None = None


def draw_against(against: Against, *, key: str, title: str, alternative: str, caption: str) -> Picture:
    """Draw how the grip balance answers to a setting."""
    values = list(against.values)
    spare = 0.06 * (values[-1] - values[0])
    with drawing():
        figure, axes = empty_picture(height=HEIGHT + 0.1)
        over, under = against.limits
        axes.axhspan(over, under, facecolor=TINT, linewidth=0, zorder=0)
        axes.axhline(under, color=SOFT, linewidth=1.4, linestyle=(0, (6, 2)), label="understeer limit")
        axes.axhline(over, color=REAR_INK, linewidth=1.8, linestyle=(0, (2, 1.5)), label="OVERSTEER limit")
        axes.plot(list(against.curve_x), list(against.curve_y), color=FRONT_INK, linewidth=2.0)
        error = [
            [max(v - e, 0.0) if math.isfinite(e) else 0.0 for v, e in zip(against.balance, ends, strict=True)]
            for ends in (against.low,)
        ] + [
            [
                max(e - v, 0.0) if math.isfinite(e) else 0.0
                for v, e in zip(against.balance, against.high, strict=True)
            ]
        ]
        axes.errorbar(
            values, list(against.balance), yerr=error, color=FRONT_INK, linestyle="none", marker="o", markersize=7, capsize=3
        )  # fmt: skip
        axes.plot(
            [], [], color=FRONT_INK, linewidth=2.0, marker="o", markersize=7, label="tested, with interval"
        )
        axes.axhline(0.0, color=INK, linewidth=0.8)
        axes.set_xlim(values[0] - spare, values[-1] + spare)
        _outside(axes, values, spare, against.useful)
        if against.trim is not None:
            words = f"trim: {against.trim:.1f}{_unit(against.unit)}"
            axes.axvline(against.trim, color=INK, linewidth=1.6, label=words)
        axes.set_xticks(values if len(values) <= 7 else values[:: -(-len(values) // 7)])
        axes.set_xlabel(quantity_label(against.setting, against.unit.replace("deg", "°")))
        axes.set_ylabel("rear over front [%]")
        axes.locator_params(axis="y", nbins=6)
        head(axes, title)
        legend_below(figure, length=2.0, apart=1.0)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)


def _unit(unit: str) -> str:
    return "°" if unit == "deg" else f" {unit}".rstrip()


def _outside(axes: Axes, values: Sequence[float], spare: float, useful: tuple[float, float]) -> None:
    """Shade what lies outside the useful range."""
    low, high = useful
    ends = ((values[0] - spare, low), (high, values[-1] + spare))
    shaded = [(a, b) for a, b in ends if b - a > spare * 1.01]
    looks: dict[str, Any] = {"facecolor": PAPER, "edgecolor": SOFT, "hatch": "xx", "linewidth": 0}
    for a, b in shaded:
        axes.axvspan(a, b, alpha=0.35, zorder=0, **looks)
    if shaded:
        axes.fill_between([], [], [], label="outside useful range", **looks)
