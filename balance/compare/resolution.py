"""What a day can show: the least significant and the smallest detectable change, and repeats needed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import detectable_factor, student_factor
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

MOST_REPEATS = 1000
"""Repeats beyond this are no plan for a day."""


def least_significant_difference(
    deviation: ArrayLike,
    degrees_of_freedom: ArrayLike,
    runs: ArrayLike = 1,
    baseline_runs: ArrayLike = 1,
    *,
    confidence: float = 0.95,
) -> NDArray[np.float64]:
    """Find the smallest measured difference that counts as resolved.

    Parameters
    ----------
    deviation : array_like
        Standard deviation of one reading; not a number where unknown. [N]
    degrees_of_freedom : array_like
        How well it is known. [1]
    runs, baseline_runs : array_like, optional
        Runs averaged on the part's side, and on the baseline's. [1]
    confidence : float, optional
        Confidence of the interval that has to exclude zero, 0 to 1. [1]

    Returns
    -------
    numpy.ndarray
        The difference, always positive; not a number where the scatter is unknown. [N]

    Notes
    -----
    ``t s sqrt(1/n + 1/m)``. A true difference of this size is resolved on about half of the days only.

    References
    ----------
    R. A. Fisher, The Design of Experiments (1935), least significant difference (from memory).

    Examples
    --------
    Two runs on each side, and nothing else to know the scatter by:

    >>> round(float(least_significant_difference(1.0, 2, 2, 2)), 3)
    4.303
    """
    return student_factor(degrees_of_freedom, confidence) * _difference_std(deviation, runs, baseline_runs)


def smallest_detectable_difference(
    deviation: ArrayLike,
    degrees_of_freedom: ArrayLike,
    runs: ArrayLike = 1,
    baseline_runs: ArrayLike = 1,
    *,
    confidence: float = 0.95,
    power: float = 0.8,
) -> NDArray[np.float64]:
    """Find the true difference that a day like this resolves most of the time.

    Parameters
    ----------
    deviation : array_like
        Standard deviation of one reading; not a number where unknown. [N]
    degrees_of_freedom : array_like
        How well it is known. [1]
    runs, baseline_runs : array_like, optional
        Runs averaged on the part's side, and on the baseline's. [1]
    confidence : float, optional
        Confidence of the interval that has to exclude zero, 0 to 1. [1]
    power : float, optional
        Share of days on which the difference is resolved, 0 to 1. [1]

    Returns
    -------
    numpy.ndarray
        The difference, always positive; not a number where the scatter is unknown. [N]

    Notes
    -----
    The noncentrality of Student's t for that power, times ``s sqrt(1/n + 1/m)``. As of
    `balance.compare.student.detectable_factor`.

    Examples
    --------
    >>> round(float(smallest_detectable_difference(7.0, 25.0)), 1)
    28.9
    """
    return detectable_factor(degrees_of_freedom, confidence, power) * _difference_std(
        deviation, runs, baseline_runs
    )


def repeats_to_resolve(
    size: float, deviation: float, degrees_of_freedom: float, *, confidence: float = 0.95, power: float = 0.8
) -> int | None:
    """Find how many runs on each side would resolve a part of a given size.

    Parameters
    ----------
    size : float
        True change that the part is expected to make; its sign does not matter. [N]
    deviation : float
        Standard deviation of one reading; not a number where unknown. [N]
    degrees_of_freedom : float
        How well it is known today. [1]
    confidence : float, optional
        Confidence of the interval that has to exclude zero, 0 to 1. [1]
    power : float, optional
        Share of days on which the part is to be resolved, 0 to 1. [1]

    Returns
    -------
    int or None
        Runs on each side, 1 or more; nothing where the scatter is unknown or it would take more than 1000. [1]

    Raises
    ------
    DomainError
        If the size is 0 or not a number.

    Notes
    -----
    ``n = 2 (d s / size)^2``, rounded up, d the noncentrality at today's degrees of freedom. More runs would
    also raise those, so that this is on the safe side. As of `balance.compare.student.detectable_factor`.

    Examples
    --------
    >>> repeats_to_resolve(15.0, 7.0, 25.0)
    4
    """
    if not abs(size) > 0.0:
        raise DomainError(f"size of the part: found {size:g} N, expected other than 0")
    if not np.isfinite(deviation):
        return None
    factor = float(detectable_factor(degrees_of_freedom, confidence, power))
    needed = np.ceil(2.0 * (factor * deviation / size) ** 2 - 1e-9)
    return max(int(needed), 1) if needed <= MOST_REPEATS else None


def _difference_std(deviation: ArrayLike, runs: ArrayLike, baseline_runs: ArrayLike) -> NDArray[np.float64]:
    """Return the standard uncertainty of a difference of two means."""
    n, m = np.asarray(runs, float), np.asarray(baseline_runs, float)
    return np.asarray(deviation, float) * np.sqrt(1.0 / n + 1.0 / m)
