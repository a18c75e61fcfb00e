"""Laws of handling worked out by hand, and the onset held against another solver where it is hard to reach."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from balance.decide.car.car_range import beyond_band_at_places
from balance.decide.settings.aims import surplus_aim
from balance.handling.axle_loads import static_axle_weights
from balance.handling.axle_state import axle_state
from balance.handling.decisive_surplus import surpluses
from balance.handling.load_share_band import front_load_share_at
from balance.handling.neutral_steer import neutral_steer_shift, shift_from_growth
from balance.handling.onset import onset_pressure
from balance.handling.part_force import axle_changes, place_of_action
from balance.model.errors import DomainError
from balance.model.records import Place, Target
from balance.reduce.car_figures import figures_of

CASES = 400_000


def reachable_cases(rng):
    """Find cars whose surplus has a last pressure: an axle lifts there, or the surplus turns back.

    The edge is the surplus as little as a part in 10^6 short of it. Kept are edges and pressures that a car can have:
    5 % of the front or 10 % of the rear, and 30 kPa, which is air at 220 m/s.
    """
    front, rear = rng.uniform(-3e-4, 3e-4, (2, CASES)) * 10.0 ** rng.uniform(-2.0, 0.0, CASES)
    difference = rng.choice([-0.1, -0.05, -0.01, 0.02, 0.05, 0.1], CASES)
    middle = rng.uniform(0.5, 1.1, CASES)
    of_front, of_rear = middle - difference / 2.0, middle + difference / 2.0
    lowest = np.minimum(front, rear)
    lift = np.where(lowest < 0.0, -1.0 / lowest, np.inf)
    turn = (of_front * front - of_rear * rear) / (front * rear * (of_rear - of_front))
    top = np.minimum(lift, np.where(turn > 0.0, turn, np.inf))
    at = np.where(np.isfinite(top), top, 0.0) * (1.0 - 10.0 ** -rng.uniform(0.3, 6.0, CASES))
    edge = np.expm1(of_rear * np.log1p(rear * at) - of_front * np.log1p(front * at))
    kept = (at <= 3e4) & (np.abs(edge) > 0.005) & (edge > -0.05) & (edge < 0.1)
    return np.column_stack([front, rear, of_front, of_rear, edge, top])[kept].tolist()


def test_the_onset_is_that_of_another_solver_in_hard_cases_too():
    """Scipy's brentq between rest and the last pressure; so near to a turn a rounding moves the root itself."""
    cases = reachable_cases(np.random.default_rng(20261128))
    assert len(cases) > 1_000
    for front, rear, of_front, of_rear, edge, top in cases:

        def miss(pressure, front=front, rear=rear, pf=of_front, pr=of_rear, edge=edge):
            return pr * np.log1p(rear * pressure) - pf * np.log1p(front * pressure) - np.log1p(edge)

        found = float(onset_pressure(front, rear, edge, front_exponent=of_front, rear_exponent=of_rear))
        expected = brentq(miss, 0.0, top * (1.0 - 1e-12), xtol=1e-9)
        assert found == pytest.approx(expected, rel=1e-4)
        assert abs(miss(found)) < 1e-9


@pytest.mark.parametrize("share", [1e-3, 1e-6, 1e-9])
def test_an_edge_just_short_of_the_turn_is_reached(share):
    """The edge is put so little below the greatest surplus there is: the slope there is all but 0."""
    front, rear, of_front, of_rear = 1e-4, 1.3e-4, 0.90, 0.80
    turn = (of_front * front - of_rear * rear) / (front * rear * (of_rear - of_front))

    def surplus(pressure):
        return of_rear * np.log1p(rear * pressure) - of_front * np.log1p(front * pressure)

    edge = np.expm1(surplus(turn) * (1.0 - share))
    expected = brentq(lambda q: surplus(q) - np.log1p(edge), 0.0, turn, xtol=1e-12)
    found = float(onset_pressure(front, rear, edge, front_exponent=of_front, rear_exponent=of_rear))
    assert found == pytest.approx(expected, rel=1e-6)
    above = np.expm1(surplus(turn) * (1.0 + max(share, 1e-6)))
    assert onset_pressure(front, rear, above, front_exponent=of_front, rear_exponent=of_rear) == np.inf


