"""The map of parts: what each gained in downforce against what it cost in drag."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.tell.report.canvas import (
    FRONT_INK,
    GRID,
    HEIGHT,
    INK,
    PAPER,
    SOFT,
    TYPE_SIZE,
    Picture,
    drawing,
    empty_picture,
)
from balance.tell.report.curves_picture import head

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_RATIOS = (1.0, 2.0, 5.0, 10.0, 20.0)
_BESIDE = (1.0, 1.8, 2.6)  # how far a letter may stand from its ellipse without a line to it
_AWAY = (3.6, 4.8, 6.2, 8.0)  # and with one, where many parts lie close together
_DIRECTIONS = ((1, 0), (0, 1), (-1, 0), (0, -1), (0.8, 0.8), (-0.8, 0.8), (0.8, -0.8), (-0.8, -0.8))


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One part on the map: a letter, the two changes, and the ellipse of its scatter about the origin."""

    letter: str
    drag: float
    downforce: float
    ellipse: tuple[Sequence[float], Sequence[float]] | None

    @property
    def reach(self) -> tuple[float, float]:
        """How far the ellipse reaches in drag and in downforce."""
        return (0.0, 0.0) if self.ellipse is None else (max(self.ellipse[0]), max(self.ellipse[1]))


def draw_map(
    spots: Sequence[Spot], *, key: str, title: str, unit: str, alternative: str, caption: str
) -> Picture:
    """Draw parts by downforce against drag."""
    with drawing():
        figure, axes = empty_picture(height=HEIGHT + 0.3)
        _window(axes, spots)
        written = _rays(axes)
        axes.axhline(0.0, color=INK, linewidth=1.0)
        axes.axvline(0.0, color=INK, linewidth=1.0)
        for spot in spots:
            if spot.ellipse is not None:
                x, y = [spot.drag + v for v in spot.ellipse[0]], [spot.downforce + v for v in spot.ellipse[1]]
                axes.fill(x, y, facecolor=FRONT_INK, alpha=0.18, linewidth=0)
                axes.plot(x, y, color=FRONT_INK, linewidth=1.2)
            axes.plot([spot.drag], [spot.downforce], marker="o", markersize=5, color=FRONT_INK)
        _letters(axes, spots, written)
        axes.set_xlabel(f"more drag → [{unit}]")
        axes.set_ylabel(f"more downforce → [{unit}]")
        axes.locator_params(nbins=6)
        head(axes, title)
    return Picture(key=key, title=title, alternative=alternative, caption=caption, figure=figure)


def _window(axes: Axes, spots: Sequence[Spot]) -> None:
    for low_high, ends in (
        (axes.set_xlim, [(s.drag, s.reach[0]) for s in spots]),
        (axes.set_ylim, [(s.downforce, s.reach[1]) for s in spots]),
    ):
        low = min(0.0, *(value - reach for value, reach in ends))
        high = max(0.0, *(value + reach for value, reach in ends))
        room = 0.12 * (high - low) or 1.0
        low_high(low - room, high + room)


def _rays(axes: Axes) -> list[tuple[float, float]]:
    """Draw lines of equal downforce per drag, with their ratio where they leave the picture; say where that is."""
    (left, right), (low, top) = axes.get_xlim(), axes.get_ylim()
    written: list[tuple[float, float]] = []
    ends: list[tuple[float, float]] = []
    for ratio in _RATIOS if right > 0.0 and top > 0.0 else ():
        x = min(right, top / ratio)
        axes.plot([0.0, x], [0.0, x * ratio], color=GRID, linewidth=1.2, linestyle=(0, (4, 3)), zorder=0)
        leaves_right = top / ratio >= right
        if leaves_right and x * ratio < 0.14 * top:
            continue
        if not leaves_right and x < 0.12 * right:
            continue
        end = (x - left) / (right - left), (x * ratio - low) / (top - low)
        if any(abs(end[0] - other[0]) < 0.14 and abs(end[1] - other[1]) < 0.1 for other in ends):
            continue  # the words of two rays would lie upon one another
        ends.append(end)
        axes.annotate(
            f"{ratio:g}:1",
            (x, x * ratio),
            xytext=(-4, 0) if leaves_right else (0, -3),
            textcoords="offset points",
            ha="right" if leaves_right else "center",
            va="center" if leaves_right else "top",
            color=SOFT,
            fontsize=TYPE_SIZE,
            bbox={"boxstyle": "square,pad=0.1", "facecolor": PAPER, "edgecolor": "none"},
            zorder=1,
        )
        aside = 0.06 if leaves_right else 0.0
        written.append((end[0] - aside, end[1] - (0.0 if aside else 0.04)))
    return written


def _letters(axes: Axes, spots: Sequence[Spot], taken: list[tuple[float, float]]) -> None:
    """Write each letter where it hides nothing: beside its ellipse, else farther away with a line to its spot."""
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    width, height = right - left, high - low
    centres = [((s.drag - left) / width, (s.downforce - low) / height) for s in spots]
    taken = [*taken, *centres]
    for spot, (x, y) in zip(spots, centres, strict=True):
        reach_x, reach_y = spot.reach[0] / width, spot.reach[1] / height
        places = [
            (x + dx * (reach_x + 0.035 * far), y + dy * (reach_y + 0.05 * far))
            for far in (*_BESIDE, *_AWAY)
            for dx, dy in _DIRECTIONS
        ]

        def room(place: tuple[float, float]) -> float:
            if not all(0.03 < p < 0.97 for p in place):
                return -1.0
            return min((math.hypot(place[0] - a, (place[1] - b) / 1.3) for a, b in taken), default=1.0)

        best = next((p for p in places if room(p) > 0.055), max(places, key=room))
        taken.append(best)
        away = places.index(best) >= len(_BESIDE) * len(_DIRECTIONS)
        if away:
            axes.plot(*zip((x, y), best, strict=True), color=SOFT, linewidth=0.8, transform=axes.transAxes)
        axes.text(
            *best,
            spot.letter,
            transform=axes.transAxes,
            ha="center",
            va="center",
            color=INK,
            fontweight="bold",
            bbox={"boxstyle": "square,pad=0.1", "facecolor": PAPER, "edgecolor": "none", "alpha": 0.7}
            if away
            else None,
        )
