"""What every run of a session changed in a compared column, against the same baselines as its forces."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import contrast_changes
from balance.compare.drift import find_drifts
from balance.compare.increments import WithDrift, side_weights
from balance.reduce.fits import fits_of_column

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.compare.contrasts import Change, Changes
    from balance.compare.increments import Increments
    from balance.compare.pairing import Pair
    from balance.model.records import ComparedColumn, Session
    from balance.reduce.fits import Fits

ONLY = 0
"""Place of a compared column among its own quantities: it is alone."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ColumnIncrements(WithDrift):
    """The increments of one compared column, row by row those of the session; figures in the column's unit.

    Changes are (increments, 1), not a number where a side has no value; the drift is the column's own.

    Attributes
    ----------
    column : ComparedColumn
        Which column.
    missing : tuple of str
        Labels of the runs that have no value.
    """

    column: ComparedColumn
    missing: tuple[str, ...]

    @property
    def scaled(self) -> bool:
        """Whether values are brought to the facility's dynamic pressure, since those of the runs differ."""
        return self.fits.readings.brought_to_one

    @property
    def deviation(self) -> float:
        """Standard deviation of one value, not a number where unknown."""
        return float(self.fits.repeatability.deviation[ONLY])

    def of(self, row: int) -> Change:
        """Pick one increment's change."""
        return self.changes.of(row, ONLY)


def column_increments(
    session: Session, increments: Increments, column: ComparedColumn, *, correct_drift: bool = False
) -> ColumnIncrements:
    """Compute what every run changed in a compared column.

    Parameters
    ----------
    session : Session
        The session. [1]
    increments : Increments
        What its runs changed of the forces. [1]
    column : ComparedColumn
        Which column. [1]
    correct_drift : bool, optional
        Whether to take the column's own drift out, in blocks where one is resolved. [1]

    Returns
    -------
    ColumnIncrements
        One entry per increment of the forces, in the column's unit. [1]

    Notes
    -----
    The same runs against the same baselines, the same means over fits, the same rules for scatter, intervals and
    drift. Runs without a value are left out of the means; where none is left on a side there is no change. As
    of `balance.compare.contrasts` and `balance.reduce.fits.fits_of_column`.
    """
    fits = fits_of_column(session, increments.fits, column)
    weights, there = column_weights(increments.pairs, increments.fits, fits)
    pressure = fits.readings.column_pressure(session.facility)
    confidence = increments.uncorrected.confidence

    def changes(w: NDArray[np.float64], behind: Fits) -> Changes:
        found = contrast_changes(w, behind, dynamic_pressure=pressure, confidence=confidence)
        return found.without(~there)

    drifts = find_drifts(session, fits, dynamic_pressure=pressure, confidence=confidence)
    measured, corrected = changes(weights, fits), None
    taken = drifts.taken_from(weights) & there
    if drifts.offered:
        corrected = changes(drifts.correct(weights), drifts.fits).where(taken, measured)
    return ColumnIncrements(
        column=column,
        fits=fits,
        uncorrected=measured,
        corrected=corrected,
        taken=taken,
        drifts=drifts,
        drift_corrected=correct_drift and corrected is not None,
        missing=fits.readings.missing_of(increments.readings),
    )


def column_weights(
    pairs: Sequence[Pair], whole: Fits, own: Fits
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Write pairs of runs as contrasts over the values of a compared column.

    Parameters
    ----------
    pairs : sequence of Pair
        Runs and their baselines. [1]
    whole : Fits
        The session's readings by fit, among which the pairs stand. [1]
    own : Fits
        The column's values by fit. [1]

    Returns
    -------
    weights : numpy.ndarray
        (pairs, values) weights, 0 where a side has no value. [1]
    there : numpy.ndarray
        (pairs,) whether both sides have a value. [1]

    Notes
    -----
    Means over fits of the values that there are. As of `balance.compare.increments.side_weights`.
    """
    place_of = {label: row for row, label in enumerate(whole.readings.labels)}
    place = {place_of[label]: k for k, label in enumerate(own.readings.labels)}
    weights = np.zeros((len(pairs), len(place)))
    there = np.zeros(len(pairs), bool)
    for row, pair in enumerate(pairs):
        mapped = _mapped(pair, whole, place)
        if mapped is not None:
            run, baseline = side_weights(own, mapped)
            weights[row], there[row] = run - baseline, True
    return weights, there


def _mapped(pair: Pair, fits: Fits, place: dict[int, int]) -> Pair | None:
    """Return a pair among the runs that have a value; nothing where a side has none."""

    def kept(rows: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(place[row] for row in rows if row in place)

    def of_its_fit(row: int) -> int | None:
        return next(iter(kept((row, *fits.fits[fits.fit_of[row]]))), None)

    runs, baseline_runs = kept(pair.runs), kept(pair.baseline_runs)
    if not runs or not baseline_runs:
        return None
    if pair.second is None:
        return replace(pair, run=runs[0], baseline=baseline_runs[0], runs=runs, baseline_runs=baseline_runs)
    baseline, second = of_its_fit(pair.baseline), of_its_fit(pair.second)
    if baseline is None or second is None:
        return None
    return replace(
        pair, run=runs[0], baseline=baseline, second=second, runs=runs, baseline_runs=baseline_runs
    )
