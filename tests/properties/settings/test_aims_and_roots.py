"""Where a curve meets an aim, in the nominal car and in every draw, and what each aim asks for, worked out by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from balance.compare.monotone_cubic import monotone_cubic
from balance.decide.day.day import reduce_day
from balance.decide.settings.aims import OffsetAim, SurplusAim, drawn_aim, offset_aim, surplus_aim
from balance.decide.settings.trim_roots import all_roots, drawn_roots
from balance.handling.decisive_surplus import surpluses
from balance.model.records import Stated
from balance.reduce.car_figures import figures_of

KNOTS = np.array([2.0, 5.0, 8.0, 11.0, 14.0])
NOTHING = np.zeros(3)
EVEN = OffsetAim(0.0, 0.5)  # met where front and rear press alike


# A step up of 1 between steps down of 1 starts at a slope of (3 + 1)/2 at an end of the sweep and arrives at one of 0:
# 2 t - t², which is a half at 1 - sqrt(1/2) of its 3 degrees
FIRST, LAST = 2.0 + 3.0 * (1.0 - np.sqrt(0.5)), 14.0 - 3.0 * (1.0 - np.sqrt(0.5))


def areas_of(front, rear, drag=0.5):
    """Lay the areas of the axles and of drag, a number for what stays as it is."""
    return np.array(np.broadcast_arrays(front, rear, drag), float)


def test_a_tested_setting_that_meets_the_aim_is_one_answer():
    """Front 0.2 m² throughout, rear 0.1, 0.2, 0.3: met at the middle one alone, the front's share falling through it."""
    curve = monotone_cubic([0.0, 1.0, 2.0], areas_of(0.2, [0.1, 0.2, 0.3]))
    assert all_roots(EVEN, curve, NOTHING, (0.0, 2.0)) == ((1.0, False),)


def test_an_end_that_meets_the_aim_is_an_answer_with_its_own_direction():
    rear = [0.2, 0.1, 0.05]
    curve = monotone_cubic([0.0, 1.0, 2.0], areas_of(0.2, rear))
    assert all_roots(EVEN, curve, NOTHING, (0.0, 2.0)) == ((0.0, True),)
    mirrored = monotone_cubic([0.0, 1.0, 2.0], areas_of(0.2, rear[::-1]))
    assert all_roots(EVEN, mirrored, NOTHING, (0.0, 2.0)) == ((2.0, False),)


def test_every_crossing_is_found_each_with_its_direction():
    """Rear between 0.1 and 0.3 m² against 0.2 of front: half way in the inner steps, by symmetry."""
    rear = [0.1, 0.3, 0.1, 0.3, 0.1]
    curve = monotone_cubic(KNOTS, areas_of(0.2, rear))
    found = all_roots(EVEN, curve, NOTHING, (2.0, 14.0))
    assert [rises for _, rises in found] == [False, True, False, True]
    assert [value for value, _ in found] == pytest.approx([FIRST, 6.5, 9.5, LAST], abs=1e-9)
    inside = all_roots(EVEN, curve, NOTHING, (5.0, 10.0))
    assert [value for value, _ in inside] == pytest.approx([6.5, 9.5], abs=1e-9)


AREA = st.floats(0.02, 0.5)


@settings(max_examples=60)
@given(st.lists(AREA, min_size=5, max_size=5), st.lists(AREA, min_size=5, max_size=5), st.floats(0.2, 0.8))
def test_the_unit_of_a_setting_moves_no_answer(front, rear, share):
    """The same sweep in millimetres and in metres: the roots are the same settings."""
    aim, areas = OffsetAim(0.0, share), areas_of(front, rear)
    fine = all_roots(aim, monotone_cubic(KNOTS / 1000.0, areas), NOTHING, (0.002, 0.014))
    coarse = all_roots(aim, monotone_cubic(KNOTS, areas), NOTHING, (2.0, 14.0))
    assert [value * 1000.0 for value, _ in fine] == pytest.approx([value for value, _ in coarse], abs=1e-8)
    assert [rises for _, rises in fine] == [rises for _, rises in coarse]


@pytest.mark.parametrize("unit", [1.0, 1e-3])
def test_in_every_draw_the_crossing_is_that_of_another_solver(unit):
    """Rear rises through the front in whichever step: scipy's pchip and brentq, draw by draw."""
    rng = np.random.default_rng(20261128)
    knots = KNOTS * unit
    rear = np.cumsum(rng.uniform(0.02, 0.1, (200, 5)), axis=1)
    front = 0.2 - np.cumsum(rng.uniform(0.0, 0.01, (200, 5)), axis=1)
    values = areas_of(front, rear)
    offset = np.array([rng.normal(0.0, 0.01, 200), rng.normal(0.0, 0.01, 200), np.zeros(200)])
    domain = (float(knots[0]), float(knots[-1]))
    found = drawn_roots(EVEN, monotone_cubic(knots, values), offset, domain, near=8.0 * unit, rises=False)
    crossed = 0
    for k in range(200):
        of_front, of_rear = (PchipInterpolator(knots, values[axle, k]) for axle in (0, 1))

        def miss(at, k=k, of_front=of_front, of_rear=of_rear):
            return float(of_front(at) + offset[0, k] - of_rear(at) - offset[1, k])

        if miss(domain[0]) * miss(domain[1]) < 0.0:
            crossed += 1
            assert found[k] == pytest.approx(brentq(miss, *domain, xtol=1e-14 * unit), abs=1e-9 * unit)
        else:
            # the rear never comes up to the front: more of the setting; or is above it from the start: less
            assert found[k] == (np.inf if miss(domain[1]) > 0.0 else -np.inf)
    assert crossed > 150


