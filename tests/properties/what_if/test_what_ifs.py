"""What must hold of every what-if."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.range_verdict import RANGE_DRAWS
from balance.decide.day.sweeps import sweep
from balance.decide.parts.part_place import mount_load, part_place, tyre_loads
from balance.decide.what_if.what_if import evaluate_what_if, what_if_curve
from balance.handling.part_force import axle_changes
from balance.model.errors import DomainError, InputError, UnknownName
from balance.model.records import Loading, PlacedMass, Setting, TyreRating
from balance.model.what_ifs import Air, History, PlacedForce, StatedChange, WhatIf

SPLITTER, WING = Setting(value=60.0, unit="mm"), Setting(value=8.0, unit="deg")
READINGS = [
    (-80.0, -250.0, 700.0),
    (180.0, -260.0, 712.0),
    (-140.0, 260.0, 745.0),
    (120.0, 250.0, 757.0),
    (182.0, -255.0, 711.0),
]
RUNS = (
    {"settings": {}},
    {"settings": {"splitter": SPLITTER}, "baseline": "1"},
    {"settings": {"wing": WING}, "baseline": "1"},
    {"settings": {"splitter": SPLITTER, "wing": WING}, "baseline": "2"},
    {"settings": {"splitter": SPLITTER}, "baseline": "1"},
)
PRESSURE = 0.5 * 1.2 * 50.0**2


@pytest.fixture(scope="module")
def prepared(make_session, make_vehicle):
    vehicle = make_vehicle(
        power=200e3,
        top_speed=70.0,
        front_tyre=TyreRating(load_index=91, speed_symbol="W"),
        loadings=(
            Loading(name="race", masses=(PlacedMass(name="fuel", mass=-30.0, behind_front_axle=2.2),)),
        ),
    )
    session = make_session(READINGS, configurations=["car"] * 5, runs=RUNS, vehicle=vehicle)
    return prepare_day(reduce_day(session, draws=1_000))


def same_state(one, other):
    np.testing.assert_array_equal(one.areas, other.areas)
    np.testing.assert_array_equal(one.draws, other.draws)
    np.testing.assert_array_equal(one.stds, other.stds)
    assert one.handling.verdicts == other.handling.verdicts
    for name in ("grip_surplus", "neutral_steer_shift", "aero_balance"):
        for part in ("value", "std", "low", "high"):
            a, b = (getattr(getattr(state.handling, name), part) for state in (one, other))
            np.testing.assert_array_equal(a, b)


@pytest.mark.parametrize("run", ["1", "3", "4"])
def test_without_a_change_it_is_the_run_itself(prepared, run):
    result = evaluate_what_if(prepared, WhatIf(start=run))
    same_state(result.start, result.result)
    assert not result.forces.value.any()
    assert not result.changes_verdict
    assert not result.changes_range_verdict
    assert result.result.over_range == result.start.over_range
    table, row = assess(prepared.day), prepared.row(run)
    np.testing.assert_array_equal(result.result.forces[1], table.handling.nominal.rear_downforce[row])
    assert result.result.handling.verdicts[0] == table.handling.verdicts[row]
    assert result.result.handling.grip_surplus.low[0] == table.handling.grip_surplus.low[row]
    assert result.result.onsets.speed[0] == table.onsets.speed[row]
    assert result.result.onsets.low[0] == table.onsets.low[row]
    np.testing.assert_allclose(result.result.stds, table.stds[:, row], rtol=1e-14)


def test_a_part_taken_off_and_put_on_again_leaves_the_start(prepared):
    there_and_back = evaluate_what_if(prepared, WhatIf(start="4", off=("4",), on=("4",)))
    same_state(there_and_back.start, there_and_back.result)
    twice = evaluate_what_if(prepared, WhatIf(start="4", off=("4", "2"), on=("2", "4")))
    assert [one.kind for one in twice.assumptions] == ["floor"]


def test_a_part_put_on_the_car_it_was_measured_on_is_the_run_that_has_it(prepared):
    result = evaluate_what_if(prepared, WhatIf(start="1", on=("3",)))
    np.testing.assert_allclose(result.result.areas, prepared.day.readings.areas[2], rtol=1e-12)
    off = evaluate_what_if(prepared, WhatIf(start="3", off=("3",)))
    np.testing.assert_allclose(off.result.areas, prepared.day.readings.areas[0], rtol=1e-12)
    assert [one.kind for one in result.assumptions] == ["was run together", "floor"]


def test_parts_never_run_together_are_said_and_those_that_were_are_named(prepared):
    found = {
        one.kind: one.values
        for one in evaluate_what_if(prepared, WhatIf(start="1", on=("2", "3"))).assumptions
    }
    assert found["parts added"] == {"runs": "2, 3"}
    assert found["was run together"] == {"runs": "4"}


def test_changes_share_what_their_readings_share(prepared):
    """Splitter off the car with splitter and wing: the scatter of three readings, runs 2 and 5 being one mean of two."""
    alone = evaluate_what_if(prepared, WhatIf(start="1", on=("3",))).forces.std
    assert alone[1] == pytest.approx(7.0 * np.sqrt(2.0), rel=0.1)
    cancelled = evaluate_what_if(prepared, WhatIf(start="3", off=("3",))).forces.std
    assert cancelled[1] == pytest.approx(7.0 * np.sqrt(2.0), rel=0.1)


@settings(max_examples=40)
@given(
    st.floats(100.0, 2000.0),
    st.floats(0.0, 300.0),
    st.floats(-0.5, 0.8),
    st.floats(0.01, 0.6),
    st.floats(0.3, 1.5),
)
def test_moving_a_wing_backwards_gains_at_the_rear_what_it_loses_in_front(
    force, drag, place, further, height
):
    near = axle_changes(force, drag, behind_rear_axle=place, height=height, wheelbase=2.5)
    far = axle_changes(force, drag, behind_rear_axle=place + further, height=height, wheelbase=2.5)
    assert float(far[1] - near[1]) == pytest.approx(float(near[0] - far[0]), abs=1e-9)
    assert float(far[1] - near[1]) == pytest.approx(force * further / 2.5, rel=1e-9)


def test_what_was_not_measured_is_told_as_it_was_stated(prepared):
    """Areas times dynamic pressure, each to its own name; a wing's axle loads by moments about the axles, by hand.

    1000 N down and 150 N of drag, 0.6 m behind the rear axle and 1.2 m up, over 2.5 m: rear 1000 (2.5 + 0.6) / 2.5 +
    150 x 1.2 / 2.5 = 1312 N, front -312 N. 40 m/s and 1.25 kg/m3 are 1000 Pa.
    """
    told = {"speed": 40.0, "air_density": 1.25}
    wing = PlacedForce(downforce=1.0, drag=0.15, behind_rear_axle=0.6, height=1.2, **told)
    stds = {"front_std": 0.02, "rear_std": 0.03, "drag_std": 0.01}
    change = StatedChange(front=0.12, rear=-0.05, drag=0.04, **stds, **told)
    found = evaluate_what_if(prepared, WhatIf(start="1", forces=(wing,), stated=(change,)), drawn=False)
    values = {one.kind: one.values for one in found.assumptions}
    wing_told, change_told = values["force at a place"], values["stated change"]
    expected = {"downforce": 1000.0, "drag": 150.0, "front": -312.0, "rear": 1312.0}
    assert {name: wing_told[name] for name in expected} == pytest.approx(expected)
    expected = {
        "front": 120.0,
        "rear": -50.0,
        "drag": 40.0,
        "front_std": 20.0,
        "rear_std": 30.0,
        "drag_std": 10.0,
    }
    assert {name: change_told[name] for name in expected} == pytest.approx(expected)


def test_a_force_at_a_place_unloads_the_front(prepared):
    wing = PlacedForce(downforce=1000.0 / PRESSURE, drag=150.0 / PRESSURE, behind_rear_axle=0.6, height=1.2)
    result = evaluate_what_if(prepared, WhatIf(start="2", forces=(wing,)))
    np.testing.assert_allclose(result.forces.value, [-312.0, 1312.0, 150.0, 1000.0], atol=1e-9)


@settings(max_examples=40)
@given(st.floats(-150.0, 300.0), st.floats(-0.5, 3.0))
def test_a_mass_changes_weights_and_no_air_load(prepared, mass, place):
    ballast = PlacedMass(name="ballast", mass=mass, behind_front_axle=place)
    result = evaluate_what_if(prepared, WhatIf(start="4", masses=(ballast,)), drawn=False)
    np.testing.assert_array_equal(result.result.areas, result.start.areas)
    vehicle = prepared.day.session.vehicle
    assert result.result.vehicle.mass == pytest.approx(vehicle.mass + mass)
    rear = vehicle.mass * (1.0 - vehicle.front_share) + mass * place / vehicle.wheelbase
    assert result.result.vehicle.mass * (1.0 - result.result.vehicle.front_share) == pytest.approx(rear)


def test_weight_on_an_axle_wears_out_its_grip_at_rest(prepared):
    """Grip grows slower than load: an axle that carries more holds less of it."""
    behind = PlacedMass(name="ballast", mass=100.0, behind_front_axle=2.5)
    result = evaluate_what_if(prepared, WhatIf(start="1", masses=(behind,)))
    assert result.result.surplus_at_rest < 0.0
    assert result.result.static_margin < 0.0
    slow = evaluate_what_if(prepared, WhatIf(start="1", masses=(behind,), speed=0.5)).result
    assert slow.handling.grip_surplus.value[0] == pytest.approx(slow.surplus_at_rest, abs=1e-5)
    vehicle = prepared.day.session.vehicle
    new, p = 1200.0 * 0.48 + 100.0, 0.86
    assert result.result.surplus_at_rest == pytest.approx((new / (1200.0 * 0.48)) ** (p - 1.0) - 1.0)
    assert vehicle.front_share == 0.52


def test_a_loading_is_the_masses_it_names(prepared):
    loaded = evaluate_what_if(prepared, WhatIf(start="4", loading="race")).result
    fuel = prepared.day.session.vehicle.loadings[0].masses
    by_hand = evaluate_what_if(prepared, WhatIf(start="4", masses=fuel)).result
    same_state(loaded, by_hand)
    with pytest.raises(UnknownName, match="race"):
        evaluate_what_if(prepared, WhatIf(start="4", loading="rase"))


def test_out_of_the_band_at_rest_is_an_onset_of_zero(prepared):
    behind = PlacedMass(name="ballast", mass=400.0, behind_front_axle=2.5)
    result = evaluate_what_if(prepared, WhatIf(start="1", masses=(behind,))).result
    assert result.surplus_at_rest < -0.015
    assert result.onsets.speed[0] == 0.0
    assert str(result.onsets.verdict[0]) == "front overpowers rear"


def test_the_onset_of_a_reweighted_car_is_where_its_surplus_passes_the_edge(prepared):
    ahead = PlacedMass(name="ballast", mass=40.0, behind_front_axle=0.0)
    result = evaluate_what_if(prepared, WhatIf(start="3", masses=(ahead,))).result
    onset = float(result.onsets.speed[0])
    at = evaluate_what_if(prepared, WhatIf(start="3", masses=(ahead,), speed=onset)).result
    assert at.handling.nominal.grip_surplus[0] == pytest.approx(0.03, abs=1e-12)


def test_air_and_speed_scale_the_loads(prepared):
    thin = evaluate_what_if(prepared, WhatIf(start="4", air=Air(density=0.6), speed=100.0))
    np.testing.assert_allclose(thin.result.forces, 2.0 * thin.start.forces, rtol=1e-12)
    assert thin.result.drag_power == pytest.approx(4.0 * thin.start.drag_power)
    assert "scaled far" in [one.kind for one in thin.assumptions]
    held = thin.start.power_speed
    assert 0.5 * 1.2 * held**3 * float(thin.start.areas[2]) == pytest.approx(200e3)


def test_a_stated_change_lands_on_the_named_axle_alone(prepared):
    change = StatedChange(front=120.0 / PRESSURE, front_std=20.0 / PRESSURE)
    result = evaluate_what_if(prepared, WhatIf(start="2", stated=(change,)))
    np.testing.assert_allclose(result.forces.value, [120.0, 0.0, 0.0, 120.0], atol=1e-9)
    np.testing.assert_allclose(result.forces.std, [20.0, 0.0, 0.0, 20.0], rtol=0.1, atol=1e-9)


def test_exponents_and_target_are_those_stated(prepared):
    result = evaluate_what_if(prepared, WhatIf(start="4", grip_exponent=1.0, target_surplus=0.02)).result
    added = result.handling.nominal
    expected = (1.0 + added.rear_added_load) / (1.0 + added.front_added_load) - 1.0
    assert result.handling.grip_surplus.value == pytest.approx(expected)
    assert result.vehicle.target.grip_surplus == 0.02
    with pytest.raises(DomainError, match="past the oversteer limit"):
        evaluate_what_if(prepared, WhatIf(start="4", target_surplus=-0.1))


def test_against_speed_it_is_the_sweep_of_the_run(prepared):
    """Of as many draws: a band is of those that a range is judged by."""
    prepared = prepare_day(reduce_day(prepared.day.session, draws=RANGE_DRAWS))
    speeds = np.linspace(20.0, 70.0, 60)
    result = evaluate_what_if(prepared, WhatIf(start="4"))
    curve = what_if_curve(prepared, result, speeds)
    own = sweep(prepared.day, prepared.row("4"), speeds)
    np.testing.assert_array_equal(curve.result.grip_surplus.low, own.handling.grip_surplus.low)
    np.testing.assert_array_equal(curve.start.grip_surplus.value, own.handling.grip_surplus.value)
    nominal = what_if_curve(prepared, result, speeds, drawn=False)
    np.testing.assert_array_equal(nominal.result.grip_surplus.value, curve.result.grip_surplus.value)


def test_every_step_can_be_undone_and_done_again():
    first = WhatIf(start="1")
    history = History(present=first)
    states = [replace(first, speed=float(v)) for v in (30.0, 40.0, 50.0)]
    for state in states:
        history = history.do(state)
    assert history.do(states[-1]) is history
    for state in (states[1], states[0], first):
        history = history.undo()
        assert history.present == state
    assert history.undo() is history
    for state in states:
        history = history.redo()
        assert history.present == state
    assert history.redo() is history
    assert history.undo().do(first).future == ()


def test_a_part_acts_where_the_force_that_made_it_stands(make_session, make_vehicle):
    front, rear = axle_changes(500.0, 60.0, behind_rear_axle=0.4, height=1.1, wheelbase=2.5)
    readings = [(100.0, 100.0, 700.0), (100.0 + float(front), 100.0 + float(rear), 760.0)]
    runs = ({}, {"baseline": "1", "settings": {"wing": WING}})
    session = make_session(
        readings, runs=runs, vehicle=make_vehicle(top_speed=75.0), deviation=(5.0, 5.0, 3.0)
    )
    prepared = prepare_day(reduce_day(session, draws=2_000))
    place = part_place(prepared, "2", height=1.1, mounted_at=0.4)
    assert place.behind_rear_axle == pytest.approx(0.4)
    assert place.low < 0.4 < place.high
    assert place.mismatch is False
    assert part_place(prepared, "2", height=1.1, mounted_at=-0.3).mismatch is True
    assert part_place(prepared, "2").at_ground
    load = mount_load(prepared, "2")
    assert load.together == pytest.approx(np.hypot(500.0, 60.0) * 2.25)
    assert load.ratio == pytest.approx(2.25)


def test_no_place_where_the_part_is_less_than_the_day_can_show(make_session):
    session = make_session([(100.0, 100.0, 700.0), (101.0, 101.0, 760.0)], runs=({}, {"baseline": "1"}))
    place = part_place(prepare_day(reduce_day(session, draws=500)), "2")
    assert (place.behind_rear_axle, place.unresolved) == (None, ("downforce",))


def test_tyres_carry_half_an_axle(prepared):
    result = evaluate_what_if(prepared, WhatIf(start="4")).result
    (front,) = tyre_loads(result.areas, result.vehicle, speed=50.0, air_density=1.2)
    assert front.load == pytest.approx((1200.0 * 9.80665 * 0.52 + 120.0) / 2.0)
    assert not front.exceeded
    (fast,) = tyre_loads(result.areas, result.vehicle, speed=80.0, air_density=1.2)
    assert fast.exceeded


def test_a_run_alone_is_no_part(make_session):
    prepared = prepare_day(reduce_day(make_session([(1.0, 2.0, 3.0)]), draws=100))
    with pytest.raises(InputError, match="without a baseline"):
        evaluate_what_if(prepared, WhatIf(start="1", on=("1",)))
    with pytest.raises(InputError, match="no baseline"):
        part_place(prepared, "1")


def test_refusals(prepared):
    with pytest.raises(UnknownName, match="run"):
        evaluate_what_if(prepared, WhatIf(start="9"))
    with pytest.raises(DomainError, match="front share"):
        evaluate_what_if(prepared, WhatIf(start="4", front_share=1.2))
    light = PlacedMass(name="engine", mass=-900.0, behind_front_axle=0.0)
    # 624 - 900 kg on the front axle, 576 kg on the rear
    with pytest.raises(DomainError, match="found -2707 N on the front axle and 5649 N on the rear"):
        evaluate_what_if(prepared, WhatIf(start="4", masses=(light,)))
    with pytest.raises(DomainError, match="speed"):
        evaluate_what_if(prepared, WhatIf(start="4", speed=0.0))
    assert {f.name for f in fields(WhatIf)} >= {"on", "off", "settings", "masses", "air", "speed"}
