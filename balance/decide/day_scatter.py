"""What the day can show: scatter of one reading, where it comes from, what it resolves, and how readings moved."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import mean_weights
from balance.compare.drift import find_drifts
from balance.compare.fitted import what_was_fitted
from balance.compare.resolution import (
    least_significant_difference,
    repeats_to_resolve,
    smallest_detectable_difference,
)
from balance.decide.conditions import reference_conditions
from balance.reduce.air import dynamic_pressure
from balance.reduce.pooled import pool_repeats
from balance.reduce.readings import read_only
from balance.reduce.repeatability import repeatability
from balance.reduce.repeats import RepeatSet, repeat_sets

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.compare.drift import Drifts
    from balance.decide.day import Day
    from balance.reduce.pooled import Pooled
    from balance.reduce.repeatability import Repeatability


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayScatter:
    """How well this day can tell one configuration from another; arrays are of front, rear, drag, total.

    Attributes
    ----------
    day : Day
        The reduced session.
    scatter : Repeatability
        Of one reading, as a part's interval needs it.
    refitted, untouched : Pooled or None
        From repeats after a change of the car, and from runs on a car not touched in between. [N]
    sets : tuple of RepeatSet
        Runs that repeat one another, two or more.
    least_significant, detectable : numpy.ndarray
        (4,) of one run against one run, at the speed tested. [N]
    deviations : numpy.ndarray
        (runs, 4) each reading less the mean of its repeats, not a number where there are none. [N]
    drifts : Drifts
        How readings moved in running order, stated at the facility's speed and density.
    """

    day: Day
    scatter: Repeatability
    refitted: Pooled | None
    untouched: Pooled | None
    sets: tuple[RepeatSet, ...]
    least_significant: NDArray[np.float64]
    detectable: NDArray[np.float64]
    deviations: NDArray[np.float64]
    drifts: Drifts

    def repeats_needed(self, sizes: Sequence[float]) -> tuple[tuple[int | None, ...], ...]:
        """Say how many runs on each side would resolve parts of given sizes [N]; a row a size, a column a quantity."""
        s, degrees = self.scatter.deviation.tolist(), self.scatter.degrees_of_freedom.tolist()
        confidence = self.day.confidence
        return tuple(
            tuple(repeats_to_resolve(size, s[k], degrees[k], confidence=confidence) for k in range(4))
            for size in sizes
        )


def scatter_of_day(day: Day, *, across_blocks: bool = False) -> DayScatter:
    """Say what a day can show.

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
    Runs of one configuration with no change of the car between them make a stint; repeats within stints know nothing
    of refitting, repeats over stints do.

    References
    ----------
    Common practice, no source.
    """
    readings = day.readings
    speed, density = reference_conditions(day.session, None, None)
    scatter = repeatability(day.session, readings, for_parts=True)
    sets = tuple(s for s in repeat_sets(readings) if len(s.rows) > 1)
    changed = [s for s in sets if s.after_change]
    s, degrees = scatter.deviation, scatter.degrees_of_freedom
    fitted = what_was_fitted(readings, across_blocks=across_blocks)
    return DayScatter(
        day=day,
        scatter=scatter,
        refitted=pool_repeats(readings, changed),
        untouched=pool_repeats(readings, [stint for repeats in sets for stint in _stints(day, repeats)]),
        sets=sets,
        least_significant=read_only(least_significant_difference(s, degrees, confidence=day.confidence)),
        detectable=read_only(smallest_detectable_difference(s, degrees, confidence=day.confidence)),
        deviations=_deviations(day, sets),
        drifts=find_drifts(
            day.session,
            readings,
            fitted,
            scatter,
            dynamic_pressure=float(dynamic_pressure(speed, density)),
            confidence=day.confidence,
        ),
    )


def _stints(day: Day, repeats: RepeatSet) -> list[RepeatSet]:
    """Split repeats where the car was changed."""
    runs, group = day.readings.runs, day.group_of
    stints = [[repeats.rows[0]]]
    for a, b in pairwise(repeats.rows):
        touched = runs[a].block != runs[b].block or any(group[k] != group[a] for k in range(a + 1, b))
        if touched:
            stints.append([])
        stints[-1].append(b)
    return [RepeatSet(rows=tuple(rows), after_change=False) for rows in stints if len(rows) > 1]


def _deviations(day: Day, sets: Sequence[RepeatSet]) -> NDArray[np.float64]:
    """Give each reading less the mean of its repeats."""
    readings = day.readings
    found = np.full((len(readings.runs), 4), np.nan)
    for repeats in sets:
        rows = list(repeats.rows)
        (mean,) = mean_weights(readings, [rows]) @ readings.areas
        found[rows, :3] = (readings.areas[rows] - mean) * readings.force_pressure[rows, None]
    found[:, 3] = found[:, 0] + found[:, 1]
    return read_only(found)
