"""A suggested setting with all that has to stand beside it: its curve, the named places, mounts, tyres, and other ways."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.car_state import state_of
from balance.decide.parts.part_place import mount_load, tyre_loads
from balance.decide.settings.moved_setting import needed_change
from balance.decide.settings.setting_curve import SettingCurve, setting_curve
from balance.decide.settings.trim import best_answer
from balance.decide.settings.trim_question import answer_trim
from balance.decide.settings.ways import find_ways
from balance.model.channels import AXLES, CHANNELS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.car.car_state import CarState
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.parts.part_place import MountLoad, TyreLoad
    from balance.decide.settings.response import Response
    from balance.decide.settings.trim import Answer, TrimAnswer
    from balance.decide.settings.trim_question import TrimAnswers, TrimQuestion
    from balance.decide.settings.ways import Way
    from balance.model.records import Place

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftAlone:
    """What one axle would have to gain [N], or lose where negative, with the setting left where it is.

    ``low`` and ``high`` are the ends of the interval, not a number where the scatter is unknown.
    """

    axle: str
    change: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mount:
    """What carries the load: the runs that it was measured between, and the load at top speed."""

    run: str
    baseline: str
    load: MountLoad


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Suggestion:
    """What a setting should be, and what stands beside it.

    ``places`` is the car as suggested, at every named speed; ``left_alone`` what front or rear alone would
    need with the setting left alone. Mounts are those of what carries the setting and of the parts that are
    put on, and tyre loads those at top speed: empty without one. Ways stand with the cheapest in drag first.
    """

    answers: TrimAnswers
    curve: SettingCurve
    places: tuple[tuple[Place, CarState], ...]
    left_alone: tuple[LeftAlone, ...]
    mounts: tuple[Mount, ...]
    ways: tuple[Way, ...]
    tyres: tuple[TyreLoad, ...]

    @property
    def answer(self) -> Answer | None:
        """The first solution, or the nearest setting; nothing where the limits leave none."""
        return best_answer(self.answers.answer)


def suggest_setting(
    prepared: PreparedDay,
    question: TrimQuestion,
    *,
    speed: float | None = None,
    air_density: float | None = None,
) -> Suggestion:
    """Answer what a setting should be put to, with all that has to stand beside it.

    As of `balance.decide.settings.trim_question.answer_trim`; places, mounts and tyres are those of the first
    solution, or of the nearest setting where there is none.
    """
    answers = answer_trim(prepared, question, speed=speed, air_density=air_density)
    whole = answers.answer
    moved, best = whole.moved, best_answer(whole)
    vehicle = prepared.day.session.vehicle
    state = whole.before if best is None else best.state
    top = vehicle.top_speed
    return Suggestion(
        answers=answers,
        curve=setting_curve(moved, speed=whole.speed, air_density=whole.air_density),
        places=tuple(
            (place, state_at(prepared, state, place.speed)) for place in prepared.day.session.places
        ),
        left_alone=_left_alone(whole),
        ways=find_ways(prepared, answers),
        mounts=_mounts(prepared, answers, moved.start if best is None else best.value),
        tyres=()
        if top is None
        else tyre_loads(state.areas, vehicle, speed=top, air_density=whole.air_density),
    )


def state_at(prepared: PreparedDay, state: CarState, speed: float) -> CarState:
    """Look at the same car at another speed.

    In the same air, without onsets: those are the same. Coefficients are taken not to change with speed.
    """
    return state_of(
        prepared,
        state.areas,
        state.draws,
        state.stds / state.dynamic_pressure,
        vehicle=state.vehicle,
        speed=speed,
        air_density=state.air_density,
        set_up=state.set_up,
        onsets=False,
        shared=state.shared,
    )


def _left_alone(whole: TrimAnswer) -> tuple[LeftAlone, ...]:
    """State what either axle alone would have to gain or lose with the setting as it is."""
    moved = whole.moved
    if moved.base is not moved.response:
        return ()
    at = np.array([moved.start])
    needed = needed_change(moved, whole.aim, at, dynamic_pressure=whole.before.dynamic_pressure)
    return tuple(
        LeftAlone(axle=axle, change=change.item(), low=low.item(), high=high.item())
        for axle, (change, low, high) in zip(CHANNELS[AXLES], needed, strict=True)
        if np.isfinite(change.item())
    )


def _mounts(prepared: PreparedDay, answers: TrimAnswers, value: float) -> tuple[Mount, ...]:
    """Find what the mounts of the moved thing carry, and those of the parts that are put on."""
    density, labels = answers.answer.air_density, prepared.day.readings.labels
    carrier = _carrier(prepared, answers.answer.moved.response, value)
    runs = (*(() if carrier is None else (carrier,)), *answers.question.on)
    baselines = {labels[pair.run]: labels[pair.baseline] for pair in prepared.increments.pairs}
    loads = {run: mount_load(prepared, run, air_density=density) for run in runs}
    return tuple(
        Mount(run=run, baseline=baselines[run], load=load) for run, load in loads.items() if load is not None
    )


def _carrier(prepared: PreparedDay, response: Response, value: float) -> str | None:
    """Find the run that tells best what the moved thing carries: against a baseline without it, loaded as much or more."""
    family, fitted = response.family, prepared.increments.fitted
    labels = prepared.day.readings.labels
    without = {
        labels[pair.run]
        for pair in prepared.increments.pairs
        if fitted.setting(pair.baseline, family.setting) is None
    }
    known = [
        (at < value if response.rising else at > value, abs(at - value), label)
        for at, some in zip(family.values.tolist(), family.runs, strict=True)
        for label in some
        if label in without
    ]
    return min(known)[2] if known else None
