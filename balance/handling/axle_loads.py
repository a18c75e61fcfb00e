"""What aerodynamic load means at an axle: shares of downforce, of weight, and of the load on the wheels."""

from __future__ import annotations

from typing import TYPE_CHECKING, overload

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of gravity, ISO 80000-3. [m/s^2]"""


@overload
def static_axle_weights(mass: float, front_share: float) -> tuple[float, float]: ...
@overload
def static_axle_weights(
    mass: ArrayLike, front_share: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]: ...
def static_axle_weights(mass: ArrayLike, front_share: ArrayLike) -> tuple[ArrayLike, ArrayLike]:
    """Split a car's weight over its axles.

    Parameters
    ----------
    mass : array_like
        Mass as it runs, driver and fuel on board. [kg]
    front_share : array_like
        Share of the weight on the front axle at rest, 0 to 1. [1]

    Returns
    -------
    tuple of float or numpy.ndarray
        Front and rear static axle weight: floats where both are. [N]

    Raises
    ------
    DomainError
        If the mass is not above 0, or the share not between 0 and 1.

    Notes
    -----
    Weight is mass times standard gravity.

    References
    ----------
    ISO 80000-3:2019, item 3-9.2 (standard acceleration of free fall).

    Examples
    --------
    >>> [round(w, 1) for w in static_axle_weights(1000.0, 0.55)]
    [5393.7, 4413.0]
    """
    masses, shares = np.asarray(mass, float), np.asarray(front_share, float)
    if not np.all((masses > 0.0) & (masses < np.inf)):
        raise DomainError(f"mass: found {_first(masses, masses <= 0.0):g} kg, expected above 0")
    if not np.all((shares > 0.0) & (shares < 1.0)):
        found = _first(shares, (shares <= 0.0) | (shares >= 1.0))
        raise DomainError(f"front share of the weight: found {found:g}, expected between 0 and 1")
    weight = masses * STANDARD_GRAVITY
    front, rear = weight * shares, weight * (1.0 - shares)
    return (float(front), float(rear)) if front.ndim == 0 else (front, rear)


def _first(values: NDArray[np.float64], wrong: NDArray[np.bool_]) -> float:
    return float(values[wrong].flat[0]) if np.any(wrong) else float(values.flat[0])


def drag_power(drag: ArrayLike, speed: ArrayLike) -> NDArray[np.float64]:
    """Find the power that drag takes.

    Parameters
    ----------
    drag : array_like
        Drag, or a change of it. [N]
    speed : array_like
        Speed through still air. [m/s]

    Returns
    -------
    numpy.ndarray
        Power at the wheels. [W]

    Notes
    -----
    Force times speed; rolling resistance and losses of the driveline come on top.

    Examples
    --------
    >>> float(drag_power(1000.0, 40.0))
    40000.0
    """
    return np.asarray(np.asarray(drag, float) * np.asarray(speed, float))


def aero_balance(front_downforce: ArrayLike, rear_downforce: ArrayLike) -> NDArray[np.float64]:
    """Find the front share of the downforce, where such a share has a meaning.

    Parameters
    ----------
    front_downforce, rear_downforce : array_like
        Downforce of each axle, positive down. [N]

    Returns
    -------
    numpy.ndarray
        Front share, 0 to 1; not a number unless both axles are pressed down. [1]

    Notes
    -----
    ``DFf / (DFf + DFr)``. With lift at either axle the quotient may look healthy and mean nothing.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> float(aero_balance(300.0, 700.0)), float(aero_balance(-60.0, -10.0))
    (0.3, nan)
    """
    front, rear = np.asarray(front_downforce, float), np.asarray(rear_downforce, float)
    meaningful = (front > 0.0) & (rear > 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(meaningful, front / (front + rear), np.nan)


def added_load(downforce: ArrayLike, static_weight: ArrayLike) -> NDArray[np.float64]:
    """Compare an axle's downforce with its static weight.

    Parameters
    ----------
    downforce : array_like
        Axle downforce, positive down. [N]
    static_weight : array_like
        Static weight on that axle, above 0. [N]

    Returns
    -------
    numpy.ndarray
        Added load, positive down; at -1 or less the axle is off the ground. [1]

    Raises
    ------
    DomainError
        If a static weight is not above 0.

    Notes
    -----
    ``DF / W``. Equal added loads at both axles leave the car's balance as it is at rest.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> float(added_load(250.0, 5000.0))
    0.05
    """
    weight = np.asarray(static_weight, float)
    if not np.all(weight > 0.0):
        raise DomainError(f"static weight: found {np.min(weight):g} N, expected above 0")
    return np.asarray(np.asarray(downforce, float) / weight)


def front_load_share(
    front_downforce: ArrayLike, rear_downforce: ArrayLike, front_weight: ArrayLike, rear_weight: ArrayLike
) -> NDArray[np.float64]:
    """Find the front axle's share of the load on the wheels.

    Parameters
    ----------
    front_downforce, rear_downforce : array_like
        Downforce of each axle, positive down. [N]
    front_weight, rear_weight : array_like
        Static weight on each axle. [N]

    Returns
    -------
    numpy.ndarray
        Front share of the wheel load; outside 0 to 1 with one axle off the ground, not a number where no
        load is left on the wheels. [1]

    Notes
    -----
    ``(Wf + DFf) / (W + DF)``: the static share at rest, toward the aero balance as speed grows. It has a meaning
    with lift at one axle or both.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> float(front_load_share(0.0, 0.0, 5500.0, 4500.0))
    0.55
    """
    front = np.asarray(front_weight, float) + np.asarray(front_downforce, float)
    rear = np.asarray(rear_weight, float) + np.asarray(rear_downforce, float)
    total = front + rear
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(total > 0.0, front / total, np.nan)


def log_load_growth(
    front_added_load: ArrayLike, rear_added_load: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Compute the logarithm of how each axle's load grew, the form that power laws work on.

    Parameters
    ----------
    front_added_load, rear_added_load : array_like
        Downforce of each axle over its static weight. [1]

    Returns
    -------
    tuple of numpy.ndarray
        ``ln(1 + DF/W)`` of front and rear; both not a number where either axle is off the ground. [1]

    Notes
    -----
    An axle is off the ground where ``1 + DF/W`` is not above 0.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> front, rear = log_load_growth(0.0, -1.2)
    >>> bool(front != front), bool(rear != rear)
    (True, True)
    """
    front = 1.0 + np.asarray(front_added_load, float)
    rear = 1.0 + np.asarray(rear_added_load, float)
    if not (np.min(front, initial=np.inf) > 0.0 and np.min(rear, initial=np.inf) > 0.0):
        off = (front <= 0.0) | (rear <= 0.0)
        front, rear = np.where(off, np.nan, front), np.where(off, np.nan, rear)
    return np.log(front), np.log(rear)
