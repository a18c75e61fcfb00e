"""Lap times over the range of a day's areas, worked out once in one batch and read wherever draws need thousands."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.forces import LEVEL, forces_of
from balance.decide.laps.lap import lap_of_areas, stuck
from balance.decide.laps.stations import find_corners
from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import DRAG, FRONT, REAR, front_rear_drag

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.laps.lap_car import LapCar
    from balance.model.tracks import Track

    Array = NDArray[np.float64]

LOADS, BALANCES, DRAGS = 7, 11, 3
"""Nodes over the load of both axles, over which of them carries more of it, and over drag."""
_LEAST_SPAN = 0.02  # m² on either side: half the table's reach where a day has one configuration


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LapTable:
    """Lap times at nodes over load, balance and drag, linear between them.

    ``loads`` is downforce area of both axles over the weight [m²/N]; ``balances`` is how much more of its own
    weight the rear carries than the front, beyond what lets both axles give up together at a usual corner [m²/N],
    with a node at 0 where the lap has its kink; ``together`` is that balance at each load; ``drags`` are drag areas
    [m²]; ``times`` is (loads, balances, drags) [s].
    """

    front_weight: float
    rear_weight: float
    loads: Array
    together: Array
    balances: Array
    drags: Array
    times: Array

    def read(self, areas: Array) -> Array:
        """Read lap times of areas, (3, ...) [m²], as times, (...) [s].

        Beyond the nodes the last slope goes on; beside a node whose car does not get round there is no time.
        """
        front, rear, drag = front_rear_drag(areas)
        load = (front + rear) / (self.front_weight + self.rear_weight)
        balance = rear / self.rear_weight - front / self.front_weight
        balance = balance - np.interp(load, self.loads, self.together)
        found = np.zeros(load.shape)
        places = [
            _place(nodes, value)
            for nodes, value in ((self.loads, load), (self.balances, balance), (self.drags, drag))
        ]
        for corner in range(8):
            index, weight = [], np.ones(found.shape)
            for axis, (low, share) in enumerate(places):
                high = corner >> axis & 1
                index.append(low + high)
                weight = weight * (share if high else 1.0 - share)
            found = found + np.where(weight != 0.0, weight * self.times[tuple(index)], 0.0)
        return found


def lap_table(track: Track, car: LapCar, areas: Array, *, air_density: float) -> LapTable:
    """Lap a car at nodes that span some areas, in one batch of 231 laps.

    Parameters
    ----------
    track : Track
        The track. [1]
    car : LapCar
        The car, one number each. [1]
    areas : numpy.ndarray
        (3, n) front downforce, rear downforce and drag area that the table is to span: configurations, or draws of them. [m^2]
    air_density : float
        Density of the air. [kg/m^3]

    Returns
    -------
    LapTable
        7 loads, 11 balances, 3 drags. [1]

    Raises
    ------
    DomainError
        If no lap at any node gets round.

    Notes
    -----
    A lap has a kink where all corners change their limiting axle: the table has a line of nodes there, denser
    toward it. With unlike exponents, or drag driven through one axle, the line depends on the load and is sought at
    the median of the corners' speeds; it is sharp for one corner and a little blunt for a track of many.

    References
    ----------
    Common practice, no source.
    """
    front, rear, drag = front_rear_drag(np.asarray(areas, float))
    front_weight, rear_weight = static_axle_weights(
        float(np.asarray(car.mass)), float(np.asarray(car.front_share))
    )
    weight = front_weight + rear_weight
    loads = _spanned((front + rear) / weight, LOADS, _LEAST_SPAN / weight)
    drags = _spanned(drag, DRAGS, _LEAST_SPAN)
    middle = np.median(areas, axis=1)
    usual = _usual_corner(track, car, middle, air_density)
    together = _together(car, loads, float(middle[DRAG]), air_density, usual)
    balance = rear / rear_weight - front / front_weight - np.interp((front + rear) / weight, loads, together)
    balances = _about_zero(balance, _LEAST_SPAN / weight)
    load, beyond, drag_ = np.meshgrid(loads, balances, drags, indexing="ij")
    share = front_weight / weight
    difference = beyond + together[:, None, None]
    nodes = np.stack(
        [
            (load - (1.0 - share) * difference) * front_weight,
            (load + share * difference) * rear_weight,
            np.broadcast_to(drag_, load.shape),
        ]
    )
    laps = lap_of_areas(track, car, nodes, air_density=air_density)
    if not np.any(np.isfinite(laps.time)):
        raise stuck(track, laps.stopped_at[np.isfinite(laps.stopped_at)][0])
    return LapTable(
        front_weight=front_weight,
        rear_weight=rear_weight,
        loads=loads,
        together=together,
        balances=balances,
        drags=drags,
        times=laps.time,
    )


def _place(nodes: Array, value: Array) -> tuple[NDArray[np.intp], Array]:
    """Find the node below each value, and how far it is to the next; beyond the ends that goes on."""
    low = np.clip(np.searchsorted(nodes, value, side="right") - 1, 0, len(nodes) - 2)
    return low, (value - nodes[low]) / (nodes[low + 1] - nodes[low])


def _spanned(values: Array, count: int, least: float) -> Array:
    low, high = float(values.min()), float(values.max())
    reach = max((high - low) * 0.02, least)
    return np.linspace(low - reach, high + reach, count)


def _about_zero(values: Array, least: float) -> Array:
    """Spread nodes over a range and 0, one of them at 0, denser toward it."""
    low, high = min(float(values.min()), 0.0) - least, max(float(values.max()), 0.0) + least
    below = int(np.clip(round((BALANCES - 1) * -low / (high - low)), 2, BALANCES - 3))
    above = BALANCES - 1 - below
    return np.concatenate(
        [low * (np.arange(below, 0, -1) / below) ** 2, [0.0], high * (np.arange(1, above + 1) / above) ** 2]
    )


def _usual_corner(track: Track, car: LapCar, areas: Array, air_density: float) -> float:
    """Give the square of the median of the corners' lowest speeds; of the lap's lowest where it has no corner."""
    lap = lap_of_areas(track, car, areas, air_density=air_density)
    places = [one.apex for one in find_corners(track)] or [float(lap.distance[int(np.argmin(lap.speed))])]
    return float(np.median(np.interp(places, lap.distance, lap.speed))) ** 2


def _together(car: LapCar, loads: Array, drag: float, air_density: float, u: float) -> Array:
    """Find at each load the balance at which both axles give up together at one speed."""
    share = float(np.asarray(car.front_share))
    low, high = np.full(loads.shape, -0.5), np.full(loads.shape, 0.5)
    pressure = air_density * u / 2.0
    none = np.zeros(loads.shape)
    base = forces_of(car, np.stack([none, none, np.full(loads.shape, drag)]), air_density)
    for _ in range(50):
        middle = (low + high) / 2.0
        front = loads * air_density / 2.0 - (1.0 - share) * middle / u
        rear = loads * air_density / 2.0 + share * middle / u
        limits = replace(base, front_gain=front, rear_gain=rear).lateral_limits(
            np.full(loads.shape, u), LEVEL, driving=True
        )
        stronger = limits[REAR] > limits[FRONT]
        low, high = np.where(stronger, low, middle), np.where(stronger, middle, high)
    return np.asarray((low + high) / 2.0 / pressure)
