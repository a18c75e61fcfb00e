"""Contrasts: weighted sums of a session's readings, with exact uncertainty, for a whole table at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.compare.student import detectable_factor, student_factor
from balance.model.arrays import read_only

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.reduce.fits import Fits


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One quantity's change [N]: standard uncertainty and interval are not a number where scatter is unknown.

    ``detectable`` is the true change that a day like this resolves in 80 of 100 cases. ``refit_assumed`` says that
    nothing was fitted twice, so that what refitting does is assumed and nothing is resolved.
    """

    change: float
    std: float
    low: float
    high: float
    resolved: bool
    detectable: float
    refit_assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Changes:
    """Many contrasts at once, each of front downforce, rear downforce, drag, total downforce.

    Those of a compared column have one quantity instead of four, in the column's unit.

    Attributes
    ----------
    weights : numpy.ndarray
        (contrasts, runs) weights over the session's readings. [1]
    change, std, low, high : numpy.ndarray
        (contrasts, 4) change, standard uncertainty and interval; the last three are not a number where
        the scatter is unknown. [N]
    resolved : numpy.ndarray
        (contrasts, 4) whether zero lies outside the interval; never where refitting is assumed.
    degrees : numpy.ndarray
        (contrasts, 4) how well the scatter of each is known. [1]
    correlation : float
        Between total downforce and drag of one reading; 0 where it is not known. [1]
    correlation_known : bool
        Whether it is; where not, the two are taken as independent.
    refit_assumed : numpy.ndarray
        (4,) whether what refitting does is assumed, from readings with the car untouched alone.
    rounding : numpy.ndarray
        (contrasts, 4) the most that rounding of the figures typed can have done. [N]
    dynamic_pressure : float
        At which the changes are stated. [Pa]
    confidence : float
        Share of intervals that hold the truth. [1]
    own_correlation : numpy.ndarray or None
        (contrasts,) likewise for ``correlation``. [1]
    """

    weights: NDArray[np.float64]
    change: NDArray[np.float64]
    std: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    resolved: NDArray[np.bool_]
    degrees: NDArray[np.float64]
    correlation: float
    correlation_known: bool
    refit_assumed: NDArray[np.bool_]
    rounding: NDArray[np.float64]
    dynamic_pressure: float
    confidence: float
    own_correlation: NDArray[np.float64] | None = None

    def __len__(self) -> int:
        return len(self.change)

    @property
    def scatter_known(self) -> bool:
        """Whether the scatter of every channel is known; where not, nothing of that channel is resolved."""
        return bool(np.all(np.isfinite(self.degrees)))

    @property
    def detectable(self) -> NDArray[np.float64]:
        """The true changes that a day like this resolves in 80 of 100 cases, (contrasts, 4), in N."""
        return np.asarray(detectable_factor(self.degrees, self.confidence) * self.std)

    @property
    def correlations(self) -> NDArray[np.float64]:
        """Correlation of total downforce and drag behind each contrast, (contrasts,)."""
        own = self.correlation if self.own_correlation is None else self.own_correlation
        return np.broadcast_to(own, self.change.shape[:1])

    def of_the_day(self, runs: int) -> Changes:
        """Leave the weights of other cars' readings out, behind those of a day of so many runs; what they tell stays."""
        if self.weights.shape[1] == runs:
            return self
        return replace(self, weights=read_only(self.weights[:, :runs].copy()))

    def where(self, rows: NDArray[np.bool_], other: Changes) -> Changes:
        """Take the contrasts of some rows, (contrasts,), from here and the rest from another working of the same.

        Each is whole, with its own scatter; what holds for all of them is that of this working.
        """
        if np.all(rows):
            return self
        names = ("weights", "change", "std", "low", "high", "resolved", "rounding", "degrees")
        arrays: dict[str, Any] = {
            name: read_only(np.where(rows[:, None], getattr(self, name), getattr(other, name)))
            for name in names
        }
        return replace(
            self,
            **arrays,
            correlation_known=self.correlation_known and other.correlation_known,
            refit_assumed=self.refit_assumed | other.refit_assumed,
            own_correlation=np.where(rows, self.correlations, other.correlations),
        )

    def without(self, rows: NDArray[np.bool_]) -> Changes:
        """Take the figures out of some contrasts, (contrasts,), that there are none of."""
        if not rows.any():
            return self
        arrays: dict[str, Any] = {
            name: read_only(np.where(rows[:, None], np.nan, getattr(self, name)))
            for name in ("change", "std", "low", "high", "rounding")
        }
        return replace(self, **arrays, resolved=read_only(self.resolved & ~rows[:, None]))

    def of(self, row: int, column: int) -> Change:
        """Pick one contrast's change of one quantity."""
        factor = detectable_factor(self.degrees[row, column], self.confidence)
        return Change(
            change=float(self.change[row, column]),
            std=float(self.std[row, column]),
            low=float(self.low[row, column]),
            high=float(self.high[row, column]),
            resolved=bool(self.resolved[row, column]),
            detectable=float(factor * self.std[row, column]),
            refit_assumed=bool(self.refit_assumed[column]),
        )


