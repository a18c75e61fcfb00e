"""What a setting should be after a change: every solution, how sure it is, and what is missing where there is none."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.car_range import beyond_band_at_places, is_outside_at_a_place, judge_car
from balance.decide.car.car_state import scaling_assumptions
from balance.decide.car.changed_car import Assumption
from balance.decide.settings.aims import OffsetAim, drawn_aim
from balance.decide.settings.families import of_other_runs, of_suspect_runs
from balance.decide.settings.response import RangeEnd, Stall
from balance.decide.settings.trim_roots import all_roots, drawn_roots
from balance.handling.axle_loads import aero_balance
from balance.model.channels import AXLES, DRAG, FRONT, REAR, front_rear_drag
from balance.reduce.draws import coverage_interval

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.car.car_state import CarState
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.settings.aims import Aim
    from balance.decide.settings.moved_setting import Moved
    from balance.decide.settings.response import Response
    from balance.model.records import Adjuster

    Array = NDArray[np.float64]

_LOOKED_AT = 201  # settings among which the closest is sought


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hole:
    """A hole of the real adjuster, and the car there."""

    name: str
    value: float
    state: CarState


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Answer:
    """A setting, how sure it is, and the car there.

    ``low`` and ``high`` are infinite where draws run beyond the useful range, not a number where the scatter is unknown.
    ``over_range`` is the verdict over every speed that the car sees, ``outside`` whether it is beyond the band at a named
    place, so that it is no answer to begin with.
    ``missing_front`` and ``missing_rear`` [N] are what either axle alone would still need at this speed, positive;
    ``None`` where more there would not help. ``stall`` is what has to be said of a setting near a stall. ``holes`` are the neighbouring ones, the one with more rear grip first.
    """

    value: float
    low: float
    high: float
    reached_share: float
    state: CarState
    over_range: RangeVerdict
    outside: bool
    missing_front: float | None
    missing_rear: float | None
    stall: tuple[Stall, ...]
    holes: tuple[Hole, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrimAnswer:
    """Everything that answers "what should the setting be?".

    ``closest`` stands where there is no solution that is inside the band at every named speed. ``domain`` is the useful range inside the series' limits, or
    nothing where they do not meet.
    """

    moved: Moved
    aim: Aim
    speed: float
    air_density: float
    domain: tuple[float, float] | None
    adjuster: Adjuster | None
    before: CarState
    solutions: tuple[Answer, ...]
    closest: Answer | None
    assumptions: tuple[Assumption, ...]


def solve_trim(
    moved: Moved, aim: Aim, *, speed: float, air_density: float, adjuster: Adjuster | None = None
) -> TrimAnswer:
    """Find every setting at which a changed car meets an aim.

    ``run + curve(setting) - curve(setting of the run) + changes``. A balance offset is met only where both
    axles are pressed down and total downforce is clear of its uncertainty. Solutions are those inside the
    useful range and the limits of the adjuster: those outside the band at a named place last, before them
    possibly stalled ones, then by rising drag. Intervals hold the scatter, not the shape between tested
    settings.
    """
    response = moved.response
    domain = _domain(response, adjuster)
    before = replace(moved, response=moved.base).state(moved.start, speed=speed, air_density=air_density)

    def answer(value: float, *, rises: bool) -> Answer:
        state = moved.state(value, speed=speed, air_density=air_density)
        low, high, share = _interval(moved, aim, value, rises=rises)
        return Answer(
            value=value,
            low=low,
            high=high,
            reached_share=share,
            state=state,
            over_range=judge_car(moved.prepared, state),
            outside=is_outside_at_a_place(moved.prepared, state),
            missing_front=None,
            missing_rear=None,
            stall=response.stall_at(value),
            holes=_holes(moved, adjuster, domain, value, speed, air_density),
        )

    solutions: list[Answer] = []
    closest = None
    if domain is not None:
        roots = all_roots(aim, response.curve, moved.offset, domain)
        found = [answer(value, rises=rises) for value, rises in roots]
        solutions = [one for one in found if _meaningful(one, aim)]
        solutions.sort(key=lambda one: (one.outside, Stall.POSSIBLY in one.stall, one.state.areas[DRAG]))
        if all(one.outside for one in solutions):
            value, rises = _closest(moved, aim, domain, air_density)
            closest = _with_missing(answer(value, rises=rises), aim)
    return TrimAnswer(
        moved=moved,
        aim=aim,
        speed=speed,
        air_density=air_density,
        domain=domain,
        adjuster=adjuster,
        before=before,
        solutions=tuple(solutions),
        closest=closest,
        assumptions=(*moved.car.assumptions, *_assumptions(moved, adjuster, before)),
    )


def best_answer(answer: TrimAnswer) -> Answer | None:
    """Choose what to look at first of an answer: never one that is past a limit at a named speed.

    The first solution, since possibly stalled ones stand last, else the nearest setting; nothing where the
    limits leave none.
    """
    first = answer.solutions[0] if answer.solutions else None
    return answer.closest if first is None or first.outside else first


def _domain(response: Response, adjuster: Adjuster | None) -> tuple[float, float] | None:
    low, high = response.useful
    if adjuster is not None:
        low = low if adjuster.low is None else max(low, adjuster.low)
        high = high if adjuster.high is None else min(high, adjuster.high)
    return (low, high) if low <= high else None


def _interval(moved: Moved, aim: Aim, value: float, *, rises: bool) -> tuple[float, float, float]:
    """Return the interval of a setting, and the share of draws that meet the aim at all."""
    offset, curve = moved.offset_draws, moved.response.drawn
    if offset is None or curve is None:
        return np.nan, np.nan, np.nan
    aimed = drawn_aim(aim, moved.prepared.shared)
    roots = drawn_roots(aimed, curve, offset, moved.response.useful, near=value, rises=rises)
    low, high = coverage_interval(roots[:, None], moved.prepared.day.confidence)
    return float(low[0]), float(high[0]), float(np.count_nonzero(np.isfinite(roots)) / roots.size)


def _closest(moved: Moved, aim: Aim, domain: tuple[float, float], air_density: float) -> tuple[float, bool]:
    """Find the setting that comes nearest to the aim and is inside the band at every named speed, else the least outside.

    Tells too whether the miss rises over the domain.
    """
    grid = np.unique(
        np.append(np.linspace(*domain, _LOOKED_AT), np.clip(moved.response.family.values, *domain))
    )
    areas = moved.response.curve(grid) + moved.offset[:, None]
    miss = aim.miss(*front_rear_drag(areas))
    far = np.abs(miss)
    if isinstance(aim, OffsetAim):
        share = np.abs(aero_balance(areas[FRONT], areas[REAR]) - aim.share)
        far = np.where(np.isfinite(share), share, np.inf) if np.any(np.isfinite(share)) else far
    beyond = beyond_band_at_places(moved.prepared.day.session, areas, air_density)
    far = np.where(beyond <= 0.0, far, np.inf) if np.any(beyond <= 0.0) else beyond
    return float(grid[np.argmin(far)]), bool(miss[-1] > miss[0])


def _with_missing(answer: Answer, aim: Aim) -> Answer:
    """Add what either axle alone would still need."""
    state = answer.state
    front, rear = (float(v) * state.dynamic_pressure for v in aim.needed(*front_rear_drag(state.areas)))
    return replace(
        answer,
        missing_front=front if front > 0.0 else None,
        missing_rear=rear if rear > 0.0 else None,
    )


def _meaningful(answer: Answer, aim: Aim) -> bool:
    """Return whether a root is one: a balance needs both axles pressed down, a surplus both on the ground."""
    if aim.kind == "balance_offset":
        balance = answer.state.handling.aero_balance.value[0]
        front, rear = answer.state.areas[AXLES]
        return bool(np.isfinite(balance)) and bool(np.isfinite(aero_balance(front, rear)))
    return bool(np.isfinite(answer.state.handling.grip_surplus.value[0]))


def _holes(
    moved: Moved,
    adjuster: Adjuster | None,
    domain: tuple[float, float] | None,
    value: float,
    speed: float,
    air_density: float,
) -> tuple[Hole, ...]:
    """Return the holes on either side of a setting, the one with more rear grip first."""
    if adjuster is None or domain is None:
        return ()
    usable = [(at, name) for name, at in adjuster.holes if domain[0] <= at <= domain[1]]
    below = max((hole for hole in usable if hole[0] <= value), default=None)
    above = min((hole for hole in usable if hole[0] >= value), default=None)
    near = {hole for hole in (below, above) if hole is not None}
    made = [
        Hole(name=name, value=at, state=moved.state(at, speed=speed, air_density=air_density))
        for at, name in near
    ]
    return tuple(sorted(made, key=lambda hole: -hole.state.handling.grip_surplus.value[0]))


def _assumptions(moved: Moved, adjuster: Adjuster | None, before: CarState) -> tuple[Assumption, ...]:
    """State what the curve, the holes and the speed leave open."""
    family = moved.response.family
    found = of_other_runs(family)
    if moved.base is not moved.response:
        found.append(Assumption(kind="curve of another family", values={"runs": ", ".join(family.labels)}))
    if moved.car.row not in [moved.prepared.row(label) for label in moved.base.family.labels]:
        run = moved.prepared.day.readings.labels[moved.car.row]
        found.append(Assumption(kind="start not on the curve", values={"run": run}))
    found += of_suspect_runs(moved.prepared, family)
    if moved.response.ends_because is RangeEnd.LAST_TESTED:
        found.append(
            Assumption(
                kind="stall not found", values={"value": moved.response.loaded_end, "unit": family.unit}
            )
        )
    if adjuster is None or (adjuster.low is None and adjuster.high is None):
        found.append(Assumption(kind="no limits stated", values={"setting": family.setting}))
    else:
        found.append(Assumption(kind="limits", values={"confirmed_by": adjuster.confirmed_by}))
    found.append(Assumption(kind="shape between tested settings"))
    found += scaling_assumptions(moved.prepared, moved.car.row, before)
    return tuple(found)
