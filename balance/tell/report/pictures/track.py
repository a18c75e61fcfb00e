"""The track, each corner with its number and slowest speed, drawn by the axle that limits the car there."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.tell.laps.corner_table import paces_of
from balance.tell.laps.track_drawing import line_across
from balance.tell.report.pictures.canvas import (
    FRONT_INK,
    INK,
    PAPER,
    REAR_INK,
    SOFT,
    THIRD,
    TYPE_SIZE,
    Picture,
    drawing,
    empty_picture,
    legend_below,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from balance.decide.laps.corners import CornerPace
    from balance.decide.laps.day_laps import DayLaps
    from balance.model.tracks import Track
    from balance.tell.figures import Show

    Array = NDArray[np.float64]

LIMITS = {
    "front": ("front", FRONT_INK, "-"),
    "rear": ("rear", REAR_INK, (0, (2, 0.6))),
    "power": ("power", THIRD, (0, (0.6, 0.6))),
}
"""What stands for each limit in the legend, its ink and its dashes: apart from one another in grey too."""
_POINTS = 1_500
_WIDTH = 3.5
"""Inches: narrower than other pictures, for the sentences beside it."""
_LEAST_HEIGHT, _MOST_HEIGHT = 1.0, 2.0
"""Inches of the picture."""
_AROUND, _MARGIN = 0.7, 0.16
"""Inches that title and legend take; room left free about the track, as a part of it on each side."""
_CHARACTER, _LETTER = 0.105, 0.19
"""Inches that a character of a label is wide, and a label high."""


def track_picture(laps: DayLaps, position: int, show: Show) -> Picture:
    """Draw the track with the corners of one configuration."""
    track = laps.track
    where = track.length * np.arange(_POINTS + 1) / _POINTS
    line = line_across(track, where)
    wide, high = np.ptp(line, axis=0)
    unit = show.unit("speed")
    paces = [one for one in paces_of(laps) if np.isfinite(one.lowest[position])]
    with drawing():
        shape = _WIDTH * float(high) / max(float(wide), 1e-9)
        tall = min(max(shape, _LEAST_HEIGHT), _MOST_HEIGHT)
        figure, axes = empty_picture(width=_WIDTH, height=_AROUND + tall)
        axes.plot(*line.T, color=SOFT, linewidth=1.6, solid_capstyle="round")
        for key, (label, ink, dash) in LIMITS.items():
            own = [pace for pace in paces if str(pace.limited_by[position]) == key]
            pieces = [piece for pace in own for piece in _stretches(pace, where, line, track.length)]
            for k, piece in enumerate(pieces):
                named = label if k == 0 else None
                axes.plot(*piece.T, color=ink, linestyle=dash, linewidth=5.0, label=named)
        axes.plot(
            *line[0],
            marker="s",
            color=PAPER,
            markeredgecolor=INK,
            markersize=8,
            linestyle="none",
            label="start",
        )
        ends = np.array([[one.corner.apex, one.corner.apex + 1.0] for one in paces]).reshape(-1, 2)
        pairs = line_across(track, (ends % track.length).ravel()).reshape(-1, 2, 2)
        apart = np.stack([pairs[:, 1] - pairs[:, 0], pairs[:, 0]], axis=1)
        inch = max(float(wide) / _WIDTH, float(high) / tall) * (1.0 + 2.0 * _MARGIN)
        _numbers(axes, paces, position, show, line, apart, inch)
        axes.set_aspect("equal")
        axes.margins(_MARGIN)
        axes.set_axis_off()
        axes.set_title(f"slowest speeds [{unit}]", fontsize=TYPE_SIZE, pad=10.0)
        legend_below(figure, length=1.2, columns=4)
    return Picture(
        key="track",
        title=f"{track.name}: corners and slowest speeds",
        alternative=_says(track, position, paces),
        caption="Corners by their limit.",
        figure=figure,
    )


def _stretches(pace: CornerPace, where: Array, line: Array, length: float) -> Iterator[Array]:
    """Give the drawn places of a corner, in two pieces where it runs over the start of the lap."""
    for shift in (0.0, length):
        inside = (where + shift >= pace.corner.start) & (where + shift <= pace.corner.end)
        if np.count_nonzero(inside) > 1:
            yield line[inside]


def _numbers(
    axes: Axes,
    paces: list[CornerPace],
    position: int,
    show: Show,
    line: Array,
    apart: Array,
    inch: float,
) -> None:
    """Write number and slowest speed beside each corner, outside where there is room, off the line and off one another."""
    placed: list[tuple[Array, Array]] = []
    for pace, (ahead, apex) in zip(paces, apart, strict=True):
        text = f"{pace.corner.number}: {show.bare('speed', float(pace.lowest[position]))}"
        left = np.array([-ahead[1], ahead[0]]) / max(float(np.hypot(*ahead)), 1e-9)
        outside = -np.sign(pace.corner.angle) * left
        half = inch * np.array([_CHARACTER * len(text), _LETTER]) / 2.0
        where = _free(apex, outside, half, line, placed)
        placed.append((where, half))
        axes.text(
            float(where[0]), float(where[1]), text, ha="center", va="center", color=INK, fontsize=TYPE_SIZE
        )


def _free(apex: Array, outside: Array, half: Array, line: Array, placed: list[tuple[Array, Array]]) -> Array:
    """Find room for a label: the place nearest to its corner, outside first, that hides least."""

    def hidden(where: Array) -> int:
        on_line = int(np.count_nonzero(np.all(np.abs(line - where) < half, axis=1)))
        return on_line + _POINTS * sum(bool(np.all(np.abs(where - at) < half + own)) for at, own in placed)

    places = []
    for out in (1.3, 1.8, 2.5):
        for turn in (0.0, 0.8, -0.8, 1.6, -1.6, 2.4, -2.4, np.pi):
            cos, sin = np.cos(turn), np.sin(turn)
            way = np.array([[cos, -sin], [sin, cos]]) @ outside
            places.append(apex + out * float(np.abs(way) @ half) * way)
    return min(places, key=hidden)


def _says(track: Track, position: int, paces: list[CornerPace]) -> str:
    """State what the picture shows."""
    by_limit = {
        limit: [str(one.corner.number) for one in paces if str(one.limited_by[position]) == limit]
        for limit in LIMITS
    }
    said = "; ".join(f"{limit} in {', '.join(own)}" for limit, own in by_limit.items() if own)
    return f"{track.name} from above, with what limits the car in its corners: {said or 'it has none'}."
