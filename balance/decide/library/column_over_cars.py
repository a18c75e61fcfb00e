"""A compared column over the cars of a library: days of one car first, then the cars."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.library.pooled import average_over_days, pool_effects

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import ArrayLike

    from balance.decide.library.pooled import PooledEffect


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
