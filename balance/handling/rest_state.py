"""A car whose weights changed after its set-up was made: what is out of balance already at rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.handling.axle_loads import STANDARD_GRAVITY, static_axle_weights
from balance.handling.neutral_steer import neutral_steer_point
from balance.model.channels import FRONT, REAR
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import PlacedMass
    from balance.reduce.car_figures import CarFigures


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RestState:
    """Grip of the rear over the front at rest, as one plus the surplus, and the static margin at rest [1]."""

    grip_ratio: NDArray[np.float64]
    static_margin: NDArray[np.float64]


def rest_state(car: CarFigures) -> RestState:
    """Find what a change of the weights does at rest, where the set-up stays.

    Parameters
    ----------
    car : CarFigures
        The car with its weights as they now are; its set-up, where it has another's, is neutral at rest or has the static
        margin that it states. [1]

    Returns
    -------
    RestState
        Grip ratio and static margin at rest; exactly 1 and the stated margin where no weight changed. [1]

    Raises
    ------
    DomainError
        If the neutral-steer point at rest falls outside the wheelbase.

    Notes
    -----
    Grip per axle mass ``(W/W0)^p / (W/W0)``; stiffness ``C0 (W/W0)^n`` with the new distance of the centre of
    gravity. As of `balance.handling.grip` and `balance.handling.neutral_steer`.
    """
    before = car.set_up
    if before is None:
        return RestState(grip_ratio=np.ones(()), static_margin=np.asarray(car.static_margin, float))
    old, new = (static_axle_weights(one.mass, one.front_share) for one in (before, car))
    front, rear = (np.log(np.asarray(new[k], float) / old[k]) for k in (FRONT, REAR))
    nf, nr, pf, pr = (np.asarray(v, float) for v in (*car.stiffness, *car.grip))
    if np.all(front == 0.0) and np.all(rear == 0.0):
        return RestState(grip_ratio=np.ones_like(pr), static_margin=np.asarray(before.static_margin, float))
    before_point = neutral_steer_point(before.front_share, before.static_margin)
    stiffer_rear = np.exp(nr * rear - nf * front)
    point = before_point * stiffer_rear / (1.0 - before_point + before_point * stiffer_rear)
    return RestState(
        grip_ratio=np.asarray(np.exp((pr - 1.0) * rear - (pf - 1.0) * front)),
        static_margin=np.asarray(point - (1.0 - np.asarray(car.front_share))),
    )


def masses_with(
    mass: ArrayLike,
    front_share: ArrayLike,
    placed: Sequence[tuple[ArrayLike, ArrayLike]],
    wheelbase: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Find what rests on the axles when masses are put into a car, nominal or drawn.

    Parameters
    ----------
    mass : array_like
        Mass of the car before. [kg]
    front_share : array_like
        Front share of its weight, 0 to 1. [1]
    placed : sequence of tuple of array_like
        Masses [kg], negative where taken out, each with its distance behind the front axle. [m]
    wheelbase : float
        Wheelbase. [m]

    Returns
    -------
    tuple of numpy.ndarray
        Mass on the front and on the rear axle, at or below 0 where nothing would be left. [kg]

    Notes
    -----
    A mass m at a distance x puts ``m x / L`` on the rear axle and the rest on the front one.

    References
    ----------
    Statics; common practice, no source.

    Examples
    --------
    >>> [float(one) for one in masses_with(1000.0, 0.5, [(50.0, 0.5)], 2.5)]
    [540.0, 510.0]
    """
    whole, share = np.asarray(mass, float), np.asarray(front_share, float)
    front, rear = whole * share, whole * (1.0 - share)
    for one, behind in placed:
        on_rear = np.asarray(one, float) * np.asarray(behind, float) / wheelbase
        front, rear = front + one - on_rear, rear + on_rear
    return front, rear


def weights_with(
    mass: float, front_share: float, masses: Sequence[PlacedMass], wheelbase: float
) -> tuple[float, float]:
    """Add masses to a car, or remove them.

    Parameters
    ----------
    mass : float
        Mass of the car before. [kg]
    front_share : float
        Front share of its weight, 0 to 1. [1]
    masses : sequence of PlacedMass
        Masses with their distances behind the front axle; negative ones are taken out. [1]
    wheelbase : float
        Wheelbase. [m]

    Returns
    -------
    tuple of float
        Mass [kg] and front share of the weight. [1]

    Raises
    ------
    DomainError
        If no weight would be left on an axle.

    Notes
    -----
    As of `masses_with`.

    References
    ----------
    Statics; common practice, no source.

    Examples
    --------
    >>> from balance.model.records import PlacedMass
    >>> weights_with(1000.0, 0.5, [PlacedMass(name="ballast", mass=50.0, behind_front_axle=0.0)], 2.5)
    (1050.0, 0.5238095238095238)
    """
    if not masses:
        return mass, front_share
    placed = [(one.mass, one.behind_front_axle) for one in masses]
    front, rear = (float(one) for one in masses_with(mass, front_share, placed, wheelbase))
    if not (front > 0.0 and rear > 0.0):
        raise DomainError(
            f"weights: found {front * STANDARD_GRAVITY:.0f} N on the front axle and {rear * STANDARD_GRAVITY:.0f} N on "
            "the rear, expected some on both"
        )
    return front + rear, front / (front + rear)
