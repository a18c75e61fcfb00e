"""Corners and straights of a lap: how fast, what limits the car there, what the air does for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.forces import ground
from balance.decide.laps.stations import find_corners, find_straights
from balance.decide.laps.steady import corner_speeds, top_speeds
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.laps.lap import Lap
    from balance.decide.laps.stations import Corner, Stations

    Array = NDArray[np.float64]

_AT_LIMIT = 5e-3
"""A car within this of the speed that it could hold is at its limit there, and within this of its top speed is held by drag."""
PLACE_REACH = 20.0
"""How far about a place its lowest speed is sought. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CornerPace:
    """One corner of a lap; arrays have the shape of the configurations.

    ``lowest`` is the lowest speed in it, at ``at`` along the line. ``limited_by`` names the axle that gives up
    first there, or power where the car could go faster than it does. ``limit`` is the steady speed that the car
    could hold at the corner's sharpest place, ``without_air`` the same were there no air, infinite where nothing
    limits it. ``time`` is the time from its start to its end.
    """

    corner: Corner
    lowest: Array
    at: Array
    limited_by: NDArray[np.str_]
    limit: Array
    without_air: Array
    time: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StraightPace:
    """What lies between two corners; arrays have the shape of the configurations.

    ``before`` is the number of the corner that it leads to, 0 at the open end of a track. ``fastest`` is the
    highest speed on it, at ``at``, ``top`` the top speed on a level road, ``drag_limited`` whether the one has come
    near the other.
    """

    before: int
    start: float
    end: float
    fastest: Array
    at: Array
    top: Array
    drag_limited: NDArray[np.bool_]
    time: Array


def corner_paces(lap: Lap) -> tuple[CornerPace, ...]:
    """Say how fast each corner is taken, and what limits the car in it.

    The axle with the lower limit at the slowest station, drive included; power where the speed stays 0.5 % below what
    could be held there.
    """
    return tuple(_corner_pace(lap, corner) for corner in find_corners(lap.track))


def _corner_pace(lap: Lap, corner: Corner) -> CornerPace:
    forces, shape = lap.forces, lap.time.shape
    inside = _inside(lap.stations, corner.start, corner.end)
    speeds = lap.speed[..., inside]
    slowest = np.argmin(speeds, axis=-1)
    lowest = np.take_along_axis(speeds, slowest[..., None], axis=-1)[..., 0]
    station = inside[slowest]
    held = np.take_along_axis(lap.driven_limit, station[..., None], axis=-1)[..., 0]
    beside = _sharper_side(lap.stations)[station.reshape(-1)]
    u = np.square(lowest).reshape(-1)
    front, rear = forces.lateral_limits(u, ground(beside), driving=True)
    axle = np.where(front <= rear, "front", "rear").reshape(shape)
    sharpest = _sharper_side(lap.stations)[inside]
    row = sharpest[[int(np.argmax(sharpest[:, 0]))]]
    none = np.zeros_like(forces.drag)
    still = replace(forces, front_gain=none, rear_gain=none, drag=none)
    return CornerPace(
        corner=corner,
        lowest=lowest,
        at=lap.distance[station],
        limited_by=np.where(lowest < (1.0 - _AT_LIMIT) * held, "power", axle),
        limit=np.sqrt(corner_speeds(forces, row, driving=True)[0]).reshape(shape),
        without_air=np.sqrt(corner_speeds(still, row, driving=True)[0]).reshape(shape),
        time=_time_between(lap, corner.start, corner.end),
    )


def straight_paces(lap: Lap) -> tuple[StraightPace, ...]:
    """Say how fast each straight ends, and whether drag holds the car back on it.

    Drag-limited where the highest speed comes within 0.5 % of the top speed on a level road.
    """
    straights = find_straights(lap.track)
    if lap.track.closed:
        straights = (straights[-1], *straights[:-1])  # the one that runs over the start comes first
    top = top_speeds(lap.forces).reshape(lap.time.shape)
    made = []
    for one in straights:
        if one.length <= 0.0:
            continue
        inside = _inside(lap.stations, one.start, one.end)
        speeds = lap.speed[..., inside]
        most = np.argmax(speeds, axis=-1)
        fastest = np.take_along_axis(speeds, most[..., None], axis=-1)[..., 0]
        made.append(
            StraightPace(
                before=one.before,
                start=one.start % lap.track.length,
                end=one.end,
                fastest=fastest,
                at=lap.distance[inside[most]],
                top=top,
                drag_limited=fastest >= (1.0 - _AT_LIMIT) * top,
                time=_time_between(lap, one.start, one.end),
            )
        )
    return tuple(made)


def lowest_near(lap: Lap, distance: float, *, reach: float = PLACE_REACH) -> Array:
    """Find the lowest speed about a place, which is what a place on a track means for the balance.

    Parameters
    ----------
    lap : Lap
        A simulated lap, of the start configuration: one speed for all, else verdicts would chase themselves. [1]
    distance : float
        Of the place along the line. [m]
    reach : float, optional
        How far on either side. [m]

    Returns
    -------
    numpy.ndarray
        Of the shape of the configurations. [m/s]

    Raises
    ------
    DomainError
        If the place is not on the line.

    Notes
    -----
    On a closed track the reach goes over the start.

    References
    ----------
    Common practice, no source.
    """
    if not 0.0 <= distance <= lap.track.length:
        raise DomainError(f"place: found {distance:,.0f} m, expected 0 to {lap.track.length:,.0f} m")
    off = np.abs(lap.distance - distance)
    if lap.track.closed:
        off = np.minimum(off, lap.track.length - off)
    near = off <= max(reach, float(off.min()))
    return np.asarray(lap.speed[..., near].min(axis=-1))


def _inside(stations: Stations, start: float, end: float) -> NDArray[np.intp]:
    """Find the stations of a stretch that may run over the start, the two that bound it at least."""
    distance, length = stations.distance, stations.track.length
    slack = 1e-9 * length
    found = np.zeros(len(distance), bool)
    for shift in (0.0, length):
        found |= (distance + shift >= start - slack) & (distance + shift <= end + slack)
    if not np.any(found):
        found[int(np.argmin(np.abs(distance - ((start + end) / 2.0) % length)))] = True
    return np.flatnonzero(found)


def _sharper_side(stations: Stations) -> Array:
    """Give curvature, bank and slope at each station, (stations, 3), of the sharper side where they jump."""
    before = np.concatenate(
        [stations.end[-1:] if stations.track.closed else stations.begin[:1], stations.end]
    )
    after = np.concatenate(
        [stations.begin, stations.begin[:1] if stations.track.closed else stations.end[-1:]]
    )
    return np.where((before[:, :1] >= after[:, :1]), before, after)


def _time_between(lap: Lap, start: float, end: float) -> Array:
    """Give the time between two distances, counted on over the end of the lap."""
    length, times = lap.track.length, lap.elapsed

    def at(where: float) -> Array:
        turns = np.floor(where / length) if lap.track.closed else 0.0
        left = where - turns * length
        right = int(np.clip(np.searchsorted(lap.distance, left), 1, len(lap.distance) - 1))
        share = (left - lap.distance[right - 1]) / (lap.distance[right] - lap.distance[right - 1])
        return np.asarray(
            times[..., right - 1] * (1.0 - share) + times[..., right] * share + turns * times[..., -1]
        )

    return at(end) - at(start)
