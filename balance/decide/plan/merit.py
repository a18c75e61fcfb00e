"""What a configuration is worth to the aim of the day: downforce less drag, and less what lies outside the band."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from balance.decide.day.best_balanced import DRAG_WORTH
from balance.decide.plan.expected_gain import unit_loss
from balance.handling.axle_loads import static_axle_weights
from balance.handling.decisive_surplus import surpluses
from balance.model.channels import CHANNELS, front_rear_drag
from balance.model.errors import DomainError
from balance.reduce.air import dynamic_pressure
from balance.reduce.car_figures import figures_of

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import Driven, Session
    from balance.reduce.car_figures import CarFigures

REAR_PENALTY = 3.0
"""Newtons that one newton of rear load costs beyond the band; assumed, no source. [1]"""
FRONT_PENALTY = 6.0
"""The same where the front overpowers, the dangerous side; assumed, no source. [1]"""
_LEAST_LOAD = 0.05
_STEP = 1e-4


class Linearised(NamedTuple):
    """The grip surplus of configurations about their present means: (configurations,) and (configurations, 3) [1/m²]."""

    surplus: NDArray[np.float64]
    slope: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Merit:
    """What loads are worth at a speed.

    Attributes
    ----------
    weights : numpy.ndarray
        (3,) worth of one square metre of front downforce, rear downforce and drag area. [N/m²] or [s/m²]
    beyond_rear, beyond_front : float
        Cost of the grip surplus beyond the band: rear over front, front over rear. [N] or [s]
    low, high : float
        The band of the grip surplus. [1]
    car : CarFigures
        Weights and load exponents.
    driven : {'front', 'rear', 'both'} or None
        Which axle pushes against drag.
    dynamic_pressure : float
        At which the surplus is judged. [Pa]
    unit : {'N', 's'}
        Of merit.
    """

    weights: NDArray[np.float64]
    beyond_rear: float
    beyond_front: float
    low: float
    high: float
    car: CarFigures
    driven: Driven | None
    dynamic_pressure: float
    unit: Literal["N", "s"] = "N"

    def linearised(self, mean: NDArray[np.float64]) -> Linearised:
        """Take the grip surplus and its slopes at the means of configurations, (configurations, 3) [m²].

        An axle that would leave the ground is taken to keep a twentieth of its weight: far outside the band either way.
        """
        steps = _STEP * np.vstack([np.zeros(len(CHANNELS)), np.eye(len(CHANNELS)), -np.eye(len(CHANNELS))])
        at = mean[None] + steps[:, None]
        weights = static_axle_weights(self.car.mass, self.car.front_share)
        front, rear, drag = front_rear_drag(np.moveaxis(at, -1, 0) * self.dynamic_pressure)
        front, rear = (
            np.maximum(load, (_LEAST_LOAD - 1.0) * np.asarray(weight))
            for load, weight in zip((front, rear), weights, strict=True)
        )
        here, *beside = surpluses(front, rear, drag, self.car, driven_axle=self.driven).decisive
        more, less = np.array(beside[: len(CHANNELS)]), np.array(beside[len(CHANNELS) :])
        return Linearised(here, np.asarray((more - less).T / (2.0 * _STEP)))

    def expected(
        self,
        mean: NDArray[np.float64],
        surplus_mean: NDArray[np.float64],
        surplus_std: NDArray[np.float64],
    ) -> NDArray[np.float64]:
        """Return the expected merit of loads (…, 3) [m²] whose surplus is normal, of shape (…)."""
        return np.asarray(
            mean @ self.weights
            - self.beyond_rear * _mean_beyond(surplus_mean - self.high, surplus_std)
            - self.beyond_front * _mean_beyond(self.low - surplus_mean, surplus_std)
        )

    def slopes(self, about: Linearised, surplus_std: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return how expected merit moves with the mean of each load, (configurations, 3) [1/m²]."""
        beyond = _share_above(about.surplus - self.high, surplus_std)
        below = _share_above(self.low - about.surplus, surplus_std)
        per_surplus = -self.beyond_rear * beyond + self.beyond_front * below
        return np.asarray(self.weights + per_surplus[:, None] * about.slope)


