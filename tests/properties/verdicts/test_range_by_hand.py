"""Where the surplus is worst over a range, where it leaves the band, and what draws make of it: by hand.

The car weighs 10 kN, half on either axle, with a grip that grows as the load. Without load at the front its surplus is the
rear's downforce over 5000 N: in air of 1.2 kg/m³ that is A x 0.6 v² / 5000, linear in v². Its band ends at -1.5 % and 3 %.
"""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.day.day import reduce_day
from balance.decide.day.range_seen import place_speeds, range_limits, speeds_seen
from balance.decide.day.range_verdict import OverRange, judge_range
from balance.decide.day.verdict import VerdictWord
from balance.model.records import Place, Stated, Target

IN, REAR, FRONT = VerdictWord.IN_BALANCE, VerdictWord.REAR_OVERPOWERS, VerdictWord.FRONT_OVERPOWERS
EDGE, UNSURE, OFF = VerdictWord.AT_THE_EDGE, VerdictWord.CANNOT_TELL, VerdictWord.OFF_THE_GROUND
TESTED = 1.22 * 50.0  # half as much dynamic pressure again as the 50 m/s of the day
COUNT = 2_000


@pytest.fixture
def session_of(make_session, make_vehicle):
    """A day at 50 m/s; a car that ends at a speed, with places."""

    def make(top=50.0, *, places=(), target=None, **fields):
        car = make_vehicle(
            mass=1e4 / 9.80665,
            front_share=0.5,
            grip=(1.0, 1.0),
            exact=True,
            top_speed=top,
            target=target or Target(),
            **fields,
        )
        made = make_session([(0.0, 0.0, 600.0)], vehicle=car)
        return replace(made, places=tuple(Place(name=f"no {k}", speed=v) for k, v in enumerate(places)))

    return make


def judged(session, rear, *, front=0.0, drag=0.4, drawn=None, assumed=False):
    """Judge a car by its rear area; ``drawn`` holds the rear areas of its draws."""
    shared = replace(reduce_day(session, draws=COUNT).shared, refit_assumed=assumed)
    draws = None
    if drawn is not None:
        areas = np.asarray(drawn, float)
        draws = np.stack([np.full(areas.size, front), areas, np.full(areas.size, drag)])[:, :, None]
    return judge_range(session, np.array([[front], [rear], [drag]]), draws, 1.2, shared)[0]


def speed_of(surplus, rear):
    return np.sqrt(surplus * 5000.0 / (0.6 * rear))


@pytest.mark.parametrize(
    ("top", "rear", "word", "at", "beyond"),
    [
        (50.0, 0.2, REAR, 50.0, False),
        (80.0, 0.2, REAR, TESTED, False),  # beyond the tests a push counts for nothing
        (50.0, -0.1, FRONT, 50.0, False),
        (80.0, -0.1, FRONT, TESTED, False),
        (80.0, -0.03, FRONT, 80.0, True),  # -1.34 % as far as the tests reach, -2.30 % at the end
        (80.0, 0.06, IN, TESTED, False),
    ],
)
def test_where_it_is_worst_and_by_how_much(session_of, top, rear, word, at, beyond):
    found = judged(session_of(top), rear)
    assert (found.word, found.edge, found.beyond_tested) == (word, None, beyond)
    assert found.end == top
    if word is not IN:
        assert found.at == pytest.approx(at, rel=1e-9)
        expected = rear * 0.6 * at**2 / 5000.0
        assert (found.surplus, found.low, found.high) == pytest.approx((expected,) * 3, rel=1e-9)


@pytest.mark.parametrize(
    ("rear", "edge", "side"), [(0.2, 0.03, REAR), (-0.1, -0.015, FRONT), (0.04, None, None)]
)
def test_where_the_band_is_left(session_of, rear, edge, side):
    """Where A x 0.6 v² / 5000 is 3 %, or -1.5 %; 0.04 m² make 1.2 % at the end."""
    found = judged(session_of(), rear)
    assert found.leaves == pytest.approx(np.inf if edge is None else speed_of(edge, rear), rel=1e-9)
    assert found.leaves_to is side
    assert found.stays is (edge is None)
    assert found.in_balance_to == found.leaves
    assert (found.leaves_low, found.leaves_high) == (None, None)


