"""The speed at which the tolerance is passed: a closed form and a root finder, held against a dense scan."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.onsets import estimate_onsets
from balance.decide.day.verdict import VerdictWord
from balance.handling.axle_state import axle_state
from balance.handling.grip import grip_surplus
from balance.handling.onset import lift_off_pressure, onset_pressure
from balance.model.errors import DomainError
from balance.model.records import Stated

SLOPE = st.floats(-3e-4, 3e-4, allow_subnormal=False)
GRIP = st.floats(0.5, 1.1)


def edge_toward(front, rear, front_exponent, rear_exponent):
    """3 % for the rear over the front, 1.5 % for the front over the rear: the one the surplus sets out to."""
    return 0.03 if rear_exponent * rear > front_exponent * front else -0.015


@given(SLOPE, SLOPE, GRIP, st.floats(-0.05, 0.05))
def test_surplus_at_the_onset_is_the_edge(front, rear, exponent, difference):
    exponents = {"front_exponent": exponent - difference / 2, "rear_exponent": exponent + difference / 2}
    edge = edge_toward(front, rear, *exponents.values())
    pressure = onset_pressure(front, rear, edge, **exponents)
    assert pressure > 0.0
    assume(np.isfinite(pressure) and pressure < 1e8)
    left = 1.0 + front * pressure, 1.0 + rear * pressure
    assert min(left) > 0.0
    assume(
        min(left) > 1e-5
    )  # closer to lift-off a rounding of the pressure moves the surplus further than 1e-9
    reached = grip_surplus(front * pressure, rear * pressure, **exponents)
    assert reached == pytest.approx(edge, rel=0, abs=1e-9)
    before = pressure * np.linspace(1e-6, 1.0 - 1e-6, 400)
    surplus = grip_surplus(front * before, rear * before, **exponents)
    assert np.all(np.diff(surplus) * np.sign(edge) > -1e-15)


@given(SLOPE, SLOPE, GRIP, st.sampled_from([0.0, -0.05, -0.013, 0.02, 0.05]))
def test_a_dense_scan_finds_the_same_onset(front, rear, exponent, difference):
    pf, pr = exponent - difference / 2, exponent + difference / 2
    edge = edge_toward(front, rear, pf, pr)
    found = float(onset_pressure(front, rear, edge, front_exponent=pf, rear_exponent=pr))
    lowest = min(front, rear)
    top = -1.0 / lowest if lowest < -1e-7 else 1e7
    scan = np.unique(
        np.concatenate(
            [np.geomspace(1e-2, top * (1 - 1e-6), 20_001), top * (1 - np.geomspace(1e-3, 1e-6, 500))]
        )
    )
    beyond = (
        np.sign(edge) * (pr * np.log1p(rear * scan) - pf * np.log1p(front * scan) - np.log1p(edge)) >= 0.0
    )
    crossed = np.flatnonzero(beyond)
    if crossed.size:
        first = crossed[0]
        assert first > 0
        assert scan[first - 1] * (1 - 1e-9) <= found <= scan[first] * (1 + 1e-9)
    else:
        assert found > scan[-1] * (1 - 1e-9)


@given(SLOPE, GRIP)
def test_matched_axles_have_no_onset(slope, exponent):
    for edge in (0.03, -0.015):
        assert onset_pressure(slope, slope, edge, front_exponent=exponent, rear_exponent=exponent) == np.inf


@given(SLOPE, SLOPE)
def test_lift_off_is_where_the_first_axle_has_no_load_left(front, rear):
    pressure, is_front = lift_off_pressure(front, rear)
    if min(front, rear) >= 0.0:
        assert pressure == np.inf
    else:
        slope, other = (front, rear) if is_front else (rear, front)
        assert 1.0 + slope * pressure == pytest.approx(0.0, abs=1e-12)
        assert 1.0 + other * pressure >= -1e-12


@given(st.floats(-0.3, 0.6), st.floats(-0.3, 0.6), st.sampled_from([0.9, 1.225]))
def test_onset_of_a_session_is_a_speed_at_the_stated_density(
    make_session, make_vehicle, front, rear, density
):
    car = make_vehicle(assumed=False)
    pressure = 0.5 * 1.2 * 50.0**2
    day = reduce_day(make_session([(front * pressure, rear * pressure, 600.0)], vehicle=car), draws=200)
    onsets = assess(day, air_density=density).onsets
    weights = 1200.0 * 9.80665 * np.array([0.52, 0.48])
    toward_rear = rear / weights[1] > front / weights[0]
    assert onsets.verdict[0] is (VerdictWord.REAR_OVERPOWERS if toward_rear else VerdictWord.FRONT_OVERPOWERS)
    speed = onsets.speed[0]
    assert speed > 0.0
    assert onsets.low[0] <= onsets.high[0]
    if speed < 1e4:
        state = axle_state([front, rear, 0.4], 0.5 * density * speed**2, car)
        edge = 0.03 if toward_rear else -0.015
        assert state.grip_surplus == pytest.approx(edge, rel=0, abs=1e-9)
        assert min(state.front_added_load, state.rear_added_load) > -1.0


@pytest.mark.parametrize(
    ("front", "rear", "grip", "growth"),
    [
        # one axle loaded, so that its exponent alone counts: by hand 1.03^(1 / 0.80) - 1 and 0.985^(-1 / 0.90) - 1
        (0.0, 0.3, (0.90, 0.80), 0.037639),
        (0.3, 0.0, (0.90, 0.80), 0.016935),
    ],
)
def test_each_axle_has_its_own_exponent_and_the_interval_too(
    make_session, make_vehicle, front, rear, grip, growth
):
    car = make_vehicle(grip=grip, exact=True, front_share=0.6)
    pressure = 0.5 * 1.2 * 50.0**2
    day = reduce_day(
        make_session([(front * pressure, rear * pressure, 600.0)], vehicle=car, deviation=(1e-3,) * 3),
        draws=500,
    )
    onsets = assess(day).onsets
    weight = 1200.0 * 9.80665 * (0.6 if front else 0.4)
    expected = np.sqrt(2.0 * growth * weight / 0.3 / 1.2)
    assert onsets.speed[0] == pytest.approx(expected, rel=2e-5)
    assert onsets.low[0] == pytest.approx(expected, rel=1e-4)
    assert onsets.high[0] == pytest.approx(expected, rel=1e-4)


@given(st.floats(0.05, 0.6), st.floats(0.05, 0.6), st.floats(0.2, 0.8))
def test_the_driven_onset_is_where_the_surplus_with_drive_leaves_the_band(
    make_session, make_vehicle, front, rear, drag
):
    car = make_vehicle(assumed=False, driven="rear")
    pressure = 0.5 * 1.2 * 50.0**2
    day = reduce_day(
        make_session([(front * pressure, rear * pressure, drag * pressure)], vehicle=car), draws=100
    )
    onsets = assess(day, drawn=False).onsets
    speed = onsets.driven_speed[0]

    def surplus(at):
        return float(axle_state([front, rear, drag], 0.6 * at**2, car).decisive_surplus)

    if np.isfinite(speed):
        assert not -0.015 <= surplus(speed + 1e-6) <= 0.03
        assert speed <= 2.0 or -0.015 <= surplus(speed - 1e-6) <= 0.03
        toward_rear = surplus(speed + 1e-6) > 0.0
        assert onsets.driven_verdict[0] is (
            VerdictWord.REAR_OVERPOWERS if toward_rear else VerdictWord.FRONT_OVERPOWERS
        )
    else:
        assert all(-0.015 <= surplus(at) <= 0.03 for at in np.linspace(2.0, 150.0, 75))


@pytest.mark.parametrize(
    ("rear_weight", "axle", "growth", "word"),
    [
        # exponents of 0.85: at rest the rear's grip for its weight is (new / old)^-0.15 of what it was, by hand.
        # 1.10^-0.15 = 0.985806: within the band; from there (1.03 / 0.985806)^(1 / 0.85) - 1
        (1.10, "rear", 0.052948, VerdictWord.REAR_OVERPOWERS),
        # 0.85^-0.15 = 1.024678: less than 3 % above; (1.024678 / 0.985)^(1 / 0.85) - 1
        (0.85, "front", 0.047557, VerdictWord.FRONT_OVERPOWERS),
        # 0.80^-0.15 = 1.034038 and 1.20^-0.15 = 0.973022: beyond 3 % and 1.5 % before any air moves
        (0.80, "front", 0.0, VerdictWord.REAR_OVERPOWERS),
        (1.20, "rear", 0.0, VerdictWord.FRONT_OVERPOWERS),
    ],
)
def test_a_car_weighted_otherwise_than_it_was_set_up_sets_out_from_there(
    make_session, make_vehicle, rear_weight, axle, growth, word
):
    built = make_vehicle(grip=(0.85, 0.85), exact=True, mass=1200.0, front_share=0.5)
    rear = 600.0 * rear_weight
    weighted = replace(built, mass=600.0 + rear, front_share=600.0 / (600.0 + rear))
    day = reduce_day(make_session([(100.0, 100.0, 600.0)], vehicle=built), draws=100)
    areas = np.array([[0.3 if axle == "front" else 0.0], [0.3 if axle == "rear" else 0.0], [0.6]])
    found = estimate_onsets(areas, None, 1.2, weighted, day.shared, set_up=built)
    weight = 9.80665 * (600.0 if axle == "front" else rear)
    assert found.speed[0] == pytest.approx(np.sqrt(2.0 * growth * weight / 0.3 / 1.2), rel=2e-5, abs=1e-9)
    assert found.verdict == (word,)


@pytest.mark.parametrize(("fastest", "reached"), [(149.0, True), (151.0, False)])
@pytest.mark.parametrize("driven", ["rear", "both"])
def test_a_driven_onset_is_looked_for_up_to_150_metres_a_second(
    make_session, make_vehicle, fastest, reached, driven
):
    """Without downforce the rear keeps sqrt(1 - (D / 1.1 W)^2) of its grip, 1 - 1.5 % where D is 0.17255 x 1.1 W.

    With both axles driven each pushes against half of the drag, and neither pays more than the other: no onset at all.
    """
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, exact=True, driven=driven)
    needed = 1.1 * 5000.0 * np.sqrt(1.0 - 0.985**2)
    area = needed / (0.6 * fastest**2)
    day = reduce_day(make_session([(0.0, 0.0, area * 1500.0)], vehicle=car), draws=100)
    found = assess(day, drawn=False).onsets
    if driven == "rear" and reached:
        assert found.driven_speed[0] == pytest.approx(fastest, rel=1e-9)
        assert found.driven_class_reached == (VerdictWord.FRONT_OVERPOWERS,)
    else:
        assert found.driven_speed[0] == np.inf
        assert found.driven_class_reached == (None,)


@pytest.mark.parametrize("driven", ["front", None])
def test_a_driven_onset_is_of_cars_whose_rear_is_driven(make_session, make_vehicle, driven):
    day = reduce_day(
        make_session([(0.0, 300.0, 600.0)], vehicle=make_vehicle(driven=driven, exact=True)), draws=100
    )
    found = assess(day, drawn=False).onsets
    assert (found.driven_speed, found.driven_class_reached) == (None, (None,))
    assert found.class_reached == (VerdictWord.REAR_OVERPOWERS,)


@pytest.mark.parametrize(
    ("front", "rear", "axle"), [(-300.0, -100.0, "front"), (-100.0, -300.0, "rear"), (10.0, 10.0, None)]
)
def test_the_axle_that_lifts_first_is_named_with_its_speed(make_session, make_vehicle, front, rear, axle):
    """5000 N on either axle, 300 N of lift at 50 m/s: 50 m/s times the root of 5000/300."""
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, exact=True)
    found = assess(reduce_day(make_session([(front, rear, 600.0)], vehicle=car), draws=100)).onsets
    assert found.lift_off_axle == (axle,)
    expected = 50.0 * np.sqrt(5000.0 / 300.0) if axle else np.inf
    assert found.lift_off_speed[0] == pytest.approx(expected, rel=1e-12)


def test_draws_of_the_weights_are_behind_the_interval_of_an_onset(make_session, make_vehicle):
    """Exponent 1, no load in front: q = 3 % of the rear's weight over its area. A share of the weight known to 2 points is
    4 % of a half: the onset's speed goes with the root, so 2 % of it, 1.96 times that on either side."""
    said = {
        "mass.front_share": Stated(value=0.5, std=0.02),
        "tyres.grip_load_exponent": Stated(value=1.0, exact=True),
        "tyres.stiffness_load_exponent": Stated(value=0.75, exact=True),
    }
    car = make_vehicle(
        mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0), assumed=False, uncertainties=said
    )
    session = make_session([(0.0, 300.0, 600.0)], vehicle=car, deviation=(1e-6,) * 3)
    found = assess(reduce_day(session, draws=20_000)).onsets
    speed = np.sqrt(0.03 * 5000.0 / (0.2 * 0.6))
    assert found.speed[0] == pytest.approx(speed, rel=1e-9)
    ends = [speed * np.sqrt(1.0 - one * 0.04) for one in (1.96, -1.96)]
    assert (found.low[0], found.high[0]) == pytest.approx(ends, rel=0.002)


