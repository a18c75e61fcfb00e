"""A part over the cars of a library: days of one car first, then the cars, channel by channel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.library.pooled import average_over_days, pool_effects
from balance.decide.library.pooled_ratio import pool_ratio
from balance.model.channels import DRAG, TOTAL, WITH_TOTAL

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.decide.library.pooled import PooledEffect
    from balance.decide.library.pooled_ratio import PooledRatio


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOverCars:
    """What a part does over several cars, of which those with a known repeatability can be pooled.

    Pooled are front, rear, drag and total downforce [m²], and the ratio of total downforce to drag of the
    means; none where no car's repeatability is known.
    """

    cars: int
    known: int
    pooled: tuple[PooledEffect, ...]
    ratio: PooledRatio | None


def part_over_cars(
    cars: Sequence[str],
    effects: ArrayLike,
    covariances: ArrayLike,
    confidence: float = 0.95,
    *,
    days: Sequence[Hashable] | None = None,
) -> PartOverCars:
    """Find what a part does over the cars on which it was tested.

    Parameters
    ----------
    cars : sequence of str
        (effects,) the car of each effect. [1]
    effects : array_like
        (effects, 4) front, rear, drag and total downforce. [m^2]
    covariances : array_like
        (effects, 4, 4) of each; not a number where unknown. [m^4]
    confidence : float, optional
        Share of intervals that hold the truth, 0.5 to 0.999. [1]
    days : sequence of hashable, optional
        (effects,) the day of each, where one may have several. [1]

    Returns
    -------
    PartOverCars
        Each channel pooled by itself, the total as one of its own. [m^2]

    Notes
    -----
    A day without a known repeatability is counted and not pooled, since it has no weight. As of
    `balance.decide.library.pooled.pool_effects` and `balance.decide.library.pooled_ratio.pool_ratio`.
    """
    y = np.asarray(effects, float).reshape(-1, len(WITH_TOTAL))
    s = np.asarray(covariances, float).reshape(-1, len(WITH_TOTAL), len(WITH_TOTAL))
    known = np.flatnonzero(known_effects(s))
    if not known.size:
        return PartOverCars(cars=len(set(cars)), known=0, pooled=(), ratio=None)
    names, mean, covariance = average_over_days(
        [cars[k] for k in known.tolist()],
        y[known],
        s[known],
        None if days is None else [days[k] for k in known.tolist()],
    )
    pooled = tuple(
        pool_effects(mean[:, k], covariance[:, k, k], confidence=confidence) for k in range(len(WITH_TOTAL))
    )
    both = [TOTAL, DRAG]
    ratio = pool_ratio(mean[:, both], covariance[:, both][:, :, both], confidence)
    return PartOverCars(cars=len(set(cars)), known=len(names), pooled=pooled, ratio=ratio)


def known_effects(covariances: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell which effects have a known repeatability.

    Parameters
    ----------
    covariances : numpy.ndarray
        (days, 4, 4) of each; not a number where unknown. [m^4]

    Returns
    -------
    numpy.ndarray
        (days,) whether every variance is a figure above 0. [1]

    Notes
    -----
    One channel that is unknown leaves the whole effect out, so that all channels are pooled over the same cars.
    """
    variances = np.diagonal(covariances, axis1=1, axis2=2)
    return np.asarray(np.all(np.isfinite(variances) & (variances > 0.0), axis=1))


def column_over_cars(
    cars: Sequence[str], values: ArrayLike, variances: ArrayLike, days: Sequence[Hashable] | None = None
) -> PooledEffect | None:
    """Find what a part does to a compared column over the cars on which that was measured.

    Parameters
    ----------
    cars : sequence of str
        (changes,) the car of each change. [1]
    values : array_like
        (changes,) in any one unit. [1]
    variances : array_like
        (changes,) of each, in the square of that unit; not a number where unknown. [1]
    days : sequence of hashable, optional
        (changes,) the day of each, where one may have several. [1]

    Returns
    -------
    PooledEffect or None
        As of a channel; nothing where no car's repeatability is known. [1]

    Notes
    -----
    By the rules of the channels: a car counts once, a mean from three cars on, the range from five on. As of
    `balance.decide.library.over_cars.part_over_cars`.
    """
    y, v = np.asarray(values, float), np.asarray(variances, float)
    known = np.flatnonzero(np.isfinite(v) & (v > 0.0))
    if not known.size:
        return None
    _, mean, variance = average_over_days(
        [cars[k] for k in known.tolist()],
        y[known],
        v[known],
        None if days is None else [days[k] for k in known.tolist()],
    )
    return pool_effects(mean, variance)
