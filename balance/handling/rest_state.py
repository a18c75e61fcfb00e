"""A car whose weights changed after its set-up was made: what is out of balance already at rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.errors import DomainError
from balance.handling.axle_loads import STANDARD_GRAVITY, static_axle_weights

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.records import PlacedMass, Vehicle


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RestState:
    """Grip of the rear over the front at rest, as one plus the surplus, and the static margin at rest [1]."""

    grip_ratio: NDArray[np.float64]
    static_margin: NDArray[np.float64]


def rest_state(
    vehicle: Vehicle,
    set_up: Vehicle,
    *,
    stiffness: tuple[ArrayLike, ArrayLike],
    grip: tuple[ArrayLike, ArrayLike],
) -> RestState:
    """Find what a change of the weights does at rest, where the set-up stays.

    Parameters
    ----------
    vehicle : Vehicle
        The car with its weights as they now are. [1]
    set_up : Vehicle
        The car whose set-up it has: neutral at rest, or with the static margin that it states. [1]
    stiffness : tuple of array_like
        Front and rear load exponent of cornering stiffness. [1]
    grip : tuple of array_like
        Front and rear load exponent of grip. [1]

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
    Grip per axle mass ``(W/W0)^p / (W/W0)``; stiffness ``C0 (W/W0)^n`` with the new distance of the centre of gravity.

    References
    ----------
    As of `balance.handling.grip` and `balance.handling.neutral_steer`.
    """
    old, new = (static_axle_weights(car.mass, car.front_share) for car in (set_up, vehicle))
    front, rear = (float(np.log(new[k] / old[k])) for k in (0, 1))
    nf, nr, pf, pr = (np.asarray(v, float) for v in (*stiffness, *grip))
    margin = set_up.static_margin or 0.0
    if old == new:
        return RestState(grip_ratio=np.ones_like(pr), static_margin=np.full_like(nr, margin))
    point = 1.0 - set_up.front_share + margin
    if not 0.0 < point < 1.0:
        raise DomainError(
            f"neutral-steer point at rest: found {point:g} of the wheelbase behind the front axle, expected 0 to 1; "
            "mend the front share of the weight or the static margin"
        )
    stiffer_rear = np.exp(nr * rear - nf * front)
    moved = point * stiffer_rear / (1.0 - point + point * stiffer_rear)
    return RestState(
        grip_ratio=np.asarray(np.exp((pr - 1.0) * rear - (pf - 1.0) * front)),
        static_margin=np.asarray(moved - (1.0 - vehicle.front_share)),
    )


def weights_with(
    mass: float, front_share: float, masses: Sequence[PlacedMass], wheelbase: float
) -> tuple[float, float]:
    """Put masses into a car, or take them out.

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
    A mass m at a distance x puts ``m x / L`` on the rear axle and the rest on the front one.

    References
    ----------
    Statics; common practice, no source.

    Examples
    --------
    >>> from balance.records import PlacedMass
    >>> weights_with(1000.0, 0.5, [PlacedMass(name="ballast", mass=50.0, behind_front_axle=0.0)], 2.5)
    (1050.0, 0.5238095238095238)
    """
    if not masses:
        return mass, front_share
    front, rear = mass * front_share, mass * (1.0 - front_share)
    for one in masses:
        share = one.mass * one.behind_front_axle / wheelbase
        front, rear = front + one.mass - share, rear + share
    if not (front > 0.0 and rear > 0.0):
        raise DomainError(
            f"weights: found {front * STANDARD_GRAVITY:.0f} N on the front axle and {rear * STANDARD_GRAVITY:.0f} N on "
            "the rear, expected some on both"
        )
    return front + rear, front / (front + rear)
