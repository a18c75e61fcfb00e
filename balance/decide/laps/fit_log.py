"""What a log driven with a known configuration tells of a car: friction, power, and where it can be told, the grip exponent."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import student_factor
from balance.decide.laps.forces import LEVEL, forces_of, ground
from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.log import FINE, SPEED_SMOOTHING, speed_along
from balance.decide.laps.smoothing import smoothed
from balance.decide.laps.stations import find_corners, find_straights
from balance.handling.axle_loads import STANDARD_GRAVITY
from balance.model.channels import FRONT, REAR
from balance.model.errors import DomainError
from balance.reduce.stated_draws import GRIP_RANGE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.laps.forces import Forces
    from balance.decide.laps.lap_car import LapCar
    from balance.decide.laps.log import LogLap
    from balance.decide.laps.stations import Corner
    from balance.model.tracks import Track

    Array = NDArray[np.float64]

FRICTIONS = tuple(0.5 * 1.09**k for k in range(18))
"""Frictions that a log is held against, 0.5 to 2.2. [1]"""
LEAST_ANSWER = 0.1
"""A corner tells friction only where its speed answers to it by this much, logarithm for logarithm. [1]"""
LEAST_CORNERS = 3
DRIVER_ALLOWANCE = 0.03
"""How much more of the car a driver may use in one corner than in another, from the slowest to the fastest. [1]"""
EXPONENT_WANTED = 0.05
"""Half of a 95 % interval within which an exponent from a log is offered. [1]"""
_TRIALS = 40_000
_PART_OF_STRAIGHT = (0.45, 0.97)
_TRACTION_SHARE = 0.8
_LEAST_RISE = 5.0  # m/s of speed gained on a straight that tells power


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fitted:
    """A figure fitted to several places of a log.

    ``value`` with its standard uncertainty and 95 % interval; ``each`` is what the places say one by one, not a
    number for one that tells nothing, ``places`` their names, ``spread`` the standard deviation of one place,
    relative [1].
    """

    value: float
    std: float
    low: float
    high: float
    each: Array
    places: tuple[str, ...]
    spread: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedExponent:
    """A grip exponent from slow and fast corners [1].

    ``half`` is half of its 95 % interval, the driver's allowance in it. ``offered`` says that it is narrow enough
    to take the place of the assumed one, ``unusual`` that it lies outside what is usual.
    """

    value: float
    half: float
    offered: bool
    unusual: bool

    @property
    def told(self) -> str:
        """What there is to say of it."""
        if not self.offered:
            return "this log cannot tell the exponent of grip"
        return "outside what is usual of tyres" if self.unusual else ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogFit:
    """What a log tells; nothing where it tells nothing of a figure.

    ``friction`` holds for the exponents of the car that it was fitted with. ``corner_speeds`` is (laps, corners),
    the lowest measured [m/s].
    """

    friction: Fitted | None
    power: Fitted | None
    exponent: FittedExponent | None
    corner_speeds: Array
    car: LapCar
    """With the fitted friction and power in place of what it came with."""


def fit_log(
    track: Track,
    car: LapCar,
    laps: Sequence[LogLap],
    areas: Array,
    *,
    air_density: float,
) -> LogFit:
    """Fit friction, power and grip exponent to laps driven with a known configuration.

    Parameters
    ----------
    track : Track
        The track; traced from the same log, or by hand. [1]
    car : LapCar
        The car, one number each; its friction and power are where the search starts. [1]
    laps : sequence of LogLap
        Laps from the track's start on. [1]
    areas : numpy.ndarray
        (3,) front downforce, rear downforce and drag area of the configuration that was driven. [m^2]
    air_density : float
        Of that day. [kg/m^3]

    Returns
    -------
    LogFit
        With intervals; friction is conditional on the exponents. [1]

    Raises
    ------
    DomainError
        If no lap was given, or the track has no corner.

    Notes
    -----
    Friction from the corners and power from the straights, twice in turn: each needs a little of the other.

    References
    ----------
    Common practice, no source.
    """
    corners = find_corners(track)
    if not laps or not corners:
        raise DomainError(
            f"log: found {len(laps)} laps on a track of {len(corners)} corners, expected one or more of both"
        )
    along = [speed_along(lap, track.length) for lap in laps]
    where, each = along[0][0], np.stack([speed for _, speed, _ in along])
    speeds = _lowest(track, where, each.mean(axis=0))  # the lowest of each lap is lower by its own noise
    known, friction, power = car, None, None
    for _ in range(2):
        answers = _corner_answers(track, known, areas, air_density)
        friction = _fit_friction(answers, speeds, corners)
        if friction is not None:
            known = replace(known, friction=friction.value)
        power = _fit_power(track, known, along, areas, air_density)
        if power is not None:
            known = replace(known, power=power.value)
    return LogFit(
        friction=friction,
        power=power,
        exponent=_fit_exponent(track, known, speeds, areas, air_density),
        corner_speeds=_lowest(track, where, each),
        car=known,
    )


def _lowest(track: Track, where: Array, speeds: Array) -> Array:
    """Give the lowest of speeds along a line in each corner, (..., corners)."""
    length = track.length
    found = []
    for one in find_corners(track):
        inside = ((where >= one.start) & (where <= one.end)) | (where + length <= one.end)
        if not np.any(inside):
            inside = np.arange(where.size) == int(np.argmin(np.abs(where - one.apex)))
        found.append(np.min(speeds[..., inside], axis=-1))
    return np.stack(found, axis=-1)


def _corner_answers(track: Track, car: LapCar, areas: Array, air_density: float) -> Array:
    """Simulate the lowest speed of each corner over a range of frictions, (frictions, corners) [m/s].

    One batch of 18 laps, read as a log is: smoothed over 20 m.
    """
    tried = replace(car, friction=np.array(FRICTIONS))
    lap = lap_of_areas(track, tried, areas, air_density=air_density)
    cells = int(np.ceil(track.length / FINE))
    where = np.asarray((np.arange(cells) + 0.5) * (track.length / cells), float)
    speeds = np.stack([np.interp(where, lap.distance, one) for one in lap.speed])
    flat = smoothed(speeds, track.length / cells, SPEED_SMOOTHING, closed=track.closed)
    return np.where(np.isfinite(lap.time)[:, None], _lowest(track, where, flat), np.nan)


def _fit_friction(answers: Array, speeds: Array, corners: Sequence[Corner]) -> Fitted | None:
    """Find the friction at which the simulated lowest speeds of the corners, (frictions, corners), meet the measured ones.

    Each corner has the friction that meets its speed; one that was not measured, or whose speed hardly answers to
    friction, tells nothing. Their median stands, unless fewer than three tell it; its interval follows from their
    spread by the distribution of a normal sample's median over its standard deviation (trials, JCGM 101:2008).
    """
    each = np.full(len(corners), np.nan)
    grid = np.log(np.array(FRICTIONS))
    for k, speed in enumerate(speeds):
        column = np.log(answers[:, k])
        there = np.isfinite(column)
        if not np.isfinite(speed) or np.count_nonzero(there) < 2:
            continue
        rising, known = np.maximum.accumulate(column[there]), grid[there]
        at = int(np.clip(np.searchsorted(rising, np.log(speed)), 1, len(known) - 1))
        slope = (rising[at] - rising[at - 1]) / (known[at] - known[at - 1])
        if slope >= LEAST_ANSWER and rising[0] <= np.log(speed) <= rising[-1]:
            each[k] = np.exp(np.interp(np.log(speed), rising, known))
    names = tuple(one.name or f"corner {one.number}" for one in corners)
    return _median_of(each, names)


def _fit_power(
    track: Track, car: LapCar, along: Sequence[tuple[Array, Array, Array]], areas: Array, air_density: float
) -> Fitted | None:
    """Find the power of the engine from what the straights of a log took, as of `speed_along` [W].

    On the rising part of each straight, beyond where the tyres limit the drive: gain of the car's energy, and what
    drag, rolling and climbing took, over the time. What turns with the wheels is not in the energy, so that the
    power is that of a car without it. Nothing where fewer than three straights tell it.
    """
    forces = forces_of(car, areas, air_density)
    straights = [one for one in find_straights(track) if one.after and one.before]
    found = np.full((len(along), len(straights)), np.nan)
    for k, (where, speed, time) in enumerate(along):
        for j, one in enumerate(straights):
            inside = (where >= one.start) & (where <= min(one.end, track.length))
            found[k, j] = _power_on(track, car, forces, where[inside], speed[inside], time[inside])
    losses = float(np.asarray(car.losses))
    tells = np.any(np.isfinite(found), axis=0)
    each = np.full(len(straights), np.nan)
    each[tells] = np.nanmedian(found[:, tells], axis=0) / (1.0 - losses)
    return _median_of(each, tuple(f"straight after corner {one.after}" for one in straights))


def _power_on(track: Track, car: LapCar, forces: Forces, where: Array, speed: Array, time: Array) -> float:
    """Give the power at the wheels on the rising part of one straight; not a number where it tells nothing."""
    if speed.size < 10:
        return np.nan
    last = int(np.argmax(speed))
    lowest, highest = float(np.min(speed[: last + 1])), float(speed[last])
    if highest - lowest < _LEAST_RISE:
        return np.nan
    low, high = (lowest + part * (highest - lowest) for part in _PART_OF_STRAIGHT)
    mass = float(np.asarray(car.mass))
    tried = np.linspace(low, high, 30)
    by_tyres = forces.drive_left(forces.ratios(np.square(tried), LEVEL), None)
    free = np.flatnonzero(forces.pushed(np.square(tried)) < _TRACTION_SHARE * by_tyres)
    if not free.size:
        return np.nan
    low = float(tried[free[0]])
    first = int(np.flatnonzero(speed[: last + 1] < low)[-1]) if np.any(speed[: last + 1] < low) else 0
    beyond = int(np.flatnonzero(speed[: last + 1] >= high)[0])
    if beyond - first < 5 or speed[beyond] - speed[first] < _LEAST_RISE / 2.0:
        return np.nan
    part = slice(first, beyond + 1)
    curve = forces.power_curve
    of_most = 1.0 if curve is None else float(np.mean(np.interp(speed[part], *curve)))
    return _work(track, forces, where[part], speed[part], time[part]) * mass / of_most


def _work(track: Track, forces: Forces, where: Array, speed: Array, time: Array) -> float:
    """Give the mean power per mass of the car over a stretch: energy gained, and what slowed the car."""
    slope = np.arctan(track.sampled("gradient", where))
    on = ground(np.stack([np.zeros_like(slope), np.zeros_like(slope), slope], axis=-1))
    slowed = forces.resistance(np.square(speed), on)
    lost = float(np.sum(np.diff(where) * (slowed[1:] + slowed[:-1]) / 2.0))
    gained = (float(speed[-1]) ** 2 - float(speed[0]) ** 2) / 2.0
    return (gained + lost) / float(time[-1] - time[0])


def _fit_exponent(
    track: Track, car: LapCar, speeds: Array, areas: Array, air_density: float
) -> FittedExponent | None:
    """Fit the grip exponent to the lateral accelerations of slow and fast corners, by the lowest speeds measured.

    Least squares of the logarithm of what the limiting axle does, drive and corner together, on that of its load
    over its weight. A driver may use more of the car in one corner than in another: 3 % between slowest and
    fastest, either way, is drawn in (JCGM 101:2008). It is offered where half of its 95 % interval is below 0.05;
    nothing where fewer than three corners are driven at the limit of an axle.
    """
    known = np.isfinite(speeds)
    if np.count_nonzero(known) < LEAST_CORNERS:
        return None
    forces = forces_of(car, areas, air_density)
    corners = [one for one, there in zip(find_corners(track), known, strict=True) if there]
    u = np.square(speeds[known])
    at = np.array([one.apex for one in corners])
    rows = np.stack(
        [
            1.0 / np.array([one.radius for one in corners]),
            track.sampled("bank", at),
            np.arctan(track.sampled("gradient", at)),
        ],
        axis=1,
    )
    on = ground(rows)
    ratios = forces.ratios(u, on)
    across = u * on.turn * on.across - STANDARD_GRAVITY * on.lean
    push = np.maximum(forces.resistance(u, on), 0.0)
    share = float(np.asarray(car.front_share))
    loads = share * ratios[0], (1.0 - share) * ratios[1]
    split = {
        "front": (1.0, 0.0),
        "rear": (0.0, 1.0),
        "both": tuple(one / (loads[FRONT] + loads[REAR]) for one in loads),
    }[car.driven]
    done = [np.hypot(across, push * split[k] / part) for k, part in enumerate((share, 1.0 - share))]
    usual = (float(np.asarray(car.front_exponent)), float(np.asarray(car.rear_exponent)))
    asked = np.stack([done[k] / np.power(np.maximum(ratios[k], 1e-9), usual[k]) for k in (FRONT, REAR)])
    axle = np.argmax(asked, axis=0)  # the one that needs more friction for it gives up first
    ratio, gave = (np.take_along_axis(np.stack(pair), axle[None], axis=0)[0] for pair in (ratios, done))
    usable = (ratio > 0.0) & (gave > 0.0)
    x, y = np.log(ratio[usable]), np.log(gave[usable])
    if x.size < LEAST_CORNERS or np.ptp(x) < 1e-6:
        return None
    apart = x - x.mean()
    total = float(np.sum(apart**2))
    slope = float(np.sum(apart * y) / total)
    left = y - y.mean() - slope * apart
    error = float(np.sqrt(np.sum(left**2) / (x.size - 2) / total))
    rng = np.random.default_rng(12)
    drawn = error * rng.standard_t(x.size - 2, _TRIALS)
    drawn += rng.uniform(-DRIVER_ALLOWANCE, DRIVER_ALLOWANCE, _TRIALS) / float(np.ptp(x))
    half = float(np.quantile(np.abs(drawn), 0.95))
    return FittedExponent(
        value=slope,
        half=half,
        offered=half < EXPONENT_WANTED,
        unusual=not GRIP_RANGE[0] <= slope <= GRIP_RANGE[1],
    )


def _median_of(each: Array, places: tuple[str, ...]) -> Fitted | None:
    """Give the median of what the places say, with its interval; nothing where there are fewer than three."""
    said = np.log(each[np.isfinite(each)])
    if said.size < LEAST_CORNERS:
        return None
    middle, spread = float(np.median(said)), float(np.std(said, ddof=1))
    half = spread * _median_factor(said.size)
    deviation = half / float(student_factor(said.size - 1))
    value = float(np.exp(middle))
    return Fitted(
        value=value,
        std=value * deviation,
        low=float(np.exp(middle - half)),
        high=float(np.exp(middle + half)),
        each=each,
        places=places,
        spread=spread,
    )


@cache
def _median_factor(count: int) -> float:
    """Give half the 95 % interval of a normal sample's median over its standard deviation, by trials."""
    rng = np.random.default_rng(count)
    trials = rng.standard_normal((_TRIALS, count))
    return float(np.quantile(np.abs(np.median(trials, axis=1)) / np.std(trials, axis=1, ddof=1), 0.95))
