"""Fits and readings: the one place that knows how uncertain a weighted sum of a day's readings is."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.model.arrays import read_only
from balance.model.channels import AXLES, CHANNELS, MEASURED
from balance.reduce.column_readings import column_readings
from balance.reduce.drag_couple import lever_std
from balance.reduce.fit_design import fit_design
from balance.reduce.fit_scatter import pooled_scatter, scatter_of_fits
from balance.reduce.readings import reduce_session
from balance.reduce.repeatability import INDEPENDENT, column_scatter, combine_scatter
from balance.reduce.repeats import configurations, repeat_sets
from balance.reduce.totals import with_total_std

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.model.records import ComparedColumn, Session
    from balance.reduce.draws import SharedDraws
    from balance.reduce.fit_design import FitDesign
    from balance.reduce.fit_scatter import FitScatter
    from balance.reduce.readings import Readings
    from balance.reduce.repeatability import Repeatability

SUM_TOLERANCE = 1e-9
"""Weights that sum to less than this sum to 0."""
_SAME = 1e-12


@dataclass(frozen=True, kw_only=True, eq=False)
class Fits:
    """A day's readings by fit. A fit is an untouched stint of one configuration, whose readings share what fitting did.

    Attributes
    ----------
    readings : Readings
        The day's readings.
    fits : tuple of tuple of int
        The readings of each fit. One that enters no mean (suspect beside good ones, or at another speed) is a fit of
        its own.
    counts : numpy.ndarray
        (fits,) whether a fit enters its configuration's mean and the scatter.
    fit_of, groups, blocks : numpy.ndarray
        (readings,) the fit, the configuration and the block of each reading. [1]
    sets : tuple of tuple of int
        For each reading, the good readings of its configuration at its speed in its block.
    design : FitDesign
        How fits that count are compared: configurations, blocks, drifts.
    scatter : FitScatter
        What their repeats say.
    repeatability : Repeatability
        One reading of one fit: repeats and the facility's figure together.
    lever_std : float
        Standard uncertainty of the height at which drag is reacted, over the wheelbase. [1]
    mean_variance : numpy.ndarray
        (fits, 4) variance of the mean of each fit, in the order front, rear, drag, total. [N²]
    """

    readings: Readings
    fits: tuple[tuple[int, ...], ...]
    counts: NDArray[np.bool_]
    fit_of: NDArray[np.int_]
    groups: NDArray[np.int_]
    blocks: NDArray[np.int_]
    sets: tuple[tuple[int, ...], ...]
    design: FitDesign
    scatter: FitScatter
    repeatability: Repeatability
    mean_variance: NDArray[np.float64]
    lever_std: float = 0.0

    @property
    def layout(self) -> FitLayout:
        """What its readings are, whatever their scatter."""
        return FitLayout(self.fits, self.counts, self.groups, self.blocks, self.sets)

    @property
    def known(self) -> bool:
        """Whether the scatter of both axles is known."""
        return self.repeatability.known

    @cached_property
    def _order(self) -> tuple[NDArray[np.int_], NDArray[np.int_], NDArray[np.float64]]:
        """Readings fit by fit, where each fit begins among them, and how many it has."""
        order = np.array([row for rows in self.fits for row in rows], int)
        counts = np.array([len(rows) for rows in self.fits])
        return order, np.cumsum(counts) - counts, counts.astype(float)

    @cached_property
    def in_several_blocks(self) -> frozenset[int]:
        """The configurations that were run in more than one block."""
        pairs = {*zip(self.groups.tolist(), self.blocks.tolist(), strict=True)}
        return frozenset(group for group, count in Counter(group for group, _ in pairs).items() if count > 1)

    def means(self, sets: Sequence[Sequence[int]]) -> NDArray[np.float64]:
        """Return the weights of means over readings, (sets, readings): plain means over fits of each fit's plain mean."""
        weights = np.zeros((len(sets), len(self.readings.runs)))
        for own, rows in zip(weights, sets, strict=True):
            own[list(rows)] = self.mean_of(rows)
        return weights

    def mean_of(self, rows: Sequence[int]) -> NDArray[np.float64]:
        """Return the weights of one mean over its readings, (readings in it,)."""
        inside = self.fit_of[list(rows)]
        _, position, counts = np.unique(inside, return_inverse=True, return_counts=True)
        return np.asarray(1.0 / (counts.size * counts[position]))

    def variance(self, weights: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return how uncertain weighted sums of areas are.

        Parameters
        ----------
        weights : numpy.ndarray
            (sums, readings) weights over the readings' areas. [1]

        Returns
        -------
        variance : numpy.ndarray
            (sums, 4) of front, rear, drag and total; not a number where the scatter is unknown. What all readings share
            is not in it. [m⁴]
        degrees : numpy.ndarray
            (sums, 4) degrees of freedom. [1]

        Notes
        -----
        Each fit's mean by its own variance, and readings within a fit by how they scatter about it. With s1 one reading
        of one fit, s_r a reading about its fit's mean, and n readings: ``s1^2 - s_r^2 (1 - 1/n)``, never below the
        variance of fit means that the repeats show (repeats alone), else never below ``s_r^2/n``.

        References
        ----------
        S. R. Searle, G. Casella, C. E. McCulloch, Variance Components (1992), nested classification (from memory);
        JCGM 100:2008 (GUM), 5.1.2 and G.3.
        """
        force = weights / self.readings.force_pressure
        known = self.repeatability.degrees_of_freedom
        degrees = np.broadcast_to(known, (len(weights), known.size))
        if len(self.fits) == weights.shape[1]:
            return np.square(force, out=force) @ self.mean_variance, degrees
        order, starts, counts = self._order
        force = force[:, order]
        by_fit = np.add.reduceat(force, starts, axis=1)
        variance = np.square(by_fit) @ self.mean_variance
        uneven = np.square(force).sum(axis=1) - np.square(by_fit) @ (1.0 / counts)
        variance += np.maximum(uneven, 0.0)[:, None] * self._within
        alone = np.abs(by_fit).max(axis=1) <= _SAME * np.abs(force).max(axis=1)
        if alone.any():
            degrees = np.where(alone[:, None], float(self.scatter.within_degrees), degrees)
        return variance, degrees

    def stds(self, weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return standard uncertainties of weighted sums with what all readings share, (4, sums) for (sums, readings) [m²].

        The height at which drag is reacted shifts the axles by their own drag, as far one way as the other.
        """
        common = with_total_std(self.repeatability.systematic)
        shared = common[:, None] * (weights @ (1.0 / self.readings.force_pressure))
        found = np.hypot(np.sqrt(self.variance(weights)[0]).T, shared)
        if self.lever_std:
            couple = self.lever_std * np.abs(weights @ self.readings.drag_area)
            found[AXLES] = np.hypot(found[AXLES], couple)
        return found

    def draws(
        self,
        weights: NDArray[np.float64],
        shared: SharedDraws,
        fit_noise: dict[int, NDArray[np.float64]] | None = None,
    ) -> NDArray[np.float64] | None:
        """Draw weighted sums of areas; a fit's draws are the same whatever is asked for.

        Parameters
        ----------
        weights : numpy.ndarray
            (sums, readings) weights over the readings' areas. [1]
        shared : SharedDraws
            What the draws have in common. [1]
        fit_noise : dict, optional
            Draws of fits made so far, by fit, for the next call with the same ``shared``. [N]

        Returns
        -------
        numpy.ndarray or None
            (3, draws, sums) of front downforce, rear downforce and drag, a channel whose scatter is unknown without
            any; nothing where an axle's scatter is unknown. [m²]

        Notes
        -----
        Fit errors first, then those of readings about their fit, both normal with the channels' correlation, times
        ``sqrt(v / chi2)``, one for all channels of equal degrees of freedom; the systematic part once.

        References
        ----------
        JCGM 101:2008, 6.4.8 (multivariate normal) and 6.4.9 (scaled and shifted t).
        """
        if not self.known:
            return None
        force = weights / self.readings.force_pressure
        made = np.empty((len(weights), len(CHANNELS), shared.count))
        fit_noise = {} if fit_noise is None else fit_noise
        widths: dict[int, NDArray[np.float64]] = {}
        for place, own in enumerate(force):
            row, used = made[place], sorted({*self.fit_of[own != 0.0].tolist()})
            if not used:
                row[:] = 0.0
            for k, fit in enumerate(used):
                rows = list(self.fits[fit])
                if fit not in fit_noise:
                    fit_noise[fit] = self._fit_noise(fit, shared, widths)
                if k == 0:
                    np.multiply(fit_noise[fit], own[rows].sum(), out=row)
                else:
                    row += own[rows].sum() * fit_noise[fit]
                if len(rows) > 1 and np.ptp(own[rows]) > _SAME * np.abs(own[rows]).max():
                    row += np.einsum("r,rcd->cd", own[rows], self._reading_noise(fit, shared))
        if np.any(self.repeatability.systematic):
            made += shared.systematic.T * force.sum(axis=1)[:, None, None]
        made += (weights @ self.readings.areas)[:, :, None]
        return shared.with_couple(made.transpose(1, 2, 0))

    def tied(self, weights: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
        """Compare over a change of block through what was run in both blocks.

        Parameters
        ----------
        weights : numpy.ndarray
            (sums, readings) weights over the readings' areas. [1]

        Returns
        -------
        weights : numpy.ndarray
            (sums, readings) the same, less the blocks' constants where weights that sum to 0 do not do so in each block. [1]
        tied : numpy.ndarray
            (sums,) false where no chain of configurations ties the blocks, so that the sum has no meaning.

        Notes
        -----
        Weights that do not sum to 0 are loads, which are of their own block and stay as they are.

        References
        ----------
        N. R. Draper, H. Smith, Applied Regression Analysis, analysis of covariance (from memory).
        """
        codes = np.unique(self.blocks)
        tied = np.ones(len(weights), bool)
        if codes.size < 2:
            return weights, tied
        net = weights @ (self.blocks[:, None] == codes)
        across = (np.abs(net.sum(axis=1)) < SUM_TOLERANCE) & np.any(np.abs(net) > SUM_TOLERANCE, axis=1)
        corrected = np.array(weights, float)
        for row in np.flatnonzero(across).tolist():
            combination = np.zeros(self.design.told.shape[0])
            combination[: codes.size] = net[row]
            constants = self.design.weights(combination)
            tied[row] = constants is not None
            if constants is not None:
                corrected[row] -= self.over_readings(constants)
        return corrected, tied

    def over_readings(self, weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Share weights over the fits that count, (fits,), equally among each fit's readings, (readings,)."""
        shared = np.zeros(len(self.readings.runs))
        for fit, weight in zip(np.flatnonzero(self.counts).tolist(), weights, strict=True):
            rows = self.fits[fit]
            shared[list(rows)] = weight / len(rows)
        return shared

    @cached_property
    def _within(self) -> NDArray[np.float64]:
        """Variance of a reading about the mean of its fit, (4,) [N²]."""
        return np.square(self.repeatability.within_deviation)

    @cached_property
    def _root(self) -> NDArray[np.float64]:
        """A matrix whose square by its transpose is the channels' correlation, singular ones included."""
        correlation = self.repeatability.correlation
        if np.array_equal(correlation, INDEPENDENT):
            return INDEPENDENT
        values, vectors = np.linalg.eigh(correlation)
        return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))

    def _fit_noise(
        self, fit: int, shared: SharedDraws, widths: dict[int, NDArray[np.float64]]
    ) -> NDArray[np.float64]:
        """Draw the error of a fit's mean, (3, draws) [N]; ``widths`` keeps what fits of as many readings share."""
        count = len(self.fits[fit])
        if count not in widths:
            deviation = np.sqrt(np.nan_to_num(self.mean_variance[fit, MEASURED]))
            widths[count] = np.ascontiguousarray((shared.scale * deviation).T)
        noise = self._normal(shared, self.fits[fit][0], 0)
        noise *= widths[count]
        return noise

    def _reading_noise(self, fit: int, shared: SharedDraws) -> NDArray[np.float64]:
        """Draw the errors of a fit's readings about their mean, (readings, 3, draws) [N]."""
        noise = np.stack([self._normal(shared, row, 1) for row in self.fits[fit]])
        noise -= noise.mean(axis=0)
        return np.asarray(noise * (shared.scale * np.sqrt(self._within[MEASURED])).T)

    def _normal(self, shared: SharedDraws, row: int, kind: int) -> NDArray[np.float64]:
        """Draw correlated standard normals that belong to a reading, (3, draws)."""
        key = (1 + row,) if kind == 0 else (1 + row, kind)
        stream = np.random.default_rng(np.random.SeedSequence(shared.seed, spawn_key=key))
        noise = stream.standard_normal((len(CHANNELS), shared.count))
        return noise if self._root is INDEPENDENT else np.asarray(self._root @ noise)


def fits_of_session(
    session: Session,
    readings: Readings,
    *,
    across_blocks: bool = False,
    blocks: NDArray[np.int_] | None = None,
    slopes: Sequence[NDArray[np.float64]] = (),
) -> Fits:
    """Find the fits of a day and how far they scatter.

    Parameters
    ----------
    session : Session
        The session, with the facility's figure where it states one. [1]
    readings : Readings
        Its readings. [1]
    across_blocks : bool, optional
        Whether a change of block is taken as no change. [1]
    blocks : numpy.ndarray, optional
        (readings,) the block of each reading, in place of what the runs say. [1]
    slopes : sequence of numpy.ndarray, optional
        (readings,) each: what a drift runs along, 0 where it does not run. [1]

    Returns
    -------
    Fits
        Fits, their scatter, and what follows from it. [1]

    Notes
    -----
    A fit ends where another configuration was run or the block changed. Readings marked suspect stay out of a mean
    unless there are no others; of readings of one configuration at speeds more than 2 % apart those of the speed with
    most count, the first of equals: the others test the scaling. Blocks are fixed effects: each has a constant of its
    own, whatever a test says of it.

    References
    ----------
    Common practice, no source, for what counts; `Fits.variance` for the scatter.
    """
    runs = readings.runs
    groups = np.zeros(len(runs), int)
    for k, rows in enumerate(configurations(runs)):
        groups[list(rows)] = k
    if blocks is None:
        blocks = coded(["" if across_blocks else run.block for run in runs])
    sets, counted = _sets(readings, groups, blocks)
    fits = _stints(groups, blocks, counted)
    counts = np.array([rows[0] in counted for rows in fits], bool)
    return fits_of_layout(session, readings, FitLayout(fits, counts, groups, blocks, sets), slopes)


def fits_of_column(session: Session, fits: Fits, column: ComparedColumn) -> Fits:
    """Find the fits of a compared column, and how far its values scatter.

    Parameters
    ----------
    session : Session
        The session. [1]
    fits : Fits
        Its fits, of the channels. [1]
    column : ComparedColumn
        Which column. [1]

    Returns
    -------
    Fits
        The same fits without the readings that have no value of the column; one quantity, in the column's unit, without
        any where no reading has a value. [1]

    Notes
    -----
    What a fit is, which readings count and which are averaged is as in the channels: a missing value takes its own
    reading out, and nothing else. A column that scales is read as a channel is, over the dynamic pressure of each
    reading, where those of its readings differ by more than repeats may; else its values are compared as read.
    As of `fits_of_session`.
    """
    whole = fits.readings
    rows = [row for row, run in enumerate(whole.runs) if column.name in run.recorded]
    place = {row: k for k, row in enumerate(rows)}
    readings = column_readings(whole, rows, column)

    def kept(some: Sequence[int]) -> tuple[int, ...]:
        return tuple(place[row] for row in some if row in place)

    shortened = [kept(one) for one in fits.fits]
    there = [k for k, one in enumerate(shortened) if one]
    layout = FitLayout(
        fits=tuple(shortened[k] for k in there),
        counts=fits.counts[there],
        groups=fits.groups[rows],
        blocks=fits.blocks[rows],
        sets=tuple(kept(fits.sets[row]) for row in rows),
    )
    return fits_of_layout(session, readings, layout, ())


class FitLayout(NamedTuple):
    """What the readings of a day are, before anything is known of their scatter."""

    fits: tuple[tuple[int, ...], ...]
    counts: NDArray[np.bool_]
    groups: NDArray[np.int_]
    blocks: NDArray[np.int_]
    sets: tuple[tuple[int, ...], ...]


def _by_itself(session: Session) -> FitScatter:
    """Return what the repeats of another car's day say."""
    alone = replace(session, repeatability=None, alongside=())
    return fits_of_session(alone, reduce_session(alone)).scatter


def fits_of_layout(
    session: Session, readings: Readings, layout: FitLayout, slopes: Sequence[NDArray[np.float64]] = ()
) -> Fits:
    """Find how far the fits of a layout scatter.

    Parameters
    ----------
    session : Session
        The session, with the facility's figure where it states one. [1]
    readings : Readings
        Its readings. [1]
    layout : FitLayout
        What they are: fits, configurations, blocks. [1]
    slopes : sequence of numpy.ndarray, optional
        (readings,) each: what a drift runs along, 0 where it does not run. [1]

    Returns
    -------
    Fits
        The fits, their scatter, and what follows from it. [1]

    Notes
    -----
    For whoever knows already what makes a fit. Repeats of other cars in the same hired hours count as those of
    the day do. As of `fits_of_session`.
    """
    fits, counts, groups, blocks, sets = layout
    fit_of = np.zeros(len(readings.runs), int)
    for k, rows in enumerate(fits):
        fit_of[list(rows)] = k
    usable = [rows for rows, counting in zip(fits, counts, strict=True) if counting]
    firsts = [rows[0] for rows in usable]
    columns = [blocks[firsts] == code for code in sorted(set(blocks.tolist()))]
    columns += [np.array([slope[list(rows)].mean() for rows in usable]) for slope in slopes]
    design = fit_design(groups[firsts], np.column_stack(columns).astype(float))
    pressure = np.array([readings.force_pressure[list(rows)].mean() for rows in usable])
    scatter = scatter_of_fits(readings, usable, pressure, design)
    column = readings.column
    beside = session.alongside if column is None else ()
    scatter = pooled_scatter([scatter, *map(_by_itself, beside)])
    known = combine_scatter(session, scatter) if column is None else column_scatter(session, scatter, column)
    return Fits(
        readings=readings,
        fits=fits,
        counts=counts,
        fit_of=fit_of,
        groups=groups,
        blocks=blocks,
        sets=sets,
        design=design,
        scatter=scatter,
        repeatability=known,
        mean_variance=read_only(_mean_variance(fits, scatter, known)),
        lever_std=lever_std(session) if column is None else 0.0,
    )


def coded(items: Sequence[str]) -> NDArray[np.int_]:
    """Code texts by the order in which they first come.

    Parameters
    ----------
    items : sequence of str
        Any texts. [1]

    Returns
    -------
    numpy.ndarray
        (items,) equal for equal texts, from 0. [1]

    Notes
    -----
    Upper and lower case differ.
    """
    codes: dict[str, int] = {}
    return np.array([codes.setdefault(item, len(codes)) for item in items], int)


def _mean_variance(
    fits: Sequence[tuple[int, ...]], scatter: FitScatter, known: Repeatability
) -> NDArray[np.float64]:
    """Return the variance of each fit's mean, (fits, 4) [N²], by the rule of `Fits.variance`."""
    one = np.square(known.deviation)
    within = np.square(known.within_deviation)
    between = np.maximum(np.diag(scatter.between), np.square(scatter.rounding))
    alone = np.array([source == "repeats" for source in known.source]) & (known.repeats is not None)
    share = 1.0 / np.array([[len(rows)] for rows in fits])
    least = np.where(alone, between, within * share)
    return np.asarray(np.maximum(one - within * (1.0 - share), least))


def _sets(
    readings: Readings, groups: NDArray[np.int_], blocks: NDArray[np.int_]
) -> tuple[tuple[tuple[int, ...], ...], frozenset[int]]:
    """Return for each reading those that it is averaged with, and the readings that enter a configuration's mean."""

    def good(rows: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(row for row in rows if readings.runs[row].status != "suspect") or rows

    sets: dict[int, tuple[int, ...]] = {}
    most: dict[int, tuple[int, ...]] = {}
    for cluster in sorted(
        (one.rows for one in repeat_sets(readings)), key=lambda rows: (-len(rows), rows[0])
    ):
        most.setdefault(int(groups[cluster[0]]), cluster)
        for block in dict.fromkeys(blocks[list(cluster)].tolist()):
            here = tuple(row for row in cluster if blocks[row] == block)
            sets.update(dict.fromkeys(here, good(here)))
    counted = frozenset(row for cluster in most.values() for row in good(cluster))
    return tuple(sets[row] for row in range(len(readings.runs))), counted


def _stints(
    groups: NDArray[np.int_], blocks: NDArray[np.int_], counted: frozenset[int]
) -> tuple[tuple[int, ...], ...]:
    """Return the fits: untouched stints of readings that count, and each other reading by itself, in running order."""
    kinds = list(zip(groups.tolist(), blocks.tolist(), strict=True))
    fits: list[tuple[int, ...]] = []
    for _, stint in groupby(range(len(kinds)), key=kinds.__getitem__):
        rows = tuple(stint)
        good = tuple(row for row in rows if row in counted)
        fits += [good] if good else []
        fits += [(row,) for row in rows if row not in counted]
    return tuple(sorted(fits))
