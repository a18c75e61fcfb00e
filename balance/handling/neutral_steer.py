"""How far the neutral-steer point moves when air loads the axles."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.handling.axle_loads import log_load_growth
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def neutral_steer_shift(
    front_added_load: ArrayLike,
    rear_added_load: ArrayLike,
    *,
    front_exponent: ArrayLike,
    rear_exponent: ArrayLike,
    front_share: float,
    static_margin: float = 0.0,
) -> NDArray[np.float64]:
    """Find the shift of the neutral-steer point from where it is at rest.

    Parameters
    ----------
    front_added_load, rear_added_load : array_like
        Downforce of each axle over its static weight. [1]
    front_exponent, rear_exponent : array_like
        Load exponent of each axle's cornering stiffness. [1]
    front_share : float
        Front share of the static weight, 0 to 1. [1]
    static_margin : float, optional
        Static margin at rest, of the wheelbase, positive towards understeer. [1]

    Returns
    -------
    numpy.ndarray
        Shift, of the wheelbase, positive towards understeer; not a number where an axle is off the ground. [1]

    Raises
    ------
    DomainError
        If front share and static margin put the neutral-steer point at rest outside the wheelbase.

    Notes
    -----
    Axle cornering stiffness ``C_i`` grows as ``(1 + DF_i/W_i)^n``; the neutral-steer point lies
    ``C_r / (C_f + C_r)`` of the wheelbase behind the front axle; at rest it lies there by the static margin
    behind the centre of gravity. The centre of gravity does not move, so the shift of the point is the change of the
    static margin.

    References
    ----------
    ISO 8855:2011 (static margin, neutral-steer point); the exponent after H. B. Pacejka, Tire and Vehicle
    Dynamics, 2nd ed. 2006, table A3.1, whose cornering stiffness has a local exponent of 0.753 at 3.2 kN.

    Examples
    --------
    >>> shift = neutral_steer_shift(0.05, 0.10, front_exponent=0.75, rear_exponent=0.75, front_share=0.55)
    >>> round(float(shift), 5)
    0.00865
    """
    growth = log_load_growth(front_added_load, rear_added_load)
    return shift_from_growth(
        *growth,
        front_exponent=front_exponent,
        rear_exponent=rear_exponent,
        front_share=front_share,
        static_margin=static_margin,
    )


def shift_from_growth(
    front_growth: NDArray[np.float64],
    rear_growth: NDArray[np.float64],
    *,
    front_exponent: ArrayLike,
    rear_exponent: ArrayLike,
    front_share: ArrayLike,
    static_margin: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    """Find the shift where the logarithms of the loads' growth are at hand.

    Parameters
    ----------
    front_growth, rear_growth : numpy.ndarray
        ``ln(1 + DF/W)`` of each axle. [1]
    front_exponent, rear_exponent : array_like
        Load exponent of each axle's cornering stiffness. [1]
    front_share : array_like
        Front share of the static weight, 0 to 1. [1]
    static_margin : array_like, optional
        Static margin at rest, of the wheelbase, positive towards understeer. [1]

    Returns
    -------
    numpy.ndarray
        Shift, as of `neutral_steer_shift`. [1]

    Raises
    ------
    DomainError
        If front share and static margin put the neutral-steer point at rest outside the wheelbase.

    Notes
    -----
    With r the neutral-steer point at rest and R how much more the rear stiffened than the front,
    ``r R / (1 - r + r R) - r``, written so that equal growth of both axles gives exactly 0. As of
    `neutral_steer_shift`.
    """
    nf, nr = np.asarray(front_exponent, float), np.asarray(rear_exponent, float)
    at_rest = neutral_steer_point(front_share, static_margin)
    with np.errstate(over="ignore"):
        weaker_front = np.exp(nf * front_growth - nr * rear_growth)
    return np.asarray(
        at_rest * (1.0 - at_rest) * (1.0 - weaker_front) / (at_rest + (1.0 - at_rest) * weaker_front)
    )


def neutral_steer_point(front_share: ArrayLike, static_margin: ArrayLike) -> NDArray[np.float64]:
    """Find where the neutral-steer point of a car at rest lies.

    Parameters
    ----------
    front_share : array_like
        Front share of the static weight, 0 to 1. [1]
    static_margin : array_like
        Static margin at rest, of the wheelbase, positive towards understeer. [1]

    Returns
    -------
    numpy.ndarray
        Distance behind the front axle, of the wheelbase. [1]

    Raises
    ------
    DomainError
        If it is not within the wheelbase.

    Notes
    -----
    ``1 - F + m``: the static margin behind the centre of gravity.

    References
    ----------
    ISO 8855:2011 (static margin, neutral-steer point).

    Examples
    --------
    >>> round(float(neutral_steer_point(0.55, 0.05)), 9)
    0.5
    """
    point = np.asarray(1.0 - np.asarray(front_share, float) + np.asarray(static_margin, float))
    outside = (point <= 0.0) | (point >= 1.0)
    if np.any(outside):
        raise DomainError(
            f"neutral-steer point at rest: found {point[outside].flat[0]:g} of the wheelbase behind the front axle, expected "
            "0 to 1; mend the front share of the weight or the static margin"
        )
    return point
