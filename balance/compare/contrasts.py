"""Contrasts: weighted sums of a session's readings, with exact uncertainty, for a whole table at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import detectable_factor, student_factor
from balance.model.channels import AXLES, DRAG, TOTAL
from balance.reduce.repeatability import INDEPENDENT

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.reduce.fits import Fits
    from balance.reduce.repeatability import Repeatability


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
    weights: ArrayLike, fits: Fits, *, dynamic_pressure: float, confidence: float = 0.95
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
    w, tied = fits.tied(np.atleast_2d(np.asarray(weights, float)))
    return changes_of_tied(w, tied, fits, dynamic_pressure=dynamic_pressure, confidence=confidence)


def changes_of_tied(
    weights: NDArray[np.float64],
    tied: NDArray[np.bool_],
    fits: Fits,
    *,
    dynamic_pressure: float,
    confidence: float = 0.95,
) -> Changes:
    """Compute contrasts of the readings that need no tying of blocks any more.

    Parameters
    ----------
    weights : numpy.ndarray
        (contrasts, runs) weights over the session's readings. [1]
    tied : numpy.ndarray
        (contrasts,) false where the contrast has no meaning. [1]
    fits : Fits
        The session's readings by fit, and what they scatter. [1]
    dynamic_pressure : float
        Dynamic pressure at which the changes are stated. [Pa]
    confidence : float, optional
        Share of intervals that hold the truth, 0 to 1. [1]

    Returns
    -------
    Changes
        One row per contrast. [1]

    Notes
    -----
    As `contrast_changes`.
    """
    w, readings = weights, fits.readings
    change = readings.with_sum(w @ readings.areas) * dynamic_pressure
    change[~tied] = np.nan
    variance, degrees = fits.variance(w)
    std = np.sqrt(variance) * dynamic_pressure
    std[~tied] = np.nan
    half = std * student_factor(degrees, confidence)
    low, high = change - half, change + half
    rounding = readings.with_sum(np.abs(w) @ readings.resolution) * dynamic_pressure
    correlation, known = downforce_drag_correlation(fits.repeatability)
    assumed = np.array(fits.repeatability.assumed)
    resolved = ((low > 0.0) | (high < 0.0)) & ~assumed
    for array in (change, std, low, high, resolved, rounding):
        array.flags.writeable = False
    return Changes(
        weights=w,
        change=change,
        std=std,
        low=low,
        high=high,
        resolved=resolved,
        degrees=degrees,
        correlation=correlation,
        correlation_known=known,
        refit_assumed=assumed,
        rounding=rounding,
        dynamic_pressure=dynamic_pressure,
        confidence=confidence,
    )


def of_the_day(changes: Changes, runs: int) -> Changes:
    """Leave the weights of other cars' readings out of contrasts.

    Parameters
    ----------
    changes : Changes
        Contrasts over the readings of a day and, behind them, of the cars that ran in turn with it. [1]
    runs : int
        How many readings are the day's. [1]

    Returns
    -------
    Changes
        The same figures and intervals, with the weights over the day's readings alone. [1]

    Notes
    -----
    What other cars tell stands in change and interval.
    """
    if changes.weights.shape[1] == runs:
        return changes
    weights = changes.weights[:, :runs].copy()
    weights.flags.writeable = False
    return replace(changes, weights=weights)


def rows_of_either(one: Changes, other: Changes, rows: NDArray[np.bool_]) -> Changes:
    """Take some contrasts from one working, and the others from another.

    Parameters
    ----------
    one : Changes
        Contrasts. [1]
    other : Changes
        The same contrasts, worked out otherwise. [1]
    rows : numpy.ndarray
        (contrasts,) which are taken from ``one``. [1]

    Returns
    -------
    Changes
        Each contrast whole, with its own scatter; what holds for all of them is that of ``one``. [1]

    Notes
    -----
    Nothing is mixed within a contrast.
    """
    if np.all(rows):
        return one
    column = rows[:, None]
    names = ("weights", "change", "std", "low", "high", "resolved", "rounding", "degrees")
    arrays = {name: np.where(column, getattr(one, name), getattr(other, name)) for name in names}
    for array in arrays.values():
        array.flags.writeable = False
    return replace(
        one,
        **arrays,
        correlation_known=one.correlation_known and other.correlation_known,
        refit_assumed=one.refit_assumed | other.refit_assumed,
        own_correlation=np.where(rows, one.correlations, other.correlations),
    )


def downforce_drag_correlation(repeatability: Repeatability) -> tuple[float, bool]:
    """Return the correlation between total downforce and drag of one reading.

    Parameters
    ----------
    repeatability : Repeatability
        Scatter of one reading, with the channels' correlation where enough repeats show it. [1]

    Returns
    -------
    tuple of (float, bool)
        The correlation, and whether it is known; 0 where it is not. [1]

    Notes
    -----
    ``(r_fd s_f + r_rd s_r) / s_t`` with the standard deviations of one reading.

    References
    ----------
    JCGM 100:2008 (GUM), 5.2.2 (correlated input quantities).
    """
    deviation = repeatability.deviation
    if repeatability.repeats is None or np.array_equal(repeatability.correlation, INDEPENDENT):
        return 0.0, False
    axles = repeatability.correlation[AXLES, DRAG] @ deviation[AXLES]
    return float(np.clip(axles / deviation[TOTAL], -1.0, 1.0)), True


def combined_weights(
    means: NDArray[np.float64], plus: Sequence[NDArray[np.int_]], minus: Sequence[NDArray[np.int_]]
) -> NDArray[np.float64]:
    """Write many contrasts of means at once.

    Parameters
    ----------
    means : numpy.ndarray
        (means, runs) weights of each mean. [1]
    plus : sequence of numpy.ndarray
        (contrasts,) positions of the means that are added; one array or more. [1]
    minus : sequence of numpy.ndarray
        (contrasts,) positions of the means that are taken off. [1]

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
