"""What must hold of every answer to "what should the setting be?"."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.settings.aims import drawn_aim
from balance.decide.settings.moved_setting import needed_change
from balance.decide.settings.response import Stall
from balance.decide.settings.trim_question import TrimQuestion, answer_trim, prepare_trim
from balance.decide.settings.trim_roots import drawn_roots
from balance.decide.what_if.what_if import evaluate_what_if
from balance.model.errors import DomainError, InputError, UnknownName
from balance.model.records import Adjuster, Setting
from balance.model.what_ifs import StatedChange, WhatIf

ANGLES = (2.0, 5.0, 8.0, 11.0, 14.0)
PRESSURE = 0.5 * 1.2 * 50.0**2
SWEEP = [
    (300.0, 240.0, 700.0),
    (285.0, 370.0, 712.0),
    (265.0, 470.0, 729.0),
    (245.0, 540.0, 752.0),
    (235.0, 500.0, 800.0),
]
FLAP = [(280.0, 420.0, 722.0), (262.0, 520.0, 741.0)]


def angle(value, **others):
    held = {name: Setting(value=v, unit="mm") for name, v in others.items()}
    return {"settings": {"wing_angle": Setting(value=value, unit="deg"), **held}}


def wing_session(make_session, vehicle, *, deviation=(3.0, 3.0, 2.0), flap=True):
    runs = [angle(a) for a in ANGLES] + ([angle(5.0, flap=10.0), angle(8.0, flap=10.0)] if flap else [])
    readings = [*SWEEP, *(FLAP if flap else [])]
    return make_session(
        readings, vehicle=vehicle, deviation=deviation, configurations=["wing"] * len(runs), runs=runs
    )


@pytest.fixture(scope="module")
def prepared(make_session, make_vehicle):
    return prepare_day(reduce_day(wing_session(make_session, make_vehicle(assumed=False)), draws=2_000))


def ask(run="3", **others):
    return TrimQuestion(run=run, setting="wing_angle", **others)


CHANGE = st.builds(
    StatedChange,
    front=st.floats(-0.1, 0.15),
    rear=st.floats(-0.1, 0.1),
    drag=st.floats(-0.02, 0.05),
    front_std=st.sampled_from([0.0, 0.01]),
)


@settings(max_examples=60)
@given(
    CHANGE, st.floats(-0.25, 0.15), st.floats(-0.015, 0.05), st.booleans(), st.sampled_from(["1", "3", "4"])
)
def test_an_answer_put_into_the_model_meets_the_target(prepared, change, offset, surplus, by_offset, run):
    target = {"offset": offset} if by_offset else {"surplus": surplus}
    answer = answer_trim(prepared, ask(run, stated=(change,), **target), speed=60.0).answer
    low, high = answer.moved.response.useful
    for one in answer.solutions:
        assert low <= one.value <= high
        asked = WhatIf(start=run, settings=(("wing_angle", one.value),), stated=(change,), speed=60.0)
        car = evaluate_what_if(prepared, asked).result.handling
        met = car.balance_offset[0] - offset if by_offset else car.grip_surplus.value[0] - surplus
        assert abs(met) < 1e-9
        assert one.low <= one.value <= one.high
        assert 0.0 < one.reached_share <= 1.0
    assert (answer.closest is None) == bool(answer.solutions)


@settings(max_examples=30)
@given(CHANGE, st.floats(-0.3, 0.3))
def test_what_is_missing_makes_the_nearest_an_answer(prepared, change, offset):
    assume(-0.45 < offset < 0.4)
    question = ask(stated=(change,), offset=offset)
    answer = answer_trim(prepared, question).answer
    if answer.closest is None:
        return
    one = answer.closest
    for axle, missing in (("front", one.missing_front), ("rear", one.missing_rear)):
        if missing is None:
            continue
        more = StatedChange(**{axle: missing / PRESSURE})
        asked = WhatIf(start="3", settings=(("wing_angle", one.value),), stated=(change, more))
        assert evaluate_what_if(prepared, asked).result.handling.balance_offset[0] == pytest.approx(
            offset, abs=1e-9
        )


@pytest.mark.parametrize("target", [{"offset": -0.08}, {"surplus": 0.02}])
def test_the_map_of_equal_balance_is_the_solver_turned_round(prepared, target):
    answer = answer_trim(prepared, ask(**target)).answer
    low, high = answer.moved.response.useful
    values = np.linspace(low, high, 7)
    (front, least, most), (rear, _, _) = needed_change(
        answer.moved, answer.aim, values, dynamic_pressure=answer.before.dynamic_pressure
    )
    assert np.all(np.diff(front) > 0.0)  # more wing needs more front
    assert np.all((least < front) & (front < most))
    for value, more in zip(values, front, strict=True):
        changed = ask(stated=(StatedChange(front=more / PRESSURE),), **target)
        found = [one.value for one in answer_trim(prepared, changed).answer.solutions]
        assert any(one == pytest.approx(value, abs=1e-6) for one in found) or value in (low, high)
    assert np.all(np.sign(rear) == -np.sign(front))


@pytest.mark.parametrize("assumed", [True, False])
@pytest.mark.parametrize("target", [{"offset": -0.05}, {"surplus": 0.012}])
def test_roots_of_draws_are_those_of_another_solver(make_session, make_vehicle, assumed, target):
    day = reduce_day(wing_session(make_session, make_vehicle(assumed=assumed)), draws=200)
    prepared = prepare_day(day)
    moved, aim, _, _ = prepare_trim(prepared, ask(**target), speed=60.0)
    (one, *_) = answer_trim(prepared, ask(**target), speed=60.0).answer.solutions
    domain, drawn = moved.response.useful, drawn_aim(aim, prepared.shared)
    rises = aim.kind == "grip_surplus"
    roots = drawn_roots(drawn, moved.response.drawn, moved.offset_draws, domain, near=one.value, rises=rises)
    for k in range(200):
        own = drawn.of(np.array([k]))
        values, offset = moved.response.drawn(domain[0])[:, k], moved.offset_draws[:, k]
        assert values.shape == (3, 1)

        def miss(at, k=k, own=own, offset=offset):
            areas = moved.response.drawn(at)[:, k, 0] + offset
            return float(np.squeeze(own.miss(*areas)))

        ends = miss(domain[0]), miss(domain[1])
        if ends[0] * ends[1] < 0.0:
            assert roots[k] == pytest.approx(brentq(miss, *domain, xtol=1e-12), abs=1e-8)
        else:
            assert np.isinf(roots[k])


def test_moved_to_its_own_setting_the_car_is_the_run_itself(prepared):
    moved, *_ = prepare_trim(prepared, ask("4", offset=0.0))
    np.testing.assert_array_equal(moved.areas(11.0), prepared.day.readings.areas[3])
    np.testing.assert_array_equal(moved.drawn(11.0), moved.car.draws)


def test_holes_stand_beside_the_answer_rear_safe_first_and_never_outside_the_limits(
    make_session, make_vehicle
):
    holes = tuple(
        (name, value) for name, value in zip("abcdef", (2.0, 4.0, 6.0, 8.0, 10.0, 13.0), strict=True)
    )
    adjuster = Adjuster(
        setting="wing_angle", unit="deg", holes=holes, low=3.0, high=9.0, confirmed_by="scrutineer"
    )
    vehicle = make_vehicle(assumed=False, adjusters=(adjuster,))
    prepared = prepare_day(reduce_day(wing_session(make_session, vehicle), draws=500))
    answer = answer_trim(prepared, ask(offset=-0.12)).answer
    (one,) = answer.solutions
    assert 3.0 <= one.value <= 9.0
    names = [hole.value for hole in one.holes]
    assert sorted(names) == [
        max(v for _, v in holes if v <= one.value),
        min(v for _, v in holes if v >= one.value),
    ]
    first, second = (hole.state.handling.grip_surplus.value[0] for hole in one.holes)
    assert first > second
    for offset in np.linspace(-0.3, 0.1, 21):
        found = answer_trim(prepared, ask(offset=float(offset))).answer
        for one in (*found.solutions, *([found.closest] if found.closest else [])):
            assert all(3.0 <= v <= 9.0 for v in (one.value, *(hole.value for hole in one.holes)))


def test_limits_beside_the_useful_range_leave_nothing(make_session, make_vehicle):
    adjuster = Adjuster(setting="wing_angle", unit="deg", low=12.0, high=14.0, confirmed_by="scrutineer")
    vehicle = make_vehicle(assumed=False, adjusters=(adjuster,))
    answer = answer_trim(
        prepare_day(reduce_day(wing_session(make_session, vehicle), draws=200)), ask()
    ).answer
    assert (answer.domain, answer.solutions, answer.closest) == (None, (), None)


def test_with_the_flap_is_a_curve_of_its_own(prepared):
    found = answer_trim(prepared, ask(offset=-0.14))
    (other,) = found.alternatives
    assert other.moved.response.family.differs == ("flap",)
    assert set(other.moved.response.family.labels) == {"6", "7"}
    (one,) = other.solutions
    assert one.value < found.answer.solutions[0].value
    moved = other.moved
    measured = prepared.day.readings.areas[6]
    np.testing.assert_allclose(
        moved.areas(8.0), measured, rtol=1e-12
    )  # nothing changed: the run with the flap


def test_without_scatter_there_is_an_answer_and_no_interval(make_session, make_vehicle):
    session = wing_session(make_session, make_vehicle(assumed=False), deviation=(None, None, None))
    session = replace(session, repeatability=None)
    answer = answer_trim(prepare_day(reduce_day(session, draws=200)), ask(offset=-0.1)).answer
    (one,) = answer.solutions
    assert np.isnan([one.low, one.high, one.reached_share]).all()
    assert "scatter unknown" in [a.kind for a in answer.assumptions]


def test_an_open_end_is_infinite(prepared):
    at_the_end = answer_trim(prepared, ask("4", offset=0.0)).answer.before.handling.balance_offset[0]
    answer = answer_trim(prepared, ask("4", offset=float(at_the_end) + 1e-4)).answer
    (one,) = answer.solutions
    assert one.high == np.inf
    assert np.isfinite(one.low)
    assert 0.4 < one.reached_share < 0.6
    assert Stall.NEXT in one.stall


def test_refusals(prepared):
    with pytest.raises(UnknownName, match="wing_angle"):
        answer_trim(prepared, TrimQuestion(run="3", setting="wing_angel"))
    with pytest.raises(InputError, match="one value of wing_angle"):
        answer_trim(prepared, ask(family=("2", "6")))
    with pytest.raises(InputError, match="outside the 5 to 8 deg"):
        answer_trim(prepared, ask("4", family=("6", "7")))
    with pytest.raises(InputError, match="one of the two"):
        answer_trim(prepared, ask(offset=0.0, surplus=0.0))
    with pytest.raises(DomainError, match="past the oversteer limit"):
        answer_trim(prepared, ask(surplus=-0.05))
    with pytest.raises(DomainError, match="limit"):
        answer_trim(prepared, ask(limit=-1.0))


def test_a_curve_of_other_runs_is_used_with_that_said(prepared):
    answer = answer_trim(prepared, ask("3", family=("6", "7"), offset=-0.14)).answer
    said = {one.kind: one.values for one in answer.assumptions}
    assert said["curve of other runs"] == {"runs": "6, 7", "differs": ""}
    assert said["start not on the curve"] == {"run": "3"}


@pytest.mark.parametrize("slope", [0.0, 20.0])
def test_a_setting_that_does_nothing_useful_leaves_its_first_value(make_session, make_vehicle, slope):
    """Flat, and gaining less than its drag: one setting is left, which is next to the stall."""
    readings = [(300.0, 400.0 + slope * k, 700.0 + 30.0 * k) for k in range(3)]
    runs = [angle(a) for a in (2.0, 5.0, 8.0)]
    session = make_session(
        readings,
        vehicle=make_vehicle(assumed=False),
        configurations=["wing"] * 3,
        runs=runs,
        deviation=(None, None, None),
    )
    answer = answer_trim(
        prepare_day(reduce_day(replace(session, repeatability=None), draws=100)), ask("1", offset=0.0)
    ).answer
    low, high = answer.moved.response.useful
    assert low == high
    assert answer.solutions == ()
    assert answer.closest.value == low
    assert Stall.NEXT in answer.closest.stall
