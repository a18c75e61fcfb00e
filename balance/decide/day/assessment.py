"""A whole session at one speed and density: what every screen, table and report reads."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from balance.decide.day.conditions import reference_conditions
from balance.decide.day.estimate import HandlingEstimates, estimate_handling
from balance.decide.day.join_estimates import CHUNK, join_estimates, take_estimates
from balance.decide.day.judged_means import judge_means
from balance.decide.day.onsets import Onsets, estimate_onsets
from balance.decide.day.own_figures import OwnFigures, own_figures
from balance.decide.day.range_verdict import OverRange
from balance.reduce.air import dynamic_pressure

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from balance.decide.day.day import Day
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.model.records import Run


@dataclass(frozen=True, kw_only=True, eq=False)
class Assessment:
    """Rows of a day at one speed and density; arrays are (rows,).

    ``rows`` says which of the day's rows: readings, means of configurations, or both. ``ranges`` are the verdicts over
    all speeds that the car sees, one a row.
    """

    day: Day
    rows: tuple[int, ...]
    speed: float
    air_density: float
    dynamic_pressure: float
    handling: HandlingEstimates
    onsets: Onsets
    ranges: tuple[RangeVerdict, ...]
    drawn: bool = True

    def of(self, rows: Sequence[int]) -> Assessment:
        """Return other rows of the day, judged alike: picked from these, worked out where they are not among them."""
        if tuple(rows) == self.rows:
            return self
        place = {row: k for k, row in enumerate(self.rows)}
        if not place.keys() >= set(rows):
            return assess(
                self.day,
                speed=self.speed,
                air_density=self.air_density,
                drawn=self.drawn,
                rows=rows,
            )
        picked = [place[row] for row in rows]
        return replace(
            self,
            rows=tuple(rows),
            handling=take_estimates(self.handling, picked),
            onsets=take_estimates(self.onsets, picked),
            ranges=tuple(self.ranges[k] for k in picked),
        )

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """The run of each row: of a mean, the first of its readings."""
        return tuple(self.day.readings.runs[self.day.rows.members[row][0]] for row in self.rows)

    @cached_property
    def own(self) -> OwnFigures:
        """What the rows' readings say by themselves."""
        return own_figures(self.day, self.rows)

    @property
    def over_range(self) -> OverRange:
        """The verdicts over the range, as arrays."""
        return OverRange(verdicts=self.ranges)

    def reading(self, row: int) -> int:
        """Return the first reading that a row is the mean of."""
        return self.day.rows.members[self.rows[row]][0]

    def configuration(self, row: int) -> str:
        """Name a row's configuration, with its block where it was run in several: loads are of their own block."""
        return self.day.configuration_of(self.rows[row])

    def name(self, row: int) -> str:
        """Name what a row is: its configuration, and of a mean the readings that it is the mean of."""
        return self.day.name_of(self.rows[row])

    @property
    def stds(self) -> NDArray[np.float64]:
        """Standard uncertainty of front, rear, drag and total at this speed, (4, runs) [N]."""
        return self.handling.stds.T

    @property
    def labels(self) -> tuple[str, ...]:
        """Labels of the rows' runs."""
        return tuple(run.label for run in self.runs)


def assess(
    day: Day,
    *,
    speed: float | None = None,
    air_density: float | None = None,
    drawn: bool = True,
    rows: Sequence[int] | None = None,
) -> Assessment:
    """Assess rows of a day at one speed and density, and over all speeds that the car sees.

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    speed : float, optional
        Speed at which loads are shown; the facility's if absent. [m/s]
    air_density : float, optional
        Density at which loads are shown; the facility's if absent. [kg/m^3]
    drawn : bool, optional
        Whether to draw; without, values stand alone: a first answer while the draws are made. [1]
    rows : sequence of int, optional
        Which of the day's rows; every reading if absent. [1]

    Returns
    -------
    Assessment
        One entry per row. [1]

    Raises
    ------
    DomainError
        If speed or density is not above 0.

    Notes
    -----
    Forces are area coefficients times the dynamic pressure asked for.

    References
    ----------
    JCGM 101:2008 for the uncertainties.
    """
    speed, density = reference_conditions(day.session, speed, air_density)
    chosen = tuple(range(day.rows.readings)) if rows is None else tuple(rows)
    known, count = drawn and day.repeatability.known, len(chosen)
    width = max(1, CHUNK // day.shared.count) if known else count
    handling: list[HandlingEstimates] = []
    onsets: list[Onsets] = []
    ranges: list[RangeVerdict] = []
    for start in range(0, count, width):
        some = chosen[start : start + width]
        part = day.areas(some)
        draws = day.draws(some) if known else None
        handling.append(
            estimate_handling(
                part,
                draws,
                speed,
                density,
                day.stds(some),
                day.session.vehicle,
                day.shared,
                confidence=day.confidence,
            )
        )
        onsets.append(
            estimate_onsets(part, draws, density, day.session.vehicle, day.shared, confidence=day.confidence)
        )
        ranges += judge_means(day, day.rows.weighted(some), part, draws, density)
    joined = join_estimates(handling)
    if day.repeatability.known and not drawn:
        awaited = tuple(replace(verdict, awaited=True) for verdict in joined.verdicts)
        joined = replace(joined, verdicts=awaited)
        ranges = [replace(one, awaited=True) for one in ranges]
    return Assessment(
        day=day,
        rows=chosen,
        speed=speed,
        air_density=density,
        dynamic_pressure=float(dynamic_pressure(speed, density)),
        handling=joined,
        onsets=join_estimates(onsets),
        ranges=tuple(ranges),
        drawn=drawn,
    )
