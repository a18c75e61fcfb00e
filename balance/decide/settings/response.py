"""How a car answers to a setting between the values that were tested, and how far that can be used."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.monotone_cubic import monotone_cubic
from balance.model.channels import AXLES, CHANNELS, DRAG, FRONT, REAR
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.compare.monotone_cubic import MonotoneCubic
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.settings.families import Family

SLIGHT_FALL = 0.02
"""Share of what an axle gains over a sweep that a fall has to exceed to be one, where the scatter is unknown."""
FLATTER = 0.5
"""Share of the mean slope before it below which a step levels off."""
STALLED_SHARE = 0.5
POSSIBLY_SHARE = 0.05
"""Shares of draws from which a step is stalled, and possibly stalled."""


class RangeEnd(StrEnum):
    """Why a useful range ends where it does."""

    LAST_TESTED = "last tested setting"
    NO_RISE = "the axle's downforce does not rise further"
    COSTS_MORE = "more drag than the limit allows for the downforce gained"


class Stall(StrEnum):
    """What has to be said of a setting that is offered near a stall."""

    POSSIBLY = "possibly stalled"
    LEVELS_OFF = "levels off"
    NEXT = "next to the stall"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """From one tested setting to the next in the direction in which the setting loads its axle.

    Changes are areas [m²]. ``stalled_share`` is of the draws, not a number where the scatter is unknown.
    ``levels_off`` says that the setting's axle gains much less than before, ``why`` which of the two conditions fails,
    nominally.
    """

    start: float
    end: float
    own: float
    downforce: float
    drag: float
    stalled_share: float
    stalled: bool
    possibly_stalled: bool
    levels_off: bool
    why: RangeEnd | None

    def holds(self, value: float) -> bool:
        """Return whether a setting lies in this step."""
        return min(self.start, self.end) <= value <= max(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Response:
    """The curve of one family: front downforce, rear downforce and drag areas over the setting.

    The curves run through the means, (3, settings) and (3, draws, settings) [m²]; nothing is drawn where the
    scatter is unknown. ``own_axle`` is the one that the setting loads, ``rising`` whether a larger setting
    loads it more. Steps are between neighbouring tested settings, in the direction of loading; ``useful`` is
    the lowest and highest setting of the useful range, and ``ends_because`` says why it ends on the loaded
    side. ``limit`` is the downforce that a step has to gain for its drag.
    """

    family: Family
    curve: MonotoneCubic
    drawn: MonotoneCubic | None
    own_axle: str
    rising: bool
    steps: tuple[Step, ...]
    useful: tuple[float, float]
    ends_because: RangeEnd
    limit: float

    @property
    def tested(self) -> tuple[float, float]:
        """Lowest and highest setting that was tested."""
        return float(self.family.values[0]), float(self.family.values[-1])

    @property
    def loaded_end(self) -> float:
        """The end of the useful range on the loaded side."""
        return self.useful[1] if self.rising else self.useful[0]

    def step_at(self, value: float) -> Step:
        """Return the step that a setting lies in; at a tested setting the one that leads up to it."""
        return next(step for step in self.steps if step.holds(value))

    def stall_at(self, value: float) -> tuple[Stall, ...]:
        """Return what has to be said of a setting: its step possibly stalled or levelling off, or the last before a stall."""
        step = self.step_at(value)
        into = value != step.start
        last = self.ends_because is not RangeEnd.LAST_TESTED and self.loaded_end in (value, step.end)
        found = {
            Stall.POSSIBLY: step.possibly_stalled and into,
            Stall.LEVELS_OFF: step.levels_off and into,
            Stall.NEXT: last and self.family.stalls,
        }
        return tuple(one for one, there in found.items() if there)


def fit_response(
    prepared: PreparedDay, family: Family, *, limit: float = 1.0, drawn: bool = True
) -> Response:
    """Lay the curves of a family, and find its useful range.

    The setting's own axle is the one whose downforce changes most over the sweep. It loads that axle toward
    the end where its downforce is greatest; where that is between the ends, toward the end with more drag. In
    that direction the range ends before the first step where the own axle does not gain, or where downforce
    gained less ``limit`` times drag gained is not above 0: differences of tested means, never a quotient and
    never the curve's slope. That step and all beyond are withheld. With draws, a step fails when more than
    half of them say so, and, but for a length, is possibly a stall where 5 % do, and still do over it and the step behind it: one
    reading that is low by its scatter is no stall where the next one has made good for it; where the scatter
    is unknown, a fall of the own axle fails where it exceeds 2 % of what that axle gains over the sweep, and
    levels off below that. A step levels off too where the 95 % interval of its slope lies below half the mean
    slope before it.
    """
    key = (family.setting, family.runs, family.differs, family.chosen, limit, drawn)
    known = prepared.curves.get(key)
    if isinstance(known, Response):
        return known
    if not 0.0 <= limit < np.inf:
        raise DomainError(f"limit: found {limit:g}, expected 0 or more of downforce for each unit of drag")
    means = prepared.areas(family.weights)
    draws = prepared.drawn(family.weights) if drawn else None
    spread = np.ptp(means[AXLES], axis=1)
    own = int(np.argmax(spread))
    rising = _loads_upward(means[own], means[DRAG])
    order = np.arange(family.values.size) if rising else np.arange(family.values.size)[::-1]
    gained = float(means[own].max() - means[own, order[0]])
    slight = 0.0 if prepared.day.repeatability.known else SLIGHT_FALL * max(gained, 0.0)
    steps: list[Step] = []
    behind = [*order[2:].tolist(), None]
    for before, after, then in zip(order[:-1].tolist(), order[1:].tolist(), behind, strict=True):
        change = means[:, after] - means[:, before]
        total, drag = float(change[FRONT] + change[REAR]), float(change[DRAG])
        why = _fails(float(change[own]), total, drag, limit, slight)
        share = both = np.nan
        if draws is not None:
            bad = _bad(draws, own, limit, before, after)
            share = float(np.count_nonzero(bad) / bad.size)
            still = bad if then is None else bad & _bad(draws, own, limit, before, then)
            both = float(np.count_nonzero(still) / bad.size)
        stalled = why is not None if draws is None else share > STALLED_SHARE
        steps.append(
            Step(
                start=float(family.values[before]),
                end=float(family.values[after]),
                own=float(change[own]),
                downforce=total,
                drag=drag,
                stalled_share=share,
                stalled=stalled,
                possibly_stalled=family.stalls
                and not stalled
                and draws is not None
                and both >= POSSIBLY_SHARE,
                levels_off=not stalled
                and (change[own] <= 0.0 or _flatter(family.values, draws, own, order, before, after)),
                why=(why or RangeEnd.COSTS_MORE) if stalled else why,
            )
        )
    first_bad = next((step for step in steps if step.stalled), None)
    begin = steps[0].start
    end = steps[-1].end if first_bad is None else first_bad.start
    because = RangeEnd.LAST_TESTED if first_bad is None else (first_bad.why or RangeEnd.COSTS_MORE)
    response = Response(
        family=family,
        curve=monotone_cubic(family.values, means),
        drawn=None if draws is None else monotone_cubic(family.values, draws),
        own_axle=CHANNELS[own],
        rising=rising,
        steps=tuple(steps),
        useful=(min(begin, end), max(begin, end)),
        ends_because=because,
        limit=limit,
    )
    prepared.curves[key] = response
    return response


def _bad(draws: NDArray[np.float64], own: int, limit: float, before: int, after: int) -> NDArray[np.bool_]:
    """Return of each draw whether the axle does not gain from one setting to another, or costs too much drag."""
    moved = draws[:, :, after] - draws[:, :, before]
    return np.asarray((moved[own] <= 0.0) | (moved[FRONT] + moved[REAR] - limit * moved[DRAG] <= 0.0))


def _loads_upward(own: NDArray[np.float64], drag: NDArray[np.float64]) -> bool:
    """Return whether a larger setting loads the axle more."""
    highest = int(np.argmax(own))
    if highest in (0, own.size - 1):
        return highest != 0
    return bool(drag[-1] > drag[0])


def _flatter(
    values: NDArray[np.float64],
    draws: NDArray[np.float64] | None,
    own: int,
    order: NDArray[np.int_],
    before: int,
    after: int,
) -> bool:
    """Return whether a step gains less than half of the mean slope before it, for sure."""
    first = int(order[0])
    if draws is None or before == first:
        return False
    load = draws[own]
    usual = (load[:, before] - load[:, first]) / abs(values[before] - values[first])
    slope = (load[:, after] - load[:, before]) / abs(values[after] - values[before])
    return bool(np.quantile(slope - FLATTER * usual, 0.975) < 0.0)


def _fails(own: float, downforce: float, drag: float, limit: float, slight: float) -> RangeEnd | None:
    if own < -slight or (own <= 0.0 and slight == 0.0):
        return RangeEnd.NO_RISE
    level = slight if own <= 0.0 else 0.0  # a fall that may be none
    return RangeEnd.COSTS_MORE if downforce + level - limit * drag <= 0.0 else None
