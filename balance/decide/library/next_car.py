"""What is expected of a part on the next car, by its range, or on one that measured it on other days, fitted once more."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.library.each_car import effect_of_each_car
from balance.decide.library.pooled import RANGE_NEEDS
from balance.model.arrays import read_only
from balance.model.channels import FRONT, MEASURED, REAR, TOTAL
from balance.model.records import HALF_95

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.decide.library.over_cars import PartOverCars


class NextCar(NamedTuple):
    """What a part does on the next car: mean and standard deviation of front, rear and drag, (3,) each [m²].

    ``front_rear`` is the correlation of the two axles. [1]
    """

    mean: NDArray[np.float64]
    std: NDArray[np.float64]
    front_rear: float

    @classmethod
    def of(cls, mean: NDArray[np.float64], std: NDArray[np.float64]) -> NextCar:
        """Take those of front, rear, drag and total, (4,) each: the total's says how the axles go together."""
        front, rear, total = std[FRONT], std[REAR], std[TOTAL]
        together = (total**2 - front**2 - rear**2) / (2.0 * front * rear)
        return cls(read_only(mean[MEASURED]), read_only(std[MEASURED]), float(np.clip(together, -1.0, 1.0)))


def next_car(part: PartOverCars) -> NextCar | None:
    """State what is expected of a part on the next car.

    The normal distribution with the same 95 % range in each channel: middle of the range, and half of it over
    1.96; nothing with fewer than five cars. The range is that of a mixture of normals, whose tails beyond it
    are heavier; beliefs and draws are normal. How the axles go together follows from the range of total
    downforce, a channel of its own: ``(s_t^2 - s_f^2 - s_r^2)/(2 s_f s_r)``, never beyond 1 (JCGM 100:2008,
    GUM, 5.2.2). Drag is taken by itself: no range says how it goes with them.
    """
    if part.known < RANGE_NEEDS:
        return None
    low, high = np.array([one.next_interval for one in part.pooled]).T
    return NextCar.of((low + high) / 2.0, (high - low) / (2.0 * HALF_95))


def own_days(
    effects: ArrayLike,
    covariances: ArrayLike,
    degrees_of_freedom: ArrayLike,
    refitting: ArrayLike,
    *,
    days: Sequence[Hashable] | None = None,
) -> NextCar | None:
    """State what is expected of a part on another day of a car, from what it did on its own days.

    Parameters
    ----------
    effects : array_like
        (effects, 4) front, rear, drag and total downforce. [m^2]
    covariances : array_like
        (effects, 4, 4) of each; not a number where unknown. [m^4]
    degrees_of_freedom : array_like
        (effects, 4) how well each variance is known. [1]
    refitting : array_like
        (effects, 4) variance of one reading of one fit on that day. [m^4]
    days : sequence of hashable, optional
        (effects,) the day of each, where one may have several. [1]

    Returns
    -------
    NextCar or None
        Mean and standard deviation; nothing where no day is given, or a channel's repeatability is unknown. [m^2]

    Notes
    -----
    Variance of the mean of the days, and once more that of one reading of one fit, since the part is fitted anew. The standard deviation is that
    of the normal distribution with the same 95 % range as Student's t with the days' degrees of freedom. How the axles go
    together follows from the total, as for a next car.

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2 and G.3; that one fit more stands for another day: assumed, no source.
    """
    y = np.asarray(effects, float)
    if not len(y):
        return None
    (car,) = effect_of_each_car(["own"] * len(y), y, covariances, degrees_of_freedom, days=days)
    again = np.asarray(refitting, float).mean(axis=0)
    factor = car.half() / car.std / HALF_95
    std = np.asarray(factor * np.sqrt(np.square(car.std) + again))
    if not np.all(np.isfinite(std) & (std > 0.0)):
        return None
    return NextCar.of(car.effect, std)
