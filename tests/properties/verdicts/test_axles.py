"""What must hold of loads, shift and surplus for every car."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from balance.handling.axle_loads import aero_balance, static_axle_weights
from balance.handling.axle_state import axle_state
from balance.model.errors import DomainError

AREA = st.floats(-0.6, 1.2)
EXPONENT = st.floats(0.3, 1.2)
SHARE = st.floats(0.3, 0.7)
PRESSURE = st.floats(1.0, 5000.0)
MASS = st.floats(600.0, 2500.0)


@given(AREA, AREA, st.floats(0.2, 2.0), EXPONENT, EXPONENT, SHARE, MASS, PRESSURE)
def test_swapping_the_axles_mirrors_shift_and_surplus(
    make_vehicle, front, rear, drag, stiffness, grip, share, mass, pressure
):
    exponents = {"stiffness": (stiffness, stiffness), "grip": (grip, grip), "mass": mass}
    car = make_vehicle(front_share=share, **exponents)
    swapped_car = make_vehicle(front_share=1.0 - share, **exponents)
    one = axle_state([front, rear, drag], pressure, car)
    other = axle_state([rear, front, drag], pressure, swapped_car)
    assume(min(one.front_added_load, one.rear_added_load) > -0.99)
    assert other.neutral_steer_shift == pytest.approx(-one.neutral_steer_shift, rel=1e-10, abs=1e-14)
    assert (1.0 + one.grip_surplus) * (1.0 + other.grip_surplus) == pytest.approx(1.0, rel=1e-12)
    assert other.front_load_share == pytest.approx(1.0 - one.front_load_share, rel=1e-12)
    assert aero_balance(rear, front) == pytest.approx(1.0 - aero_balance(front, rear), rel=1e-12, nan_ok=True)


@given(st.floats(1e-4, 2.0), EXPONENT, EXPONENT, SHARE, MASS)
def test_matched_share_is_neutral_at_every_speed(make_vehicle, total, stiffness, grip, share, mass):
    car = make_vehicle(
        front_share=share, mass=mass, stiffness=(stiffness, stiffness), grip=(grip, grip), driven=None
    )
    areas = np.array([total * share, total * (1.0 - share), 0.5])
    assert aero_balance(areas[0], areas[1]) == pytest.approx(share, rel=1e-14)
    state = axle_state(areas[:, None], np.geomspace(1.0, 6000.0, 40), car)
    assert np.max(np.abs(state.neutral_steer_shift)) < 1e-12
    assert np.max(np.abs(state.grip_surplus)) < 1e-12
    assert state.front_load_share == pytest.approx(np.full(40, share), rel=1e-12)


@given(st.floats(0.01, 1.0), st.floats(0.01, 1.0), SHARE, EXPONENT, PRESSURE)
def test_surplus_is_zero_only_where_matched(make_vehicle, front, rear, share, grip, pressure):
    car = make_vehicle(front_share=share, grip=(grip, grip))
    offset = float(aero_balance(front, rear)) - share
    assume(abs(offset) > 1e-6)
    state = axle_state([front, rear, 0.5], pressure, car)
    assert np.sign(state.grip_surplus) == -np.sign(offset)
    assert np.sign(state.neutral_steer_shift) == -np.sign(offset)


@given(st.floats(1e-3, 1e4), st.floats(1e-3, 1e4), st.floats(1e-3, 1e3))
def test_scaling_all_loads_moves_no_ratio(front, rear, factor):
    assert aero_balance(front * factor, rear * factor) == pytest.approx(aero_balance(front, rear), rel=1e-14)


@given(AREA, AREA, st.floats(0.2, 2.0), SHARE, PRESSURE, st.floats(0.5, 2.0))
def test_scaling_loads_and_weights_together_changes_nothing(
    make_vehicle, front, rear, drag, share, pressure, factor
):
    one = axle_state([front, rear, drag], pressure, make_vehicle(front_share=share, driven="rear"))
    heavy = make_vehicle(front_share=share, driven="rear", mass=1200.0 * factor)
    other = axle_state([front, rear, drag], pressure * factor, heavy)
    for name in (
        "front_added_load",
        "rear_added_load",
        "front_load_share",
        "neutral_steer_shift",
        "grip_surplus",
        "grip_surplus_driven",
    ):
        assert getattr(other, name) == pytest.approx(getattr(one, name), rel=1e-9, abs=1e-13, nan_ok=True), (
            name
        )


@given(AREA, AREA, SHARE, st.floats(-0.1, 0.1), EXPONENT, EXPONENT, PRESSURE)
def test_shift_is_the_change_of_the_static_margin(
    make_vehicle, front, rear, share, margin, of_front, of_rear, pressure
):
    """From the definition: C_r/(C_f + C_r) after less before, stiffnesses made from the stated margin."""
    car = make_vehicle(front_share=share, static_margin=margin, stiffness=(of_front, of_rear))
    state = axle_state([front, rear, 0.5], pressure, car)
    front_weight, rear_weight = static_axle_weights(car.mass, share)
    loads = 1.0 + front * pressure / front_weight, 1.0 + rear * pressure / rear_weight
    assume(min(loads) > 0.01)
    at_rest = (1.0 - share) + margin
    stiff_front, stiff_rear = (1.0 - at_rest) * loads[0] ** of_front, at_rest * loads[1] ** of_rear
    expected = stiff_rear / (stiff_front + stiff_rear) - at_rest
    assert state.neutral_steer_shift == pytest.approx(expected, rel=1e-9, abs=1e-13)


@given(st.floats(-0.3, 0.8), st.floats(-0.3, 0.8), st.floats(0.2, 1.0), SHARE, st.floats(50.0, 3000.0))
def test_drive_force_costs_the_driven_axle_grip(make_vehicle, front, rear, drag, share, pressure):
    state = {
        driven: axle_state([front, rear, drag], pressure, make_vehicle(front_share=share, driven=driven))
        for driven in ("rear", "front", "both", None)
    }
    free = state[None].grip_surplus
    assert state[None].grip_surplus_driven is None
    assert state[None].decisive_surplus == free
    assert state["rear"].grip_surplus_driven < free
    assert state["rear"].decisive_surplus == state["rear"].grip_surplus_driven
    assert state["front"].grip_surplus_driven > free
    assert state["front"].decisive_surplus == free
    assert (
        state["rear"].grip_surplus_driven
        < state["both"].grip_surplus_driven
        < state["front"].grip_surplus_driven
    )
    assert state["both"].decisive_surplus == min(free, state["both"].grip_surplus_driven)
    rear_load = static_axle_weights(1200.0, share)[1] + rear * pressure
    left = np.sqrt(1.0 - (drag * pressure / (1.1 * rear_load)) ** 2)  # friction ellipse, friction 1.1
    assert 1.0 + state["rear"].grip_surplus_driven == pytest.approx((1.0 + free) * left, rel=1e-12)


@pytest.mark.parametrize(
    ("front", "rear", "expected"), [(-9.0, 0.0, np.inf), (0.0, -9.0, -np.inf), (-9.0, -9.0, -np.inf)]
)
@pytest.mark.parametrize("driven", [None, "front", "rear", "both"])
def test_an_axle_off_the_ground_counts_as_infinite(make_vehicle, front, rear, expected, driven):
    """Where both are off, the dangerous side counts."""
    state = axle_state([front, rear, 0.5], 1000.0, make_vehicle(driven=driven))
    assert np.isnan(state.grip_surplus)
    assert np.isnan(state.neutral_steer_shift)
    assert state.decisive_surplus == expected


@given(AREA, AREA, SHARE, EXPONENT, EXPONENT, PRESSURE)
def test_a_surplus_is_what_the_rear_s_grip_grew_more_than_the_front_s(
    make_vehicle, front, rear, share, of_front, of_rear, pressure
):
    """From the definition: each axle's grip as its load to the power of its own exponent."""
    car = make_vehicle(front_share=share, grip=(of_front, of_rear))
    state = axle_state([front, rear, 0.5], pressure, car)
    weight = 1200.0 * 9.80665
    loads = 1.0 + front * pressure / (share * weight), 1.0 + rear * pressure / ((1.0 - share) * weight)
    assume(min(loads) > 0.01)
    assert state.grip_surplus == pytest.approx(
        loads[1] ** of_rear / loads[0] ** of_front - 1.0, rel=1e-9, abs=1e-12
    )
    assert (state.front_added_load, state.rear_added_load) == pytest.approx(
        (loads[0] - 1.0, loads[1] - 1.0), abs=1e-12
    )
    wheels = loads[0] * share + loads[1] * (1.0 - share)
    assert state.front_load_share == pytest.approx(loads[0] * share / wheels, rel=1e-12)
    assert state.downforce == pytest.approx((front + rear) * pressure, rel=1e-12, abs=1e-12)
    assert state.downforce_to_drag == pytest.approx((front + rear) / 0.5, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("share", "margin", "known"),
    [(0.5, 0.499, True), (0.5, 0.5, False), (0.5, -0.499, True), (0.5, -0.5, False)],
)
def test_a_neutral_steer_point_lies_between_the_axles(make_vehicle, share, margin, known):
    car = make_vehicle(front_share=share, static_margin=margin)
    if known:
        assert np.isfinite(axle_state([0.1, 0.2, 0.5], 1500.0, car).neutral_steer_shift)
    else:
        with pytest.raises(DomainError, match="neutral-steer point at rest"):
            axle_state([0.1, 0.2, 0.5], 1500.0, car)


@pytest.mark.parametrize(("drag", "expected"), [(0.5, 0.6), (0.0, np.nan), (-0.1, np.nan)])
def test_downforce_over_drag_is_of_cars_that_have_drag(make_vehicle, drag, expected):
    state = axle_state([0.1, 0.2, drag], 1500.0, make_vehicle())
    assert state.downforce_to_drag == pytest.approx(expected, nan_ok=True)
