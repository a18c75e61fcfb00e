"""What is seen of the grip surplus going up through the speeds that a car sees: extremes, and where it leaves the band."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.verdict import LIGHT_LOAD
from balance.handling.axle_loads import static_axle_weights
from balance.handling.decisive_surplus import surpluses
from balance.handling.onset import lift_off_pressure
from balance.handling.rest_state import rest_state
from balance.handling.top_speed import top_speed
from balance.model.channels import AXLES, DRAG, FRONT, REAR
from balance.model.records import HALF_95, std_of
from balance.reduce.air import dynamic_pressure, speed_at
from balance.reduce.car_figures import figures_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.model.records import Session, Target, Vehicle
    from balance.reduce.draws import SharedDraws

BEYOND_TESTS = 1.22
"""Times the highest tested speed: up to there the loads are taken as tested; half as much dynamic pressure again."""
_LOWEST = 0.6
"""Where no place is named, the range begins at this share of the day's speed."""
_STEPS = 48
_AT_ONCE = 120_000
"""Surpluses worked out at once: few enough to stay in a processor's cache."""
_FROM_REST = 0.05
"""The lowest speed looked at, as a share of the range's end; below it the air does nothing."""


def range_limits(
    session: Session, drag_area: NDArray[np.float64], air_density: float
) -> tuple[float, NDArray[np.float64]]:
    """Find the speeds that a car sees.

    Parameters
    ----------
    session : Session
        Named places, the car's top speed or power, and the tested speeds. [1]
    drag_area : numpy.ndarray
        (n,) drag area of each configuration. [m^2]
    air_density : float
        Density of the air. [kg/m^3]

    Returns
    -------
    tuple of (float, numpy.ndarray)
        The lowest speed, and the highest of each configuration (n,). [m/s]

    Notes
    -----
    From the slowest named place, else 0.6 of the day's speed, to the top speed: stated, else where power meets drag
    and rolling resistance, else 1.22 times the highest tested speed; never ending below a place. The speed of a place
    that was stated with its uncertainty counts with both ends of its 95 % interval.

    References
    ----------
    Common practice, no source.
    """
    car, places = session.vehicle, place_speeds(session)
    low = min(places, default=_LOWEST * session.facility.speed)
    if car.top_speed is not None:
        high = np.full(drag_area.shape, car.top_speed)
    elif car.power is not None:
        high = top_speed(drag_area, power=car.power, mass=car.mass, air_density=air_density)
        high = np.where(np.isfinite(high), high, BEYOND_TESTS * highest_tested(session))
    else:
        high = np.full(drag_area.shape, BEYOND_TESTS * highest_tested(session))
    return low, np.maximum(high, max([low, *places]))


def place_speeds(session: Session) -> list[float]:
    """List the speeds that the car has at the named places.

    Of each place its speed; both ends of the 95 % interval too, where its uncertainty was stated. A verdict
    that holds at both ends and at the speed itself holds between them as well, since the surplus runs one way
    with dynamic pressure.
    """
    speeds: list[float] = []
    for number, place in enumerate(session.places):
        half = HALF_95 * std_of(session.uncertainties.get(f"places.{number}.speed"))
        ends = [max(place.speed - half, 0.1 * place.speed), place.speed + half] if half > 0.0 else []
        speeds += [place.speed, *ends]
    return speeds


def highest_tested(session: Session) -> float:
    """Find the highest speed that was tested.

    Of the readings that count; a run without a speed of its own has the facility's.
    """
    facility = session.facility.speed
    return max((facility if run.speed is None else run.speed for run in session.used), default=facility)


