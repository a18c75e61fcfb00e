"""Every measured way to balance from a car: one change, or one part with the setting trimmed to it, cheapest in drag first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.decide.car.car_range import is_outside_at_a_place, judge_car
from balance.decide.car.car_state import force_change, state_of
from balance.decide.car.changed_car import Assumption
from balance.decide.day.verdict import VerdictWord
from balance.decide.settings.aims import SurplusAim
from balance.decide.settings.ballast import find_ballast, placed
from balance.decide.settings.response import Stall
from balance.decide.settings.trim import best_answer, solve_trim
from balance.decide.settings.trim_question import adjuster_of, car_of_question, prepare_trim
from balance.decide.what_if.what_if_vehicle import draws_of
from balance.model.channels import DRAG, TOTAL, front_rear_drag
from balance.model.errors import InputError, UnknownName
from balance.model.what_ifs import WhatIf
from balance.reduce.draws import coverage_interval

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from balance.decide.car.car_state import CarState
    from balance.decide.car.changed_car import ChangedCar
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.estimate import Estimate
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.settings.ballast import Ballast
    from balance.decide.settings.trim import TrimAnswer
    from balance.decide.settings.trim_question import TrimAnswers

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """A measured part: its position among the increments, and whether it goes on or comes off."""

    row: int
    on: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Way:
    """One way to balance, or towards it.

    Settings moved stand with value and unit; ``fitted`` are those in which another family differs, whose
    curve is used. ``runs`` are what it rests on. ``state`` is the car then, at the speed of the question, and
    ``change`` (4,) of front, rear, drag and total against the car as it is [N]. ``outside`` is whether it is
    beyond the band at a named place, ``stall`` what has to be said of a setting near one, ``measured``
    whether every step of it was run as such, nothing read off a curve between runs or put together.
    """

    kind: Literal["setting", "part", "ballast"]
    settings: Mapping[str, tuple[float, str]]
    fitted: tuple[str, ...]
    part: Part | None
    ballast: Ballast | None
    runs: tuple[str, ...]
    state: CarState
    change: Estimate
    over_range: RangeVerdict
    outside: bool
    stall: tuple[Stall, ...]
    measured: bool
    assumptions: tuple[Assumption, ...]

    @property
    def drag_draws(self) -> Array | None:
        """Draws of its drag, (draws,) [m²]; nothing where the scatter is unknown."""
        return None if self.state.draws is None else self.state.draws[DRAG]

    @property
    def to_target(self) -> bool:
        """Whether it is green: in balance over the range for sure, at every named speed, at no setting possibly stalled."""
        one = self.over_range
        sure = one.certain and not one.refit_assumed and Stall.POSSIBLY not in self.stall
        return one.word is VerdictWord.IN_BALANCE and sure and not self.outside

    @property
    def downforce_per_drag(self) -> float | None:
        """Downforce gained for drag, where both rise or both fall and the drag's interval does not reach 0."""
        drag, total = float(self.change.value[DRAG]), float(self.change.value[TOTAL])
        unclear = not (self.change.low[DRAG] > 0.0 or self.change.high[DRAG] < 0.0)
        return None if unclear or drag * total <= 0.0 else total / drag


def costs_alike(ways: Sequence[Way], confidence: float) -> tuple[bool, ...]:
    """Find the ways whose drag the day cannot tell from that of the way before.

    One a way; the first of a list, and the first of those towards the target, are told from none. Draw by
    draw, so that what two ways share counts once; without draws none are told apart.
    """
    alike = [False] * len(ways)
    for k, (one, other) in enumerate(pairwise(ways), 1):
        if one.to_target is not other.to_target:
            continue
        first, second = one.drag_draws, other.drag_draws
        if first is None or second is None:
            alike[k] = True
            continue
        low, high = coverage_interval(second - first, confidence)
        alike[k] = bool(low <= 0.0 <= high)
    return tuple(alike)


def find_ways(prepared: PreparedDay, answers: TrimAnswers) -> tuple[Way, ...]:
    """Find every measured way to balance from the car of a trim.

    Setting by setting along its own curve; the setting of the question on the curve of another family; each
    measured part put on or taken off, alone and with the setting trimmed to it; ballast added at an axle line
    or moved between them. First those to the target, in balance for sure over every speed, the cheapest in
    drag first; then, likewise, those towards it, nearer to the aim than the car is.
    """
    whole = answers.answer
    ways = [
        *_settings(prepared, answers),
        *_families(prepared, answers),
        *_parts(prepared, answers),
        *_ballast(prepared, answers),
    ]
    aim, before = whole.aim, whole.before

    def far(state: CarState) -> float:
        if not isinstance(aim, SurplusAim):
            return abs(float(aim.miss(*front_rear_drag(state.areas))))
        surplus = state.handling.verdicts[0].surplus
        return abs(surplus - aim.target) if np.isfinite(surplus) else np.inf

    question = answers.question
    if question.on or question.off or question.stated or question.forces or question.family:
        ways = [replace(way, measured=False) for way in ways]  # the car itself was put together
    kept = [way for way in ways if way.to_target or far(way.state) < far(before) - 1e-6]
    kept = list({_car(way, k): way for k, way in reversed(list(enumerate(kept)))}.values())[::-1]
    return tuple(sorted(kept, key=lambda way: (not way.to_target, float(way.change.value[DRAG]))))


