"""The verdict over a range of speeds: against a count over many speeds, and its order of classes."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.range_seen import BEYOND_TESTS, range_limits
from balance.decide.day.range_verdict import judge_range
from balance.decide.day.verdict import VerdictWord
from balance.files.loader import load_session
from balance.handling.axle_state import axle_state
from balance.handling.top_speed import ROLLING_RESISTANCE, top_speed
from balance.model.records import Place
from balance.reduce.air import dynamic_pressure
from tests.small_session import VEHICLE, Desk

IN, REAR, FRONT = VerdictWord.IN_BALANCE, VerdictWord.REAR_OVERPOWERS, VerdictWord.FRONT_OVERPOWERS
EDGE, UNSURE, OFF = VerdictWord.AT_THE_EDGE, VerdictWord.CANNOT_TELL, VerdictWord.OFF_THE_GROUND
STATED = "[tyres]\nstiffness_load_exponent = 0.75\ngrip_load_exponent = 0.86\n"
AREAS = st.floats(-1.5, 1.5)


@pytest.fixture(scope="module")
def session(tmp_path_factory):
    desk = Desk(tmp_path_factory.mktemp("day"))
    return load_session(desk.write(vehicle=VEHICLE + STATED))


def car(session, **changes):
    return replace(session, vehicle=replace(session.vehicle, **changes))


def ranged(session, front, rear, drag=0.7, draws=None):
    day = reduce_day(session, draws=2000)
    areas = np.array([[front], [rear], [drag]])
    return judge_range(session, areas, draws, 1.2, day.shared)[0]


@given(
    AREAS,
    AREAS,
    st.floats(0.3, 1.2),
    st.sampled_from([None, "front", "rear", "both"]),
    st.floats(30.0, 95.0),
    st.lists(st.floats(20.0, 80.0), max_size=3),
)
def test_it_is_what_many_speeds_say(session, front, rear, drag, driven, top, places):
    named = tuple(Place(name=f"no {k}", speed=v) for k, v in enumerate(places))
    made = replace(car(session, driven=driven, top_speed=top), places=named)
    found = ranged(made, front, rear, drag)
    low, high = range_limits(made, np.array([drag]), 1.2)
    assert (found.start, found.end) == (low, float(high[0]))
    speeds = np.linspace(0.0, found.end, 4001)[1:]
    areas = np.array([[front], [rear], [drag]])
    s = axle_state(areas, dynamic_pressure(speeds, 1.2), made.vehicle).decisive_surplus
    tested = max(BEYOND_TESTS * made.facility.speed, low * 1.001)  # the lowest speed is always judged
    seen = s[(speeds >= low) & (speeds <= tested)]
    beyond = s[(speeds >= max(low, tested))]
    band = made.vehicle.target
    least, most = (seen.min(), seen.max()) if seen.size else (0.0, 0.0)
    if min(abs(least + band.front_tolerance), abs(most - band.rear_tolerance)) < 2e-4:
        return  # on the edge, where the steps decide
    lifted = np.isinf(s[speeds >= low])
    if lifted.any():
        assert found.word is OFF
        assert found.at == pytest.approx(max(low, speeds[np.isinf(s)][0]), abs=0.03)
        assert found.beyond_tested == (found.at > tested)
    elif least < -band.front_tolerance:
        assert found.word is FRONT
    elif beyond.size and beyond.min() < -band.front_tolerance - 2e-4:
        assert found.word in (FRONT, OFF)
        assert found.beyond_tested
    elif most > band.rear_tolerance:
        assert found.word is REAR
    elif not beyond.size or beyond.min() > -band.front_tolerance + 2e-4:
        assert found.word is IN
    left = (s > band.rear_tolerance) | (s < -band.front_tolerance)
    first = speeds[left.argmax()] if left.any() else math.inf
    if math.isfinite(first) and math.isfinite(found.leaves):
        assert found.leaves == pytest.approx(first, abs=0.06)
        assert found.leaves_to is (REAR if s[left.argmax()] > 0.0 else FRONT)


@given(AREAS, AREAS)
def test_the_range_is_never_better_than_any_speed_in_it(session, front, rear):
    found = ranged(car(session, top_speed=60.0), front, rear)
    order = [OFF, FRONT, UNSURE, EDGE, REAR, IN]
    for speed in np.linspace(found.start, min(found.end, BEYOND_TESTS * session.facility.speed), 7):
        at = axle_state([front, rear, 0.7], dynamic_pressure(speed, 1.2), session.vehicle).decisive_surplus
        band = session.vehicle.target
        word = OFF if np.isinf(at) else FRONT if at < -band.front_tolerance else REAR if at > band.rear_tolerance else IN  # fmt: skip
        assert order.index(found.word) <= order.index(word)


def drawn(middles, spread):
    """Make draws of the axles' areas about their middles, each as wide as asked for, the drag certain."""
    z = np.linspace(-spread, spread, 2000)
    return np.stack([middles[0] - z, middles[1] + z, np.full(2000, 0.7)])[:, :, None]


