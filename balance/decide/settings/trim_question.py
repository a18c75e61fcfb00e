"""The question of a trim, put by screen or command line, and its whole answer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from balance.decide.car.changed_car import change_car
from balance.decide.day.conditions import reference_conditions
from balance.decide.settings.aims import offset_aim, surplus_aim
from balance.decide.settings.families import family_for, sister_families, value_of
from balance.decide.settings.moved_setting import Moved
from balance.decide.settings.response import fit_response
from balance.decide.settings.trim import solve_trim
from balance.model.errors import InputError
from balance.reduce.air import dynamic_pressure

if TYPE_CHECKING:
    from balance.decide.car.changed_car import ChangedCar
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.settings.aims import Aim
    from balance.decide.settings.trim import TrimAnswer
    from balance.model.records import Adjuster
    from balance.model.what_ifs import PlacedForce, StatedChange


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimQuestion:
    """What a setting should be put to, from a run as the present configuration.

    Aimed at is a balance offset, negative rearward of the weight, or a grip surplus at the speed of the
    answer; the car's own target where neither is given. What changes about the car is said as in a what-if.
    ``family`` names the runs that make the curve, where it is not the run's own family; ``limit`` is the
    downforce that a step of the setting has to gain for its drag.
    """

    run: str
    setting: str
    offset: float | None = None
    surplus: float | None = None
    on: tuple[str, ...] = ()
    off: tuple[str, ...] = ()
    stated: tuple[StatedChange, ...] = ()
    forces: tuple[PlacedForce, ...] = ()
    family: tuple[str, ...] = ()
    limit: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrimAnswers:
    """The answer, and those of the families that differ in one other setting (``alternatives``)."""

    question: TrimQuestion
    answer: TrimAnswer
    alternatives: tuple[TrimAnswer, ...]


def answer_trim(
    prepared: PreparedDay,
    question: TrimQuestion,
    *,
    speed: float | None = None,
    air_density: float | None = None,
) -> TrimAnswers:
    """Answer what a setting should be put to.

    The target surplus of the car file stands where no aim is given, the facility's speed and density where
    none is.
    """
    moved, aim, speed, density = prepare_trim(prepared, question, speed=speed, air_density=air_density)
    adjuster = adjuster_of(prepared, question.setting, moved.response.family.unit)
    answer = solve_trim(moved, aim, speed=speed, air_density=density, adjuster=adjuster)
    alternatives = []
    for family in sister_families(prepared, moved.response.family):
        other = replace(moved, response=fit_response(prepared, family, limit=question.limit))
        alternatives.append(solve_trim(other, aim, speed=speed, air_density=density, adjuster=adjuster))
    return TrimAnswers(question=question, answer=answer, alternatives=tuple(alternatives))


def prepare_trim(
    prepared: PreparedDay,
    question: TrimQuestion,
    *,
    speed: float | None = None,
    air_density: float | None = None,
) -> tuple[Moved, Aim, float, float]:
    """Make the changed car, its curve and the aim of a question.

    For `solve_trim` and `needed_change`: the car on its curve, the aim, the speed and the density.
    """
    if question.offset is not None and question.surplus is not None:
        raise InputError("target: found an aero balance and a grip balance, expected one of the two")
    speed, density = reference_conditions(prepared.day.session, speed, air_density)
    family = family_for(prepared, question.run, question.setting, question.family)
    response = fit_response(prepared, family, limit=question.limit)
    start = value_of(prepared, question.run, question.setting)
    low, high = response.tested
    if not low <= start <= high:
        raise InputError(
            f"run '{question.run}': found {question.setting} of {start:g} {family.unit}, outside the {low:g} to {high:g} "
            f"{family.unit} that runs {', '.join(family.labels)} tested; expected a run inside"
        )
    car = car_of_question(prepared, question)
    car.refuse_moving(question.setting)
    vehicle = prepared.day.session.vehicle
    aim: Aim
    if question.offset is not None:
        aim = offset_aim(vehicle, question.offset)
    else:
        wanted = vehicle.target.grip_surplus if question.surplus is None else question.surplus
        aim = surplus_aim(vehicle, wanted, float(dynamic_pressure(speed, density)))
    moved = Moved(prepared=prepared, car=car, response=response, base=response, start=start)
    return moved, aim, speed, density


def car_of_question(prepared: PreparedDay, question: TrimQuestion) -> ChangedCar:
    """Return the car of a question, with what is put on, taken off and stated."""
    return change_car(
        prepared,
        question.run,
        on=question.on,
        off=question.off,
        stated=question.stated,
        forces=question.forces,
    )


def adjuster_of(prepared: PreparedDay, setting: str, unit: str) -> Adjuster | None:
    """Find the real adjuster of a setting.

    That of the vehicle file, which the session's reader brought to the unit of the column.
    """
    for one in prepared.day.session.vehicle.adjusters:
        if one.setting == setting and one.unit == unit:
            return one
    return None
