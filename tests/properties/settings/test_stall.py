"""When a step of a setting counts as a fall, and when it levels off: with draws, and where the scatter is unknown."""

from dataclasses import replace

import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.settings.families import find_families
from balance.decide.settings.response import RangeEnd, Stall, fit_response
from balance.decide.settings.trim_question import TrimQuestion, answer_trim
from balance.decide.settings.ways import find_ways
from balance.model.records import Setting
from balance.tell.figures import Show
from balance.tell.settings.setting_words import stall_sentence

ANGLES = (2.0, 5.0, 8.0, 11.0)
GAIN = 300.0


def response(make_session, make_vehicle, rear, *, known, limit=0.0, only_rear=False, front=(250.0,) * 4):
    """Rear downforce at each angle, drag rising by 10 N a step."""
    deviation = (2.0, 2.0, 2.0) if known else (None, None, None)
    if only_rear:
        deviation = (1e-6, 2.0, 1e-6)
    session = make_session(
        [(front[k], 200.0 + load, 700.0 + 10.0 * k) for k, load in enumerate(rear)],
        vehicle=make_vehicle(assumed=False),
        configurations=["wing"] * len(rear),
        deviation=deviation,
        degrees=1e5 if only_rear else 20.0,
        runs=[{"settings": {"wing_angle": Setting(value=a, unit="deg")}} for a in ANGLES[: len(rear)]],
    )
    prepared = prepare_day(
        reduce_day(
            session if known else replace(session, repeatability=None), draws=5_000 if only_rear else 2_000
        )
    )
    (family,) = find_families(prepared, "wing_angle")
    return prepared, fit_response(prepared, family, limit=limit)


@pytest.mark.parametrize("fall", [1.0, 5.9])
def test_of_unknown_scatter_a_slight_fall_levels_off_and_is_offered(make_session, make_vehicle, fall):
    """2 % of the 300 N that the axle gains over the sweep is 6 N."""
    _, found = response(make_session, make_vehicle, (0.0, 200.0, GAIN, GAIN - fall), known=False)
    assert found.useful == (2.0, 11.0)
    assert found.ends_because is RangeEnd.LAST_TESTED
    assert [step.levels_off for step in found.steps] == [False, False, True]
    assert found.stall_at(9.0) == (Stall.LEVELS_OFF,)
    assert found.stall_at(8.0) == ()


def test_a_step_that_costs_the_other_axle_more_than_its_own_gains_ends_the_range(make_session, make_vehicle):
    """The last step gains 30 N at the rear and takes 60 N off the front: 30 N lost, far beyond a scatter of 2 N."""
    front = (250.0, 250.0, 250.0, 190.0)
    _, found = response(make_session, make_vehicle, (0.0, 200.0, GAIN, GAIN + 30.0), known=True, front=front)
    assert found.own_axle == "rear"
    assert found.useful == (2.0, 8.0)
    assert found.ends_because is RangeEnd.COSTS_MORE
    assert found.steps[-1].stalled_share > 0.99
    assert found.steps[-1].downforce == pytest.approx(-30.0 / (0.5 * 1.2 * 50.0**2))


def test_the_axle_of_a_setting_is_the_one_that_it_loads(make_session, make_vehicle):
    front = (100.0, 200.0, 300.0, 400.0)
    _, found = response(make_session, make_vehicle, (0.0, -10.0, -20.0, -30.0), known=True, front=front)
    assert found.own_axle == "front"
    assert found.useful == (2.0, 11.0)
    assert [step.own for step in found.steps] == pytest.approx([100.0 / 1500.0] * 3)