@pytest.mark.parametrize(
    ("front", "rear", "spread", "word", "edge"),
    [  # band from -1.5 % to 3 %; the car's weight is 54.2 % at the front: worked out with the law at 160 km/h
        (0.30, 0.25, 0.001, IN, None),
        (0.30, 0.05, 0.001, FRONT, None),
        (0.00, 0.50, 0.001, REAR, None),
        (0.30, 0.15, 0.08, EDGE, FRONT),
        (0.30, 0.42, 0.06, EDGE, REAR),
        (0.30, 0.30, 0.40, UNSURE, None),
        (-4.0, 0.30, 0.001, OFF, None),
        (0.30, -4.0, 0.001, OFF, None),
    ],
)
def test_classes_by_the_interval_of_the_extremes(session, front, rear, spread, word, edge):
    made = car(session, top_speed=54.0, driven=None)
    found = ranged(made, front, rear, draws=drawn((front, rear), spread))
    assert (found.word, found.edge) == (word, edge)
    assert found.certain


def test_beyond_the_tests_only_danger_counts(session):
    # tested at 160 km/h = 44.4 m/s, so that 54.2 m/s is as far as the tests reach
    pushes, loose = (
        ranged(car(session, top_speed=90.0), 0.0, 0.10),
        ranged(car(session, top_speed=90.0), 0.06, 0.0),
    )
    assert pushes.word is IN
    assert pushes.leaves > BEYOND_TESTS * session.facility.speed
    assert (loose.word, loose.beyond_tested) == (FRONT, True)
    assert loose.at == pytest.approx(90.0)


def test_drive_never_makes_a_car_look_safer(session):
    # a front-driven car loses front grip to drive, so its surplus rises: the closed throttle decides
    loose = (0.30, 0.05)
    words = [ranged(car(session, driven=one, top_speed=54.0), *loose).word for one in (None, "front", "both")]
    assert set(words) == {FRONT}
    pushing = ranged(car(session, driven="front", top_speed=54.0), 0.30, 0.30, 1.2)
    assert pushing.word is IN
    assert pushing.power_understeer is not None
    assert pushing.with_drive


def test_the_range_ends_where_the_car_does(session):
    area = np.array([0.7, -0.1])
    unknown = range_limits(car(session, top_speed=None, power=None), area, 1.2)[1]
    np.testing.assert_allclose(unknown, BEYOND_TESTS * session.facility.speed)
    powered = range_limits(car(session, power=200e3), area, 1.2)[1]
    v = powered[0]  # force times speed with the two resistances, by hand
    mass = session.vehicle.mass
    assert v * (0.5 * 1.2 * 0.7 * v**2 + ROLLING_RESISTANCE * mass * 9.80665) == pytest.approx(200e3)
    assert powered[1] == BEYOND_TESTS * session.facility.speed  # no drag, no end: the tests set it
    place = replace(car(session, top_speed=40.0), places=(Place(name="crest", speed=70.0),))
    assert range_limits(place, area, 1.2)[0] == 70.0
    assert set(range_limits(place, area, 1.2)[1]) == {70.0}


@given(st.floats(0.05, 3.0), st.floats(1e4, 1e6), st.floats(300.0, 4000.0))
def test_top_speed_is_the_root_of_its_cubic(area, power, mass):
    v = float(top_speed(area, power=power, mass=mass, air_density=1.2))
    assert v * (0.6 * area * v**2 + ROLLING_RESISTANCE * mass * 9.80665) == pytest.approx(power, rel=1e-9)


def test_a_range_is_worked_out_once_for_all_speeds_of_interest(session):
    day = reduce_day(session, draws=100)
    slow, fast = assess(day, speed=20.0), assess(day, speed=60.0)
    assert all(a is b for a, b in zip(slow.ranges, fast.ranges, strict=True))
    assert assess(day, air_density=1.0).ranges[0] is not slow.ranges[0]
