"""Which front share of the wheel load, and which added load of the rear, leave the rear with a given grip surplus."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_STEPS = 60


def front_load_share_at(
    grip_surplus: ArrayLike,
    load_growth: ArrayLike,
    front_share: float,
    *,
    front_exponent: float,
    rear_exponent: float,
) -> NDArray[np.float64]:
    """Find the front share of the whole wheel load at which the rear has a given grip surplus.

    Parameters
    ----------
    grip_surplus : array_like
        Grip surplus of the rear over the front, above -1. [1]
    load_growth : array_like
        Weight and total downforce over the weight, above 0. [1]
    front_share : float
        Front share of the static weight. [1]
    front_exponent, rear_exponent : float
        Grip load exponent of each axle. [1]

    Returns
    -------
    numpy.ndarray
        Front share of weight and air load together. [1]

    Raises
    ------
    DomainError
        If a surplus is not above -1, or the load is not above 0.

    Notes
    -----
    The share x with ``((1 - x) G/(1 - wf))^pr / (x G/wf)^pf = 1 + s``, which falls as x grows: halved 60 times. With
    equal exponents it does not depend on the load, so that a tolerance is a level band at every speed, lift
    included. As of `balance.handling.grip`.

    Examples
    --------
    >>> share = front_load_share_at([0.0, 0.03], 1.1, 0.6, front_exponent=0.86, rear_exponent=0.86)
    >>> [round(float(s), 4) for s in share]
    [0.6, 0.5917]
    """
    surplus, growth = np.broadcast_arrays(np.asarray(grip_surplus, float), np.asarray(load_growth, float))
    if not np.all(surplus > -1.0) or not np.all(growth > 0.0):
        raise DomainError(
            "grip balance or load: found one that no axle on the ground has, expected above -1 and 0"
        )
    low, high = np.zeros(surplus.shape), np.ones(surplus.shape)
    for _ in range(_STEPS):
        share = (low + high) / 2.0
        rear = rear_exponent * np.log((1.0 - share) * growth / (1.0 - front_share))
        front = front_exponent * np.log(share * growth / front_share)
        above = rear - front > np.log1p(surplus)
        low, high = np.where(above, share, low), np.where(above, high, share)
    return np.asarray((low + high) / 2.0)


def rear_added_load_at(
    grip_surplus: ArrayLike,
    front_added_load: ArrayLike,
    *,
    front_exponent: ArrayLike,
    rear_exponent: ArrayLike,
) -> NDArray[np.float64]:
    """Find the rear's added load at which the rear has a given grip surplus over the front.

    Parameters
    ----------
    grip_surplus : array_like
        Grip surplus of the rear over the front, above -1. [1]
    front_added_load : array_like
        The front's added load, above -1. [1]
    front_exponent, rear_exponent : array_like
        Grip load exponent of each axle. [1]

    Returns
    -------
    numpy.ndarray
        Rear downforce over the rear's static weight. [1]

    Raises
    ------
    DomainError
        If a surplus or an added load is not above -1.

    Notes
    -----
    ``r = ((1 + s) (1 + f)^pf)^(1/pr) - 1``: the grip surplus of `balance.handling.grip` solved for the rear, from air
    loads alone.

    Examples
    --------
    >>> round(float(rear_added_load_at(0.03, 0.035, front_exponent=0.86, rear_exponent=0.86)), 4)
    0.0712
    """
    surplus, front = np.broadcast_arrays(np.asarray(grip_surplus, float), np.asarray(front_added_load, float))
    if not np.all(surplus > -1.0) or not np.all(front > -1.0):
        raise DomainError(
            "grip balance or added load: found one that no axle on the ground has, expected above -1"
        )
    grown = np.log1p(surplus) + np.asarray(front_exponent) * np.log1p(front)
    return np.asarray(np.expm1(grown / rear_exponent))
