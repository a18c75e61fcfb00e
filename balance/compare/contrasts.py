"""Contrasts: weighted sums of a session's readings, with exact uncertainty, for a whole table at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import chain
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import detectable_factor, student_factor

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.reduce.readings import Readings
    from balance.reduce.repeatability import Repeatability

FRONT, REAR, DRAG, TOTAL = range(4)
"""Columns of every array of changes: front downforce, rear downforce, drag, total downforce."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One quantity's change [N]: standard uncertainty and interval are not a number where scatter is unknown.

    ``detectable`` is the true change that a day like this resolves in 80 of 100 cases. ``lower_bound`` says that
    the scatter comes from repeats on an untouched car alone, so that ``resolved`` needs that word beside it.
    """

    change: float
    std: float
    low: float
    high: float
    resolved: bool
    detectable: float
    lower_bound: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Changes:
    """Many contrasts at once, each of front downforce, rear downforce, drag, total downforce.

    Attributes
    ----------
    weights : numpy.ndarray
        (contrasts, runs) weights over the session's readings. [1]
    change, std, low, high : numpy.ndarray
        (contrasts, 4) change, standard uncertainty and interval; the last three are not a number where
        the scatter is unknown. [N]
    resolved : numpy.ndarray
        (contrasts, 4) whether zero lies outside the interval.
    degrees_of_freedom : numpy.ndarray
        (4,) how well the scatter is known. [1]
    correlation : float
        Between total downforce and drag of one reading; 0 where it is not known. [1]
    correlation_known : bool
        Whether it is; where not, the two are taken as independent.
    lower_bound : numpy.ndarray
        (4,) whether the scatter comes from repeats on an untouched car alone.
    rounding : numpy.ndarray
        (contrasts, 4) the most that rounding of the figures typed can have done. [N]
    dynamic_pressure : float
        At which the changes are stated. [Pa]
    confidence : float
        Share of intervals that hold the truth. [1]
    own_degrees : numpy.ndarray or None
        (contrasts, 4) degrees of freedom of each contrast, where they are not all ``degrees_of_freedom``. [1]
    own_correlation : numpy.ndarray or None
        (contrasts,) likewise for ``correlation``. [1]
    """

    weights: NDArray[np.float64]
    change: NDArray[np.float64]
    std: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    resolved: NDArray[np.bool_]
    degrees_of_freedom: NDArray[np.float64]
    correlation: float
    correlation_known: bool
    lower_bound: NDArray[np.bool_]
    rounding: NDArray[np.float64]
    dynamic_pressure: float
    confidence: float
    own_degrees: NDArray[np.float64] | None = None
    own_correlation: NDArray[np.float64] | None = None

    def __len__(self) -> int:
        return len(self.change)

    @property
    def scatter_known(self) -> bool:
        """Whether the scatter of every channel is known; where not, nothing of that channel is resolved."""
        return bool(np.all(np.isfinite(self.degrees_of_freedom)))

    @property
    def detectable(self) -> NDArray[np.float64]:
        """The true changes that a day like this resolves in 80 of 100 cases, (contrasts, 4), in N."""
        return np.asarray(detectable_factor(self.degrees, self.confidence) * self.std)

    @property
    def degrees(self) -> NDArray[np.float64]:
        """Degrees of freedom behind each figure, (contrasts, 4)."""
        own = self.degrees_of_freedom if self.own_degrees is None else self.own_degrees
        return np.broadcast_to(own, self.change.shape)

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
            lower_bound=bool(self.lower_bound[column]),
        )


def contrast_changes(
    weights: ArrayLike,
    readings: Readings,
    repeatability: Repeatability,
    *,
    dynamic_pressure: float,
    confidence: float = 0.95,
) -> Changes:
    """Work out contrasts of the readings, with their uncertainty.

    Parameters
    ----------
    weights : array_like
        (contrasts, runs) weights over the session's readings; a difference's sum to 0. [1]
    readings : Readings
        The session's readings. [1]
    repeatability : Repeatability
        Standard deviation of one reading, as a part's interval needs it. [1]
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
    Everything is compared as areas: ``q sum(w A)``, with variance ``q^2 s^2 sum(w^2 / q_i^2)``. What all readings
    share cancels where the weights sum to 0. Total downforce has its own scatter. Intervals by Student's t.

    References
    ----------
    G. W. Snedecor, W. G. Cochran, Statistical Methods, contrasts among means (from memory); JCGM 100:2008
    (GUM), G.3 for the interval.
    """
    w = np.atleast_2d(np.asarray(weights, float))
    areas, pressure = readings.areas, readings.force_pressure
    change = np.empty((w.shape[0], 4))
    change[:, :3] = w @ areas
    change[:, TOTAL] = change[:, FRONT] + change[:, REAR]
    change *= dynamic_pressure
    size = np.square(w)
    spread = np.sqrt(size @ pressure**-2.0) * dynamic_pressure
    std = spread[:, None] * repeatability.deviation
    half = std * student_factor(repeatability.degrees_of_freedom, confidence)
    low, high = change - half, change + half
    rounding = np.empty_like(change)
    rounding[:, :3] = np.abs(w, out=size) @ readings.resolution
    rounding[:, TOTAL] = rounding[:, FRONT] + rounding[:, REAR]
    rounding *= dynamic_pressure
    correlation, known = downforce_drag_correlation(repeatability)
    from_repeats = np.array([source == "repeats" for source in repeatability.source])
    resolved = (low > 0.0) | (high < 0.0)
    for array in (change, std, low, high, resolved, rounding):
        array.flags.writeable = False
    return Changes(
        weights=w,
        change=change,
        std=std,
        low=low,
        high=high,
        resolved=resolved,
        degrees_of_freedom=repeatability.degrees_of_freedom,
        correlation=correlation,
        correlation_known=known,
        lower_bound=from_repeats & repeatability.untouched_only,
        rounding=rounding,
        dynamic_pressure=dynamic_pressure,
        confidence=confidence,
    )


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

    References
    ----------
    Common practice, no source.
    """
    if np.all(rows):
        return one
    column = rows[:, None]
    names = ("weights", "change", "std", "low", "high", "resolved", "rounding")
    arrays = {name: np.where(column, getattr(one, name), getattr(other, name)) for name in names}
    for array in arrays.values():
        array.flags.writeable = False
    return replace(
        one,
        **arrays,
        correlation_known=one.correlation_known and other.correlation_known,
        lower_bound=one.lower_bound | other.lower_bound,
        own_degrees=np.where(column, one.degrees, other.degrees),
        own_correlation=np.where(rows, one.correlations, other.correlations),
    )