def test_of_several_crossings_a_draw_takes_the_one_nearest_to_the_nominal_and_of_its_direction():
    """Falling through 0 at the first and at 9.5, rising at 6.5 and at the last."""
    curve = monotone_cubic(KNOTS, areas_of(0.2, [[0.1, 0.3, 0.1, 0.3, 0.1]]))
    offset, domain = np.zeros((3, 1)), (2.0, 14.0)
    for near, rises, expected in [
        (4.0, False, FIRST),
        (9.0, False, 9.5),
        (6.0, True, 6.5),
        (13.0, True, LAST),
        (10.5, True, LAST),
        (9.0, True, 6.5),
    ]:
        (found,) = drawn_roots(EVEN, curve, offset, domain, near=near, rises=rises)
        assert found == pytest.approx(expected, abs=1e-9)


# 4000 N on either axle at 1000 Pa: 0.25 of added load for each m²; grip that grows with the load
PLAIN = SurplusAim(0.05, 1000.0, None, (4000.0, 4000.0), (1.0, 1.0))


def test_what_a_surplus_still_needs_by_hand():
    """With 0.4 m² at the front its load is 1.1, so the rear's has to be 1.155: 0.62 m²; with 0.4 at the rear the front's
    has to be 1.1/1.05: 0.190476 m²."""
    front, rear = PLAIN.needed(np.array(0.4), np.array(0.4), np.array(0.3))
    assert float(rear) == pytest.approx(0.62 - 0.4, abs=1e-12)
    assert float(front) == pytest.approx((1.1 / 1.05 - 1.0) / 0.25 - 0.4, abs=1e-12)
    miss = PLAIN.miss(np.array(0.4), np.array(0.62), np.array(0.3))
    assert float(miss) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("driven", ["front", "rear", "both"])
def test_with_what_it_needs_a_driven_car_meets_the_surplus(driven):
    aim = SurplusAim(0.02, 1000.0, driven, (4000.0, 3500.0), (0.84, 0.88))
    front, rear, drag = np.array(0.3), np.array(0.2), np.array(0.7)
    more_front, more_rear = aim.needed(front, rear, drag)
    assert float(aim.miss(front + more_front, rear, drag)) == pytest.approx(0.0, abs=1e-9)
    assert float(aim.miss(front, rear + more_rear, drag)) == pytest.approx(0.0, abs=1e-9)


def test_a_driven_axle_that_cannot_push_so_hard_is_as_far_from_the_aim_as_can_be():
    """Friction of 1.1 on 4000 N is 4400 N: 5 m² at 1000 Pa ask for 5000 N, and the rear has no side grip left."""
    aim = SurplusAim(0.0, 1000.0, "rear", (4000.0, 4000.0), (0.86, 0.86))
    nothing = np.array(0.0)
    assert aim.miss(nothing, nothing, np.array(5.0)) == -np.inf
    # of 2.2 m², half of what the tyres can push, the root of 1 - 1/4 is left
    half = float(aim.miss(nothing, nothing, np.array(2.2)))
    assert half == pytest.approx(0.5 * np.log(0.75), abs=1e-12)


@pytest.mark.parametrize("driven", ["rear", "front", "both"])
def test_each_driven_axle_pays_out_of_its_own_load(driven):
    """5000 N in front and 4000 N at the rear, 2200 N of drag and friction of 1.1: 4400 N can be pushed at the rear, 5500 in front."""
    aim = SurplusAim(0.0, 1000.0, driven, (5000.0, 4000.0), (0.86, 0.86))
    nothing = np.array(0.0)
    rear, front = 1.0 - (2200.0 / 4400.0) ** 2, 1.0 - (2200.0 / 5500.0) ** 2
    if driven == "both":  # half of it at each
        rear, front = 1.0 - (1100.0 / 4400.0) ** 2, 1.0 - (1100.0 / 5500.0) ** 2
    expected = {"rear": rear, "front": 1.0, "both": rear / front}[
        driven
    ]  # what drive would add counts for nothing
    assert float(aim.miss(nothing, nothing, np.array(2.2))) == pytest.approx(
        0.5 * np.log(expected), abs=1e-12
    )


