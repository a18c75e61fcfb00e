"""What the car would be like if: the result beside the start, with everything that was assumed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.car_range import with_day_range, with_range
from balance.decide.car.car_state import force_change, scaling_assumptions, state_of
from balance.decide.car.changed_car import Assumption, change_car
from balance.decide.day.conditions import reference_conditions
from balance.decide.day.estimate import Estimate, estimate_handling
from balance.decide.day.join_estimates import join_estimates
from balance.decide.day.range_verdict import RANGE_DRAWS
from balance.decide.what_if.what_if_settings import moved_by_settings
from balance.decide.what_if.what_if_vehicle import conditions_of, draws_of, vehicle_of
from balance.handling.axle_state import axle_state
from balance.reduce.draws import spread

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.car.car_state import CarState
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.estimate import HandlingEstimates
    from balance.model.what_ifs import WhatIf

    Array = NDArray[np.float64]

_BAND_POINTS = 50_000  # numbers in one array of draws: small enough to stay in a processor's cache


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhatIfResult:
    """A what-if beside the run that it starts from.

    ``start`` is the run's car as it is, at the speed and density asked for, ``result`` the changed one, at
    its own where it has them. ``forces`` is the (4,) change of front, rear, drag and total [N]; the others
    are (1,) changes, not a number where either side has none.
    """

    what_if: WhatIf
    start: CarState
    result: CarState
    forces: Estimate
    aero_balance: Estimate
    grip_surplus: Estimate
    neutral_steer_shift: Estimate
    assumptions: tuple[Assumption, ...]

    @property
    def changes_verdict(self) -> bool:
        """Whether another axle is overpowered than at the start, each at its speed."""
        return self.start.handling.verdicts[0].word is not self.result.handling.verdicts[0].word

    @property
    def changes_range_verdict(self) -> bool:
        """Whether the car is of another class than at the start, over every speed that it sees."""
        before, after = self.start.over_range, self.result.over_range
        return (before and before.word) is not (after and after.word)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WhatIfCurve:
    """Start and result against speed, both at these speeds [m/s]; each with its own air and weights."""

    speeds: Array
    start: HandlingEstimates
    result: HandlingEstimates


def evaluate_what_if(
    prepared: PreparedDay,
    what_if: WhatIf,
    *,
    speed: float | None = None,
    air_density: float | None = None,
    limit: float = 1.0,
    drawn: bool = True,
) -> WhatIfResult:
    """Compute a what-if.

    Air loads are run + parts + curve(setting) - curve(setting of the run) + stated changes + parts of the
    library. Weights change what they mean, not the loads; the set-up stays that of the starting car. Without
    a change the result is the start. Not drawn, values stand alone: a first answer at every keystroke.
    """
    speed, density = reference_conditions(prepared.day.session, speed, air_density)
    plain = change_car(prepared, what_if.start, drawn=drawn)
    car = change_car(
        prepared,
        what_if.start,
        on=what_if.on,
        off=what_if.off,
        stated=what_if.stated,
        forces=what_if.forces,
        library=what_if.library,
        drawn=drawn,
    )
    moved = moved_by_settings(prepared, car, what_if, limit=limit, drawn=drawn)
    own_speed, own_density, of_air = conditions_of(what_if, speed, density)
    set_up = prepared.day.session.vehicle
    vehicle, of_weights = vehicle_of(set_up, what_if)
    reweighted = (vehicle.mass, vehicle.front_share) != (set_up.mass, set_up.front_share)
    start = with_day_range(
        prepared,
        plain,
        state_of(
            prepared,
            plain.areas,
            plain.draws,
            prepared.stds(plain.weights),
            vehicle=set_up,
            speed=speed,
            air_density=density,
        ),
    )
    result = with_range(
        prepared,
        state_of(
            prepared,
            moved.areas,
            moved.draws,
            moved.area_stds,
            vehicle=vehicle,
            speed=own_speed,
            air_density=own_density,
            set_up=set_up if reweighted else None,
            shared=draws_of(prepared.shared, set_up, vehicle, what_if),
            stated_drag=car.stated_drag,
        ),
    )
    confidence = prepared.day.confidence
    return WhatIfResult(
        what_if=what_if,
        start=start,
        result=result,
        forces=force_change(start, result, confidence),
        aero_balance=_change(start, result, "aero_balance", confidence),
        grip_surplus=_change(start, result, "grip_surplus", confidence),
        neutral_steer_shift=_change(start, result, "neutral_steer_shift", confidence),
        assumptions=(
            *car.assumptions,
            *moved.assumptions,
            *of_weights,
            *of_air,
            *scaling_assumptions(prepared, car.row, result),
            *_about_the_floor(prepared, what_if),
        ),
    )


def what_if_curve(
    prepared: PreparedDay, result: WhatIfResult, speeds: Array, *, drawn: bool = True
) -> WhatIfCurve:
    """Compute start and result of a what-if against speed.

    Parameters
    ----------
    prepared : PreparedDay
        The day. [1]
    result : WhatIfResult
        As `evaluate_what_if` gives it. [1]
    speeds : numpy.ndarray
        (speeds,) above 0. [m/s]
    drawn : bool, optional
        Whether to draw bands; needs a result with draws. [1]

    Returns
    -------
    WhatIfCurve
        Arrays of (speeds,). [1]

    Raises
    ------
    DomainError
        If a speed is not above 0.

    Notes
    -----
    Each car keeps its own air density, weights and exponents. Bands are of the draws that a range is judged
    by. As of `balance.decide.day.estimate`.
    """
    points = np.asarray(speeds, float)
    for point in (float(points.min()), float(points.max())):
        reference_conditions(prepared.day.session, point, None)
    start, changed = (
        _against_speed(state, points, prepared.day.confidence, drawn=drawn)
        for state in (result.start, result.result)
    )
    return WhatIfCurve(speeds=points, start=start, result=changed)


def _against_speed(state: CarState, speeds: Array, confidence: float, *, drawn: bool) -> HandlingEstimates:
    draws = state.draws[:, :RANGE_DRAWS] if drawn and state.draws is not None else None
    shared = replace(state.shared, car=state.shared.car.first(RANGE_DRAWS))
    width = speeds.size if draws is None else max(1, _BAND_POINTS // draws.shape[1])
    parts = [
        estimate_handling(
            state.areas[:, None],
            None if draws is None else draws[:, :, None],
            speeds[k : k + width],
            state.air_density,
            state.stds[:, None] / state.dynamic_pressure,
            state.vehicle,
            shared,
            confidence=confidence,
            set_up=state.set_up,
        )
        for k in range(0, speeds.size, width)
    ]
    return join_estimates(parts)


def _change(start: CarState, result: CarState, name: str, confidence: float) -> Estimate:
    """Difference a handling quantity draw by draw."""
    value: Array = getattr(result.handling, name).value - getattr(start.handling, name).value
    if start.draws is None or result.draws is None or not np.isfinite(value).all():
        return Estimate.where_known(value, None)
    with np.errstate(invalid="ignore"):
        change = _drawn(result, name) - _drawn(start, name)
    return Estimate.where_known(value, spread(change, confidence))


def _drawn(state: CarState, name: str) -> Array:
    """Return the draws of a handling quantity, (draws, 1)."""
    if state.draws is None:
        return np.full((1, 1), np.nan)
    drawn = axle_state(
        state.draws[:, :, None],
        state.dynamic_pressure,
        state.vehicle,
        drawn=state.shared.car,
    )
    if name == "aero_balance":
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(drawn.front_downforce / drawn.downforce)
    return drawn.beyond_lift_off(getattr(drawn, name))


def _about_the_floor(prepared: PreparedDay, what_if: WhatIf) -> tuple[Assumption, ...]:
    """State what the floor under the car leaves open, where air loads were put together."""
    if not (what_if.on or what_if.off or what_if.settings):
        return ()
    floor = prepared.day.session.facility.floor
    return () if floor in ("moving", "road") else (Assumption(kind="floor", values={"floor": floor or ""}),)
