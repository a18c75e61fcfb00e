"""What the day can show: scatter of one reading, where it comes from, what it resolves, and how readings moved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.drift import find_drifts
from balance.compare.resolution import (
    least_significant_difference,
    repeats_to_resolve,
    smallest_detectable_difference,
)
from balance.decide.day.conditions import reference_conditions
from balance.decide.day.day import day_across_blocks
from balance.model.arrays import read_only
from balance.reduce.air import dynamic_pressure
from balance.reduce.fits import fits_of_column
from balance.reduce.repeats import repeat_sets

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.compare.drift import Drifts
    from balance.decide.day.day import Day
    from balance.model.records import ComparedColumn
    from balance.reduce.fits import Fits
    from balance.reduce.readings import Readings
    from balance.reduce.repeatability import Repeatability
    from balance.reduce.repeats import RepeatSet


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayScatter:
    """How well this day can tell one configuration from another; arrays are of front, rear, drag, total.

    Attributes
    ----------
    day : Day
        The reduced session.
    sets : tuple of RepeatSet
        Runs that repeat one another, two or more.
    least_significant, detectable : numpy.ndarray
        (4,) of one run against one run, at the speed tested. [N]
    deviations : numpy.ndarray
        (runs, 4) each reading less the mean of its repeats, not a number where there are none. [N]
    drifts : Drifts
        How readings moved in running order, stated at the facility's speed and density.
    columns : tuple of ColumnScatter
        The same of every compared column that has values.
    """

    day: Day
    sets: tuple[RepeatSet, ...]
    least_significant: NDArray[np.float64]
    detectable: NDArray[np.float64]
    deviations: NDArray[np.float64]
    drifts: Drifts
    columns: tuple[ColumnScatter, ...] = ()

    @property
    def readings(self) -> Readings:
        """The day's readings."""
        return self.day.readings

    @property
    def scatter(self) -> Repeatability:
        """How well one reading of one fit is known."""
        return self.day.repeatability

    def repeats_needed(self, sizes: Sequence[float]) -> tuple[tuple[int | None, ...], ...]:
        """State how many runs on each side would resolve parts of given sizes [N]; a row a size, a column a quantity."""
        s, degrees = self.scatter.deviation.tolist(), self.scatter.degrees_of_freedom.tolist()
        confidence = self.day.confidence
        return tuple(
            tuple(repeats_to_resolve(size, s[k], degrees[k], confidence=confidence) for k in range(len(s)))
            for size in sizes
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ColumnScatter:
    """How well this day can tell two values of a compared column apart; figures in the column's unit.

    Attributes
    ----------
    column : ComparedColumn
        Which column.
    fits : Fits
        Its values by fit, and what they scatter.
    sets : tuple of RepeatSet
        Values that repeat one another, two or more, as places among those of the column.
    least_significant, detectable : float
        Of one run against one run.
    deviations : numpy.ndarray
        (values, 1) each value less the mean of its repeats, not a number where there are none.
    drifts : Drifts
        How values moved in running order.
    missing : tuple of str
        Labels of the runs that have no value.
    """

    column: ComparedColumn
    fits: Fits
    sets: tuple[RepeatSet, ...]
    least_significant: float
    detectable: float
    deviations: NDArray[np.float64]
    drifts: Drifts
    missing: tuple[str, ...]

    @property
    def readings(self) -> Readings:
        """The column's values, as readings."""
        return self.fits.readings

    @property
    def scatter(self) -> Repeatability:
        """How well one value is known."""
        return self.fits.repeatability


def scatter_of_day(day: Day, *, across_blocks: bool = False) -> DayScatter:
    """State what a day can show.

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    across_blocks : bool, optional
        Whether drift may cross a change of block. [1]

    Returns
    -------
    DayScatter
        Scatter, what it resolves, and drift. [1]

    Notes
    -----
    One scatter for everything: that of the day's fits.
    """
    if across_blocks:
        day = day_across_blocks(day)
    speed, density = reference_conditions(day.session, None, None)
    least, detectable = _resolved(day, day.repeatability)
    pressure = float(dynamic_pressure(speed, density))
    return DayScatter(
        day=day,
        sets=_repeated(day.fits),
        least_significant=read_only(least),
        detectable=read_only(detectable),
        deviations=_deviations(day.fits),
        drifts=find_drifts(day.session, day.fits, dynamic_pressure=pressure, confidence=day.confidence),
        columns=column_scatters(day),
    )


def column_scatters(day: Day) -> tuple[ColumnScatter, ...]:
    """State what a day can show of its compared columns.

    By the fits of the day, one for each column that has values, in the unit of its file.
    """
    return tuple(_column(day, column) for column in day.session.columns_with_values)


def _column(day: Day, column: ComparedColumn) -> ColumnScatter:
    """State what a day can show of a compared column."""
    fits = fits_of_column(day.session, day.fits, column)
    least, detectable = _resolved(day, fits.repeatability)
    pressure = fits.readings.column_pressure(day.session.facility)
    return ColumnScatter(
        column=column,
        fits=fits,
        sets=_repeated(fits),
        least_significant=float(least[0]),
        detectable=float(detectable[0]),
        deviations=_deviations(fits),
        drifts=find_drifts(day.session, fits, dynamic_pressure=pressure, confidence=day.confidence),
        missing=fits.readings.missing_of(day.readings),
    )


def _resolved(day: Day, scatter: Repeatability) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the least significant and the smallest detectable difference of one run against one run."""
    s, degrees = scatter.deviation, scatter.degrees_of_freedom
    return (
        least_significant_difference(s, degrees, confidence=day.confidence),
        smallest_detectable_difference(s, degrees, confidence=day.confidence),
    )


def _repeated(fits: Fits) -> tuple[RepeatSet, ...]:
    """Return the readings that repeat one another, two or more."""
    return tuple(one for one in repeat_sets(fits.readings) if len(one.rows) > 1)


def _deviations(fits: Fits) -> NDArray[np.float64]:
    """Return each reading less the mean of its configuration's good readings in its block."""
    readings = fits.readings
    own = readings.areas - fits.means(fits.sets) @ readings.areas
    found = readings.with_sum(own * readings.force_pressure[:, None])
    found[[row for row, alike in enumerate(fits.sets) if alike in ((row,), ())]] = np.nan
    return read_only(found)
