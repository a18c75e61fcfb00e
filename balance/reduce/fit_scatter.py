"""How far readings of one fit scatter, and fits of one configuration: what a day's repeats say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only
from balance.reduce.median import median

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.reduce.fit_design import FitDesign
    from balance.reduce.readings import Readings


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitScatter:
    """What a day's repeats say of front downforce, rear downforce, drag and total downforce, or of a compared column alone.

    Attributes
    ----------
    within, between : numpy.ndarray
        (4, 4) covariance of readings about the mean of their fit, and of fit means about that of their configuration; 0
        where nothing was repeated. [N²]
    within_degrees, between_degrees : int
        Degrees of freedom of each. [1]
    shared : float
        How much of ``within`` is in ``between``: the mean of one over the readings of a fit. [1]
    rounding : numpy.ndarray
        (4,) scatter that the last digit typed makes by itself. [N]
    """

    within: NDArray[np.float64]
    between: NDArray[np.float64]
    within_degrees: int
    between_degrees: int
    shared: float
    rounding: NDArray[np.float64]

    @property
    def one_reading(self) -> NDArray[np.float64]:
        """Covariance of one reading of one fit, (4, 4), where a configuration was fitted again [N²]."""
        return np.asarray(self.between + (1.0 - self.shared) * self.within)


def scatter_of_fits(
    readings: Readings, fits: Sequence[tuple[int, ...]], pressure: NDArray[np.float64], design: FitDesign
) -> FitScatter:
    """Compute the scatter of readings within fits, and that of fit means.

    Parameters
    ----------
    readings : Readings
        The session's readings. [1]
    fits : sequence of tuple of int
        The readings of each fit that counts. [1]
    pressure : numpy.ndarray
        (fits,) dynamic pressure that brings a fit's areas to forces. [Pa]
    design : FitDesign
        What the fits are compared by. [1]

    Returns
    -------
    FitScatter
        Covariances and their degrees of freedom. [1]

    Notes
    -----
    With N readings in F fits of C configurations: within, the sum of squares about fit means over N - F; between, that of
    fit means about the fitted values over F - C less the other columns. The mean of n readings carries 1/n of the former.

    References
    ----------
    ASTM E691, "Standard practice for conducting an interlaboratory study": repeatability and between-laboratory
    standard deviations; S. R. Searle, G. Casella, C. E. McCulloch, Variance Components (1992), nested classification
    (from memory).
    """
    rounding = median(readings.resolution * readings.force_pressure[:, None]) / np.sqrt(3.0)
    counts = np.array([len(rows) for rows in fits])
    means = np.array([readings.areas[list(rows)].mean(axis=0) for rows in fits])
    means = means.reshape(-1, readings.areas.shape[1])
    quantities = readings.with_sum(means).shape[1]
    nothing = np.zeros((quantities, quantities))
    within, own_degrees = nothing, int(np.sum(counts - 1))
    if own_degrees:
        about = [
            (readings.areas[list(rows)] - means[k]) * readings.force_pressure[list(rows), None]
            for k, rows in enumerate(fits)
            if len(rows) > 1
        ]
        within = _covariance(readings.with_sum(np.vstack(about)), own_degrees)
    between, degrees, shared = nothing, design.degrees_of_freedom, 1.0
    if degrees:
        left = design.residuals(means) * pressure[:, None]
        between = _covariance(readings.with_sum(left), degrees)
        shared = float(design.leftover @ (1.0 / counts)) / degrees
    return FitScatter(
        within=read_only(within),
        between=read_only(between),
        within_degrees=own_degrees,
        between_degrees=degrees,
        shared=shared,
        rounding=read_only(readings.with_sum_std(rounding)),
    )


def pooled_scatter(days: Sequence[FitScatter]) -> FitScatter:
    """Pool what the repeats of several days say.

    Parameters
    ----------
    days : sequence of FitScatter
        One or more. [1]

    Returns
    -------
    FitScatter
        Covariances over all degrees of freedom; the rounding is that of the first day. [1]

    Notes
    -----
    Sums of squares add up, and so do degrees of freedom, as they would were all days one of different configurations.

    References
    ----------
    JCGM 100:2008 (GUM), 4.2.4 and H.3.6 (pooled estimates).
    """
    within = [one.within_degrees for one in days]
    between = [one.between_degrees for one in days]

    def mean(values: Sequence[NDArray[np.float64]], weights: Sequence[int]) -> NDArray[np.float64]:
        total = sum(weights)
        if not total:
            return values[0]
        return np.asarray(
            sum(value * (weight / total) for value, weight in zip(values, weights, strict=True) if weight)
        )

    return FitScatter(
        within=read_only(mean([one.within for one in days], within)),
        between=read_only(mean([one.between for one in days], between)),
        within_degrees=sum(within),
        between_degrees=sum(between),
        shared=float(mean([np.array(one.shared) for one in days], between)),
        rounding=days[0].rounding,
    )


def _covariance(residuals: NDArray[np.float64], degrees: int) -> NDArray[np.float64]:
    """Return the covariance of front, rear, drag and total from residuals in newtons."""
    return np.asarray(residuals.T @ residuals / degrees)
