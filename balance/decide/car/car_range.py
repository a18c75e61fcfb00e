"""One changed car over every speed that it sees, and whether it is past a limit at a named speed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.judged_means import judge_means
from balance.decide.day.range_verdict import RANGE_DRAWS, judge_range
from balance.handling.decisive_surplus import surpluses
from balance.handling.rest_state import rest_state
from balance.model.channels import front_rear_drag
from balance.reduce.air import dynamic_pressure
from balance.reduce.car_figures import figures_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.car.car_state import CarState
    from balance.decide.car.changed_car import ChangedCar
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.model.records import Session, Vehicle


def with_range(prepared: PreparedDay, state: CarState) -> CarState:
    """Return a car that was put together with its verdict over every speed that it sees."""
    return replace(state, over_range=judge_car(prepared, state))


def with_day_range(prepared: PreparedDay, car: ChangedCar, state: CarState) -> CarState:
    """Return a car of the day as it was tested, with the verdict that the day keeps, as of `judge_means`."""
    draws = None if state.draws is None else state.draws[:, :, None]
    (verdict,) = judge_means(prepared.day, car.weights[None], state.areas[:, None], draws, state.air_density)
    return replace(state, over_range=verdict)


def judge_car(prepared: PreparedDay, state: CarState) -> RangeVerdict:
    """Judge a car that was put together over every speed that it sees.

    By the same rule as a configuration of the day, `balance.decide.day.range_verdict.judge_range`.
    """
    draws = state.draws
    (verdict,) = judge_range(
        replace(prepared.day.session, vehicle=state.vehicle),
        state.areas[:, None],
        None if draws is None else draws[:, :RANGE_DRAWS, None],
        state.air_density,
        state.shared,
        confidence=prepared.day.confidence,
        set_up=state.set_up,
    )
    return verdict


def beyond_band_at_places(
    session: Session, areas: NDArray[np.float64], air_density: float, *, set_up: Vehicle | None = None
) -> NDArray[np.float64]:
    """Find how far cars are outside the band at the worst of the named places.

    Parameters
    ----------
    session : Session
        Named places and the car. [1]
    areas : numpy.ndarray
        (3, n) areas of front downforce, rear downforce and drag. [m^2]
    air_density : float
        Density of the air. [kg/m^3]
    set_up : Vehicle, optional
        The car whose set-up it has, where the weights were changed afterwards. [1]

    Returns
    -------
    numpy.ndarray
        (n,) grip surplus beyond the nearer edge, above 0 where it is outside; minus infinity where no place is named. [1]

    Notes
    -----
    By the lower surplus of without and under power, nominally. As of `balance.handling.decisive_surplus`.
    """
    car, target = session.vehicle, session.vehicle.target
    figures = figures_of(car, set_up)
    at_rest = 1.0 if set_up is None else rest_state(figures).grip_ratio
    worst = np.full(areas.shape[1], -np.inf)
    for speed in {place.speed for place in session.places}:
        front, rear, drag = front_rear_drag(areas * float(dynamic_pressure(speed, air_density)))
        s = surpluses(front, rear, drag, figures, driven_axle=car.driven, grip_ratio=at_rest).decisive
        worst = np.maximum(worst, np.maximum(s - target.rear_tolerance, -target.front_tolerance - s))
    return worst


def is_outside_at_a_place(prepared: PreparedDay, state: CarState) -> bool:
    """Return whether a car that was put together is beyond the band at a named place."""
    session = replace(prepared.day.session, vehicle=state.vehicle)
    beyond = beyond_band_at_places(session, state.areas[:, None], state.air_density, set_up=state.set_up)
    return bool(beyond[0] > 0.0)
