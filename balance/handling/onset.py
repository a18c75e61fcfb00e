"""The speed from which one axle overpowers the other, and the speed at which an axle leaves the ground."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_STEPS = 16  # of Newton's method; it doubles the digits at each, and starts within a few per cent
_NEAR = 1.0 - 1e-4  # of the pressure at which an axle lifts or the surplus turns: the furthest start


def onset_pressure(
    front_slope: ArrayLike,
    rear_slope: ArrayLike,
    edge: ArrayLike,
    *,
    front_exponent: ArrayLike,
    rear_exponent: ArrayLike,
) -> NDArray[np.float64]:
    """Find the dynamic pressure at which the grip surplus reaches an edge of its band.

    Parameters
    ----------
    front_slope, rear_slope : array_like
        Downforce area of each axle over its static weight. [1/Pa]
    edge : array_like
        Grip surplus at the edge: positive for the rear over the front, negative for the front. [1]
    front_exponent, rear_exponent : array_like
        Load exponent of each axle's grip. [1]

    Returns
    -------
    numpy.ndarray
        Dynamic pressure, positive; infinite where the edge is never reached with both axles on the ground. [Pa]

    Raises
    ------
    DomainError
        If an edge is -1 or less: no grip is left to compare.

    Notes
    -----
    With equal exponents p the surplus is monotone in dynamic pressure and the root is closed:
    ``R = (1 + edge)^(1/p)``, ``q = (R - 1) / (k_r - R k_f)``, where the load left on the front axle,
    ``1 + k_f q = (k_r - k_f) / (k_r - R k_f)``, is above 0, and with it the rear's. With unequal ones (draws
    of assumed exponents)
    the same equation in logarithms is solved by Newton's method for its first root; a draw whose surplus sets
    out away from the edge never reaches it.

    References
    ----------
    The condition is `balance.handling.grip.grip_surplus` = edge; solved here.

    Examples
    --------
    >>> float(onset_pressure(0.0, 1e-4, 0.03, front_exponent=1.0, rear_exponent=1.0))
    300.0...
    """
    kf, kr, target = (np.asarray(v, float) for v in (front_slope, rear_slope, edge))
    pf, pr = np.asarray(front_exponent, float), np.asarray(rear_exponent, float)
    if np.any(target <= -1.0):
        raise DomainError(f"limit: found a grip balance of {np.min(target):g}, expected above -1")
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        if np.all(pf == pr):
            ratio = (1.0 + target) ** (1.0 / pf)
            divisor = kr - ratio * kf
            pressure = np.where((kr - kf) / divisor > 0.0, (ratio - 1.0) / divisor, np.inf)
        else:
            pressure = _by_newton(kf, kr, np.log1p(target), pf, pr)
        return np.where(pressure > 0.0, pressure, np.inf)


def _by_newton(
    kf: NDArray[np.float64],
    kr: NDArray[np.float64],
    target: NDArray[np.float64],
    pf: NDArray[np.float64],
    pr: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Solve pr ln(1 + kr q) - pf ln(1 + kf q) = target; not a number where it does not settle."""
    start = target / (pr * kr - pf * kf)
    turn = (pf * kf - pr * kr) / (kf * kr * (pr - pf))  # beyond it the surplus turns back
    limit = np.minimum(lift_off_pressure(kf, kr)[0], np.where(turn > 0.0, turn, np.inf))
    reachable = start > 0.0
    kf, kr, target, pf, pr, start, limit = (
        np.broadcast_to(v, reachable.shape)[reachable] for v in (kf, kr, target, pf, pr, start, limit)
    )
    todo, root = np.arange(start.size), np.full(start.size, np.nan)
    q = np.minimum(start, _NEAR * limit)
    for step in range(_STEPS):
        front, rear = 1.0 + kf * q, 1.0 + kr * q
        miss = pr * np.log(rear) - pf * np.log(front) - target
        moved = np.clip(q - miss / (pr * kr / rear - pf * kf / front), q / 2.0, (q + limit) / 2.0)
        settled = (np.abs(moved - q) <= 1e-12 * q) | (step == _STEPS - 1)
        q = moved
        if (
            2 * np.count_nonzero(settled) >= settled.size
        ):  # put by what is done, and go on with the few others
            found = settled & (np.abs(miss) <= 1e-9)
            root[todo[found]] = q[found]
            todo = todo[~settled]
            kf, kr, target, pf, pr, q, limit = (v[~settled] for v in (kf, kr, target, pf, pr, q, limit))
    pressure = np.full(reachable.shape, np.nan)
    pressure[reachable] = root
    return pressure


def lift_off_pressure(
    front_slope: ArrayLike, rear_slope: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Find the dynamic pressure at which the first axle leaves the ground.

    Parameters
    ----------
    front_slope, rear_slope : array_like
        Downforce area of each axle over its static weight. [1/Pa]

    Returns
    -------
    tuple of numpy.ndarray
        Dynamic pressure, infinite where no axle ever lifts off [Pa]; whether it is the front axle. [1]

    Notes
    -----
    ``q = -1 / k`` for the more negative slope: level flight of an axle on a smooth road. In pitch, yaw or over a
    crest a car lifts off far earlier.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> pressure, front = lift_off_pressure(-2e-4, 1e-4)
    >>> float(pressure), bool(front)
    (5000.0, True)
    """
    kf, kr = np.asarray(front_slope, float), np.asarray(rear_slope, float)
    lowest = np.minimum(kf, kr)
    with np.errstate(divide="ignore", over="ignore"):
        return np.where(lowest < 0.0, -1.0 / lowest, np.inf), kf <= kr
