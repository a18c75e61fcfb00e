"""What each part did to the car: aero balance, grip surplus, the axle that is overpowered; and which part did most."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.column_increments import column_increments
from balance.compare.increments import find_increments, side_weights
from balance.decide.day.conditions import reference_conditions
from balance.decide.day.day import day_across_blocks
from balance.decide.day.estimate import Estimate, estimate_handling
from balance.decide.day.judged_means import judge_means
from balance.handling.axle_state import axle_state
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.reduce.air import dynamic_pressure
from balance.reduce.draws import spread

if TYPE_CHECKING:
    from collections.abc import Hashable, Mapping

    from numpy.typing import NDArray

    from balance.compare.column_increments import ColumnIncrements
    from balance.compare.increment import Increment
    from balance.compare.increments import Increments
    from balance.compare.pairing import Pair
    from balance.decide.day.day import Day
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.day.verdict import Verdict


class RankBy(StrEnum):
    """What parts are ranked by, the most of it first."""

    DOWNFORCE = "downforce"
    DRAG = "drag"
    REAR = "rear"
    FRONT = "front"
    TARGET = "grip balance moved towards target"
    DOWNFORCE_PER_DRAG = "downforce per drag"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One increment and what it did to the handling at the speed.

    ``aero_balance`` and ``grip_surplus`` are changes, run less baseline; their value is not a number where the
    quantity has no meaning on either side. ``toward_target`` is how much nearer the run's grip surplus is to the
    target than the baseline's. ``before`` and ``after`` are the verdicts on the means of baseline and run at the
    speed, ``range_before`` and ``range_after`` those over all speeds that the car sees.
    """

    increment: Increment
    aero_balance: Estimate
    grip_surplus: Estimate
    toward_target: float
    before: Verdict
    after: Verdict
    range_before: RangeVerdict
    range_after: RangeVerdict


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Parts:
    """Every increment of a day at one speed and density; arrays are (increments,), in running order.

    ``before`` and ``after`` are the verdicts on the means of baseline and run at the speed, ``ranges_before`` and
    ``ranges_after`` those over all speeds that the car sees. ``columns`` are the same increments of whatever else is
    compared, which enters nothing else.
    """

    day: Day
    increments: Increments
    speed: float
    air_density: float
    aero_balance: Estimate
    grip_surplus: Estimate
    toward_target: NDArray[np.float64]
    before: tuple[Verdict, ...]
    after: tuple[Verdict, ...]
    ranges_before: tuple[RangeVerdict, ...]
    ranges_after: tuple[RangeVerdict, ...]
    columns: tuple[ColumnIncrements, ...] = ()

    def __len__(self) -> int:
        return len(self.increments)

    @property
    def drift_offered(self) -> bool:
        """Whether a drift can be removed, of the forces or of a compared column."""
        return self.increments.corrected is not None or any(one.corrected is not None for one in self.columns)

    def __getitem__(self, row: int) -> Part:
        return Part(
            increment=self.increments[row],
            aero_balance=self.aero_balance.at(row),
            grip_surplus=self.grip_surplus.at(row),
            toward_target=float(self.toward_target[row]),
            before=self.before[row],
            after=self.after[row],
            range_before=self.ranges_before[row],
            range_after=self.ranges_after[row],
        )


def assess_parts(
    day: Day,
    *,
    speed: float | None = None,
    air_density: float | None = None,
    chosen: Mapping[str, str] | None = None,
    across_blocks: bool = False,
    correct_drift: bool = False,
) -> Parts:
    """Compute what every part of a day did, to the loads and to the handling.

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    speed : float, optional
        Speed at which everything is stated; the facility's if absent. [m/s]
    air_density : float, optional
        Density at which everything is stated; the facility's if absent. [kg/m^3]
    chosen : mapping of str to str, optional
        Baselines for runs that state none: label of the run to label of its baseline. [1]
    across_blocks : bool, optional
        Whether repeats, drift and proposed baselines may cross a change of block. [1]
    correct_drift : bool, optional
        Whether to take the drift out of the increments, in blocks where one is resolved. [1]

    Returns
    -------
    Parts
        One entry per run that has a baseline. [1]

    Raises
    ------
    DomainError
        If speed or density is not above 0.
    UnknownName
        If a chosen run or baseline is not among the runs that count.
    InputError
        If a run is chosen as its own baseline.

    Notes
    -----
    Loads by exact contrasts. Balance, surplus and verdicts by draws of the means on either side, which share the
    draws of any fit they have in common; the drift is not taken out of those.

    References
    ----------
    JCGM 101:2008 for the draws.
    """
    speed, density = reference_conditions(day.session, speed, air_density)
    pressure = float(dynamic_pressure(speed, density))
    if across_blocks:
        day = day_across_blocks(day)
    increments = find_increments(
        day.session,
        day.fits,
        dynamic_pressure=pressure,
        chosen=chosen,
        correct_drift=correct_drift,
        confidence=day.confidence,
    )
    sides: list[NDArray[np.float64]] = []
    where: dict[Hashable, int] = {}
    for pair in increments.pairs:
        for key, weights in zip(_sides(pair), side_weights(day.fits, pair), strict=True):
            if where.setdefault(key, len(sides)) == len(sides):
                sides.append(weights)
    states = MeanStates(day, np.array(sides).reshape(len(sides), len(day.readings.runs)), speed, density)
    run, base = (np.array([where[_sides(pair)[side]] for pair in increments.pairs], int) for side in (0, 1))
    surplus, target = states.surplus, day.session.vehicle.target.grip_surplus
    return Parts(
        day=day,
        increments=increments,
        speed=speed,
        air_density=density,
        aero_balance=_change(states.balance, states.balance_draws, run, base, day.confidence),
        grip_surplus=_change(surplus, states.surplus_draws, run, base, day.confidence),
        toward_target=np.abs(surplus[base] - target) - np.abs(surplus[run] - target),
        before=tuple(states.verdicts[k] for k in base),
        after=tuple(states.verdicts[k] for k in run),
        ranges_before=tuple(states.ranges[k] for k in base),
        ranges_after=tuple(states.ranges[k] for k in run),
        columns=tuple(
            column_increments(day.session, increments, column, correct_drift=correct_drift)
            for column in day.session.columns_with_values
        ),
    )