def test_a_band_left_before_the_first_place_is_left_from_rest_upward(session_of):
    """At 35.4 m/s, though the slowest place has 45 m/s."""
    found = judged(session_of(places=(45.0,)), 0.2)
    assert found.start == 45.0
    assert found.leaves == pytest.approx(speed_of(0.03, 0.2), rel=1e-9)


@pytest.mark.parametrize(
    ("places", "rear", "loose"),
    [
        ((30.0, 45.0), -0.1, True),  # -1.1 % and -2.4 %
        ((30.0,), -0.1, False),  # the end of the range is no place
        ((45.0, 30.0), 0.2, False),
        ((), -0.1, True),
        ((), -0.04, False),
        ((), 0.2, False),
    ],
)
def test_loose_at_a_place_or_anywhere_where_none_is_named(session_of, places, rear, loose):
    assert judged(session_of(places=places), rear).loose_at_place is loose


@pytest.mark.parametrize(
    ("top", "area", "at", "beyond"), [(50.0, 4.0, 45.644, False), (80.0, 2.0, 64.550, True)]
)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_an_axle_is_lifted_where_its_weight_is_gone(session_of, top, area, at, beyond, axle):
    """5000 N = 0.6 v² A: the root of 5000 / 2.4 and of 5000 / 1.2."""
    lifted = {"front": -area, "rear": 0.0} if axle == "front" else {"rear": -area}
    found = judged(session_of(top), **lifted)
    assert (found.word, found.edge, found.unloaded, found.beyond_tested) == (OFF, None, axle, beyond)
    assert found.at == pytest.approx(at, abs=5e-4)


def test_an_axle_that_has_lifted_before_the_range_begins_is_lifted_from_there(session_of):
    found = judged(session_of(places=(48.0,)), -4.0)
    assert (found.word, found.at) == (OFF, 48.0)


@pytest.mark.parametrize(("driven", "pushes"), [("front", True), ("rear", False), (None, False)])
def test_drive_pushes_from_where_it_has_taken_the_front_its_grip(session_of, driven, pushes):
    """Friction of 1.1: 1 / sqrt(1 - (D / 5500)²) is 1.03 at D = 1317.8 N, which 1 m² has at 46.9 m/s; looked at in steps
    of 2,500 (m/s)² over 48."""
    found = judged(session_of(driven=driven), 0.0, drag=1.0)
    first = np.sqrt(5500.0 * np.sqrt(1.0 - 1.03**-2) / 0.6)
    assert first == pytest.approx(46.86, abs=0.01)
    assert found.with_drive is (driven is not None)
    if pushes:
        assert first <= found.power_understeer <= np.sqrt(first**2 + 2500.0 / 47.0)
        assert found.word is IN
    else:
        assert found.power_understeer is None


def test_a_car_that_pushes_without_drive_too_is_not_said_to_push_by_it(session_of):
    """It is beyond 3 % from 35.4 m/s on of its air loads alone, and from before that with drive."""
    found = judged(session_of(driven="front"), 0.2, drag=1.0)
    assert found.word is REAR
    assert found.power_understeer < speed_of(0.03, 0.2)
    always = judged(session_of(driven="front", places=(40.0,)), 0.2, drag=1.0)
    assert always.power_understeer is None


def interval_of(values):
    """Order statistics with 50 of 2,000 draws on either side; JCGM 101:2008, 7.7.2."""
    ordered = np.sort(values)
    return ordered[50], ordered[-51]


