"""The scatter of one facility over several days: a day's own repeats are too few to know it by."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

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
    alike = np.array([[one == other and one is not None for other in facilities] for one in facilities], bool)
    alike |= np.eye(len(facilities), dtype=bool)
    weight = np.where(np.isfinite(s), n[:, None], 0.0)
    total = alike @ weight
    with np.errstate(invalid="ignore"):
        return alike @ (weight * np.nan_to_num(s)) / total, total


def with_scatter(covariance: ArrayLike, own: ArrayLike, pooled: ArrayLike) -> Array:
    """State an effect's covariance by another variance of one reading than the day's own.

    Parameters
    ----------
    covariance : array_like
        (..., channels, channels) of an effect by the day's own scatter. [m^4]
    own : array_like
        (channels,) the variance of one reading that stands behind it, above 0. [m^4]
    pooled : array_like
        (channels,) the one that is to; not a number where the day's own stays. [m^4]

    Returns
    -------
    numpy.ndarray
        (..., channels, channels) with the same correlations. [m^4]

    Raises
    ------
    DomainError
        If an own variance is not above 0.

    Notes
    -----
    Each channel's deviations are multiplied by ``sqrt(pooled/own)``.

    References
    ----------
    JCGM 100:2008 (GUM), 5.2.2.

    Examples
    --------
    >>> with_scatter([[8.0, 2.0], [2.0, 2.0]], [4.0, 1.0], [16.0, float("nan")]).tolist()
    [[32.0, 4.0], [4.0, 2.0]]
    """
    before, after = np.asarray(own, float), np.asarray(pooled, float)
    if np.any(before <= 0.0):
        raise DomainError(
            f"repeatability of a day: found a variance of {np.nanmin(before):g}, expected above 0"
        )
    ratio = np.sqrt(np.where(np.isfinite(after), after, before) / before)
    return np.asarray(np.asarray(covariance, float) * ratio[:, None] * ratio)
