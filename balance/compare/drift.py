"""How far the readings moved over the day, from configurations that came back, and how to take it out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.shared_drift import turns_of
from balance.compare.student import student_factor
from balance.model.arrays import read_only
from balance.reduce.fits import SUM_TOLERANCE, fits_of_layout

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.model.records import Session
    from balance.reduce.fits import Fits


@dataclass(frozen=True, slots=True, kw_only=True)
class Bracket:
    """Runs in A-B-A or A-B-B-A order, one straight after the other: a linear drift cancels in B less A."""

    pattern: str
    runs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drift:
    """How one block's readings moved in running order.

    Attributes
    ----------
    block : str
        The block's label.
    returned : tuple of tuple of str
        Runs of each configuration that was run more than once.
    slope, std, low, high : numpy.ndarray
        (4,) change per run of front downforce, rear downforce, drag, total downforce; the last three are not a
        number where nothing is left to judge by. [N]
    resolved : numpy.ndarray
        (4,) whether zero lies outside the interval.
    degrees_of_freedom : int
        Of the fit's residuals. [1]
    span : int
        Runs from the block's first to its last, void ones counted. [1]
    weights : numpy.ndarray
        (readings,) the slope as weights over the areas of the day, and of the cars that ran in turn with it, per run. [1]
    brackets : tuple of Bracket
        Where the order of running itself cancels a linear drift.
    """

    block: str
    returned: tuple[tuple[str, ...], ...]
    slope: NDArray[np.float64]
    std: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    resolved: NDArray[np.bool_]
    degrees_of_freedom: int
    span: int
    weights: NDArray[np.float64]
    brackets: tuple[Bracket, ...]

    @property
    def offered(self) -> bool:
        """Whether a correction is worth offering: the drift of any quantity is resolved."""
        return bool(np.any(self.resolved))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drifts:
    """The drift of every block where a configuration came back, and the scatter that is left without it.

    ``order`` is (runs,) the place of each used run in the running order, void runs counted. ``fits`` are those with the
    offered drifts out of their scatter; they stand behind corrected increments. ``cars`` took turns in the facility and tell
    its drift together: places are then in the order in which it ran them all, and ``fits`` hold the readings of the other
    cars behind those of the day.
    """

    blocks: tuple[Drift, ...]
    rows: tuple[tuple[int, ...], ...]
    order: NDArray[np.float64]
    fits: Fits
    cars: int = 1

    @property
    def offered(self) -> bool:
        """Whether a correction is worth offering in any block."""
        return any(drift.offered for drift in self.blocks)

    def correct(self, weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Remove the drift from contrasts, in blocks where it is resolved.

        Parameters
        ----------
        weights : numpy.ndarray
            (contrasts, runs) weights. [1]

        Returns
        -------
        numpy.ndarray
            (contrasts, readings) weights over the readings of ``fits`` of the same contrasts with the drift removed; one that
            reaches over blocks stays as it is. [1]

        Notes
        -----
        ``w - (w · x) h``, x the place in the running order and h the weights of the slope.

        References
        ----------
        N. R. Draper, H. Smith, Applied Regression Analysis, analysis of covariance (from memory).
        """
        width = max([weights.shape[1], *(drift.weights.size for drift in self.blocks if drift.offered)])
        corrected = np.zeros((len(weights), width))
        corrected[:, : weights.shape[1]] = weights
        for drift, rows in zip(self.blocks, self.rows, strict=True):
            if drift.offered:
                own = weights[:, list(rows)]
                inside = np.abs(own.sum(axis=1)) < SUM_TOLERANCE
                moved = np.where(inside, own @ self.order[list(rows)], 0.0)
                corrected -= moved[:, None] * drift.weights
        return corrected

    def taken_from(self, weights: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Find the contrasts from which a drift can be removed whole.

        Parameters
        ----------
        weights : numpy.ndarray
            (contrasts, runs) weights. [1]

        Returns
        -------
        numpy.ndarray
            (contrasts,) false where no drift is resolved in the block, and where the contrast reaches over blocks. [1]

        Notes
        -----
        True also where a steady drift cancels in the order of running: the contrast stays, but the drift is no part of
        its scatter. As of `correct`.
        """
        used = weights != 0.0
        taken = np.zeros(len(weights), bool)
        for drift, rows in zip(self.blocks, self.rows, strict=True):
            inside = np.zeros(used.shape[1], bool)
            inside[list(rows)] = True
            whole = ~np.any(used[:, ~inside], axis=1) & (np.abs(weights.sum(axis=1)) < SUM_TOLERANCE)
            taken |= drift.offered & whole
        return taken


def find_drifts(session: Session, fits: Fits, *, dynamic_pressure: float, confidence: float = 0.95) -> Drifts:
    """Find how far the readings moved in running order.

    Parameters
    ----------
    session : Session
        The session; its void runs took their time too. [1]
    fits : Fits
        Its readings by fit, without any correction; drift does not cross a change of block unless they do. [1]
    dynamic_pressure : float
        Dynamic pressure at which the drift is stated. [Pa]
    confidence : float, optional
        Share of intervals that hold the truth, 0 to 1. [1]

    Returns
    -------
    Drifts
        One entry per block in which a configuration came back after another. [1]

    Notes
    -----
    Least squares on fit means: one mean a configuration, a constant a block, and one term linear in running order for
    each such block; the scatter comes from the residuals, with one degree of freedom fewer a term. Not for a drift
    that turns back within the day. Where other cars took turns with this one, their readings during a block
    tell of the same slope, and the running order is that of the facility, by the clock.

    References
    ----------
    OIML R111-1, annex C (weighing cycles A-B-A and A-B-B-A, from memory); N. R. Draper, H. Smith, Applied
    Regression Analysis, analysis of covariance (from memory).
    """
    turns = turns_of(session, fits)
    count = len(fits.readings.runs)
    if turns is None:
        place = {run.label: k for k, run in enumerate(session.runs)}
        order = np.array([place[label] for label in fits.readings.labels], float)
    else:
        order = turns.order
    blocks = [np.flatnonzero(fits.blocks == block) for block in np.unique(fits.blocks)]
    returned = []
    for rows in blocks:
        sets, others = _returned(fits, rows), np.zeros(0, int)
        if turns is not None:
            others = count + np.flatnonzero(turns.beside[count:] == fits.blocks[rows[0]])
        if sets or (turns is not None and turns.returned[others].any()):
            returned.append((rows, others, sets))

    def along(terms: Sequence[NDArray[np.int_]], day: Session) -> Fits:
        slopes = [
            np.where(np.isin(np.arange(order.size), some), order - order[some].mean(), 0.0) for some in terms
        ]
        if turns is None:
            return fits_of_layout(day, fits.readings, fits.layout, slopes)
        return fits_of_layout(replace(day, alongside=()), turns.readings, turns.layout, slopes)

    by_itself = replace(session, repeatability=None, alongside=())  # judged by what the day itself leaves
    fitted = along([np.append(rows, others) for rows, others, _ in returned], by_itself)
    found = [
        _drift(fitted, k, rows, sets, order, dynamic_pressure, confidence)
        for k, (rows, _, sets) in enumerate(returned)
    ]
    offered = [
        np.append(rows, others)
        for drift, (rows, others, _) in zip(found, returned, strict=True)
        if drift.offered
    ]
    return Drifts(
        blocks=tuple(found),
        rows=tuple(tuple(rows.tolist()) for rows, _, _ in returned),
        order=order[:count],
        fits=along(offered, session) if offered else fits,
        cars=1 if turns is None else 1 + len(session.alongside),
    )


def _returned(fits: Fits, rows: NDArray[np.int_]) -> tuple[tuple[int, ...], ...]:
    """Return the configurations of a block that were run more than once, where any came back after another."""
    sets = dict.fromkeys(fits.sets[row] for row in rows.tolist() if fits.counts[fits.fit_of[row]])
    several = tuple(some for some in sets if len(some) > 1)
    return several if any(np.unique(fits.fit_of[list(some)]).size > 1 for some in several) else ()


def _drift(
    fitted: Fits,
    term: int,
    rows: NDArray[np.int_],
    sets: tuple[tuple[int, ...], ...],
    order: NDArray[np.float64],
    dynamic_pressure: float,
    confidence: float,
) -> Drift:
    """Return one block's drift from the fit with a term for each block."""
    readings, design = fitted.readings, fitted.design
    combination = np.zeros(design.told.shape[0])
    combination[np.unique(fitted.blocks).size + term] = 1.0
    own = design.weights(combination)
    weights = np.full(len(readings.runs), np.nan) if own is None else fitted.over_readings(own)
    slope = weights @ readings.areas
    value = readings.with_sum(slope) * dynamic_pressure
    degrees = fitted.scatter.between_degrees
    std = np.full_like(value, np.nan)
    if degrees:
        std = np.sqrt(fitted.variance(weights[None])[0][0]) * dynamic_pressure
    half = std * student_factor(float(degrees) if degrees else np.nan, confidence)
    return Drift(
        block=readings.runs[rows[0]].block,
        returned=tuple(tuple(readings.labels[k] for k in members) for members in sets),
        slope=value,
        std=std,
        low=value - half,
        high=value + half,
        resolved=np.abs(value) > half,
        degrees_of_freedom=degrees,
        span=int(order[rows[-1]] - order[rows[0]]),
        weights=read_only(weights),
        brackets=_brackets(fitted, rows, order),
    )


def _brackets(fits: Fits, rows: NDArray[np.int_], order: NDArray[np.float64]) -> tuple[Bracket, ...]:
    """Find A-B-A and A-B-B-A among runs that follow one another with nothing in between."""
    found = []
    for start in range(len(rows)):
        for length, pattern in ((3, "A-B-A"), (4, "A-B-B-A")):
            some = rows[start : start + length]
            if len(some) < length or order[some[-1]] - order[some[0]] != length - 1:
                continue
            kinds = fits.groups[some].tolist()
            if kinds == kinds[::-1] and kinds[0] != kinds[1]:
                found.append(Bracket(pattern=pattern, runs=tuple(fits.readings.labels[k] for k in some)))
    return tuple(found)