def test_an_interval_of_draws_is_that_of_each_draw_by_hand(session_of):
    drawn = np.linspace(0.15, 0.25, COUNT)
    found = judged(session_of(), 0.2, drawn=drawn)
    assert (found.leaves_low, found.leaves_high) == pytest.approx(
        interval_of(speed_of(0.03, drawn)), rel=1e-9
    )
    assert (found.low, found.high) == pytest.approx(interval_of(drawn * 1500.0 / 5000.0), rel=1e-9)
    assert found.in_balance_to == found.leaves_low
    assert (found.word, found.surplus, found.certain) == (REAR, pytest.approx(0.06), True)
    assert found.leaves == pytest.approx(speed_of(0.03, 0.2), rel=1e-9)


@pytest.mark.parametrize("assumed", [True, False])
def test_what_refitting_does_is_said_to_be_assumed_only_of_what_was_drawn(session_of, assumed):
    assert judged(session_of(), 0.2, drawn=[0.2] * COUNT, assumed=assumed).refit_assumed is assumed
    assert judged(session_of(), 0.2, assumed=assumed).refit_assumed is False


@pytest.mark.parametrize(
    ("rear", "ends", "word", "edge", "axle"),
    [
        # 3 % at 50 m/s is 0.1 m², -1.5 % is -0.05 m²
        (0.08, (0.05, 0.12), EDGE, REAR, "rear"),
        (-0.04, (-0.06, -0.02), EDGE, FRONT, "front"),
        (0.02, (-0.1, 0.14), UNSURE, None, None),
        (0.02, (-0.04, 0.08), IN, None, None),
        (0.15, (0.11, 0.2), REAR, None, None),
        (-0.15, (-0.2, -0.06), FRONT, None, None),
    ],
)
def test_a_class_from_the_interval_of_its_extreme(session_of, rear, ends, word, edge, axle):
    found = judged(session_of(), rear, drawn=np.linspace(*ends, COUNT))
    assert (found.word, found.edge, found.edge_axle) == (word, edge, axle)


@pytest.mark.parametrize(
    ("rear", "drawn", "side"),
    [
        (0.08, [0.05, 0.12], REAR),  # it stays in the band itself, and half of its draws do not
        (-0.04, [-0.06, -0.02], FRONT),
        (0.0, [0.2] * 3 + [-0.2] * 2, REAR),
        (0.0, [0.2] * 2 + [-0.2] * 3, FRONT),
        (0.0, [0.2, -0.2], FRONT),  # as many on either side: the dangerous one is named
        (0.0, [0.0, 0.01], None),
        (0.2, [0.2] * 2 + [-0.2] * 3, REAR),  # it leaves the band itself: its own side
    ],
)
def test_the_side_to_which_the_band_is_left(session_of, rear, drawn, side):
    found = judged(session_of(), rear, drawn=np.resize(drawn, COUNT))
    assert found.leaves_to is side


@pytest.mark.parametrize(
    ("rear", "share", "loosest"),
    [
        (-0.06, None, -0.018),  # beyond the usual 1.5 % itself
        (-0.04, None, None),
        (-0.04, 0.051, -0.012),  # beyond it in 5 of 100 draws
        (-0.04, 0.05, -0.012),
        (-0.04, 0.049, None),
    ],
)
def test_a_widened_band_says_how_loose_the_car_is(session_of, rear, share, loosest):
    session = session_of(target=Target(front_tolerance=0.03, rear_tolerance=0.03))
    drawn = None if share is None else np.where(np.arange(COUNT) < round(share * COUNT), -0.06, -0.02)
    found = judged(session, rear, drawn=drawn)
    assert (found.word, found.front_limit) == (IN, 0.03)
    assert found.loosest == (None if loosest is None else pytest.approx(loosest, rel=1e-9))
    usual = judged(session_of(), rear, drawn=drawn)
    assert (usual.loosest, usual.front_limit) == (None, None)


