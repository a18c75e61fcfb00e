"""How far the readings moved over the day, from configurations that came back, and how to take it out."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import FRONT, REAR, mean_weights
from balance.compare.student import student_factor
from balance.reduce.pooled import pool_residuals
from balance.reduce.repeatability import combine_scatter

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.compare.fitted import Fitted
    from balance.records import Session
    from balance.reduce.readings import Readings
    from balance.reduce.repeatability import Repeatability

SUM_TOLERANCE = 1e-9
"""Weights of a contrast that sum to less than this within a block lie wholly in it."""


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
        (runs,) the slope as weights over the session's areas, per run. [1]
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

    ``order`` is (runs,) the place of each used run in the running order, void runs counted. ``repeatability`` is
    the scatter about the fits, combined with the facility's figure; it stands behind corrected increments.
    """

    blocks: tuple[Drift, ...]
    rows: tuple[tuple[int, ...], ...]
    order: NDArray[np.float64]
    repeatability: Repeatability

    @property
    def offered(self) -> bool:
        """Whether a correction is worth offering in any block."""
        return any(drift.offered for drift in self.blocks)

    def correct(self, weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take the drift out of contrasts, in blocks where it is resolved.

        Parameters
        ----------
        weights : numpy.ndarray
            (contrasts, runs) weights. [1]

        Returns
        -------
        numpy.ndarray
            (contrasts, runs) weights of the same contrasts with the drift removed; one that reaches over
            blocks stays as it is. [1]

        Notes
        -----
        ``w - (w · x) h``, x the place in the running order and h the weights of the slope.

        References
        ----------
        N. R. Draper, H. Smith, Applied Regression Analysis, analysis of covariance (from memory).
        """
        corrected = np.array(weights, float)
        for drift, rows in zip(self.blocks, self.rows, strict=True):
            if drift.offered:
                own = weights[:, list(rows)]
                inside = np.abs(own.sum(axis=1)) < SUM_TOLERANCE
                moved = np.where(inside, own @ self.order[list(rows)], 0.0)
                corrected -= moved[:, None] * drift.weights
        return corrected

    def taken_from(self, weights: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Say out of which contrasts a drift can be taken whole.

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
        its scatter.

        References
        ----------
        `correct`.
        """
        used = weights != 0.0
        taken = np.zeros(len(weights), bool)
        for drift, rows in zip(self.blocks, self.rows, strict=True):
            inside = np.zeros(used.shape[1], bool)
            inside[list(rows)] = True
            whole = ~np.any(used[:, ~inside], axis=1) & (np.abs(weights.sum(axis=1)) < SUM_TOLERANCE)
            taken |= drift.offered & whole
        return taken


def find_drifts(
    session: Session,
    readings: Readings,
    fitted: Fitted,
    repeatability: Repeatability,
    *,
    dynamic_pressure: float,
    confidence: float = 0.95,
) -> Drifts:
    """Find how far the readings moved in running order.

    Parameters
    ----------
    session : Session
        The session; its void runs took their time too. [1]
    readings : Readings
        Its readings. [1]
    fitted : Fitted
        Sets of repeats and blocks; drift does not cross a change of block unless these do. [1]
    repeatability : Repeatability
        Scatter of one reading without any correction. [1]
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
    Least squares on the configurations' means plus one term linear in running order, weighted by ``q^2``; the
    scatter comes from the residuals, with one degree of freedom fewer than the repeats have. Not for a drift that
    turns back within the day.

    References
    ----------
    OIML R111-1, annex C (weighing cycles A-B-A and A-B-B-A, from memory); N. R. Draper, H. Smith, Applied
    Regression Analysis, analysis of covariance (from memory).
    """
    place = {run.label: k for k, run in enumerate(session.runs)}
    order = np.array([place[label] for label in readings.labels], float)
    found: list[tuple[Drift, tuple[int, ...]]] = []
    residuals: list[NDArray[np.float64]] = []
    degrees = 0
    for block in np.unique(fitted.blocks):
        rows = tuple(int(k) for k in np.flatnonzero(fitted.blocks == block))
        sets = tuple(dict.fromkeys(fitted.sets[k] for k in rows if len(fitted.sets[k]) > 1))
        if not any(_came_back(fitted, s) for s in sets):
            continue
        drift, left = _fit(readings, fitted, sets, rows, order, dynamic_pressure, confidence)
        found.append((drift, rows))
        own = sum(len(s) - 1 for s in sets)
        residuals.append(left[1] if drift.offered else left[0])
        degrees += own - drift.offered
    scatter = repeatability
    if any(drift.offered for drift, _ in found):
        pooled = pool_residuals(readings, np.vstack(residuals), degrees)
        scatter = combine_scatter(session, pooled, untouched_only=False)
    return Drifts(
        blocks=tuple(drift for drift, _ in found),
        rows=tuple(rows for _, rows in found),
        order=order,
        repeatability=scatter,
    )


def _fit(
    readings: Readings,
    fitted: Fitted,
    sets: tuple[tuple[int, ...], ...],
    rows: tuple[int, ...],
    order: NDArray[np.float64],
    dynamic_pressure: float,
    confidence: float,
) -> tuple[Drift, tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Fit one block; give its drift, and the residuals in newtons without and with the slope."""
    pressure, areas, labels = readings.force_pressure, readings.areas, readings.labels
    time, about_mean = np.zeros(len(labels)), np.zeros_like(areas)
    inside, means = list(rows), mean_weights(readings, [fitted.sets[row] for row in rows])
    time[inside] = order[inside] - means @ order  # 0 where a configuration was run once
    about_mean[inside] = areas[inside] - means @ areas
    leverage = float(np.sum(np.square(pressure * time)))
    weights = pressure**2 * time / leverage
    weights.flags.writeable = False
    slope = weights @ areas
    used = [k for members in sets for k in members]
    plain = about_mean[used] * pressure[used, None]
    about_line = plain - np.outer(time[used] * pressure[used], slope)
    degrees = sum(len(members) - 1 for members in sets) - 1
    scatter = np.full(4, np.nan)
    if degrees > 0:
        scatter = pool_residuals(readings, about_line, degrees).deviation
    value = np.append(slope, slope[FRONT] + slope[REAR]) * dynamic_pressure
    std = scatter / np.sqrt(leverage) * dynamic_pressure
    half = std * student_factor(float(degrees) if degrees > 0 else np.nan, confidence)
    drift = Drift(
        block=readings.runs[rows[0]].block,
        returned=tuple(tuple(labels[k] for k in members) for members in sets),
        slope=value,
        std=std,
        low=value - half,
        high=value + half,
        resolved=np.abs(value) > half,
        degrees_of_freedom=degrees,
        span=int(order[rows[-1]] - order[rows[0]]),
        weights=weights,
        brackets=_brackets(readings, fitted, rows, order),
    )
    return drift, (plain, about_line)


def _came_back(fitted: Fitted, rows: tuple[int, ...]) -> bool:
    """Say whether another configuration was run between any two of these."""
    return any(np.any(fitted.groups[a + 1 : b] != fitted.groups[a]) for a, b in pairwise(rows))


def _brackets(
    readings: Readings, fitted: Fitted, rows: tuple[int, ...], order: NDArray[np.float64]
) -> tuple[Bracket, ...]:
    """Find A-B-A and A-B-B-A among runs that follow one another with nothing in between."""
    found = []
    for start in range(len(rows)):
        for length, pattern in ((3, "A-B-A"), (4, "A-B-B-A")):
            some = rows[start : start + length]
            if len(some) < length or order[some[-1]] - order[some[0]] != length - 1:
                continue
            kinds = [int(fitted.groups[k]) for k in some]
            if kinds == kinds[::-1] and kinds[0] != kinds[1]:
                found.append(Bracket(pattern=pattern, runs=tuple(readings.labels[k] for k in some)))
    return tuple(found)
