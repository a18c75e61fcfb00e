"""A track cut into stations for a lap, its corners, and whether its ends meet."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.model.tracks import Track

    Array = NDArray[np.float64]

USUAL_STEP = 2.0
"""Length from one station to the next. [m]"""
LEAST_IN_CORNER = 8
"""Steps in a corner, at least."""
CORNER_CURVATURE, CORNER_ANGLE = 1.0 / 600.0, float(np.radians(10.0))
"""What counts as a corner: a stretch that turns one way, sharper and further than this. [1/m], [rad]"""
APEX_SHARE = 0.05
"""How far below its sharpest a corner still counts as its apex, as a part of it. [1]"""
MOST_STATIONS = 200_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """A stretch that turns one way, numbered from 1 in the order of the lap.

    ``start``, ``end`` and ``apex`` (the sharpest place) are distances along the line [m]; ``end`` is beyond the
    length of the lap where the corner runs over its start. ``angle`` is left positive [rad], ``radius`` the least
    one [m].
    """

    number: int
    name: str
    start: float
    apex: float
    end: float
    angle: float
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stations:
    """A track cut into cells between stations.

    ``distance`` is (cells + 1,), ``step`` is (cells,) [m]. ``begin``, ``middle`` and ``end`` are (cells, 3): how
    sharply the line turns, as a number that is not negative [1/m], bank into the corner [rad], and slope [rad].
    """

    track: Track
    distance: Array
    step: Array
    begin: Array
    middle: Array
    end: Array

    @property
    def cells(self) -> int:
        """How many cells there are."""
        return len(self.step)


def stations_of(track: Track, *, step: float = USUAL_STEP) -> Stations:
    """Cut a track into stations.

    A stretch without a jump is cut evenly. One that turns has 8 steps at least; so has the shortest corner of the
    track.
    """
    if not 0.0 < step < np.inf or track.length / step > MOST_STATIONS:
        raise DomainError(
            f"step: found {step:g} m on {track.length:,.0f} m, expected above 0 and at most "
            f"{MOST_STATIONS:,} stations"
        )
    bounds = track.edges[np.concatenate(([True], _jumps(track), [True]))]
    piece = np.searchsorted(track.edges, bounds[:-1], side="right") - 1
    last = np.searchsorted(track.edges, bounds[1:], side="left")
    finest = min([step, *((one.end - one.start) / LEAST_IN_CORNER for one in find_corners(track))])
    nodes, inside = [np.zeros(1)], []
    for begin, end, first, beyond in zip(bounds[:-1], bounds[1:], piece, last, strict=True):
        turns = bool(np.any(track.curvature[first:beyond]))
        count = max(
            int(np.ceil((end - begin) / (finest if turns else step) - 1e-9)), LEAST_IN_CORNER if turns else 1
        )
        nodes.append(begin + (end - begin) * np.arange(1, count + 1) / count)
        inside.append(np.full(count, first))
    distance = np.concatenate(nodes)
    lengths = np.diff(distance)
    sides = [
        np.stack([_read(track, name, where, side) for name in ("curvature", "bank", "gradient")], axis=1)
        for side, where in (
            ("begin", distance[:-1]),
            ("begin", distance[:-1] + lengths / 2.0),
            ("end", distance[1:]),
        )
    ]
    for one in sides:
        one[:, 0] = np.abs(one[:, 0])
        one[:, 2] = np.arctan(one[:, 2])
        one.setflags(write=False)
    begin_, middle, end_ = sides
    return Stations(track=track, distance=distance, step=lengths, begin=begin_, middle=middle, end=end_)


def _jumps(track: Track) -> NDArray[np.bool_]:
    """Find the inner edges at which something jumps."""
    found = np.zeros(len(track.edges) - 2, bool)
    for name, scale in (("curvature", 1e-9), ("bank", 1e-9), ("gradient", 1e-9)):
        rows: Array = getattr(track, name)
        found |= np.abs(rows[1:, 0] - rows[:-1, 1]) > scale
    return found


def _read(track: Track, name: str, where: Array, side: str) -> Array:
    """Read one column: what begins at an edge, or what ends there."""
    edges = track.edges
    rows: Array = getattr(track, name)
    near = 1e-9 * track.length
    if side == "begin":
        piece = np.searchsorted(edges, where + near, side="right") - 1
    else:
        piece = np.searchsorted(edges, where - near, side="left") - 1
    piece = np.clip(piece, 0, len(rows) - 1)
    share = np.clip((where - edges[piece]) / np.diff(edges)[piece], 0.0, 1.0)
    return np.asarray(rows[piece, 0] + share * (rows[piece, 1] - rows[piece, 0]))


def find_corners(track: Track) -> tuple[Corner, ...]:
    """Find the corners of a track.

    A stretch that turns one way with a radius below 600 m, by 10 degrees or more. On a closed track one that runs over
    the start is one corner. Its apex is the middle of where it turns within 5 % of its sharpest: the one sharpest place
    of a traced line is where its noise is.
    """
    length = track.length
    count = int(np.clip(np.ceil(length), 200, MOST_STATIONS))
    grid = length * (np.arange(count) + 0.5) / count
    curvature = track.sampled("curvature", grid)
    side = np.where(np.abs(curvature) >= CORNER_CURVATURE, np.sign(curvature), 0.0)
    first = 0
    if track.closed and np.any(side != side[0]):
        first = int(np.flatnonzero(side != np.roll(side, 1))[0])  # read from where something begins
    side, curvature = np.roll(side, -first), np.roll(curvature, -first)
    at = np.roll(grid, -first) + np.where(np.arange(count) >= count - first, length, 0.0)
    bounds = np.concatenate(([0], np.flatnonzero(np.diff(side)) + 1, [count]))
    made = []
    half = 0.5 * length / count
    for begin, end in pairwise(bounds):
        angle = float(np.sum(curvature[begin:end]) * 2.0 * half)
        if side[begin] == 0.0 or abs(angle) < CORNER_ANGLE:
            continue
        sharpest = np.abs(curvature[begin:end])
        most = np.flatnonzero(sharpest >= sharpest.max() * (1.0 - APEX_SHARE))
        apex = at[begin + most].mean()
        made.append((at[begin] - half, apex, at[end - 1] + half, angle, 1.0 / float(sharpest.max())))
    made.sort(key=lambda one: one[1] % length)
    places = [(one.name, one.distance) for one in track.places]
    return tuple(
        Corner(
            number=k + 1,
            name=next((name for name, at in places if begin <= at <= end or begin <= at + length <= end), ""),
            start=float(begin),
            apex=float(apex % length) if track.closed else float(apex),
            end=float(end),
            angle=angle,
            radius=radius,
        )
        for k, (begin, apex, end, angle, radius) in enumerate(made)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """What lies between two corners, by their numbers; 0 at the open end of a track, or where there is no corner.

    ``start`` and ``end`` are distances along the line [m]; ``end`` is beyond the length of the lap where the straight
    runs over its start.
    """

    after: int
    before: int
    start: float
    end: float

    @property
    def length(self) -> float:
        """How long it is [m]."""
        return self.end - self.start


def find_straights(track: Track) -> tuple[Straight, ...]:
    """List what lies between corners, in the order of the lap; of a closed one that over its start comes last."""
    corners, length = find_corners(track), track.length
    ends = [(one.number, one.end) for one in corners]
    starts = [(one.number, one.start) for one in corners]
    if track.closed and corners:
        starts = [*starts[1:], (starts[0][0], starts[0][1] + length)]
    else:
        ends, starts = [(0, 0.0), *ends], [*starts, (0, length)]
    return tuple(
        Straight(after=after, before=before, start=start, end=end)
        for (after, start), (before, end) in zip(ends, starts, strict=True)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """Whether the ends of a track meet.

    ``turned`` is how far the line turns, left positive, ``missing`` what lacks of the nearest full turn, 0 on an
    open track [rad]; ``gap`` is how far apart the ends are on the ground, 0 on an open track [m].
    """

    turned: float
    missing: float
    gap: float

    @property
    def meets(self) -> bool:
        """Whether the ends meet closely enough to draw it: within 10 degrees."""
        return abs(self.missing) <= CORNER_ANGLE


def closure(track: Track) -> Closure:
    """Say whether the ends of a track meet.

    A lap turns once around, left or right; one that crosses itself may turn not at all.
    """
    turned = track.turned
    if not track.closed:
        return Closure(turned=turned, missing=0.0, gap=0.0)
    turns = round(turned / (2.0 * np.pi)) or (np.sign(turned) if abs(turned) > np.pi / 2 else 0.0)
    full = 2.0 * np.pi * turns
    place = line_on_ground(track, np.array([0.0, track.length]))
    return Closure(turned=turned, missing=float(full - turned), gap=float(np.hypot(*(place[1] - place[0]))))


def line_on_ground(track: Track, distance: Array) -> Array:
    """Draw the line of a track on the ground.

    Parameters
    ----------
    track : Track
        The track. [1]
    distance : numpy.ndarray
        (n,) where along the line, rising. [m]

    Returns
    -------
    numpy.ndarray
        (n, 2) places, from the first one at the origin, heading along x. [m]

    Notes
    -----
    Curvature summed to a heading, the heading to a place, by the middle of short steps. Slope is left out.

    References
    ----------
    Common practice, no source.
    """
    count = int(np.clip(np.ceil(track.length / 0.5), 400, MOST_STATIONS))
    edges = np.union1d(track.length * np.arange(count + 1) / count, track.edges)
    short = np.diff(edges)
    turn = track.sampled("curvature", edges[:-1] + short / 2.0) * short
    heading = np.concatenate(([0.0], np.cumsum(turn)))
    middle = heading[:-1] + turn / 2.0
    x = np.concatenate(([0.0], np.cumsum(short * np.cos(middle))))
    y = np.concatenate(([0.0], np.cumsum(short * np.sin(middle))))
    return np.stack([np.interp(distance, edges, x), np.interp(distance, edges, y)], axis=-1)
