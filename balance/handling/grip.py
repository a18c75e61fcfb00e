"""Which axle gains more grip from its air load: the grip balance, rear over front over the front."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.handling.axle_loads import log_load_growth

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def grip_surplus(
    front_added_load: ArrayLike,
    rear_added_load: ArrayLike,
    *,
    front_exponent: ArrayLike,
    rear_exponent: ArrayLike,
) -> NDArray[np.float64]:
    """Find the grip balance, rear over front axle over the front, relative to rest.

    Parameters
    ----------
    front_added_load, rear_added_load : array_like
        Downforce of each axle over its static weight. [1]
    front_exponent, rear_exponent : array_like
        Load exponent of each axle's grip. [1]

    Returns
    -------
    numpy.ndarray
        Grip surplus; positive when the rear gains more than the front; not a number where an axle is off
        the ground. [1]

    Notes
    -----
    ``(1 + DFr/Wr)^pr / (1 + DFf/Wf)^pf - 1``. Grip of an axle grows as a power of its load; the lateral inertia
    force that it must carry is fixed by the weight distribution, so relative to rest the lateral acceleration at
    which an axle gives up grows by the same factor. With equal exponents it is 0 at every speed exactly when
    the aero balance equals the front share of the weight.

    References
    ----------
    The power law is common practice, no source; for tyres whose friction falls with load see W. F. and
    D. L. Milliken, Race Car Vehicle Dynamics, fig. 2.9.

    Examples
    --------
    >>> round(float(grip_surplus(0.05, 0.10, front_exponent=0.86, rear_exponent=0.86)), 5)
    0.04082
    """
    growth = log_load_growth(front_added_load, rear_added_load)
    return surplus_from_growth(*growth, front_exponent=front_exponent, rear_exponent=rear_exponent)


def surplus_from_growth(
    front_growth: NDArray[np.float64],
    rear_growth: NDArray[np.float64],
    *,
    front_exponent: ArrayLike,
    rear_exponent: ArrayLike,
) -> NDArray[np.float64]:
    """Find the grip surplus where the logarithms of the loads' growth are at hand.

    Parameters
    ----------
    front_growth, rear_growth : numpy.ndarray
        ``ln(1 + DF/W)`` of each axle. [1]
    front_exponent, rear_exponent : array_like
        Load exponent of each axle's grip. [1]

    Returns
    -------
    numpy.ndarray
        Grip surplus, as of `grip_surplus`. [1]

    Notes
    -----
    ``exp(pr growth_r - pf growth_f) - 1``, exactly 0 where both grow alike. As of `grip_surplus`.
    """
    pf, pr = np.asarray(front_exponent, float), np.asarray(rear_exponent, float)
    surplus = np.asarray(pr * rear_growth - pf * front_growth)
    return np.expm1(surplus, out=surplus)


def grip_left_by_drive(
    drive_force: ArrayLike, axle_load: ArrayLike, friction: ArrayLike
) -> NDArray[np.float64]:
    """Find the share of an axle's lateral grip that is left when its tyres push the car against drag.

    Parameters
    ----------
    drive_force : array_like
        Force that the axle's tyres push with. [N]
    axle_load : array_like
        Load on the axle, weight and downforce. [N]
    friction : array_like
        Of the tyres, above 0. [1]

    Returns
    -------
    numpy.ndarray
        Share of the lateral grip left, 0 to 1; 0 where the tyres cannot push that hard, or carry no load. [1]

    Notes
    -----
    Friction ellipse: ``sqrt(1 - (X / (mu F))^2)``.

    References
    ----------
    W. F. and D. L. Milliken, Race Car Vehicle Dynamics, ch. 2 (friction ellipse), from memory.

    Examples
    --------
    >>> round(float(grip_left_by_drive(1200.0, 6000.0, 1.1)), 4)
    0.9833
    """
    load = np.asarray(axle_load, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        left = np.asarray(np.asarray(drive_force, float) / (np.asarray(friction, float) * load))
        np.square(left, out=left)
        np.subtract(1.0, left, out=left)
        np.sqrt(np.maximum(left, 0.0, out=left), out=left)
    return left if np.min(load, initial=np.inf) > 0.0 else np.where(load > 0.0, left, 0.0)
