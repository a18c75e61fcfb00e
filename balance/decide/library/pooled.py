"""What a part does over several cars: the mean, how far cars differ, and where the next car may lie."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import NormalDist
from typing import TYPE_CHECKING, Literal, NamedTuple, get_args

import numpy as np

from balance.compare.student import student_factor
from balance.model.arrays import read_only
from balance.model.errors import DomainError, UnknownName

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Sequence

    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[np.float64]

Between = Literal["REML", "PM", "DL"]
"""How the variance between cars is found: by restricted likelihood, or by moments after either pair of authors."""
Interval = tuple[float, float]

MEAN_NEEDS = 3
"""Cars below which no mean is given: one car is that car, of two both are shown."""
RANGE_NEEDS = 5
"""Cars below which nothing is said of the next one."""

_NOT_GIVEN: Interval = (np.nan, np.nan)
_NODES = 110
_GRID = 512
_PARTS, _ROUNDS = 16, 14
"""Parts of a stretch in which a root lies, divided again so often that no digit is left."""
_FAR = 1e4
"""Deviations between cars are looked at up to this many times the spread of the figures."""
_FINE = 1e-6
"""Deviations between cars below this share of the spread of the figures make no difference."""
_NEGLIGIBLE = -30.0
"""Logarithm of the share of the largest density below which nothing is summed."""
_LARGEST = 1e60
"""Beyond it, squares of figures and of their ratios leave what numbers hold."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PooledEffect:
    """One quantity of a part over several cars, in the unit of the values; not a number where the cars are too few.

    Attributes
    ----------
    values, variances : numpy.ndarray
        (cars,) one effect a car and its variance, as given.
    between : str
        How the variance between cars was found: "REML", "PM" or "DL".
    confidence : float
        Share of intervals that hold the truth. [1]
    mean, std : float
        The mean of cars like these, each weighted by one over its variance and that between cars, and its plain standard
        uncertainty. From three cars on.
    interval : tuple of float
        Of the mean, after Hartung and Knapp, never narrower than the plain standard uncertainty allows.
    plain_interval : tuple of float
        Of the mean by the normal distribution, as if the variance between cars were known: too narrow for few cars.
    between_variance : float
        Between the true effects on different cars.
    heterogeneity : float
        Squared distances from the mean weighted by the cars' own variances alone, over those variances: some one less
        than the number of cars where the cars do not differ. [1]
    next_interval : tuple of float
        Where the true effect on the next car like these may lie, all deviations between cars weighed by their
        likelihood, however ``between`` was found. From five cars on.
    next_interval_t : tuple of float
        The same by Student's t with two less than the number of cars; for published cases, since it is too narrow where
        cars differ as little as the error. From three cars on.
    """

    values: Array
    variances: Array
    between: Between
    confidence: float
    mean: float = np.nan
    std: float = np.nan
    interval: Interval = _NOT_GIVEN
    plain_interval: Interval = _NOT_GIVEN
    between_variance: float = np.nan
    heterogeneity: float = np.nan
    next_interval: Interval = _NOT_GIVEN
    next_interval_t: Interval = _NOT_GIVEN

    @property
    def cars(self) -> int:
        """How many cars there are."""
        return len(self.values)

    @property
    def between_std(self) -> float:
        """Standard deviation between the true effects on different cars, in the unit of the values."""
        return float(np.sqrt(self.between_variance))