def test_onsets_of_several_cars_are_those_of_each_alone(make_session, make_vehicle):
    car = make_vehicle(exact=True, driven="rear")
    rng = np.random.default_rng(20261128)
    readings = [(*rng.uniform(-100.0, 700.0, 2), rng.uniform(300.0, 900.0)) for _ in range(9)]
    day = reduce_day(make_session(readings, vehicle=car), draws=200)
    together = assess(day).onsets
    reached = 0
    for row, reading in enumerate(readings):
        session = make_session([reading], vehicle=car)
        alone = assess(reduce_day(session, draws=200), drawn=False).onsets
        for name in ("speed", "driven_speed", "lift_off_speed"):
            assert getattr(together, name)[row] == pytest.approx(getattr(alone, name)[0], rel=1e-9), name
        assert together.driven_class_reached[row] is alone.driven_class_reached[0]
        assert together.class_reached[row] is alone.class_reached[0]
        assert together.lift_off_axle[row] == alone.lift_off_axle[0]
        reached += bool(np.isfinite(alone.driven_speed[0]))
    assert reached >= 5


@pytest.mark.parametrize("difference", [0.0, 0.02])
@pytest.mark.parametrize("edges", [-1.0, -1.2, [0.03, -1.0], [-1.5, 0.03]])
def test_one_edge_that_leaves_no_grip_among_many_is_refused(edges, difference):
    with pytest.raises(DomainError, match="expected above -1"):
        onset_pressure(0.0, 1e-4, edges, front_exponent=0.86, rear_exponent=0.86 + difference)
    # just above it the front's load alone would have to grow ten thousandfold
    assert onset_pressure(1e-4, 0.0, -0.9999, front_exponent=1.0, rear_exponent=1.0) == pytest.approx(9999e4)
