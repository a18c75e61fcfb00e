"""A part's force and the axles: what a force at a place does to them, and where a measured change acts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


def axle_changes(
    downforce: ArrayLike, drag: ArrayLike, *, behind_rear_axle: ArrayLike, height: ArrayLike, wheelbase: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Move a force at a place to the axles.

    Parameters
    ----------
    downforce : array_like
        Downforce at the place, positive down. [N]
    drag : array_like
        Drag at the place, positive rearward. [N]
    behind_rear_axle : array_like
        Distance behind the rear axle, negative ahead of it. [m]
    height : array_like
        Height above the ground. [m]
    wheelbase : float
        Wheelbase, above 0. [m]

    Returns
    -------
    tuple of numpy.ndarray
        Change of front and of rear downforce; they sum to the downforce. [N]

    Raises
    ------
    DomainError
        If the wheelbase is not above 0.

    Notes
    -----
    ``DFr = F (1 + x/L) + D h/L`` and ``DFf = -(F x + D h)/L``: the couple of the drag is added here, and only here;
    readings at the wheels contain it already.

    References
    ----------
    Statics; common practice, no source.

    Examples
    --------
    >>> front, rear = axle_changes(1000.0, 150.0, behind_rear_axle=0.6, height=1.2, wheelbase=2.5)
    >>> float(front), float(rear)
    (-312.0, 1312.0)
    """
    if not wheelbase > 0.0:
        raise DomainError(f"wheelbase: found {wheelbase:g} m, expected above 0")
    force = np.asarray(downforce, float)
    moment = force * np.asarray(behind_rear_axle, float) + np.asarray(drag, float) * np.asarray(height, float)
    front = -moment / wheelbase
    return np.asarray(front), np.asarray(force - front)


def place_of_action(
    front_change: ArrayLike,
    rear_change: ArrayLike,
    drag_change: ArrayLike,
    *,
    height: ArrayLike,
    wheelbase: float,
) -> NDArray[np.float64]:
    """Find where along the car a measured change acts.

    Parameters
    ----------
    front_change, rear_change : array_like
        Change of each axle's downforce, positive down. [N]
    drag_change : array_like
        Change of drag, positive rearward. [N]
    height : array_like
        Height above the ground at which the force is taken to act; 0 for ground level. [m]
    wheelbase : float
        Wheelbase, above 0. [m]

    Returns
    -------
    numpy.ndarray
        Distance behind the rear axle, negative ahead of it; not a number where downforce does not change. [m]

    Raises
    ------
    DomainError
        If the wheelbase is not above 0.

    Notes
    -----
    ``x = -(L DFf + h D) / DF``: the increments fix a line, on which the height picks a point. Far from where the part
    stands, the part has changed the flow over the rest of the car. The inverse of `axle_changes`.

    Examples
    --------
    >>> round(float(place_of_action(-312.0, 1312.0, 150.0, height=1.2, wheelbase=2.5)), 9)
    0.6
    """
    if not wheelbase > 0.0:
        raise DomainError(f"wheelbase: found {wheelbase:g} m, expected above 0")
    front, rear = np.asarray(front_change, float), np.asarray(rear_change, float)
    total = front + rear
    moment = wheelbase * front + np.asarray(height, float) * np.asarray(drag_change, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(total != 0.0, -moment / total, np.nan)
