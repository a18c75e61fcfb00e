"""What a part's downforce usually costs in drag: the ratio of the means over several cars, never a mean of ratios."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.ratios import (
    CASES,
    KINDS,
    CostRatio,
    RatioCase,
    RatioKind,
    RatioSets,
    fieller,
    ratio_case,
)
from balance.compare.student import student_factor
from balance.decide.library.pooled import MEAN_NEEDS
from balance.model.arrays import read_only
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[np.float64]

_WITH_RATIO = (RatioCase.MORE_FOR_MORE, RatioCase.LESS_FOR_LESS)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PooledRatio:
    """Downforce per drag of a part over several cars.

    Attributes
    ----------
    ratio : CostRatio
        The ratio of the means and its confidence set; of kind "none" with too few cars or unknown scatter.
    mean : numpy.ndarray
        (2,) downforce and drag, both with the same weights; not a number where there is no ratio. [m²]
    covariance : numpy.ndarray
        (2, 2) of the two means. [m⁴]
    between : numpy.ndarray
        (2, 2) between the true effects on different cars. [m⁴]
    """

    ratio: CostRatio
    mean: Array
    covariance: Array
    between: Array


def pool_ratio(effects: ArrayLike, covariances: ArrayLike, confidence: float = 0.95) -> PooledRatio:
    """Find downforce per drag of a part over several cars.

    Parameters
    ----------
    effects : array_like
        (cars, 2) change of downforce and of drag on each car. [m^2]
    covariances : array_like
        (cars, 2, 2) of the two on each car; not a number where unknown. [m^4]
    confidence : float, optional
        Share of confidence sets that hold the truth, 0.5 to 0.999. [1]

    Returns
    -------
    PooledRatio
        The ratio with its set, bounded or not; of kind "none" with fewer than three cars or where a scatter is unknown,
        the means then not a number. [1]

    Raises
    ------
    DomainError
        If the shapes do not belong together, an effect is not finite, a variance is below 0, both are 0, or the
        confidence makes no set.

    Notes
    -----
    Each car's weight is ``w_i = 1/(v_i + t2)`` for both, with the means of both variances, so that the ratio is that of
    a weighted car. The matrix between cars is that of moments with weights ``a_i = 1/v_i``: ``(sum(a d d') -
    sum(a (1 - a/A) S)) / (A - sum(a^2)/A)``, d the distance from the mean, no variance of it below 0 in any direction.
    The means have covariance ``sum(w^2 (S_i + T))/sum(w)^2``; the set is Fieller's with Student's t of one less than the
    number of cars.

    References
    ----------
    D. Jackson, I. R. White, S. G. Thompson, "Extending DerSimonian and Laird's methodology to perform multivariate random
    effects meta-analyses", Statistics in Medicine 29 (2010) 1282-1297 (from memory); `balance.compare.ratios.fieller`.

    Examples
    --------
    >>> effects = [[0.084, 0.008], [0.050, 0.006], [0.070, 0.007], [0.061, 0.005]]
    >>> found = pool_ratio(effects, [[[4e-6, 0.0], [0.0, 1e-6]]] * 4)
    >>> round(found.ratio.value, 1), round(found.ratio.low, 1), round(found.ratio.high, 1)
    (10.2, 7.7, 13.5)
    """
    y, s = np.array(effects, float), np.array(covariances, float)
    _check(y, s, confidence)
    if len(y) < MEAN_NEEDS or not np.all(np.isfinite(s)):
        unknown = read_only(np.full((2, 2), np.nan))
        case = CASES[int(ratio_case(*y.mean(axis=0)))]
        return PooledRatio(
            ratio=CostRatio(value=None, kind=RatioKind.NONE, low=None, high=None, case=case),
            mean=unknown[0],
            covariance=unknown,
            between=unknown,
        )
    own = np.trace(s, axis1=1, axis2=2) / 2.0
    between = between_cars(y, s)
    weight = 1.0 / (own + np.trace(between) / 2.0)
    weight /= weight.sum()
    mean = weight @ y
    covariance = np.einsum("i,ijk->jk", weight**2, s + between)
    kind, low, high = fieller(
        mean[:1],
        mean[1:],
        covariance[0, 0],
        covariance[1, 1],
        covariance[0, 1],
        student_factor(len(y) - 1.0, confidence),
    )
    way = ratio_case(mean[:1], mean[1:])
    has_value = KINDS[int(kind[0])] is RatioKind.BOUNDED and CASES[int(way[0])] in _WITH_RATIO
    value = mean[:1] / mean[1:] if has_value else np.array([np.nan])
    return PooledRatio(
        ratio=RatioSets(value=value, low=low, high=high, kind=kind, case=way)[0],
        mean=read_only(mean),
        covariance=read_only(covariance),
        between=read_only(between),
    )


def between_cars(effects: Array, covariances: Array) -> Array:
    """Find how far several quantities differ together between cars.

    Parameters
    ----------
    effects : numpy.ndarray
        (cars, quantities) on each car, in any one unit. [1]
    covariances : numpy.ndarray
        (cars, quantities, quantities) of those, in the square of that unit. [1]

    Returns
    -------
    numpy.ndarray
        (quantities, quantities) covariance between the true effects on different cars. [1]

    Notes
    -----
    As of `pool_ratio`. For one quantity it is the variance of DerSimonian and Laird. Directions in which the moments
    leave a variance below 0 are given none.
    """
    own = np.trace(covariances, axis1=1, axis2=2) / effects.shape[1]
    weight = own.min() / own
    total = weight.sum()
    apart = effects - weight @ effects / total
    expected = np.einsum("i,ijk->jk", weight * (1.0 - weight / total), covariances)
    moments = (np.einsum("i,ij,ik->jk", weight, apart, apart) - expected) / (
        total - np.square(weight).sum() / total
    )
    sizes, directions = np.linalg.eigh((moments + moments.T) / 2.0)
    return np.asarray((directions * np.maximum(sizes, 0.0)) @ directions.T)


def _check(y: Array, s: Array, confidence: float) -> None:
    """Refuse what has no ratio."""
    if y.ndim != 2 or y.shape[1:] != (2,) or not len(y) or s.shape != (*y.shape, 2):
        raise DomainError(
            f"ratio over cars: found effects of shape {y.shape} and covariances of shape {s.shape}, expected two effects "
            "a car and a 2 by 2 covariance"
        )
    if not np.all(np.isfinite(y)):
        raise DomainError("ratio over cars: found an effect that is not finite, expected finite ones")
    variances = np.diagonal(s, axis1=1, axis2=2)
    if np.any(variances < 0.0) or np.any(variances.sum(axis=1) == 0.0):
        raise DomainError("ratio over cars: found a variance that is not above 0, expected all above 0")
    if not 0.5 <= confidence <= 0.999:
        raise DomainError(f"confidence: found {confidence:g}, expected 0.5 to 0.999")
