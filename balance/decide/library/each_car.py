"""What a part does on each car of a library: days of one car are one effect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import student_factor
from balance.decide.library.over_cars import known_effects
from balance.decide.library.pooled import of_one_day
from balance.model.arrays import read_only
from balance.model.channels import WITH_TOTAL

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CarEffect:
    """What a part does on one car.

    Attributes
    ----------
    car : str
        The car. [1]
    effects : tuple of int
        Places of all effects of the car, as they came. [1]
    effect : numpy.ndarray
        (4,) front, rear, drag and total downforce: plain mean of those with a known repeatability, of all where none
        has one. [m²]
    std : numpy.ndarray
        (4,) standard uncertainty of that mean; not a number where unknown. [m²]
    degrees_of_freedom : numpy.ndarray
        (4,) how well those are known; not a number where unknown. [1]
    """

    car: str
    effects: tuple[int, ...]
    effect: Array
    std: Array
    degrees_of_freedom: Array

    def half(self, confidence: float = 0.95) -> Array:
        """Find half of the interval of each channel, (4,): Student's t times the standard uncertainty.

        As for one day's effect, so that a car of one day shows the same on either (JCGM 100:2008, GUM, G.3).
        """
        return np.asarray(student_factor(self.degrees_of_freedom, confidence) * self.std)


def effect_of_each_car(
    cars: Sequence[str],
    effects: ArrayLike,
    covariances: ArrayLike,
    degrees_of_freedom: ArrayLike,
    *,
    days: Sequence[Hashable] | None = None,
) -> tuple[CarEffect, ...]:
    """Find what a part does on each car.

    Parameters
    ----------
    cars : sequence of str
        (effects,) the car of each effect. [1]
    effects : array_like
        (effects, 4) front, rear, drag and total downforce; (effects, 1) of a compared column, in its own unit. [m^2]
    covariances : array_like
        (effects, 4, 4) of each, or (effects, 1, 1); not a number where unknown. [m^4]
    degrees_of_freedom : array_like
        (effects, 4) how well each variance is known; not a number where unknown. [1]
    days : sequence of hashable, optional
        (effects,) the day of each, where one may have several. [1]

    Returns
    -------
    tuple of CarEffect
        One for each car, as they first come; those that are known are what `part_over_cars` pools. [m^2]

    Notes
    -----
    Plain mean of a car's n days, variance ``sum(v)/n^2``; effective degrees of freedom ``sum(v)^2/sum(v^2/df)``.
    Several effects of one day are no better known than one: `balance.decide.library.pooled.of_one_day`.

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2 and G.4.1; `balance.decide.library.pooled.average_over_days`.

    Examples
    --------
    >>> two = [[[4e-6 * (a == b) for b in range(4)] for a in range(4)]] * 2
    >>> (hatch,) = effect_of_each_car(["hatch"] * 2, [[0.0, 0.08, 0.01, 0.08], [0.0, 0.06, 0.01, 0.06]], two, [[8.0] * 4] * 2)
    >>> hatch.effect[1].round(3).item(), hatch.std[1].round(5).item(), hatch.degrees_of_freedom[1].item()
    (0.07, 0.00141, 16.0)
    """
    y = np.asarray(effects, float)
    quantities = y.shape[1] if y.ndim == 2 else len(WITH_TOTAL)
    y = y.reshape(-1, quantities)
    s = np.asarray(covariances, float).reshape(-1, quantities, quantities)
    degrees = np.asarray(degrees_of_freedom, float).reshape(-1, quantities)
    known = known_effects(s)
    variances = np.where(known[:, None], np.diagonal(s, axis1=1, axis2=2), np.nan)
    found = []
    for car in dict.fromkeys(cars):
        own = np.array([k for k, one in enumerate(cars) if one == car])
        used = of_one_day((own[known[own]] if known[own].any() else own).tolist(), days)
        of_day = np.array([variances[some].mean(axis=0) for some in used])
        least = np.array([degrees[some].min(axis=0) for some in used])
        summed = of_day.sum(axis=0)
        with np.errstate(divide="ignore"):
            effective = np.square(summed) / (np.square(of_day) / least).sum(axis=0)
        found.append(
            CarEffect(
                car=car,
                effects=tuple(map(int, own)),
                effect=read_only(np.mean([y[some].mean(axis=0) for some in used], axis=0)),
                std=read_only(np.sqrt(summed) / len(used)),
                degrees_of_freedom=read_only(effective),
            )
        )
    return tuple(found)
