"""The chart of repeats: how far readings of one and the same configuration lay apart over the day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    INK,
    REAR_INK,
    SOFT,
    THIRD,
    TINT,
    Picture,
    drawing,
    empty_picture,
    label_of,
    legend_below,
)
from balance.tell.report.pictures.curves import head

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeats:
    """Readings less the mean of their repeats, in the order of running; ``half`` is half the band of one reading."""

    labels: Sequence[str]
    front: Sequence[float]
    rear: Sequence[float]
    drag: Sequence[float]
    half: float


def draw_repeats(
    repeats: Repeats, *, key: str, title: str, unit: str, alternative: str, caption: str
) -> Picture:
    """Draw readings about the mean of their repeats."""
    places = list(range(len(repeats.labels)))
    with drawing():
        figure, axes = empty_picture()
        if repeats.half > 0.0:
            axes.axhspan(-repeats.half, repeats.half, facecolor=TINT, edgecolor=SOFT, linewidth=0.8, zorder=0)
        axes.axhline(0.0, color=INK, linewidth=1.0)
        for values, colour, marker, name, aside in (
            (repeats.front, FRONT_INK, "o", "front", -0.2),
            (repeats.rear, REAR_INK, "s", "rear", 0.0),
            (repeats.drag, THIRD, "^", "drag", 0.2),
        ):
            axes.plot(
                [p + aside for p in places],
                list(values),
                linestyle="none",
                marker=marker,
                markersize=8,
                color=colour,
                label=name,
            )
        most = max([repeats.half, *(abs(v) for v in (*repeats.front, *repeats.rear, *repeats.drag))]) or 1.0
        axes.set_ylim(-1.15 * most, 1.15 * most)
        axes.set_xlim(-0.6, len(places) - 0.4)
        step = max(1, -(-len(places) // 9))
        axes.set_xticks(places[::step], [label_of(label, 6) for label in repeats.labels[::step]])
        axes.set_xlabel("run, in the order of running")
        axes.set_ylabel(f"off its mean [{unit}]")
        axes.locator_params(axis="y", nbins=6)
        head(axes, title)
        if repeats.half > 0.0:
            axes.plot([], [], color=TINT, linewidth=9, label="95 % of readings")
        legend_below(figure, length=1.4, apart=1.0)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)