def test_verdicts_of_several_rows_as_arrays(session_of):
    session = session_of(driven="front")
    ones = (
        judged(session, 0.0, drag=1.0),
        judged(session, 0.2, drag=0.1, drawn=np.linspace(0.15, 0.25, COUNT)),
    )
    several = OverRange(verdicts=ones)
    assert several.word == (IN, REAR)
    np.testing.assert_array_equal(several.at, [one.at for one in ones])
    np.testing.assert_array_equal(several.leaves, [np.inf, ones[1].leaves])
    np.testing.assert_array_equal(several.leaving.low, [np.nan, ones[1].leaves_low])
    np.testing.assert_array_equal(several.leaving.high, [np.nan, ones[1].leaves_high])
    assert several.power_understeer == (ones[0].power_understeer, None)


def test_the_speeds_looked_at_rise_to_the_end_of_each_car():
    """48 equal steps of the speed's square from 5 % of the end, and the marks, none of them beyond the end."""
    high = np.array([50.0, 80.0, 40.0])
    found = speeds_seen(30.0, high, 61.0, [45.0, 35.0])
    for column, end in zip(found.T, high.tolist(), strict=True):
        steps = np.sqrt(np.linspace((0.05 * end) ** 2, end**2, 48))
        marks = np.minimum([30.0, 61.0, 45.0, 35.0], end)
        np.testing.assert_allclose(column, np.sort(np.concatenate([steps, marks])), rtol=1e-12)


def test_a_place_of_uncertain_speed_counts_with_both_ends_of_its_interval(session_of):
    """1.96 standard uncertainties, never below a tenth of the speed; common practice, no source."""
    session = session_of(places=(30.0, 40.0, 20.0))
    said = {"places.1.speed": Stated(value=40.0, std=2.0), "places.2.speed": Stated(value=20.0, std=15.0)}
    found = place_speeds(replace(session, uncertainties=said))
    assert found == pytest.approx([30.0, 40.0, 40.0 - 3.92, 40.0 + 3.92, 20.0, 2.0, 20.0 + 29.4], abs=1e-3)
    exact = {"places.1.speed": Stated(value=40.0, exact=True)}
    assert place_speeds(replace(session, uncertainties=exact)) == [30.0, 40.0, 20.0]


@pytest.mark.parametrize(
    ("top", "speeds", "places", "low", "high"),
    [
        (70.0, (None,), (), 30.0, 70.0),
        (None, (None,), (), 30.0, 61.0),  # 1.22 times the facility's 50 m/s
        (None, (60.0, 40.0), (), 30.0, 73.2),
        (None, (40.0, 30.0), (), 30.0, 48.8),  # no run counts that was at the facility's speed
        (70.0, (None,), (45.0, 25.0), 25.0, 70.0),
        (70.0, (None,), (80.0,), 80.0, 80.0),
        (20.0, (None,), (), 30.0, 30.0),  # a range never ends below its own beginning
    ],
)
def test_the_ends_of_a_range(session_of, top, speeds, places, low, high):
    session = session_of(top, places=places)
    runs = tuple(replace(session.runs[0], label=str(k), speed=v) for k, v in enumerate(speeds))
    found = range_limits(replace(session, runs=runs), np.array([0.4, 0.7]), 1.2)
    assert found[0] == pytest.approx(low)
    assert found[1] == pytest.approx([high, high])


def test_cars_of_different_ends_are_judged_together_as_each_alone(session_of):
    """By power: 60 kW end at some 56 m/s with 0.5 m² and at some 38 m/s with 1.8 m²; a lift of 0.08 m² is loose beyond 43 m/s."""
    session = session_of(None, power=60e3)
    areas = np.array([[0.0] * 4, [-0.08, -0.08, 0.15, 0.0], [0.5, 1.8, 0.5, 1.8]])
    shared = reduce_day(session, draws=COUNT).shared
    together = judge_range(session, areas, None, 1.2, shared)
    assert [one.word for one in together] == [FRONT, IN, REAR, IN]
    assert together[0].end > 55.0
    assert together[1].end < 40.0
    for k, one in enumerate(together):
        (alone,) = judge_range(session, areas[:, [k]], None, 1.2, shared)
        assert one.at == pytest.approx(alone.at)
        assert replace(one, at=0.0, leaves=0.0, surplus=0.0, low=0.0, high=0.0, end=0.0) == replace(
            alone, at=0.0, leaves=0.0, surplus=0.0, low=0.0, high=0.0, end=0.0
        )
        assert (one.leaves, one.surplus, one.end) == pytest.approx((alone.leaves, alone.surplus, alone.end))