def _mean_beyond(distance: NDArray[np.float64], std: NDArray[np.float64]) -> NDArray[np.float64]:
    """Find the mean of what lies above an edge: ``E max(x - edge, 0)`` of a normal x, ``distance`` its mean less the edge.

    ``std f(distance/std)``, f the unit normal loss; without spread the distance itself, 0 below the edge.
    """
    distance, std = np.broadcast_arrays(distance, std)
    spread = np.maximum(std, 1e-300)
    with np.errstate(over="ignore"):
        ratio = np.clip(distance / spread, -40.0, 1e150)
    return np.where(ratio > 40.0, distance, spread * unit_loss(np.minimum(ratio, 40.0)))


def _share_above(distance: NDArray[np.float64], std: NDArray[np.float64]) -> NDArray[np.float64]:
    from scipy.special import ndtr  # noqa: PLC0415 - scipy costs more to load than the rest of the plan

    with np.errstate(over="ignore"):
        return np.asarray(ndtr(np.clip(distance / np.maximum(std, 1e-300), -40.0, 40.0)))


def merit_of_day(session: Session, *, drag_worth: float | None = None, speed: float | None = None) -> Merit:
    """State what loads are worth on a day whose aim is the most downforce within the band.

    ``downforce - drag_worth drag - lambda E[distance of the surplus outside the band]`` with ``lambda = 3 W_r/p``
    beyond the rear's tolerance and ``6 W_f/p`` beyond the front's, p the axles' grip load exponent: one newton at the
    rear moves the surplus by about p/W_r, so that a newton that throws the car off balance costs three times itself.
    """
    worth = DRAG_WORTH if drag_worth is None else drag_worth
    if not worth >= 0.0:
        raise DomainError(f"worth of drag: found {worth:g}, expected 0 or more")
    facility, target = session.facility, session.vehicle.target
    pressure = float(dynamic_pressure(facility.speed if speed is None else speed, facility.air_density))
    front_weight, rear_weight = static_axle_weights(session.vehicle.mass, session.vehicle.front_share)
    return Merit(
        weights=pressure * np.array([1.0, 1.0, -worth]),
        beyond_rear=REAR_PENALTY * rear_weight / session.vehicle.grip_exponent.rear,
        beyond_front=FRONT_PENALTY * front_weight / session.vehicle.grip_exponent.front,
        low=-target.front_tolerance,
        high=target.rear_tolerance,
        car=figures_of(session.vehicle),
        driven=session.vehicle.driven,
        dynamic_pressure=pressure,
    )


def merit_of_track(
    session: Session, gradient: ArrayLike, *, seconds_per_newton: float, speed: float | None = None
) -> Merit:
    """State what loads are worth on a track whose lap answers to them.

    Parameters
    ----------
    session : Session
        The session, with the car's weights and its band. [1]
    gradient : array_like
        (3,) change of the lap time with front downforce, rear downforce and drag area. [s/m^2]
    seconds_per_newton : float
        Lap time that a newton of downforce is worth, by which what lies outside the band is priced. [s/N]
    speed : float, optional
        Speed at which the band is judged; the facility's if absent. [m/s]

    Returns
    -------
    Merit
        In seconds: minus the change of the lap. [1]

    Notes
    -----
    The band costs as much in newtons as of `merit_of_day`, times what a newton is worth.

    References
    ----------
    Common practice, no source.
    """
    inside = merit_of_day(session, speed=speed)
    return replace(
        inside,
        weights=-np.asarray(gradient, float),
        beyond_rear=inside.beyond_rear * seconds_per_newton,
        beyond_front=inside.beyond_front * seconds_per_newton,
        unit="s",
    )