@pytest.mark.parametrize("driven", ["rear", "front", "both", None])
def test_the_miss_of_a_surplus_is_the_surplus_of_the_car_with_those_loads(make_vehicle, driven):
    """Against the surplus that verdicts are judged on, of loads that differ: ln((1 + surplus)/(1 + aim))."""
    car = make_vehicle(grip=(0.84, 0.88), exact=True, driven=driven, front_share=0.55)
    aim = surplus_aim(car, 0.02, 1500.0)
    for front, rear, drag in ((0.3, 0.1, 0.7), (0.1, 0.5, 0.9), (-0.2, 0.3, 0.5)):
        found = surpluses(
            np.array(front * 1500.0),
            np.array(rear * 1500.0),
            np.array(drag * 1500.0),
            figures_of(car),
            driven_axle=driven,
        ).decisive
        miss = aim.miss(np.array(front), np.array(rear), np.array(drag))
        assert float(miss) == pytest.approx(np.log((1.0 + float(found)) / 1.02), abs=1e-12)


def test_a_drawn_aim_has_each_axle_s_own_draws(make_session, make_vehicle):
    """Of a car whose front and rear exponents, weights and share are known apart."""
    said = {
        "tyres.grip_load_exponent.front": Stated(value=0.8, std=0.02),
        "tyres.grip_load_exponent.rear": Stated(value=0.9, exact=True),
        "mass.front_share": Stated(value=0.55, std=0.01),
        "mass.total": Stated(value=1200.0, std=30.0),
    }
    car = make_vehicle(grip=(0.8, 0.9), assumed=False, front_share=0.55, uncertainties=said)
    shared = reduce_day(make_session([(1.0, 2.0, 600.0)], vehicle=car), draws=500).shared
    aim = drawn_aim(surplus_aim(car, 0.02, 1500.0), shared)
    np.testing.assert_array_equal(aim.grip[0], shared.car.grip[0][:, 0])
    assert np.broadcast_to(aim.grip[1], 500) == pytest.approx(0.9)
    weight = shared.car.mass[:, 0] * 9.80665
    np.testing.assert_allclose(aim.weights[0], weight * shared.car.front_share[:, 0], rtol=1e-12)
    np.testing.assert_allclose(aim.weights[1], weight * (1.0 - shared.car.front_share[:, 0]), rtol=1e-12)
    some = aim.of(np.array([3, 7]))
    np.testing.assert_array_equal(some.grip[0], aim.grip[0][[3, 7]])
    np.testing.assert_array_equal(some.weights[1], aim.weights[1][[3, 7]])
    offset = drawn_aim(offset_aim(car, -0.05), shared)
    np.testing.assert_allclose(offset.share, shared.car.front_share[:, 0] - 0.05, rtol=1e-12)
    np.testing.assert_array_equal(offset.of(np.array([4])).share, offset.share[[4]])


@pytest.mark.parametrize(
    ("front", "rear", "needs"),
    [
        (0.3, 0.1, (0.4 / 0.6 * 0.1 - 0.3, 0.6 / 0.4 * 0.3 - 0.1)),
        (0.3, -0.1, (np.nan, 0.6 / 0.4 * 0.3 + 0.1)),  # beside a rear that lifts no front makes a share
        (-0.3, 0.1, (0.4 / 0.6 * 0.1 + 0.3, np.nan)),
        (0.0, 0.1, (0.4 / 0.6 * 0.1, np.nan)),
        (0.3, 0.0, (np.nan, 0.6 / 0.4 * 0.3)),
    ],
)
def test_what_a_share_of_four_tenths_at_the_front_still_needs(front, rear, needs):
    found = OffsetAim(0.0, 0.4).needed(np.array(front), np.array(rear), np.array(0.5))
    assert [float(one) for one in found] == pytest.approx(needs, nan_ok=True)


def test_an_axle_off_the_ground_is_infinitely_far_on_its_own_side():
    """4 m² of lift at 1000 Pa take the whole 4000 N off an axle."""
    level, lifted, drag = np.array(0.0), np.array(-4.5), np.array(0.5)
    assert PLAIN.miss(level, lifted, drag) == -np.inf
    assert PLAIN.miss(lifted, level, drag) == np.inf


@given(st.floats(-0.5, 1.0), st.floats(-0.5, 1.0), st.floats(0.2, 0.8))
def test_slopes_are_those_of_the_miss(front, rear, share):
    """A central difference over 1e-5 m², without drive."""
    step = 1e-5
    for aim in (OffsetAim(0.0, share), SurplusAim(0.02, 1000.0, None, (4000.0, 3500.0), (0.84, 0.88))):
        by_front, by_rear = aim.slopes(np.array(front), np.array(rear))

        def miss(more_front, more_rear, aim=aim):
            return float(aim.miss(np.array(front + more_front), np.array(rear + more_rear), np.array(0.5)))

        assert float(by_front) == pytest.approx((miss(step, 0.0) - miss(-step, 0.0)) / (2.0 * step), rel=1e-5)
        assert float(by_rear) == pytest.approx((miss(0.0, step) - miss(0.0, -step)) / (2.0 * step), rel=1e-5)
