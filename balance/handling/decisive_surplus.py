"""The grip surplus that verdicts are judged on: the lower of without and under power, an axle off the ground infinite."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.handling.axle_loads import added_load, log_load_growth, static_axle_weights
from balance.handling.grip import grip_left_by_drive, surplus_from_growth
from balance.handling.load_share_band import rear_added_load_at
from balance.model.channels import FRONT, REAR

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import Driven
    from balance.reduce.car_figures import CarFigures

_STEPS = 60
_HEAVIEST = 5.0
"""Times the car's weight within which the load that an axle needs is looked for."""


class Surpluses(NamedTuple):
    """Grip surplus from air loads alone, with drag driven through the tyres, and the lower of both [1].

    ``driven`` is ``None`` where the driven axle is unknown. ``decisive`` counts an axle off the ground as infinite:
    the front off as plus, the rear off as minus.
    """

    air: NDArray[np.float64]
    driven: NDArray[np.float64] | None
    decisive: NDArray[np.float64]


def surpluses(
    front: NDArray[np.float64],
    rear: NDArray[np.float64],
    drag: NDArray[np.float64],
    car: CarFigures,
    *,
    driven_axle: Driven | None,
    weights: tuple[ArrayLike, ArrayLike] | None = None,
    grip_ratio: ArrayLike = 1.0,
    growth: tuple[NDArray[np.float64], NDArray[np.float64]] | None = None,
) -> Surpluses:
    """Find the grip surplus of a car under its air loads, without and under power.

    Parameters
    ----------
    front, rear, drag : numpy.ndarray
        Downforce of the axles and drag, of one shape. [N]
    car : CarFigures
        Weights and load exponents, nominal or drawn. [1]
    driven_axle : {'front', 'rear', 'both'} or None
        Which tyres push against drag, where known. [1]
    weights : tuple of array_like, optional
        The car's static axle weights, where they are at hand. [N]
    grip_ratio : array_like, optional
        Grip of the rear over the front at rest, 1 for a car that is in balance there. [1]
    growth : tuple of numpy.ndarray, optional
        Logarithms of the growth of the axles' loads, where they are at hand. [1]

    Returns
    -------
    Surpluses
        Fractions, of the shape of the loads. [1]

    Notes
    -----
    The driver may close the throttle, so that drive never makes a car look safer: the lower of both decides.

    References
    ----------
    `balance.handling.grip` for both laws; common practice, no source, for the lower of both.
    """
    at_rest = weights or static_axle_weights(car.mass, car.front_share)
    front_weight, rear_weight = (np.asarray(one, float) for one in at_rest)
    growth = growth or log_load_growth(added_load(front, front_weight), added_load(rear, rear_weight))
    air = surplus_from_growth(*growth, front_exponent=car.grip[FRONT], rear_exponent=car.grip[REAR])
    if np.any(np.asarray(grip_ratio) != 1.0):
        air = np.asarray(grip_ratio) * (1.0 + air) - 1.0
    driven = None
    if driven_axle is not None:
        loads = front_weight + front, rear_weight + rear
        driven = np.asarray(1.0 + air)
        driven = np.asarray(driven * drive_ratio(*loads, drag, driven_axle, car.friction))
        driven -= 1.0
    lower = air if driven is None else np.fmin(air, driven)
    front_off, rear_off = front <= -front_weight, rear <= -rear_weight
    return Surpluses(air, driven, infinite_off_the_ground(lower, front_off, rear_off))


