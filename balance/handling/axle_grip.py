"""What an axle can hold across and push along: the power law of the first level as an acceleration, and its ellipse."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.handling.axle_loads import STANDARD_GRAVITY

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def axle_grip(load_ratio: ArrayLike, *, friction: ArrayLike, exponent: ArrayLike) -> NDArray[np.float64]:
    """Find the lateral acceleration at which an axle gives up.

    Parameters
    ----------
    load_ratio : array_like
        Load on the axle over its static weight. [1]
    friction : array_like
        Friction of the tyres at the static load. [1]
    exponent : array_like
        Load exponent of the axle's grip. [1]

    Returns
    -------
    numpy.ndarray
        Acceleration that the axle can give its share of the mass, along or across; 0 off the ground. [m/s^2]

    Notes
    -----
    ``a = mu0 g (F/W)^p``; the axle carries the inertia of the mass ``W/g`` that stands on it.

    References
    ----------
    The power law is common practice, no source; see `balance.handling.grip`.

    Examples
    --------
    >>> round(float(axle_grip(1.0, friction=1.1, exponent=0.86)), 4)
    10.7873
    """
    ratio = np.maximum(load_ratio, 0.0)
    return np.asarray(np.power(ratio, exponent) * (np.asarray(friction) * STANDARD_GRAVITY))


def grip_beside(grip: ArrayLike, other: ArrayLike) -> NDArray[np.float64]:
    """Find what an axle has left in one direction beside what it does in the other.

    Parameters
    ----------
    grip : array_like
        What the axle can do in all. [m/s^2]
    other : array_like
        What it does at a right angle. [m/s^2]

    Returns
    -------
    numpy.ndarray
        What is left, 0 where nothing is. [m/s^2]

    Notes
    -----
    Friction circle, the same capacity along and across: ``sqrt(a^2 - b^2)``.

    References
    ----------
    W. F. and D. L. Milliken, Race Car Vehicle Dynamics, ch. 2 (friction ellipse), from memory.

    Examples
    --------
    >>> float(grip_beside(5.0, 3.0)), float(grip_beside(3.0, 5.0))
    (4.0, 0.0)
    """
    return np.asarray(np.sqrt(np.maximum(np.square(grip) - np.square(other), 0.0)))
