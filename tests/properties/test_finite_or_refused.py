"""Any finite input gives a figure or a clear refusal: no warning, no traceback, no silent nonsense.

Warnings are errors in every test, so that an overflow or a division by zero would be seen.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.sweeps import sweep
from balance.handling.axle_loads import (
    added_load,
    aero_balance,
    front_load_share,
    log_load_growth,
    static_axle_weights,
)
from balance.handling.axle_state import axle_state
from balance.handling.grip import grip_left_by_drive, grip_surplus
from balance.handling.neutral_steer import neutral_steer_shift
from balance.handling.onset import lift_off_pressure, onset_pressure
from balance.model.errors import DomainError
from balance.model.records import Column, Target
from balance.reduce.air import dynamic_pressure, moist_air_density, speed_at
from balance.reduce.coefficients import coefficients

ANY = st.floats(-1e12, 1e12)
EXPONENT = st.floats(0.3, 1.2)


def refused(function, *args, **kwargs):
    """Call it; give back nothing where it refuses with words of found and expected."""
    try:
        return function(*args, **kwargs)
    except DomainError as error:
        words = str(error)
    assert "found" in words
    assert "expected" in words
    assert "\n" not in words
    return None


@given(st.floats(), st.floats(), st.floats())
def test_moist_air_density(temperature, pressure, humidity):
    density = refused(moist_air_density, temperature, pressure, humidity)
    inside = 230.0 <= temperature <= 330.0 and 50e3 <= pressure <= 115e3 and 0.0 <= humidity <= 1.0
    assert (density is not None) == inside
    assert density is None or 0.4 < density < 1.8


@given(st.floats(230.0, 330.0), st.floats(50e3, 115e3), st.floats(0.0, 1.0))
def test_moist_air_density_over_its_whole_range(temperature, pressure, humidity):
    dry, moist = (float(moist_air_density(temperature, pressure, h)) for h in (0.0, humidity))
    assert moist <= dry
    assert dry == pytest.approx(pressure / (287.0 * temperature), rel=5e-3)  # ideal gas, from memory


@given(st.floats(-1e6, 1e6) | st.just(np.nan), st.floats(-1e6, 1e6) | st.just(np.nan))
def test_dynamic_pressure_and_back(speed, density):
    pressure = refused(dynamic_pressure, speed, density)
    assert (pressure is not None) == (speed >= 0.0 and density > 0.0)
    if pressure is not None:
        assert np.isfinite(pressure)
        if speed > 1e-3 and density > 1e-3:
            assert speed_at(pressure, density) == pytest.approx(speed, rel=1e-12)


@given(ANY | st.just(np.nan), ANY | st.just(np.nan))
def test_speed_at(pressure, density):
    speed = refused(speed_at, pressure, density)
    assert (speed is not None) == (pressure >= 0.0 and density > 0.0)
    assert speed is None or speed >= 0.0


@given(ANY, ANY, ANY, st.floats(max_value=0.0) | st.floats(1e-6, 1e6) | st.sampled_from([np.nan, np.inf]))
def test_coefficients(front, rear, drag, area):
    found = refused(coefficients, front, rear, drag, area)
    assert (found is not None) == (0.0 < area < np.inf)


@pytest.mark.parametrize("function", [dynamic_pressure, speed_at])
def test_a_refusal_names_the_one_that_is_wrong(function):
    values = np.linspace(1.0, 90.0, 5000)
    values[4321] = -7.5
    with pytest.raises(DomainError, match=r"found -7\.5 "):
        function(values, 1.2)
    with pytest.raises(DomainError, match=r"found -7\.5 "):
        function(50.0, values)


@given(st.floats(), st.floats())
def test_static_axle_weights(mass, share):
    weights = refused(static_axle_weights, mass, share)
    assert (weights is not None) == (0.0 < mass < np.inf and 0.0 < share < 1.0)


@given(ANY, ANY)
def test_aero_balance(front, rear):
    share = aero_balance(front, rear)
    assert np.isnan(share) if not (front > 0.0 and rear > 0.0) else 0.0 <= share <= 1.0


@given(ANY, ANY)
def test_added_load(downforce, weight):
    found = refused(added_load, downforce, weight)
    assert (found is not None) == (weight > 0.0)


@given(ANY, ANY, st.floats(1.0, 1e6), st.floats(1.0, 1e6))
def test_front_load_share(front, rear, front_weight, rear_weight):
    share = front_load_share(front, rear, front_weight, rear_weight)
    left = front_weight + front + (rear_weight + rear) > 0.0
    assert np.isfinite(share) == left


@given(ANY, ANY, EXPONENT, EXPONENT, st.floats(-0.5, 1.5), st.floats(-1.0, 1.0))
def test_growth_shift_and_surplus(front, rear, front_exponent, rear_exponent, share, margin):
    grounded = 1.0 + front > 0.0 and 1.0 + rear > 0.0
    exponents = {"front_exponent": front_exponent, "rear_exponent": rear_exponent}
    assert np.all(np.isfinite(log_load_growth(front, rear))) == grounded
    surplus = grip_surplus(front, rear, **exponents)
    assert surplus >= -1.0 if grounded else np.isnan(surplus)
    shift = refused(neutral_steer_shift, front, rear, **exponents, front_share=share, static_margin=margin)
    at_rest = 1.0 - share + margin
    assert (shift is not None) == (0.0 < at_rest < 1.0)
    if shift is not None:
        assert -at_rest <= shift <= 1.0 - at_rest if grounded else np.isnan(shift)


@given(ANY, ANY, st.floats(0.1, 4.0))
def test_grip_left_by_drive(force, load, friction):
    left = grip_left_by_drive(force, load, friction)
    assert 0.0 <= left <= 1.0
    assert load > 0.0 or left == 0.0


@given(ANY, ANY, st.floats(-2.0, 2.0), EXPONENT, EXPONENT)
def test_onset_and_lift_off(front, rear, edge, front_exponent, rear_exponent):
    exponents = {"front_exponent": front_exponent, "rear_exponent": rear_exponent}
    pressure = refused(onset_pressure, front, rear, edge, **exponents)
    assert (pressure is not None) == (edge > -1.0)
    assert pressure is None or pressure > 0.0
    assert lift_off_pressure(front, rear)[0] > 0.0


@given(st.tuples(ANY, ANY, ANY), st.floats(0.0, 1e6), st.sampled_from([None, "front", "rear", "both"]))
def test_axle_state(make_vehicle, areas, pressure, driven):
    state = axle_state(areas, pressure, make_vehicle(driven=driven))
    grounded = min(state.front_added_load, state.rear_added_load) > -1.0
    assert np.isfinite(state.grip_surplus) == grounded
    assert np.isfinite(state.neutral_steer_shift) == grounded
    assert not np.isnan(state.decisive_surplus)


@settings(max_examples=60)
@given(
    st.lists(st.tuples(*[st.floats(-1e5, 1e5)] * 3), min_size=1, max_size=4),
    st.sampled_from([None, "front", "rear", "both"]),
    st.sampled_from(
        [(None, None, None), (0.0, 0.0, 0.0), (7.0, 7.0, 4.0), (1e4, 1e4, 1e4), (7.0, None, None)]
    ),
    st.sampled_from([1.0, 4.0, 1e6]),
    st.floats(0.1, 999.0),
    st.booleans(),
)
def test_a_whole_session(make_session, make_vehicle, readings, driven, deviation, degrees, speed, repeated):
    labels = ["baseline"] * len(readings) if repeated else None
    session = make_session(
        readings,
        vehicle=make_vehicle(driven=driven),
        deviation=deviation,
        degrees=degrees,
        configurations=labels,
    )
    table = assess(reduce_day(session, draws=100), speed=speed)
    for k, verdict in enumerate(table.handling.verdicts):
        state = table.handling.nominal
        grounded = min(state.front_added_load[k], state.rear_added_load[k]) > -1.0
        assert (verdict.word != "axle off the ground") == grounded
        for found in (table.handling.neutral_steer_shift, table.handling.grip_surplus):
            assert np.isfinite(found.value[k]) == grounded
            assert not found.low[k] > found.high[k]
        assert not np.isnan(verdict.surplus) or not grounded
        assert verdict.shares is None or sum(verdict.shares.values()) == pytest.approx(1.0)
        assert verdict.low is None or verdict.low <= verdict.high
    assert np.all(table.onsets.speed > 0.0)
    assert np.all(table.onsets.lift_off_speed > 0.0)


@pytest.mark.parametrize(
    "asked", [{"speed": 0.0}, {"speed": -5.0}, {"speed": np.nan}, {"speed": np.inf}, {"air_density": 0.0}]
)
def test_speeds_and_densities_that_are_none_are_refused(make_session, asked):
    day = reduce_day(make_session([(300.0, 500.0, 600.0)]), draws=100)
    with pytest.raises(DomainError, match="expected above 0"):
        assess(day, **asked)


@pytest.mark.parametrize("speeds", [[], [0.0, 10.0], [10.0, np.inf], [np.nan], [[10.0]]])
def test_sweeps_over_no_speeds_are_refused(make_session, speeds):
    day = reduce_day(make_session([(300.0, 500.0, 600.0)]), draws=100)
    with pytest.raises(DomainError, match="expected"):
        sweep(day, 0, np.array(speeds))


@pytest.mark.parametrize("row", [-1, 1])
def test_a_row_that_is_no_run_is_refused(make_session, row):
    day = reduce_day(make_session([(300.0, 500.0, 600.0)]), draws=100)
    with pytest.raises(DomainError, match=r"row: found -?1, expected 0 to 0"):
        sweep(day, row, np.array([30.0]))


@pytest.mark.parametrize("options", [{"draws": 99}, {"confidence": 0.4}, {"confidence": 1.0}])
def test_options_that_make_no_interval_are_refused(make_session, options):
    with pytest.raises(DomainError, match="expected"):
        reduce_day(make_session([(300.0, 500.0, 600.0)]), **options)


def test_a_session_with_no_run_that_counts_is_refused(make_session):
    session = make_session([(300.0, 500.0, 600.0)], runs=({"status": "void"},))
    with pytest.raises(DomainError, match="none that counts"):
        reduce_day(session, draws=100)


def test_no_result_can_be_changed_after_it_was_made(make_session):
    day = reduce_day(make_session([(300.0, 500.0, 600.0)]), draws=100)
    for array in (day.readings.areas, day.readings.speed, day.repeatability.deviation):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0.0


@pytest.mark.parametrize(
    "stated",
    [{"degrees": 0.0}, {"degrees": np.inf}, {"degrees": np.nan}, {"deviation": (7.0, -1.0, 4.0)}],
)
def test_a_stated_scatter_that_is_none_is_refused(make_session, stated):
    with pytest.raises(DomainError, match=r"facility's repeatability: found .* expected"):
        reduce_day(make_session([(300.0, 500.0, 600.0)], **stated), draws=100)


def test_coefficient_columns_need_an_area(make_session):
    session = make_session([(0.1, 0.2, 0.4)])
    columns = {c: Column(name=c, unit="", form="coefficient") for c in session.columns}
    with_area = replace(session, columns=columns, vehicle=replace(session.vehicle, frontal_area=2.0))
    np.testing.assert_allclose(reduce_day(with_area, draws=100).readings.areas, [[0.2, 0.4, 0.8]])
    with pytest.raises(DomainError, match="area"):
        reduce_day(replace(session, columns=columns), draws=100)


@pytest.mark.parametrize("target", [Target(), Target(rear_tolerance=0.0, front_tolerance=0.0)])
def test_a_band_of_no_width_still_gives_onsets(make_session, make_vehicle, target):
    session = make_session([(300.0, 500.0, 600.0)], vehicle=make_vehicle(target=target))
    onsets = assess(reduce_day(session, draws=100)).onsets
    assert not np.isnan([onsets.speed[0], onsets.low[0], onsets.high[0]]).any()
