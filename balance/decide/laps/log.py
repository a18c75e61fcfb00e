"""A driver's log as numbers: laps along the line, whatever was recorded to tell how the car turned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.smoothing import smoothed
from balance.handling.axle_loads import STANDARD_GRAVITY
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

SLOWEST_READ = 8.0
"""Below this speed nothing is read of how the track turns. [m/s]"""
FINE = 0.5
"""Length of the cells into which samples are averaged. [m]"""
SPEED_SMOOTHING = 20.0
"""Length over which speed is smoothed before its ends are read. [m]"""
_MOST_CELLS = 400_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogLap:
    """One lap of a log, (samples,) each, in running order; not a number where a sample is missing.

    ``time`` [s], ``speed`` [m/s], and one of ``yaw_rate``, left positive [rad/s], ``lateral_acceleration``, left
    positive [m/s²], or ``x`` and ``y`` on the ground [m]. ``distance`` from the start of the lap [m], where it was
    recorded; else speed is summed over time. ``roll``, positive to the right side down [rad], takes its share of
    gravity out of the lateral acceleration. ``name`` tells the lap from others.
    """

    name: str
    time: Array
    speed: Array
    lateral_acceleration: Array | None = None
    yaw_rate: Array | None = None
    x: Array | None = None
    y: Array | None = None
    distance: Array | None = None
    roll: Array | None = None


def along_line(lap: LogLap) -> Array:
    """Give how far along its lap each sample is.

    Parameters
    ----------
    lap : LogLap
        One lap. [1]

    Returns
    -------
    numpy.ndarray
        (samples,) from 0, never falling. [m]

    Raises
    ------
    DomainError
        If there are fewer than 10 samples, or time does not rise.

    Notes
    -----
    The recorded distance, else speed summed over time by its mean; over a gap of missing speed the line between its
    ends is taken.

    References
    ----------
    Common practice, no source.
    """
    time = np.asarray(lap.time, float)
    if time.size < 10:
        raise DomainError(f"lap {lap.name}: found {time.size} samples, expected 10 or more")
    if np.any(~np.isfinite(time)) or np.any(np.diff(time) < 0.0) or time[-1] <= time[0]:
        raise DomainError(
            f"lap {lap.name}: found times that do not rise, expected samples in the order of time"
        )
    speed = _filled(time, np.asarray(lap.speed, float), lap.name)
    if lap.distance is not None:
        distance = _filled(time, np.asarray(lap.distance, float), lap.name)
        return np.asarray(np.maximum.accumulate(distance - distance[0]))
    return np.concatenate(([0.0], np.cumsum(np.diff(time) * (speed[1:] + speed[:-1]) / 2.0)))


def curvature_read(lap: LogLap) -> Array:
    """Read how sharply the line turns at each sample.

    Parameters
    ----------
    lap : LogLap
        One lap. [1]

    Returns
    -------
    numpy.ndarray
        (samples,) left positive; not a number below 8 m/s or where a sample is missing. [1/m]

    Raises
    ------
    DomainError
        If the lap has neither yaw rate, nor lateral acceleration, nor places.

    Notes
    -----
    Yaw rate over speed, else lateral acceleration over its square, less gravity's share in body roll, ``g sin`` of
    it; else the turn of the direction between places, over the way between them. Yaw rate is preferred: it knows no
    roll.

    References
    ----------
    Common practice, no source.
    """
    speed = np.asarray(lap.speed, float)
    moving = np.where(speed > SLOWEST_READ, speed, np.nan)
    if lap.yaw_rate is not None:
        return np.asarray(np.asarray(lap.yaw_rate, float) / moving)
    if lap.lateral_acceleration is not None:
        across = np.asarray(lap.lateral_acceleration, float)
        if lap.roll is not None:
            across = across - STANDARD_GRAVITY * np.sin(np.asarray(lap.roll, float))
        return np.asarray(across / (moving * moving))
    if lap.x is None or lap.y is None:
        raise DomainError(
            f"lap {lap.name}: found nothing that tells how it turns, expected yaw rate, lateral acceleration or places"
        )
    place = np.asarray(lap.x, float) + 1j * np.asarray(lap.y, float)
    way = np.diff(place)
    turn = np.angle(way[1:] * np.conj(way[:-1]))
    length = (np.abs(way[1:]) + np.abs(way[:-1])) / 2.0
    with np.errstate(divide="ignore", invalid="ignore"):
        bent = np.where(length > 1e-6, turn / length, np.nan)
    return np.where(np.isnan(moving), np.nan, np.concatenate(([np.nan], bent, [np.nan])))


def gridded(where: Array, values: Array, length: float, cells: int) -> Array:
    """Average samples into even cells along a line.

    Parameters
    ----------
    where : numpy.ndarray
        (samples,) along the line, 0 to its length. [m]
    values : numpy.ndarray
        (samples,) in any unit, not a number where missing. [1]
    length : float
        Of the line. [m]
    cells : int
        How many. [1]

    Returns
    -------
    numpy.ndarray
        (cells,) in the same unit; between samples farther apart than a cell, a straight line. [1]

    Notes
    -----
    A mean a cell, so that a log of any rate costs the same from there on.

    References
    ----------
    Common practice, no source.
    """
    there = np.isfinite(values)
    where, values = where[there], values[there]
    cell = np.clip((where / length * cells).astype(int), 0, cells - 1)
    count = np.bincount(cell, minlength=cells)
    filled = count > 0
    place = np.bincount(cell, weights=where, minlength=cells)[filled] / count[filled]
    means = np.bincount(cell, weights=values, minlength=cells)[filled] / count[filled]
    middles = (np.arange(cells) + 0.5) * (length / cells)
    return np.asarray(np.interp(middles, place, means))


def speed_along(lap: LogLap, length: float) -> tuple[Array, Array, Array]:
    """Read speed and time along a lap, smoothed, so that no single sample makes an end.

    Parameters
    ----------
    lap : LogLap
        One lap. [1]
    length : float
        Of the track's line, to which the lap's is brought evenly. [m]

    Returns
    -------
    tuple of numpy.ndarray
        Distances in m, speeds in m/s and times in s, (cells,) each. [1]

    Notes
    -----
    A local quadratic over 20 m.

    References
    ----------
    As of `balance.decide.laps.smoothing`.
    """
    where = along_line(lap)
    where = where * (length / where[-1])
    cells = int(np.clip(np.ceil(length / FINE), 64, _MOST_CELLS))
    step = length / cells
    middles = np.asarray((np.arange(cells) + 0.5) * step, float)
    speed = smoothed(
        gridded(where, np.asarray(lap.speed, float), length, cells), step, SPEED_SMOOTHING, closed=False
    )
    return middles, speed, np.asarray(np.interp(middles, where, np.asarray(lap.time, float)))


def _filled(time: Array, values: Array, name: str) -> Array:
    """Draw a straight line over what is missing."""
    there = np.isfinite(values)
    if np.count_nonzero(there) < 10:
        raise DomainError(
            f"lap {name}: found {np.count_nonzero(there)} samples of speed or distance, expected 10 or more"
        )
    return np.asarray(np.interp(time, time[there], values[there]))
