"""What must hold of a session's figures, however they are asked for."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.sweeps import sweep
from balance.decide.day.verdict import VerdictWord
from balance.reduce.air import moist_air_density
from balance.reduce.draws import seed_of
from balance.reduce.readings import reduce_session

FORCE = st.floats(-600.0, 1500.0)
READINGS = st.lists(st.tuples(FORCE, FORCE, st.floats(300.0, 1500.0)), min_size=1, max_size=5)
FACILITY_PRESSURE = 0.5 * 1.2 * 50.0**2


@settings(max_examples=40)
@given(READINGS, st.floats(20.0, 90.0), st.sampled_from([None, "rear", "both"]), st.booleans())
def test_a_run_has_one_verdict(make_session, make_vehicle, readings, speed, driven, known):
    session = make_session(
        readings,
        vehicle=make_vehicle(driven=driven),
        deviation=(7.0, 7.0, 4.0) if known else (None, None, None),
    )
    day = reduce_day(session, draws=300)
    table = assess(day, speed=speed)
    for row in range(len(readings)):
        curve = sweep(day, row, np.array([0.7 * speed, speed, 1.1 * speed]))
        one, other = table.handling.verdicts[row], curve.handling.verdicts[1]
        assert one.word is other.word
        assert one.nominal is other.nominal
        assert one.edge is other.edge
        assert (one.low, one.high, one.probability) == (other.low, other.high, other.probability)
        for name in ("aero_balance", "neutral_steer_shift", "grip_surplus"):
            for part in ("value", "std", "low", "high"):
                in_table = getattr(getattr(table.handling, name), part)[row]
                in_curve = getattr(getattr(curve.handling, name), part)[1]
                np.testing.assert_array_equal(in_table, in_curve)
        np.testing.assert_allclose(table.stds[:, row], curve.stds[:, 1], rtol=1e-14)


def test_tables_and_sweeps_longer_than_one_chunk_keep_their_order(make_session):
    readings = [(100.0 + 10.0 * k, 800.0 - 10.0 * k, 600.0) for k in range(45)]
    day = reduce_day(make_session(readings), draws=10_000)  # 20 runs a chunk
    table = assess(day)
    assert len(table.handling.verdicts) == len(table.labels) == 45
    assert np.all(np.diff(table.handling.grip_surplus.value) < 0.0)
    assert np.all(np.diff(table.handling.grip_surplus.high) < 0.0)
    speeds = np.linspace(10.0, 80.0, 45)
    curve = sweep(day, 3, speeds)
    assert np.all(np.diff(curve.handling.grip_surplus.value) > 0.0)
    np.testing.assert_array_equal(
        curve.handling.grip_surplus.high[44], assess(day, speed=80.0).handling.grip_surplus.high[3]
    )


@given(READINGS, st.data())
def test_draws_of_a_run_do_not_depend_on_which_others_are_asked_for(make_session, readings, data):
    day = reduce_day(make_session(readings, degrees=3.0), draws=100)
    rows = data.draw(st.lists(st.sampled_from(range(len(readings))), min_size=1, unique=True))
    whole, part = day.draws(range(len(readings))), day.draws(rows)
    np.testing.assert_array_equal(part, whole[:, :, rows])


def test_runs_and_channels_are_drawn_independently(make_session):
    day = reduce_day(make_session([(300.0, 500.0, 600.0)] * 4, degrees=1e9), draws=100_000)
    drawn = day.draws(range(4))
    flat = drawn.transpose(0, 2, 1).reshape(12, -1)
    assert np.abs(np.corrcoef(flat) - np.eye(12)).max() < 5.0 / np.sqrt(100_000)
    car = day.shared.car
    for stated in (*car.grip, *car.stiffness, car.front_share):
        assert abs(np.corrcoef(stated[:, 0], flat[0])[0, 1]) < 5.0 / np.sqrt(100_000)


def test_seeds_come_from_the_title_and_the_runs_alone(make_session):
    session = make_session([(300.0, 500.0, 600.0), (250.0, 520.0, 590.0)])
    again = make_session([(310.0, 510.0, 610.0), (250.0, 520.0, 590.0)], speed=60.0)
    assert seed_of(session) == seed_of(again)
    assert 0 <= seed_of(session) < 2**63
    assert seed_of(replace(session, title="another day")) != seed_of(session)
    assert seed_of(replace(session, runs=session.runs[:1])) != seed_of(session)


def test_figures_do_not_flicker(make_session):
    one, other = (assess(reduce_day(make_session([(300.0, 500.0, 600.0)]), draws=500)) for _ in "ab")
    for part in ("value", "std", "low", "high"):
        np.testing.assert_array_equal(
            getattr(one.handling.grip_surplus, part), getattr(other.handling.grip_surplus, part)
        )
    assert one.onsets.low == other.onsets.low


@settings(max_examples=50)
@given(READINGS, st.floats(30.0, 70.0), st.floats(270.0, 310.0), st.floats(8e4, 1.05e5))
def test_restated_forces_use_the_facilitys_dynamic_pressure(
    make_session, readings, speed, temperature, pressure
):
    own = ({"speed": speed, "temperature": temperature, "pressure": pressure, "humidity": 0.4},)
    restated = reduce_session(make_session(readings, restated=True, runs=own))
    as_read = reduce_session(make_session(readings, runs=own))
    own_pressure = 0.5 * float(moist_air_density(temperature, pressure, 0.4)) * speed**2
    np.testing.assert_allclose(restated.areas, np.array(readings) / FACILITY_PRESSURE, rtol=1e-14)
    np.testing.assert_allclose(as_read.areas, np.array(readings) / own_pressure, rtol=1e-14)
    np.testing.assert_allclose(restated.force_pressure, FACILITY_PRESSURE, rtol=1e-14)
    np.testing.assert_allclose(as_read.force_pressure, own_pressure, rtol=1e-14)
    np.testing.assert_allclose(restated.dynamic_pressure, own_pressure, rtol=1e-14)


def test_noise_of_a_run_read_at_less_pressure_grows_when_stated_at_more(make_session):
    """s in N at the reading; s q_stated/q_run where stated."""
    session = make_session([(300.0, 500.0, 600.0)], runs=({"speed": 25.0},))
    table = assess(reduce_day(session, draws=100), speed=50.0)
    assert table.stds[:, 0] == pytest.approx([28.0, 28.0, 16.0, 28.0 * np.sqrt(2.0)])
    restated = assess(
        reduce_day(replace(session, facility=replace(session.facility, restated=True)), draws=100)
    )
    assert restated.stds[:, 0] == pytest.approx([7.0, 7.0, 4.0, 7.0 * np.sqrt(2.0)])


@given(READINGS)
def test_unknown_repeatability_leaves_nominal_classes(make_session, readings):
    table = assess(reduce_day(make_session(readings, deviation=(None, None, None)), draws=100))
    for verdict in table.handling.verdicts:
        assert verdict.word is verdict.nominal
        assert verdict.probability is None
        assert not verdict.certain
    assert np.isnan(table.handling.grip_surplus.std).all()
    assert np.isnan(table.onsets.low).all()
    pressed = np.array([front > 0.0 and rear > 0.0 for front, rear, _ in readings])
    np.testing.assert_array_equal(np.isfinite(table.handling.aero_balance.value), pressed)


def test_void_runs_count_nowhere(make_session):
    session = make_session([(300.0, 500.0, 600.0), (9e9, 9e9, 9e9)], runs=({}, {"status": "void"}))
    table = assess(reduce_day(session, draws=100))
    assert table.labels == ("1",)


@pytest.mark.parametrize(
    ("reading", "side"), [((-5900.0, 500.0, 600.0), 1.0), ((500.0, -5480.0, 600.0), -1.0)]
)
def test_draws_with_an_axle_off_lie_at_their_own_end_of_the_interval(
    make_session, make_vehicle, reading, side
):
    """Axles of 6120 N and 5649 N nearly lifted, and noise of 200 N that lifts them in some draws."""
    session = make_session([reading], vehicle=make_vehicle(assumed=False), deviation=(200.0, 200.0, 4.0))
    estimates = assess(reduce_day(session, draws=2000)).handling
    for found in (estimates.grip_surplus, estimates.neutral_steer_shift):
        ends = (found.low[0], found.high[0]) if side > 0 else (found.high[0], found.low[0])
        assert np.isfinite(ends[0])
        assert ends[1] == side * np.inf
    verdict = estimates.verdicts[0]
    assert (verdict.low, verdict.high) == (estimates.grip_surplus.low[0], estimates.grip_surplus.high[0])
    assert verdict.word is (VerdictWord.REAR_OVERPOWERS if side > 0 else VerdictWord.FRONT_OVERPOWERS)
