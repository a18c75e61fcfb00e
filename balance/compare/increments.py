"""What every run of a session changed against its baseline, worked out for all at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.classes import PartClass, part_classes
from balance.compare.contrasts import combined_weights, contrast_changes
from balance.compare.drift import find_drifts
from balance.compare.increment import Increment
from balance.compare.pairing import pair_runs
from balance.compare.ratios import cost_ratios, rounded_ratios
from balance.model.channels import DRAG, FRONT, REAR, TOTAL

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from balance.compare.contrasts import Changes
    from balance.compare.drift import Drifts
    from balance.compare.fitted import Fitted
    from balance.compare.pairing import Pair
    from balance.compare.ratios import RatioSets
    from balance.model.records import Session
    from balance.reduce.fits import Fits
    from balance.reduce.readings import Readings
    from balance.reduce.repeatability import Repeatability


@dataclass(frozen=True, kw_only=True, eq=False)
class WithDrift:
    """What runs changed against their baselines, as measured and with drift out of it.

    Attributes
    ----------
    fits : Fits
        What they were made from, and the scatter behind ``uncorrected``.
    uncorrected : Changes
        As measured.
    corrected : Changes or None
        With drift removed, where a drift is resolved and so offered; an increment from which there is none to take
        out stands as measured, its interval too.
    taken : numpy.ndarray
        (increments,) whether ``corrected`` has the drift out of it.
    drifts : Drifts
        What came back, and how far it had moved.
    drift_corrected : bool
        Whether ``changes`` are the corrected ones.
    """

    fits: Fits
    uncorrected: Changes
    corrected: Changes | None
    taken: NDArray[np.bool_]
    drifts: Drifts
    drift_corrected: bool

    @property
    def changes(self) -> Changes:
        """The changes in force: as measured, or with drift removed where that was asked for and offered."""
        return self.corrected if self.drift_corrected and self.corrected is not None else self.uncorrected


@dataclass(frozen=True, kw_only=True, eq=False)
class Increments(WithDrift):
    """All increments of a session, in running order. Numbers are made for all at once, single ones on request.

    Attributes
    ----------
    fitted : Fitted
        What was fitted in each run, and which runs are averaged.
    pairs : tuple of Pair
        Run and baseline of each increment.
    untied : tuple of (str, str)
        Labels of runs and of baselines that are in blocks which nothing ties, so that no increment is given.
    """

    fitted: Fitted
    pairs: tuple[Pair, ...]
    untied: tuple[tuple[str, str], ...] = ()

    @property
    def readings(self) -> Readings:
        """The session's readings."""
        return self.fits.readings

    @property
    def repeatability(self) -> Repeatability:
        """Scatter of one reading of one fit, behind ``uncorrected``."""
        return self.fits.repeatability

    @cached_property
    def ratios(self) -> RatioSets:
        """Downforce per drag of every increment."""
        return cost_ratios(self.changes)

    @cached_property
    def rounded_ratios(self) -> RatioSets:
        """The same with limits from the rounding of the typed figures alone."""
        c = self.changes
        return rounded_ratios(
            c.change[:, TOTAL], c.change[:, DRAG], c.rounding[:, TOTAL], c.rounding[:, DRAG]
        )

    @cached_property
    def classes(self) -> tuple[tuple[PartClass, str | None], ...]:
        """Class of every increment, and the axle that stood for an unresolved total."""
        return tuple(
            found if pair.differs else (PartClass.REPEAT, None)
            for pair, found in zip(self.pairs, part_classes(self.changes), strict=True)
        )

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """What has to be said beside every increment of the session."""
        notes = []
        scatter = self.repeatability
        if all(source is None for source in scatter.source):
            notes.append("noise unknown: nothing is significant; run the baseline again")
        elif scatter.refit_assumed:
            notes.append(
                "refitting assumed: nothing was fitted twice, so no change is called significant; refit the baseline"
            )
        elif scatter.repeats is None:
            notes.append("repeatability as the facility states it: nothing was refitted to check it")
        if self.changes.scatter_known and not self.changes.correlation_known:
            notes.append("downforce and drag taken as independent")
        notes += [
            f"run {run} against run {baseline}: blocks not tied, so no change is given; run the baseline in both"
            for run, baseline in self.untied
        ]
        return tuple(notes)

    def contrast(self, weights: NDArray[np.float64]) -> Changes:
        """Compute any other contrast of the session by the same rules as its increments.

        Parameters
        ----------
        weights : numpy.ndarray
            (contrasts, runs) weights over the used readings. [1]

        Returns
        -------
        Changes
            One row per contrast, with drift removed where the increments have it out and there is one. [1]

        Notes
        -----
        Weights that sum to 1 give a load, whose interval holds the scatter alone. As of `balance.compare.contrasts`.
        """
        changes = partial(
            contrast_changes,
            dynamic_pressure=self.uncorrected.dynamic_pressure,
            confidence=self.uncorrected.confidence,
        )
        measured = changes(weights, fits=self.fits)
        if not self.drift_corrected:
            return measured
        corrected = changes(self.drifts.correct(weights), fits=self.drifts.fits)
        corrected = corrected.of_the_day(weights.shape[1])
        return corrected.where(self.drifts.taken_from(weights), measured)

    def __len__(self) -> int:
        return len(self.pairs)

    def __iter__(self) -> Iterator[Increment]:
        return (self[row] for row in range(len(self)))

    def __getitem__(self, row: int) -> Increment:
        pair, changes, labels = self.pairs[row], self.changes, self.readings.labels
        part_class, by_axle = self.classes[row]
        used = sorted({*pair.runs, *pair.baseline_runs})
        return Increment(
            run=labels[pair.run],
            baseline=labels[pair.baseline],
            runs=tuple(labels[k] for k in pair.runs),
            baseline_runs=tuple(labels[k] for k in pair.baseline_runs),
            second_baseline=None if pair.second is None else labels[pair.second],
            between=pair.between,
            proposed=pair.proposed,
            later=pair.later,
            differs=pair.differs,
            package=len(pair.differs) > 1,
            suspect=tuple(labels[k] for k in used if self.readings.runs[k].status == "suspect"),
            mirrors=None if pair.mirrors is None else labels[pair.mirrors],
            weights=changes.weights[row],
            front_downforce=changes.of(row, FRONT),
            rear_downforce=changes.of(row, REAR),
            downforce=changes.of(row, TOTAL),
            drag=changes.of(row, DRAG),
            ratio=self.ratios[row],
            rounded_ratio=self.rounded_ratios[row],
            part_class=part_class,
            by_axle=by_axle,
            dynamic_pressure=changes.dynamic_pressure,
            notes=pair.notes,
        )


