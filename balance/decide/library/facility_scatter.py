"""The scatter of one facility over several days: a day's own repeats are too few to know it by."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.model.libraries import KeptEffect

    Array = NDArray[np.float64]


def pool_scatter(
    facilities: Sequence[str | None], variances: ArrayLike, degrees: ArrayLike
) -> tuple[Array, Array]:
    """Pool what the repeats of several days say over the days of one facility.

    Parameters
    ----------
    facilities : sequence of str or None
        (days,) where each day was; a day of which nothing is known stands by itself. [1]
    variances : array_like
        (days, channels) of one reading of one fit, by the day's repeats; not a number where it has none. [m^4]
    degrees : array_like
        (days,) how well each day knows them, 0 where it has no repeats. [1]

    Returns
    -------
    variances : numpy.ndarray
        (days, channels) of the day's facility; not a number where none of its days has repeats. [m^4]
    degrees : numpy.ndarray
        (days, channels) how well the facility's days know them together. [1]

    Raises
    ------
    DomainError
        If there are not as many of each, or degrees below 0.

    Notes
    -----
    ``sum(n s^2)/sum(n)``, n the degrees of freedom.

    References
    ----------
    JCGM 100:2008 (GUM), 4.2.4 and H.3.6 (pooled estimates).

    Examples
    --------
    >>> variances, degrees = pool_scatter(["tunnel", "tunnel", "road"], [[4.0], [10.0], [9.0]], [4.0, 2.0, 3.0])
    >>> variances.tolist(), degrees.tolist()
    ([[6.0], [6.0], [9.0]], [[6.0], [6.0], [3.0]])
    """
    s, n = np.array(variances, float), np.asarray(degrees, float)
    if s.ndim != 2 or not len(facilities) == len(s) == n.size:
        raise DomainError(
            f"repeatability over days: found {len(facilities)} facilities, variances of shape {s.shape} and {n.size} degrees, "
            "expected as many of each"
        )
    if not np.all(n >= 0.0):
        raise DomainError(
            f"repeatability over days: found {np.min(n):g} degrees of freedom, expected 0 or more"
        )
    codes: dict[str | int, int] = {}
    code = np.array([codes.setdefault(k if one is None else one, k) for k, one in enumerate(facilities)], int)
    alike = code[:, None] == code
    weight = np.where(np.isfinite(s), n[:, None], 0.0)
    total = alike @ weight
    with np.errstate(invalid="ignore"):
        return alike @ (weight * np.nan_to_num(s)) / total, total


def _with_scatter(covariance: ArrayLike, own: ArrayLike, pooled: ArrayLike) -> Array:
    """State a covariance, (..., channels, channels), by another variance of one reading than the day's own, above 0.

    Each channel's deviations are multiplied by ``sqrt(pooled/own)`` (JCGM 100:2008, GUM, 5.2.2), so that correlations
    stay; the day's own stays where the other is not a number.
    """
    before, after = np.asarray(own, float), np.asarray(pooled, float)
    if np.any(before <= 0.0):
        raise DomainError(
            f"repeatability of a day: found a variance of {np.nanmin(before):g}, expected above 0"
        )
    ratio = np.sqrt(np.where(np.isfinite(after), after, before) / before)
    return np.asarray(np.asarray(covariance, float) * ratio[:, None] * ratio)


def effect_by_facility(
    effect: KeptEffect, own: ArrayLike, pooled: ArrayLike, degrees: ArrayLike
) -> KeptEffect:
    """State an effect by what all days of its facility know of one reading, where that is better known.

    Parameters
    ----------
    effect : KeptEffect
        As its own day states it. [1]
    own : array_like
        (channels,) variance of one reading behind its covariance; not a number where unknown. [m^4]
    pooled : array_like
        (channels,) by the repeats of all days of the facility; not a number where none has any. [m^4]
    degrees : array_like
        (channels,) how well those know it. [1]

    Returns
    -------
    KeptEffect
        The same effect; covariance and degrees of freedom restated. [m^2]

    Notes
    -----
    The variance that is known by more degrees of freedom stands, channel by channel; one that is assumed from readings
    with the car untouched gives way to any that was measured. A day of which nothing is known stays so. As of
    `pool_scatter` and `_with_scatter`.
    """
    before, after, known = (np.asarray(one, float) for one in (own, pooled, degrees))
    former = np.asarray(effect.degrees_of_freedom, float)
    usable = (before > 0.0) & (after > 0.0)
    better = usable & ((known > former) | effect.refit_assumed)
    if not better.any():
        return effect
    covariance = _with_scatter(
        effect.covariance, np.where(usable, before, 1.0), np.where(better, after, np.nan)
    )
    return replace(
        effect,
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        degrees_of_freedom=tuple(np.where(better, known, former).tolist()),
        refit_assumed=effect.refit_assumed and not bool(better.all()),
    )