def pool_effects(
    values: ArrayLike, variances: ArrayLike, between: Between = "REML", confidence: float = 0.95
) -> PooledEffect:
    """Pool what a part does on several cars, each of which differs by chance.

    Parameters
    ----------
    values : array_like
        (cars,) the effect on each car, in any one unit; several days of one car are one value. [1]
    variances : array_like
        (cars,) the variance of each, above 0, in the square of that unit. [1]
    between : {"REML", "PM", "DL"}, optional
        How the variance between cars is found: restricted likelihood, Paule and Mandel, DerSimonian and Laird. [1]
    confidence : float, optional
        Share of intervals that hold the truth, 0.5 to 0.999. [1]

    Returns
    -------
    PooledEffect
        Mean, interval, variance between cars and range for the next car, in the unit of the values; not a number where
        the cars are too few: a mean from three on, the range from five on. [1]

    Raises
    ------
    DomainError
        If there is no car, the two are not of one length, a figure is not finite or beyond what can be squared, a
        variance is not above 0, or the confidence makes no interval.
    UnknownName
        If there is no such way to find the variance between cars.

    Notes
    -----
    ``y_i = mu + u_i + e_i``, the variance of e known, that of u equal for all cars: ``t2``, never below 0. The mean has
    weights ``w_i = 1/(v_i + t2)`` and the plain variance ``1/sum(w)``; its interval multiplies that variance by
    ``max(1, q)``, ``q = sum(w (y - mean)^2)/(k - 1)``, with Student's t of k - 1. The next car is a mixture of normals
    ``N(mean_t, t^2 + 1/sum(w_t))`` over t from 0 up, each t weighted by its restricted likelihood.

    References
    ----------
    R. DerSimonian, N. Laird, "Meta-analysis in clinical trials", Controlled Clinical Trials 7 (1986) 177-188;
    R. C. Paule, J. Mandel, "Consensus values and weighting factors", Journal of Research of the NBS 87 (1982) 377-385;
    G. Knapp, J. Hartung, "Improved tests for a random effects meta-regression with a single covariate", Statistics in
    Medicine 22 (2003) 2693-2710, the factor of which is never below 1; J. P. T. Higgins, S. G. Thompson,
    D. J. Spiegelhalter, "A re-evaluation of random-effects meta-analysis", Journal of the Royal Statistical Society A
    172 (2009) 137-159, for the next one, by t and by the likelihood with a uniform deviation (all from memory).

    Examples
    --------
    The same spoiler on six cars, rear downforce in newtons:

    >>> pooled = pool_effects([126.0, 42.0, 88.0, 61.0, 104.0, 79.0], [64.0, 36.0, 49.0, 64.0, 49.0, 36.0])
    >>> round(pooled.mean), [round(end) for end in pooled.interval], [round(end) for end in pooled.next_interval]
    (83, [52, 115], [-16, 182])
    >>> pool_effects([126.0, 42.0], [64.0, 36.0]).mean
    nan
    """
    y, v = (read_only(np.array(one, float)) for one in (values, variances))
    _check(y, v, between, confidence)
    cars = y.size
    if cars < MEAN_NEEDS:
        return PooledEffect(values=y, variances=v, between=between, confidence=confidence)
    # from here in units of the figures' own spread and from their middle, so that nothing hangs on unit or zero
    middle = float(np.mean(y))
    unit = float(max(np.ptp(y), np.sqrt(v.max())))
    y_own, v_own = (y - middle) / unit, v / unit / unit

    def as_given(centre: float, half: float) -> Interval:
        return middle + unit * (centre - half), middle + unit * (centre + half)

    variance = _WAYS[between](y_own, v_own)
    found = _weighted(y_own, v_own, np.array([variance]))
    mean, std = float(found.mean[0]), float(np.sqrt(found.variance[0]))
    widened = std * float(np.sqrt(max(1.0, float(found.distance[0]) / (cars - 1))))
    low, high = _next_car(y_own, v_own, confidence) if cars >= RANGE_NEEDS else _NOT_GIVEN
    return PooledEffect(
        values=y,
        variances=v,
        between=between,
        confidence=confidence,
        mean=middle + unit * mean,
        std=unit * std,
        interval=as_given(mean, widened * float(student_factor(cars - 1.0, confidence))),
        plain_interval=as_given(mean, std * NormalDist().inv_cdf((1.0 + confidence) / 2.0)),
        between_variance=variance * unit * unit,
        heterogeneity=float(_weighted(y_own, v_own, np.zeros(1)).distance[0]),
        next_interval=(middle + unit * low, middle + unit * high),
        next_interval_t=as_given(
            mean, float(np.hypot(np.sqrt(variance), std) * student_factor(cars - 2.0, confidence))
        ),
    )