def test_one_impossible_share_among_many_is_refused():
    for wrong in (0.0, 1.0, 1.2, -0.1):
        with pytest.raises(DomainError, match="front share"):
            static_axle_weights([1000.0, 1000.0], [0.5, wrong])
    for wrong in (-1.0, 0.0, np.inf, np.nan):
        with pytest.raises(DomainError, match="mass"):
            static_axle_weights([1000.0, wrong], [0.5, 0.5])
    with pytest.raises(DomainError, match=r"found -0\.2, expected"):  # the first that is wrong is named
        static_axle_weights([1000.0] * 3, [0.5, -0.2, 1.3])
    with pytest.raises(DomainError, match="found -3 kg"):
        static_axle_weights([1000.0, -3.0, -1.0], [0.5] * 3)


def test_a_shift_from_growth_is_of_a_neutral_car_unless_a_margin_is_given():
    """By hand: r = 0.45, R = (1.10/1.05)^0.75 = 1.035503, r R/(1 - r + r R) - r = 0.465976/1.015976 - 0.45 = 0.00865."""
    growth = np.log([1.05, 1.10])
    stated = {"front_exponent": 0.75, "rear_exponent": 0.75, "front_share": 0.55}
    assert shift_from_growth(*growth, **stated) == pytest.approx(0.00865, rel=0, abs=5e-6)
    # at a margin of 5 % the point stands half way: R/(1 + R) - 1/2
    with_margin = shift_from_growth(*growth, **stated, static_margin=0.05)
    assert with_margin == pytest.approx(1.035503 / 2.035503 - 0.5, rel=0, abs=1e-6)
    assert neutral_steer_shift(0.05, 0.10, **stated, static_margin=0.05) == pytest.approx(with_margin)


@pytest.mark.parametrize(
    ("driven", "left"),
    [
        # friction of 1.1: the driven axle carries 4000 N of weight and 2000 N of downforce; 3300 N of drag are half of
        # the 6600 N that it can push with, so the root of 3/4 of its grip is left
        ("rear", np.sqrt(0.75)),
        ("front", 1.0 / np.sqrt(0.75)),
        ("both", 1.0),
    ],
)
def test_downforce_counts_in_what_a_driven_axle_can_push_with(make_vehicle, driven, left):
    figures = figures_of(make_vehicle(mass=8000.0 / 9.80665, front_share=0.5, driven=driven))
    load, drag = np.array([2000.0]), np.array([3300.0])
    found = surpluses(load, load, drag, figures, driven_axle=driven)
    assert found.driven == pytest.approx([left - 1.0], abs=1e-9)
    assert found.decisive == pytest.approx([min(left - 1.0, 0.0)], abs=1e-9)


@pytest.mark.parametrize("friction", [1.375, 1.1])
def test_what_drive_costs_is_by_the_friction_that_the_car_states(make_vehicle, friction):
    """Friction of 1.375: the axle of 6000 N can push with 8250 N; of 3300 N of drag 0.4 are used, so the root of
    1 - 0.16 is left. 1.1, as stated here, is what is assumed of a car that states nothing."""
    car = replace(make_vehicle(mass=8000.0 / 9.80665, front_share=0.5, driven="rear"), friction=friction)
    areas = np.array([2.0, 2.0, 3.3])
    left = np.sqrt(1.0 - {1.375: 0.16, 1.1: 0.25}[friction])
    state = axle_state(areas, 1000.0, car)
    assert state.grip_surplus_driven == pytest.approx(left - 1.0, abs=1e-12)
    aim = surplus_aim(car, 0.0, 1000.0)
    assert float(aim.miss(*areas)) == pytest.approx(np.log(left), abs=1e-12)
    assumed = axle_state(areas, 1000.0, replace(car, friction=None)).grip_surplus_driven
    assert (assumed == pytest.approx(float(state.grip_surplus_driven), abs=1e-12)) == (friction == 1.1)