def find_increments(
    session: Session,
    fits: Fits,
    *,
    dynamic_pressure: float,
    chosen: Mapping[str, str] | None = None,
    correct_drift: bool = False,
    confidence: float = 0.95,
) -> Increments:
    """Compute what every run changed against its baseline.

    Parameters
    ----------
    session : Session
        The session. [1]
    fits : Fits
        Its readings by fit; they say whether repeats, drift and proposed baselines may cross a change of block. [1]
    dynamic_pressure : float
        Dynamic pressure at which the changes are stated, above 0. [Pa]
    chosen : mapping of str to str, optional
        Baselines for runs that state none: label of the run to label of its baseline. [1]
    correct_drift : bool, optional
        Whether to take the drift out, in blocks where one is resolved. [1]
    confidence : float, optional
        Share of intervals that hold the truth, 0 to 1. [1]

    Returns
    -------
    Increments
        One per run that has a baseline, stated, chosen or proposed, in running order. [1]

    Raises
    ------
    UnknownName
        If a chosen run or baseline is not among the runs that count.
    InputError
        If a run is chosen as its own baseline.

    Notes
    -----
    Each increment is a contrast: the mean over the run's repeats less the mean over its baseline's. Where both
    are of one configuration the two runs are compared alone. As of `balance.compare.contrasts`.
    """
    pairs, fitted = pair_runs(session, fits, chosen or {})
    weights = pair_weights(fits, fitted, pairs)
    tied = fits.tied(weights)[1]
    untied = tuple(pair for pair, kept in zip(pairs, tied.tolist(), strict=True) if not kept)
    pairs, weights = tuple(pair for pair in pairs if pair not in untied), weights[tied]

    def changes(w: NDArray[np.float64], behind: Fits) -> Changes:
        return contrast_changes(w, behind, dynamic_pressure=dynamic_pressure, confidence=confidence)

    drifts = find_drifts(session, fits, dynamic_pressure=dynamic_pressure, confidence=confidence)
    measured, corrected = changes(weights, fits), None
    taken = drifts.taken_from(weights)
    if drifts.offered:
        corrected = changes(drifts.correct(weights), drifts.fits).of_the_day(weights.shape[1])
        corrected = corrected.where(taken, measured)
    return Increments(
        fits=fits,
        fitted=fitted,
        pairs=pairs,
        uncorrected=measured,
        corrected=corrected,
        taken=taken,
        drifts=drifts,
        drift_corrected=correct_drift and corrected is not None,
        untied=tuple(
            (fits.readings.labels[pair.run], fits.readings.labels[pair.baseline]) for pair in untied
        ),
    )


def pair_weights(fits: Fits, fitted: Fitted, pairs: tuple[Pair, ...]) -> NDArray[np.float64]:
    """Write pairs of runs as contrasts.

    Parameters
    ----------
    fits : Fits
        The session's readings by fit. [1]
    fitted : Fitted
        Which runs are averaged. [1]
    pairs : tuple of Pair
        Runs and their baselines. [1]

    Returns
    -------
    numpy.ndarray
        (pairs, runs) weights: plus one shared out over the run's side, minus one over the baseline's. [1]

    Notes
    -----
    A repeat against its own configuration is the one reading less the other. Of two baselines around a run each has the
    share by which the run is nearer to it. As of `balance.compare.contrasts`.
    """
    sides = np.array([(pair.run, pair.baseline) for pair in pairs], int).reshape(-1, 2)
    run, baseline = fitted.set_of[sides.T]
    weights = combined_weights(fits.means(fitted.distinct), [run], [baseline])
    for row, pair in enumerate(pairs):
        if pair.second is not None or not pair.differs:
            run_side, baseline_side = side_weights(fits, pair)
            weights[row] = run_side - baseline_side
    return weights


def side_weights(fits: Fits, pair: Pair) -> NDArray[np.float64]:
    """Write the two sides of a pair as weights over the readings.

    Parameters
    ----------
    fits : Fits
        The session's readings by fit. [1]
    pair : Pair
        A run and its baseline, or the two around it. [1]

    Returns
    -------
    numpy.ndarray
        (2, runs) of the run's side and of the baseline's, each with a sum of 1. [1]

    Notes
    -----
    Means over fits; between two baselines straight-line interpolation. As of `balance.compare.pairing.share_between`.
    """
    if pair.second is None or pair.between is None:
        return fits.means([pair.runs, pair.baseline_runs])
    ends = [fits.fits[fits.fit_of[row]] for row in (pair.baseline, pair.second)]
    run, first, last = fits.means([pair.runs, *ends])
    share = pair.between.share
    return np.stack([run, (1.0 - share) * first + share * last])