def drive_ratio(
    front_load: NDArray[np.float64],
    rear_load: NDArray[np.float64],
    drag: NDArray[np.float64],
    driven_axle: Driven,
    friction: ArrayLike,
) -> NDArray[np.float64]:
    """Find what driving against drag leaves of the rear's grip over what it leaves of the front's.

    Parameters
    ----------
    front_load, rear_load, drag : numpy.ndarray
        Loads of the axles, weight and downforce, and drag, of one shape. [N]
    driven_axle : {'front', 'rear', 'both'}
        Which tyres push against drag. [1]
    friction : array_like
        Of the tyres. [1]

    Returns
    -------
    numpy.ndarray
        Ratio: below 1 where the rear pays, above 1 where the front does, infinite where the front has nothing left. [1]

    Notes
    -----
    Both driven: half of the drag at each axle. As of `balance.handling.grip.grip_left_by_drive`.
    """
    drive = drag / 2.0 if driven_axle == "both" else drag
    if driven_axle == "rear":
        return grip_left_by_drive(drive, rear_load, friction)
    rear = 1.0 if driven_axle == "front" else grip_left_by_drive(drive, rear_load, friction)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(rear / grip_left_by_drive(drive, front_load, friction))


def infinite_off_the_ground(
    values: NDArray[np.float64], front_off: NDArray[np.bool_], rear_off: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Count an axle off the ground as infinite, so that draws keep their order.

    Parameters
    ----------
    values : numpy.ndarray
        Any figure that tells rear over front. [1]
    front_off, rear_off : numpy.ndarray
        Whether an axle is off the ground, of the same shape. [1]

    Returns
    -------
    numpy.ndarray
        Plus infinity where the front is off, minus where the rear is. [1]

    Notes
    -----
    A car whose front is off the ground can only push, one whose rear is off can only turn.
    """
    if np.any(front_off) or np.any(rear_off):
        return np.where(rear_off, -np.inf, np.where(front_off, np.inf, values))
    return values


def rear_downforce_at(
    decisive: ArrayLike,
    front: ArrayLike,
    drag: ArrayLike,
    car: CarFigures,
    *,
    driven_axle: Driven | None,
) -> NDArray[np.float64]:
    """Find the rear's downforce at which the grip surplus that verdicts are judged on has a given value.

    Parameters
    ----------
    decisive : array_like
        The lower grip surplus of without and under power, above -1. [1]
    front : array_like
        Downforce of the front axle, which stands on the road. [N]
    drag : array_like
        Drag. [N]
    car : CarFigures
        Weights and load exponents. [1]
    driven_axle : {'front', 'rear', 'both'} or None
        Which tyres push against drag, where known. [1]

    Returns
    -------
    numpy.ndarray
        Downforce of the rear; not a number where no load of five times the car's weight suffices. [N]

    Raises
    ------
    DomainError
        If a surplus is not above -1, or the front is off the ground.

    Notes
    -----
    From air loads alone it is solved for the rear. Under power the rear needs that or more, and the surplus grows with its load:
    halved 60 times between there and five times the car's weight more. As of `surpluses` and
    `balance.handling.load_share_band.rear_added_load_at`.

    Examples
    --------
    >>> from balance.reduce.car_figures import CarFigures
    >>> equal = (0.86, 0.86)
    >>> car = CarFigures(mass=1000.0, front_share=0.5, static_margin=0.0, stiffness=equal, grip=equal)
    >>> air, driven = (rear_downforce_at(0.02, 200.0, 900.0, car, driven_axle=axle) for axle in (None, "rear"))
    >>> round(float(air), 1), round(float(driven), 1)
    (318.9, 392.7)
    """
    front_weight, rear_weight = (float(one) for one in static_axle_weights(car.mass, car.front_share))
    wanted, loads, against = np.broadcast_arrays(*(np.asarray(one, float) for one in (decisive, front, drag)))
    added = rear_added_load_at(
        wanted, loads / front_weight, front_exponent=car.grip[FRONT], rear_exponent=car.grip[REAR]
    )
    low = added * rear_weight
    if driven_axle is None:
        return np.asarray(low)

    def short(rear: NDArray[np.float64]) -> NDArray[np.bool_]:
        return np.asarray(surpluses(loads, rear, against, car, driven_axle=driven_axle).decisive < wanted)

    high = low + _HEAVIEST * (front_weight + rear_weight)
    never = short(high)
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        below = short(middle)
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.where(never, np.nan, high)