class Seen:
    """What was seen of the surplus going up through the speeds, of each configuration, and of each draw where drawn.

    ``tested`` is the highest speed that counts as tested [m/s]. Arrays are (n,) or (draws, n). ``least`` and ``greatest`` are over the tested part of the range, ``least_beyond``
    over the part beyond the tests. ``leaves`` is the speed at which the
    band is first left from rest upward, infinite where it never is, and ``rear`` whether at the rear's side.
    The rest is looked for where nothing is drawn, and 0, false or infinite else: with ``_at`` the speed where an extreme is reached [m/s].
    ``lifts`` is the speed at which an axle leaves the ground, ``front_lifts`` whether it is the front. ``light`` says that the air adds less than 1 % to either axle at the end of the range, ``loose_at_place`` that the
    surplus is below the front's edge at a named place, or anywhere in the range where none is named. ``pushes`` is the speed from which the car with drive is beyond the rear's edge where it is not without.

    Parameters
    ----------
    session : Session
        Places, tested speeds, and the car. [1]
    areas : numpy.ndarray
        (3, n) or (3, draws, n) area coefficients of front downforce, rear downforce, drag. [m^2]
    limits : tuple of (float, numpy.ndarray)
        The lowest speed, and the highest of each configuration, as of `range_limits`. [m/s]
    air_density : float
        Density of the air. [kg/m^3]
    shared : SharedDraws or None
        The car's draws, where areas are drawn. [1]
    set_up : Vehicle, optional
        The car whose set-up it has, where the weights were changed afterwards. [1]
    """

    def __init__(
        self,
        session: Session,
        areas: NDArray[np.float64],
        limits: tuple[float, NDArray[np.float64]],
        air_density: float,
        shared: SharedDraws | None,
        set_up: Vehicle | None = None,
    ) -> None:
        car = session.vehicle
        low, high = limits
        tested = max(BEYOND_TESTS * highest_tested(session), low)  # the lowest speed is always judged
        self.tested = tested
        figures = figures_of(car, set_up) if shared is None else shared.car.first(areas.shape[1])
        weights = static_axle_weights(figures.mass, figures.front_share)
        at_rest = 1.0 if figures.set_up is None else rest_state(figures).grip_ratio
        target, shape = car.target, areas.shape[1:]
        self.least, self.greatest = np.full(shape, np.inf), np.full(shape, -np.inf)
        self.least_at, self.greatest_at = np.zeros(shape), np.zeros(shape)
        self.least_beyond, self.least_beyond_at = np.full(shape, np.inf), np.zeros(shape)
        self.leaves, self.rear = np.full(shape, np.inf), np.zeros(shape, bool)
        self.pushes = np.full(shape, np.inf)
        self.loose_at_place = np.zeros(shape, bool)
        places = place_speeds(session)
        speeds = speeds_seen(low, high, tested, places)
        width = max(1, _AT_ONCE // (speeds.shape[0] * math.prod(shape[:-1])))
        for start in range(0, shape[-1], width):
            some = (..., slice(start, start + width))
            own = speeds[:, None, some[1]] if len(shape) > 1 else speeds[:, some[1]]
            pressure = np.asarray(dynamic_pressure(own, air_density))
            front, rear, drag = (areas[channel][some] * pressure for channel in (FRONT, REAR, DRAG))
            surplus = surpluses(
                front, rear, drag, figures, driven_axle=car.driven, weights=weights, grip_ratio=at_rest
            )
            s, at = surplus.decisive, np.broadcast_to(own, surplus.decisive.shape)
            inside, known = (own >= low) & (own <= high[some[1]] * (1.0 + 1e-12)), own <= tested
            self.least[some] = _lowest(s, inside & known)
            self.greatest[some] = -_lowest(-s, inside & known)
            self.least_beyond[some] = _lowest(s, inside & ~known)
            self.leaves[some], self.rear[some] = _leaving(s, pressure, target, air_density)
            if shared is not None:
                continue
            self.least_at[some] = _where_lowest(s, at, inside & known)
            self.greatest_at[some] = _where_lowest(-s, at, inside & known)
            self.least_beyond_at[some] = _where_lowest(s, at, inside & ~known)
            looked = np.isin(own, places) if places else inside
            self.loose_at_place[some] = np.any(looked & (s < -target.front_tolerance), axis=0)
            if surplus.driven is not None:
                pushing = (surplus.driven > target.rear_tolerance) & (s <= target.rear_tolerance) & inside
                first = np.expand_dims(np.argmax(pushing, axis=0), 0)
                found = np.take_along_axis(at, first, 0)[0]
                self.pushes[some] = np.where(np.any(pushing, axis=0), found, np.inf)
        self.lifts, self.front_lifts = np.full(shape, np.inf), np.zeros(shape, bool)
        self.light = np.zeros(shape, bool)
        if shared is None:
            end = np.asarray(dynamic_pressure(speeds[-1], air_density))
            slopes = [area / weight for area, weight in zip(areas[AXLES], weights, strict=True)]
            lifts, self.front_lifts = lift_off_pressure(*slopes)
            self.lifts = speed_at(lifts, air_density)
            added = [np.abs(area * end / weight) for area, weight in zip(areas[AXLES], weights, strict=True)]
            self.light = (added[FRONT] < LIGHT_LOAD) & (added[REAR] < LIGHT_LOAD)


def _looked_at(s: NDArray[np.float64], looked: NDArray[np.bool_]) -> tuple[slice, NDArray[np.float64]]:
    """Give the steps that are looked at, and the surplus there, infinite at those in between that are not."""
    steps = np.flatnonzero(looked.any(axis=tuple(range(1, looked.ndim))))
    part = slice(int(steps[0]), int(steps[-1]) + 1) if steps.size else slice(0)
    s, looked = s[part], looked[part]
    return part, s if looked.all() else np.where(looked, s, np.inf)


def _lowest(s: NDArray[np.float64], looked: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return the least surplus over the speeds that are looked at."""
    return np.asarray(np.min(_looked_at(s, looked)[1], axis=0, initial=np.inf))


def _where_lowest(
    s: NDArray[np.float64], at: NDArray[np.float64], looked: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Return the speed where the least surplus is reached; 0 where none is."""
    part, held = _looked_at(s, looked)
    if not held.size:
        return np.zeros(s.shape[1:])
    first = np.expand_dims(np.argmin(held, axis=0), 0)
    least = np.take_along_axis(held, first, 0)[0]
    return np.where(np.isfinite(least), np.take_along_axis(at[part], first, 0)[0], 0.0)


def _leaving(
    s: NDArray[np.float64], pressure: NDArray[np.float64], target: Target, air_density: float
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Return the speed at which the band is first left from rest upward, and whether at the rear's side."""
    outside = (s > target.rear_tolerance) | (s < -target.front_tolerance)
    first = np.expand_dims(np.argmax(outside, axis=0), 0)
    pressure = np.broadcast_to(pressure, s.shape)

    def around(values: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        at = np.take_along_axis(values, first, 0)[0]
        before = np.take_along_axis(values, np.maximum(first - 1, 0), 0)[0]
        return np.where(first[0] > 0, before, 0.0), at  # at rest there is no air load

    (before, at), (pressure_before, pressure_at) = around(s), around(pressure)
    rear = at > target.rear_tolerance
    edge = np.where(rear, target.rear_tolerance, -target.front_tolerance)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.clip(np.nan_to_num((edge - before) / (at - before), nan=1.0), 0.0, 1.0)
    crossed = pressure_before + share * (pressure_at - pressure_before)
    left = np.any(outside, axis=0)
    return np.where(left, np.sqrt(2.0 * crossed / air_density), np.inf), left & rear


def speeds_seen(
    low: float, high: NDArray[np.float64], tested: float, places: Sequence[float]
) -> NDArray[np.float64]:
    """List the speeds at which a range is looked at.

    Parameters
    ----------
    low : float
        The lowest speed of the range. [m/s]
    high : numpy.ndarray
        (n,) the highest of each configuration. [m/s]
    tested : float
        As far as the tests reach. [m/s]
    places : sequence of float
        Speeds of the named places. [m/s]

    Returns
    -------
    numpy.ndarray
        (speeds, n), upwards. [m/s]

    Notes
    -----
    48 steps of the speed's square from near rest, the ends, and the places.

    References
    ----------
    Common practice, no source.
    """
    squares = np.linspace(_FROM_REST**2, 1.0, _STEPS)[:, None] * high**2
    marks = [np.full(high.shape, one) for one in (low, tested, *places)]
    kept = [np.minimum(mark, high) for mark in marks]
    return np.sort(np.vstack([np.sqrt(squares), *kept]), axis=0)