def test_draws_of_several_cars_are_judged_as_those_of_each_alone(session_of):
    session = session_of(80.0)
    shared = reduce_day(session, draws=COUNT).shared
    middles = np.array([0.2, -0.1, 0.02, -0.04, 0.06])
    rear = middles + np.linspace(-0.03, 0.03, COUNT)[:, None]
    draws = np.stack([np.zeros(rear.shape), rear, np.full(rear.shape, 0.4)])
    areas = np.stack([np.zeros(5), middles, np.full(5, 0.4)])
    together = judge_range(session, areas, draws, 1.2, shared)
    assert len({one.word for one in together}) >= 3
    for k, one in enumerate(together):
        assert one == judge_range(session, areas[:, [k]], draws[:, :, [k]], 1.2, shared)[0]


@pytest.mark.parametrize(
    ("rear", "ends", "word", "edge"),
    [
        # -1.5 % at 80 m/s, 3840 Pa, is -0.0195 m²; as far as the tests reach, 2232.6 Pa, it is -0.0336 m²
        (-0.03, (-0.033, -0.025), FRONT, None),
        (-0.025, (-0.033, -0.017), EDGE, FRONT),
        (-0.018, (-0.033, -0.017), IN, None),  # nominally there is none
    ],
)
def test_beyond_the_tests_a_danger_is_as_sure_as_its_interval(session_of, rear, ends, word, edge):
    found = judged(session_of(80.0), rear, drawn=np.linspace(*ends, COUNT))
    assert (found.word, found.edge, found.beyond_tested) == (word, edge, word is not IN)
    if word is not IN:
        assert (found.at, found.surplus) == (80.0, pytest.approx(rear * 3840.0 / 5000.0))
        low, high = interval_of(np.linspace(*ends, COUNT))
        assert (found.low, found.high) == pytest.approx((low * 0.768, high * 0.768))


@pytest.mark.parametrize(
    ("rear", "widened", "dangerous"),
    [
        (-0.1, 0.015, True),
        (-0.06, 0.03, True),
        (-0.04, 0.03, False),
        (0.2, 0.015, False),
        (-4.0, 0.015, True),
        (0.0, 0.015, False),
    ],
)
def test_a_car_is_dangerous_where_its_front_overpowers_by_the_usual_limit_or_an_axle_lifts(
    session_of, rear, widened, dangerous
):
    target = Target(front_tolerance=widened, rear_tolerance=0.03)
    assert judged(session_of(target=target), rear).dangerous is dangerous


def test_a_car_out_of_balance_at_rest_is_worst_where_its_range_begins(session_of):
    """Exponent 0.85 and a fifth more weight on the rear axle: (1.2)^-0.15 of its grip at rest, and 0.05 m² of rear load after."""
    session = session_of(50.0)
    built = replace(
        session.vehicle, grip_exponent=replace(session.vehicle.grip_exponent, front=0.85, rear=0.85)
    )
    weighted = replace(built, mass=1.1 * built.mass, front_share=1.0 / 2.2)
    shared = reduce_day(session, draws=100).shared
    areas = np.array([[0.0], [0.05], [0.4]])
    (found,) = judge_range(replace(session, vehicle=weighted), areas, None, 1.2, shared, set_up=built)
    assert (found.word, found.at) == (FRONT, 30.0)
    least = 1.2**-0.15 * (1.0 + 0.05 * 540.0 / 6000.0) ** 0.85 - 1.0
    assert found.surplus == pytest.approx(least, rel=1e-9)