def average_over_days(
    cars: Sequence[str], values: ArrayLike, variances: ArrayLike, days: Sequence[Hashable] | None = None
) -> tuple[tuple[str, ...], Array, Array]:
    """Average the days of each car, so that a car tested on six days counts once.

    Parameters
    ----------
    cars : sequence of str
        (effects,) the car of each effect. [1]
    values : array_like
        (effects, ...) in any one unit. [1]
    variances : array_like
        (effects, ...) their variances, or (effects, ..., ...) covariances, in the square of that unit. [1]
    days : sequence of hashable, optional
        (effects,) the day of each, where one may have several; else each has a day of its own. [1]

    Returns
    -------
    tuple of tuple of str, numpy.ndarray and numpy.ndarray
        The cars as they first come; their effects, (cars, ...); variances or covariances of those. [1]

    Raises
    ------
    DomainError
        If there are not as many cars as effects and variances.

    Notes
    -----
    Plain mean of a car's n days, variance ``sum(v)/n^2``: what makes days of one car differ is not told apart. Several
    effects of one day, as of two sizes, share its baseline: as of `of_one_day` they are no better known than one.

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2.

    Examples
    --------
    >>> cars, mean, variance = average_over_days(["hatch", "saloon", "hatch"], [80.0, 42.0, 90.0], [8.0, 9.0, 8.0])
    >>> cars, mean.tolist(), variance.tolist()
    (('hatch', 'saloon'), [85.0, 42.0], [4.0, 9.0])
    """
    y, v = np.asarray(values, float), np.asarray(variances, float)
    if not (y.ndim and v.ndim and len(cars) == len(y) == len(v)):
        raise DomainError(
            f"days of cars: found {len(cars)} cars, {np.size(y)} effects and {np.size(v)} variances, expected as many of each"
        )
    order: dict[str, list[int]] = {}
    for one, car in enumerate(cars):
        order.setdefault(car, []).append(one)
    places = [of_one_day(own, days) for own in order.values()]
    mean = np.array([np.mean([y[some].mean(axis=0) for some in own], axis=0) for own in places])
    variance = np.array(
        [np.sum([v[some].mean(axis=0) for some in own], axis=0) / len(own) ** 2 for own in places]
    )
    return tuple(order), mean, variance


def of_one_day(places: Sequence[int], days: Sequence[Hashable] | None) -> list[list[int]]:
    """Gather the effects of one day, by their places.

    What two of them have in common, the baseline foremost, a library does not keep: their mean is taken to be as uncertain
    as one of them, which is on the safe side.
    """
    order: dict[Hashable, list[int]] = {}
    for place in places:
        order.setdefault(place if days is None else days[place], []).append(place)
    return list(order.values())


class _Weighted(NamedTuple):
    """What weights by several variances between cars give, (variances,) each."""

    mean: Array
    variance: Array
    """Plain variance of the mean."""
    distance: Array
    """Squared distances from the mean over their variances, summed."""
    log_likelihood: Array
    """Restricted, less a constant."""
    slope: Array
    """Of the restricted likelihood along the variance between cars, times something above 0."""


def _weighted(y: Array, v: Array, between: Array) -> _Weighted:
    """Weigh cars by one over their variance and that between cars, (variances,)."""
    spread = v + between[:, None]
    least = spread.min(axis=1)
    weight = least[:, None] / spread  # the largest is 1, so that the smallest variance does no harm
    total = weight.sum(axis=1)
    mean = weight @ y / total
    variance = least / total
    apart = np.square(y - mean[:, None])
    with np.errstate(over="ignore"):
        distance = (apart / spread).sum(axis=1)
        slope = (weight * apart / spread).sum(axis=1) - _pairs(weight) / total
    log_likelihood = 0.5 * (np.log(variance) - np.log(spread).sum(axis=1) - distance)
    return _Weighted(mean, variance, distance, log_likelihood, slope)


def _pairs(weight: Array) -> Array:
    """Sum the products of any two different weights: the square of the sum less the squares, without a difference."""
    before = np.cumsum(weight, axis=-1)[..., :-1]
    return np.asarray(2.0 * (before * weight[..., 1:]).sum(axis=-1))


