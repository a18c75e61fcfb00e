"""Quantiles of Student's t, for intervals and for what a day can detect."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike, NDArray


def student_factor(degrees_of_freedom: ArrayLike, confidence: float = 0.95) -> NDArray[np.float64]:
    """Return the factor that turns a standard uncertainty into half an interval.

    Parameters
    ----------
    degrees_of_freedom : array_like
        How well the standard deviation is known; not a number where it is unknown. [1]
    confidence : float, optional
        Share of intervals that hold the truth, 0 to 1. [1]

    Returns
    -------
    numpy.ndarray
        Two-sided quantile of Student's t; not a number where the degrees are. [1]

    Notes
    -----
    The quantile at ``(1 + confidence) / 2``.

    References
    ----------
    JCGM 100:2008 (GUM), G.3.

    Examples
    --------
    >>> student_factor([2.0, 10.0]).round(3).tolist()
    [4.303, 2.228]
    """
    return _each(degrees_of_freedom, lambda degrees: _quantile(degrees, confidence))


def detectable_factor(
    degrees_of_freedom: ArrayLike, confidence: float = 0.95, power: float = 0.8
) -> NDArray[np.float64]:
    """Return the true difference, in standard uncertainties, that comes out as resolved with a given power.

    Parameters
    ----------
    degrees_of_freedom : array_like
        How well the standard deviation is known; not a number where it is unknown. [1]
    confidence : float, optional
        Confidence of the interval that has to exclude zero, 0 to 1. [1]
    power : float, optional
        Share of days on which the difference is to be resolved, 0 to 1. [1]

    Returns
    -------
    numpy.ndarray
        Noncentrality of Student's t; not a number where the degrees are. [1]

    Notes
    -----
    The noncentrality whose distribution leaves ``1 - power`` below the two-sided quantile. The far tail, where
    the difference would be resolved with the wrong sign, is left out: less than one day in 100,000.

    References
    ----------
    R. V. Lenth, "Cumulative distribution function of the non-central t distribution", Applied Statistics 38
    (1989) 185-189 (from memory); `scipy.special.nctdtrinc` for the inverse.

    Examples
    --------
    >>> detectable_factor([1e6]).round(2).tolist()
    [2.8]
    """
    return _each(degrees_of_freedom, lambda degrees: _noncentrality(degrees, confidence, power))


def _each(degrees_of_freedom: ArrayLike, factor: Callable[[float], float]) -> NDArray[np.float64]:
    """Compute a factor once for all entries that are equal."""
    degrees = np.asarray(degrees_of_freedom, float)
    values, place = np.unique(degrees, return_inverse=True)
    return np.array([factor(value) for value in values.tolist()])[place].reshape(degrees.shape)


@cache
def _quantile(degrees: float, confidence: float) -> float:
    from scipy.special import stdtrit  # noqa: PLC0415 - scipy costs more to load than the rest of the table

    return float(stdtrit(degrees, (1.0 + confidence) / 2.0))


@cache
def _noncentrality(degrees: float, confidence: float, power: float) -> float:
    from scipy.special import nctdtrinc  # noqa: PLC0415 - as above

    return float(nctdtrinc(degrees, 1.0 - power, _quantile(degrees, confidence)))
