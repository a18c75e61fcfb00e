"""Seconds of a changed car: those of laps run outright, none for no change, and an interval of what is not shared."""

from pathlib import Path

import numpy as np
import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.laps.changed_laps import lap_setting, lap_settings, lap_states
from balance.decide.laps.lap import simulate_lap
from balance.decide.settings.families import family_of
from balance.decide.settings.response import fit_response
from balance.decide.what_if.what_if import evaluate_what_if
from balance.files.formats.what_if_options import what_if_of_options
from balance.files.loader import load_session
from balance.model.errors import DomainError
from balance.model.tracks import track_of_segments

HATCH = Path(__file__).parents[3] / "vehicles" / "brindlow_hatch" / "tunnel_day"
TRACK = track_of_segments("loop", [500.0, 180.0] * 2, [0.0, np.pi / 180.0] * 2)
AIR = 1.2


@pytest.fixture(scope="module")
def prepared():
    return prepare_day(reduce_day(load_session(HATCH), draws=2000))


def changed(prepared, *sets):
    return evaluate_what_if(prepared, what_if_of_options(prepared.day.session, sets))


def lapped(vehicle, areas):
    front, rear, drag = areas
    lap = simulate_lap(TRACK, vehicle, front_area=front, rear_area=rear, drag_area=drag, air_density=AIR)
    return float(lap.time)


def test_seconds_are_those_of_the_two_laps(prepared):
    result = changed(prepared, "from=16", "wing_angle=9 deg")
    found = lap_states(TRACK, result.start, result.result)
    before = lapped(result.start.vehicle, result.start.areas)
    after = lapped(result.result.vehicle, result.result.areas)
    assert (found.before, found.after) == pytest.approx((before, after))
    assert float(found.seconds.value) == pytest.approx(after - before)
    assert found.seconds.low < found.seconds.value < found.seconds.high
    # a part of what either lap is uncertain by: friction, power and exponents are common to both
    assert found.seconds.high - found.seconds.low < 0.2


@pytest.mark.thorough
def test_the_interval_is_that_of_laps_run_draw_by_draw(prepared):
    """Expected: differences of laps of the first draws, one by one, of loads alone; the common rest moves them little."""
    result = changed(prepared, "from=16", "wing_angle=9 deg")
    found = lap_states(TRACK, result.start, result.result)
    each = [
        lapped(result.result.vehicle, result.result.draws[:, k])
        - lapped(result.start.vehicle, result.start.draws[:, k])
        for k in range(60)
    ]
    assert float(found.seconds.std) == pytest.approx(np.std(each), rel=0.35)


def test_no_change_is_worth_nothing_and_a_heavier_car_is_slower(prepared):
    same = changed(prepared, "from=16")
    found = lap_states(TRACK, same.start, same.result)
    assert (float(found.seconds.value), float(found.seconds.low), float(found.seconds.high)) == (
        0.0,
        0.0,
        0.0,
    )
    heavier = changed(prepared, "from=16", "mass=1240 kg")
    slower = lap_states(TRACK, heavier.start, heavier.result).seconds
    assert 0.0 < slower.low < slower.value < slower.high


def test_a_step_of_a_setting_is_the_difference_of_laps_on_its_curve(prepared):
    response = fit_response(prepared, family_of(prepared, "16", "wing_angle"))
    found = lap_setting(prepared.day, TRACK, response, 8.0)
    assert (found.about, found.step, found.unit) == (8.0, 1.0, "deg")
    vehicle = prepared.day.session.vehicle
    here, more, less = (lapped(vehicle, response.curve(angle)[:, 0]) for angle in (8.0, 9.0, 7.0))
    assert float(found.more.value) == pytest.approx(more - here, abs=1e-6)
    assert float(found.less.value) == pytest.approx(less - here, abs=1e-6)
    assert found.more.low < found.more.value < found.more.high


def test_beyond_what_was_tested_there_is_no_figure(prepared):
    response = fit_response(prepared, family_of(prepared, "16", "wing_angle"))
    low, high = response.tested
    assert np.isnan(lap_setting(prepared.day, TRACK, response, low).less.value)
    assert np.isnan(lap_setting(prepared.day, TRACK, response, high).more.value)
    with pytest.raises(DomainError, match="expected 2 to 14"):
        lap_setting(prepared.day, TRACK, response, 20.0)


def test_settings_of_a_run_are_those_with_a_measured_curve(prepared):
    assert [one.setting for one in lap_settings(prepared, TRACK, "16")] == ["wing_angle"]
    assert {one.setting for one in lap_settings(prepared, TRACK, "4")} == {"splitter_length"}
    assert lap_settings(prepared, TRACK, "1") == ()


def test_a_car_that_does_not_get_round_is_told(prepared):
    result = changed(prepared, "from=16", "mass=1240 kg")
    steep = track_of_segments("steep", [500.0, 180.0] * 2, [0.0, 0.01] * 2, gradient=[0.0, 0.0, 0.9, 0.0])
    with pytest.raises(DomainError, match="does not get past"):
        lap_states(steep, result.start, result.result)
