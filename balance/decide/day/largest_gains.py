"""The part on a car that adds most downforce to an axle, as the day measured it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.fitted import NOT_FITTED
from balance.compare.increments import Increments, find_increments
from balance.model.channels import FRONT, REAR
from balance.reduce.air import dynamic_pressure

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.compare.pairing import Pair
    from balance.decide.day.day import Day


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """The increment whose part gains most at an axle, by its position, and that gain in downforce area [m²]."""

    increment: int
    area: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LargestGains:
    """Of the parts on one car, the one that gains most downforce at the front and at the rear, where there is one."""

    increments: Increments
    front: Gain | None
    rear: Gain | None


def largest_gains(day: Day, row: int) -> LargestGains:
    """Find the part on a car that adds most downforce to each axle.

    Counted are increments of a single setting, or of a car known by its name alone, that the car has as it
    was in the increment's run, and whose gain at the axle is significant where the scatter is known. Packages
    are left out: what they gain is no part's own.
    """
    made = _increments(day)
    changes = made.changes
    reading = day.rows.members[row][0]
    fitted = np.array([_has(made, reading, pair) for pair in made.pairs], bool)
    gains = changes.change / changes.dynamic_pressure
    counted = fitted[:, None] & (gains > 0.0)
    if changes.scatter_known:
        counted = counted & changes.resolved
    front, rear = (_largest(gains[:, axle], counted[:, axle]) for axle in (FRONT, REAR))
    return LargestGains(increments=made, front=front, rear=rear)


def _largest(gains: NDArray[np.float64], counted: NDArray[np.bool_]) -> Gain | None:
    if not np.any(counted):
        return None
    best = int(np.argmax(np.where(counted, gains, -np.inf)))
    return Gain(increment=best, area=float(gains[best]))


def _has(made: Increments, reading: int, pair: Pair) -> bool:
    """Return whether a reading's car has on it what an increment fitted."""
    if not pair.shows_part or len(pair.differs) != 1:
        return False
    fitted, name = made.fitted, pair.differs[0]
    if name not in fitted.names:
        return bool(fitted.cars[reading] == fitted.cars[pair.run])
    column = fitted.names.index(name)
    now = fitted.codes[reading, column]
    return bool(now != NOT_FITTED and now == fitted.codes[pair.run, column])


def _increments(day: Day) -> Increments:
    """Compare the day's runs with their baselines, once."""
    if not day.compared:
        facility = day.session.facility
        pressure = float(dynamic_pressure(facility.speed, facility.air_density))
        day.compared.append(
            find_increments(day.session, day.fits, dynamic_pressure=pressure, confidence=day.confidence)
        )
    return day.compared[0]
