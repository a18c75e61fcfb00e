"""What is expected of a part on a day of a car that measured it on other days: its own effect, fitted once more."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.library.each_car import effect_of_each_car
from balance.decide.library.next_car import NextCar
from balance.model.records import HALF_95

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import ArrayLike


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