def _by_likelihood(y: Array, v: Array) -> float:
    """Find the variance between cars of the greatest restricted likelihood.

    It may have several peaks where variances are very different: the highest of a grid, then by its slope. Beyond the
    range of the values it falls.
    """
    grid = np.square(np.ptp(y) * np.linspace(0.0, 1.0, _GRID // 2 + 1) ** 3)
    found = _weighted(y, v, grid)
    top = int(np.argmax(found.log_likelihood))
    if found.slope[top] > 0.0:
        low, high = grid[top], grid[top + 1]
    elif top:
        low, high = grid[top - 1], grid[top]
    else:
        return 0.0
    return _falls_through_zero(lambda between: _weighted(y, v, between).slope, low, high)


def _by_consensus(y: Array, v: Array) -> float:
    """Find the variance between cars at which the weighted distances are as large as expected."""
    expected = y.size - 1.0
    most = float(np.square(y - y.mean()).sum()) / expected
    return _falls_through_zero(lambda between: _weighted(y, v, between).distance - expected, 0.0, most)


def _by_moments(y: Array, v: Array) -> float:
    """Find the variance between cars by the weighted distances without any."""
    least = float(v.min())
    weight = least / v
    excess = float(_weighted(y, v, np.zeros(1)).distance[0]) - (y.size - 1.0)
    return max(0.0, excess * least * float(weight.sum() / _pairs(weight)))


_WAYS: dict[Between, Callable[[Array, Array], float]] = {
    "REML": _by_likelihood,
    "PM": _by_consensus,
    "DL": _by_moments,
}


def _falls_through_zero(of: Callable[[Array], Array], low: float, high: float) -> float:
    """Find where a function falls through 0, as closely as numbers go; the low end where it is not above 0 there.

    The stretch is divided in parts, of which that is divided again in which the sign changes.
    """
    for _ in range(_ROUNDS):
        points = np.linspace(low, high, _PARTS + 1)
        fallen = np.flatnonzero(of(points[:-1]) <= 0.0)
        first = int(fallen[0]) if fallen.size else _PARTS
        if first == 0:
            break
        low, high = float(points[first - 1]), float(points[first])
    return float(low)


def _next_car(y: Array, v: Array, confidence: float) -> Interval:
    """Find where the next car may lie, every deviation between cars weighed by its restricted likelihood.

    Deviations are ``c (e^x - 1)``, even in x: straight near 0, in proportion beyond the smallest error of a car.
    """
    spread = float(np.ptp(y) + np.sqrt(v.max()))
    step = max(float(np.sqrt(v.min())), _FINE * spread)

    def weighed(x: Array) -> tuple[_Weighted, Array, Array]:
        deviation = step * np.expm1(x)
        found = _weighted(y, v, np.square(deviation))
        return found, np.square(deviation), found.log_likelihood + x

    grid = np.linspace(0.0, np.log1p(_FAR * spread / step), _GRID)
    density = weighed(grid)[2]
    counts = np.flatnonzero(density > density.max() + _NEGLIGIBLE)
    low, high = grid[max(counts[0] - 1, 0)], grid[min(counts[-1] + 1, _GRID - 1)]
    nodes, shares = _gauss_legendre()
    found, variance, density = weighed(low + (high - low) * (nodes + 1.0) / 2.0)
    share = shares * np.exp(density - density.max())
    return _quantiles_of_mixture(
        found.mean, np.sqrt(variance + found.variance), share / share.sum(), confidence
    )


def _quantiles_of_mixture(mean: Array, std: Array, share: Array, confidence: float) -> Interval:
    """Find the two ends that leave equal shares of a mixture of normals outside."""
    from scipy.special import ndtr  # noqa: PLC0415 - scipy costs more to load than the rest of the library

    def end(outside: float) -> float:
        ends = mean + NormalDist().inv_cdf(outside) * std
        return _falls_through_zero(
            lambda x: outside - ndtr((x[:, None] - mean) / std) @ share, float(ends.min()), float(ends.max())
        )

    return end((1.0 - confidence) / 2.0), end((1.0 + confidence) / 2.0)


@cache
def _gauss_legendre() -> tuple[Array, Array]:
    nodes, shares = np.polynomial.legendre.leggauss(_NODES)
    return read_only(nodes), read_only(shares)


def _check(y: Array, v: Array, between: str, confidence: float) -> None:
    """Refuse what cannot be pooled."""
    if between not in get_args(Between):
        raise UnknownName("variance between cars", between, get_args(Between))
    if y.ndim != 1 or y.shape != v.shape or not y.size:
        raise DomainError(
            f"pooled effects: found {y.size} values and {v.size} variances, expected as many of either, at least one"
        )
    if not (np.all(np.isfinite(y)) and np.all(np.isfinite(v))):
        raise DomainError("pooled effects: found a figure that is not finite, expected finite ones")
    if np.any(v <= 0.0):
        raise DomainError(f"pooled effects: found a variance of {v.min():g}, expected all above 0")
    sizes = np.abs(np.concatenate([y, np.sqrt(v), 1.0 / np.sqrt(v)]))
    if np.any(sizes > _LARGEST):
        raise DomainError(
            f"pooled effects: found a figure of {sizes.max():g}, expected none beyond {_LARGEST:g}"
        )
    if not 0.5 <= confidence <= 0.999:
        raise DomainError(f"confidence: found {confidence:g}, expected 0.5 to 0.999")
