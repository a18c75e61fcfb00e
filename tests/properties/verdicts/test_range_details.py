"""What a verdict over the range says beside its class, and from which speed it begins: by hand."""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.day.day import reduce_day
from balance.decide.day.ground_level import judged_otherwise
from balance.decide.day.overturned import find_overturns
from balance.decide.day.range_seen import range_limits
from balance.decide.day.range_verdict import judge_range
from balance.decide.day.verdict import Verdict, VerdictWord
from balance.model.records import Place

IN, REAR = VerdictWord.IN_BALANCE, VerdictWord.REAR_OVERPOWERS
FRONT, OFF = VerdictWord.FRONT_OVERPOWERS, VerdictWord.OFF_THE_GROUND
WEIGHT = 600.0 * 9.80665  # of each axle of 1200 kg


@pytest.fixture
def even(make_vehicle):
    """A car of 1200 kg, half on each axle, alike tyres at both, that ends at 50 m/s: 1500 Pa in air of 1.2 kg/m3."""

    def make(**fields):
        return make_vehicle(
            **{"front_share": 0.5, "top_speed": 50.0, "grip": (0.86, 0.86), "assumed": False, **fields}
        )

    return make


def judged(session, front, rear, *, drag=0.4, **others):
    """Judge a car by its areas, nominal."""
    areas = np.array([[front], [rear], [drag]])
    return judge_range(session, areas, None, 1.2, reduce_day(session, draws=100).shared, **others)[0]


def test_the_range_begins_at_three_fifths_of_the_days_speed_where_no_place_is_named(make_session, even):
    """Common practice, no source: 0.6 x 45 m/s = 27 m/s."""
    session = make_session([(0.0, 0.0, 600.0)], vehicle=even(), speed=45.0)
    assert range_limits(session, np.array([0.4]), 1.2)[0] == pytest.approx(27.0)
    named = replace(session, places=(Place(name="bend", speed=35.0),))
    assert range_limits(named, np.array([0.4]), 1.2)[0] == 35.0


@pytest.mark.parametrize(("front", "rear", "axle"), [(-4.0, 0.1, "front"), (0.1, -4.0, "rear")])
def test_it_names_the_axle_that_the_air_lifts(make_session, even, front, rear, axle):
    """4 m2 at 1500 Pa are 6000 N, above the 5884 N of an axle."""
    found = judged(make_session([(0.0, 0.0, 600.0)], vehicle=even()), front, rear)
    assert (found.word, found.unloaded) == (OFF, axle)


@pytest.mark.parametrize(
    ("front", "rear", "light"),
    [
        (58.0, 58.0, True),  # 1 % of 5884 N is 58.8 N
        (-58.0, -58.0, True),
        (60.0, 58.0, False),
        (58.0, 60.0, False),
        (-60.0, -60.0, False),
    ],
)
def test_the_air_is_light_where_it_adds_less_than_a_hundredth(make_session, even, front, rear, light):
    found = judged(make_session([(0.0, 0.0, 600.0)], vehicle=even()), front / 1500.0, rear / 1500.0)
    assert (found.word, found.light) == (IN, light)


@pytest.mark.parametrize(
    ("rear_weight", "word"),
    [
        # exponents of 0.85: at rest the rear's grip for its weight is (new / old)^-0.15 of what it was, by hand
        (0.80, REAR),  # 1.0340: beyond 3 %
        (0.85, IN),  # 1.0247
        (1.10, IN),  # 0.9858
        (1.20, FRONT),  # 0.9730: beyond 1.5 %
    ],
)
def test_a_car_weighted_otherwise_than_it_was_set_up_is_judged_from_there(
    make_session, even, rear_weight, word
):
    built = even(grip=(0.85, 0.85))
    rear = 600.0 * rear_weight
    weighted = replace(built, mass=600.0 + rear, front_share=600.0 / (600.0 + rear))
    session = make_session([(0.0, 0.0, 600.0)], vehicle=built)
    found = judged(replace(session, vehicle=weighted), 0.0, 0.0, set_up=built)
    assert found.word is word
    assert found.surplus == pytest.approx(rear_weight**-0.15 - 1.0, abs=1e-9)
    assert judged(session, 0.0, 0.0).surplus == pytest.approx(0.0, abs=1e-9)


def standing_high(make_session, vehicle, drags):
    """Make runs without lift whose drag is reacted 0.3 m above the ground."""
    session = make_session([(0.0, 0.0, drag) for drag in drags], vehicle=vehicle)
    return replace(session, facility=replace(session.facility, drag_reacted_at=0.3))


def test_a_class_hangs_on_the_height_at_which_drag_is_reacted(make_session, even):
    """Drag moves 0.3 / 2.5 of itself from the front to the rear, where ground level moves none and is in balance.

    1200 N move 144 N: ((5884 + 144) / (5884 - 144))^0.86 - 1 = 4.3 %, beyond 3 %; 450 N move 54 N, 1.6 %.
    """
    day = reduce_day(standing_high(make_session, even(), (1200.0, 450.0)), draws=100)
    assert [one.word for one in judge_range(day.session, day.areas([0, 1]), None, 1.2, day.shared)] == [
        REAR,
        IN,
    ]
    assert judged_otherwise(day, [0, 1]) == (True, False)


def test_what_would_overturn_a_verdict_names_the_height_itself(make_session, even):
    """1200 N over 2.5 m: 3 % is where ((W + F) / (W - F))^0.86 = 1.03, so F = W tanh(ln(1.03) / 1.72) = 480 N/m x h."""
    session = standing_high(make_session, even(), (1200.0,))
    day = reduce_day(session, draws=100)
    verdicts = judge_range(session, day.areas([0]), None, 1.2, day.shared)
    found = find_overturns(session, day.areas([0]), np.full((2, 1), np.nan), 1.2, verdicts)[0]
    (height,) = [one for one in found if one.what == "drag_height"]
    expected = WEIGHT * np.tanh(np.log(1.03) / 1.72) / 480.0
    assert height.to is IN
    assert height.height == pytest.approx(expected, abs=1e-4)
    assert height.change == pytest.approx(expected - 0.3, abs=1e-4)


@pytest.mark.parametrize(
    ("surplus", "limit", "dangerous"),
    [(-0.016, 0.03, True), (-0.014, 0.03, False), (0.014, 0.03, False), (-0.016, None, False)],
)
def test_a_widened_band_hides_no_danger_where_nothing_was_drawn(surplus, limit, dangerous):
    """The usual limit is 1.5 %; common practice, no source."""
    assert Verdict(word=IN, nominal=IN, surplus=surplus, front_limit=limit).dangerous is dangerous


def test_cars_judged_together_are_judged_as_each_alone(make_session, even):
    """In balance; looser beyond the 61 m/s of the tests; loose; pushing; with an axle off the ground."""
    session = make_session([(0.0, 0.0, 600.0)], vehicle=even(top_speed=90.0))
    fronts, rears = (0.0, 0.03, 0.3, 0.0, -2.0), (0.0, 0.0, 0.0, 0.5, 0.0)
    areas = np.array([fronts, rears, (0.4, 0.5, 0.6, 0.7, 0.8)])
    together = judge_range(session, areas, None, 1.2, reduce_day(session, draws=100).shared)
    assert [one.word for one in together] == [IN, FRONT, FRONT, REAR, OFF]
    assert [one.beyond_tested for one in together[:4]] == [False, True, False, False]
    for one, *each in zip(together, *areas.tolist(), strict=True):
        assert one == judged(session, each[0], each[1], drag=each[2])