def test_how_far_beyond_the_band_is_at_the_worst_place_by_its_air(make_session, make_vehicle):
    """Exponent 1, no load at the front: the surplus is the rear's over its weight. 0.1 m² at 50 m/s and 1.2 kg/m³ are
    150 N on 5000 N, 3 %; at 20 m/s 24 N, 0.48 %. Bands: 2 % and 1 %."""
    target = Target(rear_tolerance=0.02, front_tolerance=0.01)
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0), target=target)
    session = make_session([(0.0, 150.0, 600.0)], vehicle=car)
    slow, fast = Place(name="hairpin", speed=20.0), Place(name="bend", speed=50.0)
    areas = np.array([[0.0, 0.0], [0.1, -0.1], [0.4, 0.4]])

    def beyond(*places):
        return beyond_band_at_places(replace(session, places=places), areas, 1.2)

    np.testing.assert_allclose(beyond(fast), [0.03 - 0.02, 0.03 - 0.01], atol=1e-12)
    np.testing.assert_allclose(beyond(slow), [-0.01 - 0.0048, -0.01 + 0.0048], atol=1e-12)
    np.testing.assert_allclose(beyond(slow, fast), [0.03 - 0.02, 0.03 - 0.01], atol=1e-12)
    assert np.all(beyond() == -np.inf)


@given(
    st.floats(0.05, 0.95),
    st.floats(0.3, 3.0),
    st.floats(0.35, 0.65),
    st.floats(0.5, 1.1),
    st.floats(0.5, 1.1),
)
def test_a_front_load_share_is_that_which_makes_the_surplus(share, growth, at_rest, of_front, of_rear):
    """From the definition: each axle's load over its own at rest, to the power of its exponent."""
    front, rear = share * growth / at_rest, (1.0 - share) * growth / (1.0 - at_rest)
    surplus = rear**of_rear / front**of_front - 1.0
    found = front_load_share_at(surplus, growth, at_rest, front_exponent=of_front, rear_exponent=of_rear)
    assert float(found) == pytest.approx(share, abs=1e-9)


@pytest.mark.parametrize(
    ("surplus", "growth"), [(-1.0, 1.0), ([0.0, -1.2], 1.0), (0.0, 0.0), (0.0, [1.0, -0.1])]
)
def test_a_load_that_no_axle_on_the_ground_has_is_refused(surplus, growth):
    with pytest.raises(DomainError, match="above -1 and 0"):
        front_load_share_at(surplus, growth, 0.5, front_exponent=0.86, rear_exponent=0.86)


@given(
    st.floats(-800.0, 2000.0),
    st.floats(-50.0, 300.0),
    st.floats(-3.0, 1.0),
    st.floats(0.0, 1.5),
    st.floats(1.5, 4.0),
)
def test_a_place_of_action_is_where_the_force_stands_that_made_the_changes(
    force, drag, behind, height, wheelbase
):
    """Moments about the front axle: rear x wheelbase = force x (wheelbase + behind) + drag x height."""
    assume(abs(force) > 1.0)
    front, rear = axle_changes(force, drag, behind_rear_axle=behind, height=height, wheelbase=wheelbase)
    assert float(rear) * wheelbase == pytest.approx(
        force * (wheelbase + behind) + drag * height, rel=1e-9, abs=1e-6
    )
    assert float(front + rear) == pytest.approx(force, rel=1e-9, abs=1e-9)
    place = place_of_action(front, rear, drag, height=height, wheelbase=wheelbase)
    assert float(place) == pytest.approx(behind, rel=1e-6, abs=1e-6)


def test_no_force_acts_nowhere_and_a_car_has_a_wheelbase():
    assert np.isnan(place_of_action(100.0, -100.0, 5.0, height=1.0, wheelbase=2.5))
    for wheelbase in (0.0, -2.5):
        with pytest.raises(DomainError, match="wheelbase"):
            axle_changes(1.0, 1.0, behind_rear_axle=0.0, height=0.0, wheelbase=wheelbase)
        with pytest.raises(DomainError, match="wheelbase"):
            place_of_action(1.0, 1.0, 1.0, height=0.0, wheelbase=wheelbase)