def contrast_changes(
    weights: ArrayLike,
    fits: Fits,
    *,
    dynamic_pressure: float,
    confidence: float = 0.95,
    tied: NDArray[np.bool_] | None = None,
) -> Changes:
    """Compute contrasts of the readings, with their uncertainty.

    Parameters
    ----------
    weights : array_like
        (contrasts, runs) weights over the session's readings; a difference's sum to 0. [1]
    fits : Fits
        The session's readings by fit, and what they scatter. [1]
    dynamic_pressure : float
        Dynamic pressure at which the changes are stated. [Pa]
    confidence : float, optional
        Share of intervals that hold the truth, 0 to 1. [1]
    tied : numpy.ndarray, optional
        (contrasts,) whether each has a meaning, where the weights need no tying of blocks any more. [1]

    Returns
    -------
    Changes
        One row per contrast; not a number where it reaches over blocks that nothing ties. [1]

    Notes
    -----
    Everything is compared as areas: ``q sum(w A)``, with the variance that the fits give it. What all readings
    share cancels where the weights sum to 0. Total downforce has its own scatter. Intervals by Student's t.

    References
    ----------
    G. W. Snedecor, W. G. Cochran, Statistical Methods, contrasts among means (from memory); JCGM 100:2008
    (GUM), G.3 for the interval.
    """
    w = np.atleast_2d(np.asarray(weights, float))
    if tied is None:
        w, tied = fits.tied(w)
    readings = fits.readings
    change = readings.with_sum(w @ readings.areas) * dynamic_pressure
    change[~tied] = np.nan
    variance, degrees = fits.variance(w)
    std = np.sqrt(variance) * dynamic_pressure
    std[~tied] = np.nan
    half = std * student_factor(degrees, confidence)
    low, high = change - half, change + half
    assumed = np.array(fits.repeatability.assumed)
    correlation, known = fits.repeatability.downforce_drag_correlation
    return Changes(
        weights=w,
        change=read_only(change),
        std=read_only(std),
        low=read_only(low),
        high=read_only(high),
        resolved=read_only(((low > 0.0) | (high < 0.0)) & ~assumed),
        degrees=degrees,
        correlation=correlation,
        correlation_known=known,
        refit_assumed=assumed,
        rounding=read_only(readings.with_sum(np.abs(w) @ readings.resolution) * dynamic_pressure),
        dynamic_pressure=dynamic_pressure,
        confidence=confidence,
    )


def combined_weights(
    means: NDArray[np.float64], plus: Sequence[NDArray[np.int_]], minus: Sequence[NDArray[np.int_]]
) -> NDArray[np.float64]:
    """Write many contrasts of means at once.

    Parameters
    ----------
    means : numpy.ndarray
        (means, runs) weights of each mean. [1]
    plus, minus : sequence of numpy.ndarray
        (contrasts,) positions of the means that are added, and taken off; one array or more. [1]

    Returns
    -------
    numpy.ndarray
        (contrasts, runs) weights. [1]

    Notes
    -----
    The sum of the means in ``plus`` less the sum of those in ``minus``.
    """
    weights = np.take(means, plus[0], axis=0)
    term = np.empty_like(weights)  # one for all: memory asked for anew costs more than the sums
    for rows in plus[1:]:
        weights += np.take(means, rows, axis=0, out=term, mode="clip")
    for rows in minus:
        weights -= np.take(means, rows, axis=0, out=term, mode="clip")
    return weights