def rank_parts(parts: Parts, by: RankBy) -> tuple[int, ...]:
    """Rank parts, the most first.

    Each comparison once: repeats of one configuration and increments that mirror another are left out, as are
    those without the figure. Downforce per drag ranks only parts whose ratio is resolved and which gain
    downforce. Drag ranks the largest rise first. Nothing else is left out for being unresolved: the
    increments say so themselves.
    """
    increments = parts.increments
    change, ratios = increments.changes.change, increments.ratios
    figures = {
        RankBy.DOWNFORCE: change[:, TOTAL],
        RankBy.DRAG: change[:, DRAG],
        RankBy.REAR: change[:, REAR],
        RankBy.FRONT: change[:, FRONT],
        RankBy.TARGET: parts.toward_target,
        RankBy.DOWNFORCE_PER_DRAG: np.where(change[:, TOTAL] > 0.0, ratios.value, np.nan),
    }
    figure = figures[by]
    once: dict[tuple[tuple[int, ...], tuple[int, ...]], int] = {}
    for row, pair in enumerate(increments.pairs):
        if pair.shows_part and np.isfinite(figure[row]):
            once.setdefault((pair.runs, pair.baseline_runs), row)
    return tuple(sorted(once.values(), key=lambda row: (-figure[row], row)))


def _sides(pair: Pair) -> tuple[Hashable, Hashable]:
    """Return what tells the two sides of a pair from those of others."""
    return pair.runs, (pair.baseline_runs, pair.between)


def _change(
    value: NDArray[np.float64],
    draws: NDArray[np.float64] | None,
    run: NDArray[np.int_],
    base: NDArray[np.int_],
    confidence: float,
) -> Estimate:
    """Difference a quantity between runs and baselines, draw by draw."""
    change = value[run] - value[base]
    if draws is None or not change.size:
        return Estimate.where_known(change, None)
    parts = [
        spread(draws[:, run[k : k + CHUNK]] - draws[:, base[k : k + CHUNK]], confidence)
        for k in range(0, run.size, CHUNK)
    ]
    return Estimate.where_known(change, tuple(np.concatenate(ends) for ends in zip(*parts, strict=True)))


CHUNK = 20
"""Sets worked out at once: few enough for their draws to stay in a processor's cache."""


class MeanStates:
    """Aero balance, grip surplus and verdict of means of readings, from their weights, (means, readings).

    ``balance`` and ``surplus`` are (means,), their draws (draws, means) or nothing where the scatter is unknown;
    ``verdicts`` are those at the speed, ``ranges`` those over all speeds that the car sees.
    """

    def __init__(
        self,
        day: Day,
        weights: NDArray[np.float64],
        speed: float,
        air_density: float,
    ) -> None:
        fits, vehicle, shared = day.fits, day.session.vehicle, day.shared
        areas = (weights @ fits.readings.areas).T
        area_stds = fits.stds(weights)
        pressure = float(dynamic_pressure(speed, air_density))
        count = len(weights)
        self.balance, self.surplus = np.empty(count), np.empty(count)
        self.balance_draws: NDArray[np.float64] | None = None
        self.surplus_draws: NDArray[np.float64] | None = None
        if fits.known:
            self.balance_draws = np.empty((shared.count, count))
            self.surplus_draws = np.empty((shared.count, count))
        self.verdicts: list[Verdict] = []
        self.ranges: list[RangeVerdict] = []
        for start in range(0, count, CHUNK):
            part = slice(start, min(start + CHUNK, count))
            draws = fits.draws(weights[part], shared)
            handling = estimate_handling(
                areas[:, part],
                draws,
                speed,
                air_density,
                area_stds[:, part],
                vehicle,
                shared,
                confidence=day.confidence,
            )
            self.verdicts += handling.verdicts
            self.ranges += judge_means(day, weights[part], areas[:, part], draws, air_density)
            self.balance[part] = handling.aero_balance.value
            self.surplus[part] = handling.nominal.grip_surplus
            if draws is not None and self.balance_draws is not None and self.surplus_draws is not None:
                drawn = axle_state(draws, pressure, vehicle, drawn=shared.car)
                with np.errstate(divide="ignore", invalid="ignore"):
                    self.balance_draws[:, part] = drawn.front_downforce / drawn.downforce
                self.surplus_draws[:, part] = drawn.grip_surplus