def _car(way: Way, position: int) -> tuple[object, ...]:
    """Tell by its figures the car of a way, so that a setting moved and a part put on are told once where they are one car."""
    if way.ballast is not None:
        return (position,)
    return tuple(np.round(way.state.areas, 12)), tuple(np.round(way.change.high, 9))


def _settings(prepared: PreparedDay, answers: TrimAnswers) -> Iterator[Way]:
    """Move one setting of the car along its own curve."""
    yield from _along(prepared, answers.answer.before, answers.answer)
    question = answers.question
    run = prepared.day.readings.runs[prepared.row(question.run)]
    for name, held in run.settings.items():
        if not held.numeric or name == question.setting:
            continue
        other = replace(question, setting=name, family=())
        try:
            moved, aim, speed, density = prepare_trim(
                prepared, other, speed=answers.answer.speed, air_density=answers.answer.air_density
            )
        except (InputError, UnknownName):
            continue  # the car lies on no curve of that setting
        adjuster = adjuster_of(prepared, name, moved.response.family.unit)
        answer = solve_trim(moved, aim, speed=speed, air_density=density, adjuster=adjuster)
        yield from _along(prepared, answers.answer.before, answer)


def _along(
    prepared: PreparedDay,
    before: CarState,
    answer: TrimAnswer,
    *,
    fitted: tuple[str, ...] = (),
    part: Part | None = None,
) -> Iterator[Way]:
    """Take the best setting of one curve, against the car as it is."""
    best = best_answer(answer)
    if best is None or (best.value == answer.moved.start and not fitted and part is None):
        return
    family = answer.moved.response.family
    used = [
        run
        for value, runs in zip(family.values.tolist(), family.runs, strict=True)
        for run in runs
        if value == best.value
    ] or list(family.labels)
    yield _way(
        prepared,
        before,
        best.state,
        kind="setting" if part is None else "part",
        settings={family.setting: (best.value, family.unit)},
        fitted=fitted,
        part=part,
        runs=tuple(dict.fromkeys(used)),
        measured=part is None and best.value in family.values.tolist(),
        over_range=best.over_range,
        stall=best.stall,
        assumptions=answer.assumptions,
    )


def _families(prepared: PreparedDay, answers: TrimAnswers) -> Iterator[Way]:
    """Put the setting of the question on the curve of another family: where it is, and trimmed."""
    for other in answers.alternatives:
        moved, fitted = other.moved, other.moved.response.family.differs
        low, high = moved.response.useful
        if low <= moved.start <= high:
            family, whole = moved.response.family, answers.answer
            values = family.values.tolist()
            yield _way(
                prepared,
                whole.before,
                moved.state(moved.start, speed=whole.speed, air_density=whole.air_density, onsets=False),
                kind="setting",
                fitted=fitted,
                runs=family.runs[values.index(moved.start)] if moved.start in values else family.labels,
                measured=moved.start in values,
                stall=moved.response.stall_at(moved.start),
                assumptions=other.assumptions,
            )
        yield from (
            way
            for way in _along(prepared, answers.answer.before, other, fitted=fitted)
            if way.settings[answers.question.setting][0] != moved.start
        )


def _parts(prepared: PreparedDay, answers: TrimAnswers) -> Iterator[Way]:
    """Put each measured part on or take it off, alone and with the setting of the question trimmed to it."""
    whole, question = answers.answer, answers.question
    labels = prepared.day.readings.labels
    skipped = {
        question.setting,
        *(one for other in answers.alternatives for one in other.moved.response.family.differs),
    }
    seen: set[tuple[object, ...]] = set()
    for row, pair in enumerate(prepared.increments.pairs):
        label = labels[pair.run]
        if not pair.shows_part or skipped & set(pair.differs) or label in (*question.on, *question.off):
            continue
        for on in (True, False):
            car = _with_part(prepared, answers, label, on=on)
            if car is None:
                continue
            key = (on, tuple(np.round(car.areas, 12)))
            if key in seen:
                continue
            seen.add(key)
            yield from _with(prepared, answers, whole, car, Part(row=row, on=on))