def downforce_drag_correlation(repeatability: Repeatability) -> tuple[float, bool]:
    """Give the correlation between total downforce and drag of one reading.

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
    ``(r_fd s_f + r_rd s_r) / s_t`` with the standard deviations pooled from the repeats.

    References
    ----------
    JCGM 100:2008 (GUM), 5.2.2 (correlated input quantities).
    """
    repeats = repeatability.repeats
    if repeats is None or np.array_equal(repeatability.correlation, np.eye(3)):
        return 0.0, False
    axles = repeatability.correlation[:2, DRAG] @ repeats.deviation[:2]
    return float(np.clip(axles / repeats.deviation[TOTAL], -1.0, 1.0)), True


def mean_weights(readings: Readings, sides: Sequence[Sequence[int]]) -> NDArray[np.float64]:
    """Give the weights of means over some readings each.

    Parameters
    ----------
    readings : Readings
        The session's readings. [1]
    sides : sequence of sequence of int
        For each mean, which readings to average; at least one. [1]

    Returns
    -------
    numpy.ndarray
        (means, runs) weights, each mean's sum to 1. [1]

    Notes
    -----
    The area that fits the forces best, ``sum(q F) / sum(q^2)``, weights each area by its ``q^2``.

    References
    ----------
    JCGM 100:2008 (GUM), H.3 (least squares).
    """
    weights = np.zeros((len(sides), readings.force_pressure.size))
    mean = np.repeat(np.arange(len(sides)), [len(side) for side in sides])
    run = np.fromiter(chain.from_iterable(sides), int, mean.size)
    weights[mean, run] = readings.force_pressure[run] ** 2
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


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

    References
    ----------
    Common practice, no source.
    """
    weights = np.take(means, plus[0], axis=0)
    term = np.empty_like(weights)  # one for all: memory asked for anew costs more than the sums
    for rows in plus[1:]:
        weights += np.take(means, rows, axis=0, out=term, mode="clip")
    for rows in minus:
        weights -= np.take(means, rows, axis=0, out=term, mode="clip")
    return weights