@pytest.mark.parametrize(
    ("last", "share", "stalled", "possibly"),
    [
        # a step of the mean of so many N between two readings that scatter by 2 N: it falls in a share
        # of normal tables' Phi(-step / (2 sqrt 2)), rounded to four digits
        (GAIN + 3.0, 0.1444, False, True),
        (GAIN - 1.0, 0.6382, True, False),
        (GAIN + 6.0, 0.0169, False, False),
    ],
)
def test_how_often_a_step_falls_is_that_of_the_normal_distribution(
    make_session, make_vehicle, last, share, stalled, possibly
):
    step = response(make_session, make_vehicle, (0.0, 200.0, GAIN, last), known=True, only_rear=True)[
        1
    ].steps[-1]
    assert step.stalled_share == pytest.approx(share, abs=0.012)  # 5,000 draws, two standard deviations
    assert (step.stalled, step.possibly_stalled) == (stalled, possibly)


def test_of_unknown_scatter_a_larger_fall_is_a_stall(make_session, make_vehicle):
    _, found = response(make_session, make_vehicle, (0.0, 200.0, GAIN, GAIN - 6.1), known=False)
    assert found.useful == (2.0, 8.0)
    assert found.ends_because is RangeEnd.NO_RISE
    assert found.stall_at(8.0) == (Stall.NEXT,)


@pytest.mark.parametrize(
    ("last", "levels"),
    [(GAIN + 30.0, True), (GAIN + 74.0, False), (GAIN + 120.0, False)],
    ids=["surely less than half", "perhaps less than half", "more than half"],
)
def test_a_step_levels_off_where_its_slope_is_surely_below_half_the_mean_before(
    make_session, make_vehicle, last, levels
):
    """Before it 300 N over two steps, so 75 N a step is half; one reading has 2 N, the step's difference about 3 N."""
    _, found = response(make_session, make_vehicle, (0.0, 200.0, GAIN, last), known=True)
    assert found.steps[-1].levels_off is levels
    assert not found.steps[-1].stalled


@pytest.mark.parametrize(
    ("rear", "possibly"),
    [
        # 2 N gained with 2.8 N of scatter or more: a quarter of the draws or more fall, but over both steps 100 N are gained
        ((0.0, 200.0, 202.0, 300.0), [False, False, False]),
        # and here over both steps 3 N, which as many draws do not gain
        ((0.0, 200.0, 202.0, 203.0), [False, True, True]),
    ],
)
def test_one_step_that_is_low_by_its_scatter_is_no_stall_where_the_next_makes_good_for_it(
    make_session, make_vehicle, rear, possibly
):
    _, found = response(make_session, make_vehicle, rear, known=True)
    assert 0.24 < found.steps[1].stalled_share < 0.5  # Phi(-2 / 2.83) is 0.24, from normal tables
    assert [step.possibly_stalled for step in found.steps] == possibly
    assert not any(step.stalled for step in found.steps)


def test_a_stall_is_told_in_one_sentence(make_session, make_vehicle):
    """By hand: the rear loses 40 N over the last step, and drag rises by 10 N; 1500 Pa are those of the test."""
    _, found = response(make_session, make_vehicle, (0.0, 200.0, GAIN, GAIN - 40.0), known=True)
    assert stall_sentence(found, 0.5 * 1.2 * 50.0**2, Show()) == (
        "Beyond 8° the wing is stalled: at 11° the rear axle loses 40 N, with 10 N more drag."
    )
    _, found = response(make_session, make_vehicle, (0.0, 100.0, 200.0, GAIN), known=True)
    assert stall_sentence(found, 1500.0, Show()) == ""


def test_a_way_at_a_setting_that_is_possibly_stalled_is_not_to_the_target(make_session, make_vehicle):
    """The last step gains 2 N with 2.8 N of scatter: a quarter of the draws fall."""
    prepared, found = response(make_session, make_vehicle, (0.0, 60.0, 90.0, 92.0), known=True)
    assert found.steps[-1].possibly_stalled
    answers = answer_trim(prepared, TrimQuestion(run="1", setting="wing_angle", surplus=0.0, limit=0.0))
    for way in find_ways(prepared, answers):
        for value, _ in way.settings.values():
            assert way.stall == found.stall_at(value)
        if Stall.POSSIBLY in way.stall:
            assert not way.to_target