def _with_part(prepared: PreparedDay, answers: TrimAnswers, label: str, *, on: bool) -> ChangedCar | None:
    """Put a part on the car of a trim, or take it off; nothing where that cannot be, or changes nothing."""
    question, start = answers.question, answers.answer.moved.car
    fitted, pairs = prepared.increments.fitted, prepared.increments.pairs
    if not on:
        pair = next(one for one in pairs if prepared.day.readings.labels[one.run] == label and one.shows_part)
        changed = fitted.codes[pair.run] != fitted.codes[pair.baseline]
        if not np.array_equal(start.codes[changed], fitted.codes[pair.run, changed]):
            return None  # it is not on the car, or was taken off under another run's name
    try:
        car = car_of_question(
            prepared,
            replace(question, on=(*question.on, label))
            if on
            else replace(question, off=(*question.off, label)),
        )
    except InputError:
        return None  # the part was measured on a car that this one is not
    moves = question.setting in car.moved
    return None if moves or np.allclose(car.areas, start.areas, rtol=0.0, atol=1e-12) else car


def _with(
    prepared: PreparedDay, answers: TrimAnswers, whole: TrimAnswer, car: ChangedCar, part: Part
) -> Iterator[Way]:
    """Take a part alone, then with the setting trimmed to it."""
    moved = replace(whole.moved, car=car)
    pair = prepared.increments.pairs[part.row]
    labels = prepared.day.readings.labels
    runs = tuple(labels[k] for k in (*pair.runs, *pair.baseline_runs))
    yield _way(
        prepared,
        whole.before,
        moved.state(moved.start, speed=whole.speed, air_density=whole.air_density, onsets=False),
        kind="part",
        part=part,
        runs=runs,
        measured=not any(one.kind.startswith("part") for one in car.assumptions),
        assumptions=car.assumptions,
    )
    trimmed = solve_trim(
        moved, whole.aim, speed=whole.speed, air_density=whole.air_density, adjuster=whole.adjuster
    )
    yield from (
        replace(way, runs=(*runs, *way.runs))
        for way in _along(prepared, whole.before, trimmed, part=part)
        if way.settings[answers.question.setting][0] != moved.start
    )


def _ballast(prepared: PreparedDay, answers: TrimAnswers) -> Iterator[Way]:
    """Add ballast at an axle line, or move it from one to the other."""
    whole = answers.answer
    if not isinstance(whole.aim, SurplusAim):
        return
    before, car = whole.before, prepared.day.session.vehicle
    front, rear, drag = (float(v) for v in front_rear_drag(before.areas * before.dynamic_pressure))
    for ballast, vehicle in find_ballast(car, front, rear, drag, whole.aim.target):
        state = state_of(
            prepared,
            before.areas,
            before.draws,
            before.stds / before.dynamic_pressure,
            vehicle=vehicle,
            set_up=car,
            speed=whole.speed,
            air_density=whole.air_density,
            onsets=False,
            shared=draws_of(
                prepared.shared,
                car,
                vehicle,
                WhatIf(name="", start=answers.question.run, masses=placed(ballast, car.wheelbase)),
            ),
        )
        yield _way(
            prepared,
            before,
            state,
            kind="ballast",
            ballast=ballast,
            runs=(answers.question.run,),
            measured=False,
            assumptions=(
                Assumption(
                    kind="set-up stays", values={"mass": vehicle.mass, "front_share": vehicle.front_share}
                ),
                Assumption(kind="ballast moved" if ballast.moved else "ballast added"),
            ),
        )


def _way(
    prepared: PreparedDay,
    before: CarState,
    state: CarState,
    *,
    kind: Literal["setting", "part", "ballast"],
    runs: tuple[str, ...],
    measured: bool,
    assumptions: tuple[Assumption, ...],
    settings: Mapping[str, tuple[float, str]] = MappingProxyType({}),
    fitted: tuple[str, ...] = (),
    part: Part | None = None,
    ballast: Ballast | None = None,
    over_range: RangeVerdict | None = None,
    stall: tuple[Stall, ...] = (),
) -> Way:
    return Way(
        kind=kind,
        settings=settings,
        fitted=fitted,
        part=part,
        ballast=ballast,
        runs=runs,
        state=state,
        change=force_change(before, state, prepared.day.confidence),
        over_range=over_range or judge_car(prepared, state),
        outside=is_outside_at_a_place(prepared, state),
        stall=stall,
        measured=measured,
        assumptions=assumptions,
    )
