"""Every way to balance: what it changes is against the car as it is, and its verdict is that of the car it leads to."""

from pathlib import Path

import numpy as np
import pytest

import balance
from balance.decide.car.car_range import judge_car
from balance.decide.car.prepared_day import prepare_day
from balance.decide.settings.trim_question import TrimQuestion, answer_trim
from balance.decide.settings.ways import costs_alike, find_ways
from balance.tell.figures import Show
from balance.tell.settings.ways_table import ways_table

DEMO = Path(__file__).parents[3] / "vehicles" / "brindlow_hatch" / "tunnel_day"


@pytest.fixture(scope="module")
def prepared():
    return prepare_day(balance.reduce_day(balance.load_session(DEMO), draws=500))


@pytest.fixture(params=["15", "16"], scope="module")
def answers(request, prepared):
    return answer_trim(prepared, TrimQuestion(run=request.param, setting="wing_angle", surplus=0.01))


def test_changes_are_against_the_car_as_it_is(prepared, answers):
    before = answers.answer.before
    ways = find_ways(prepared, answers)
    assert len(ways) > 4
    for way in ways:
        np.testing.assert_allclose(way.change.value, way.state.forces - before.forces, atol=1e-9)


def test_a_part_with_the_setting_trimmed_is_the_part_and_the_move_together(prepared, answers):
    """Loads simply add: the part's own change, and the curve's from where it was to where it goes."""
    moved, before = answers.answer.moved, answers.answer.before
    own = {
        tuple(prepared.increments.uncorrected.change[way.part.row]): way
        for way in find_ways(prepared, answers)
        if way.part is not None and way.part.on and way.settings
    }
    assert own
    scale = before.dynamic_pressure / prepared.increments.uncorrected.dynamic_pressure
    for part, way in own.items():
        ((value, _),) = way.settings.values()
        move = (moved.response.curve(value) - moved.response.curve(moved.start))[
            :, 0
        ] * before.dynamic_pressure
        assert way.change.value[:3] == pytest.approx(np.array(part[:3]) * scale + move, abs=1e-6)


def test_each_is_judged_as_the_car_that_it_leads_to(prepared, answers):
    for way in find_ways(prepared, answers):
        assert judge_car(prepared, way.state).word is way.over_range.word
        assert way.to_target <= (not way.outside)


def test_the_cheapest_in_drag_is_first_and_those_in_balance_before_the_others(prepared, answers):
    order = [(not way.to_target, float(way.change.value[2])) for way in find_ways(prepared, answers)]
    assert order == sorted(order)


def test_a_part_comes_off_once_whichever_run_names_it(prepared):
    """Runs 20, 21 and 22 all show the flap: with it taken off under one name, no other takes it off again."""
    question = TrimQuestion(run="21", setting="wing_angle", surplus=0.01, off=("20",))
    answers = answer_trim(prepared, question)
    flap = "flap_height"
    off = [way for way in find_ways(prepared, answers) if way.part is not None and not way.part.on]
    assert not [way for way in off if flap in prepared.increments.pairs[way.part.row].differs]
    kept = answer_trim(prepared, TrimQuestion(run="21", setting="wing_angle", surplus=0.01))
    assert answers.answer.moved.car.codes.tolist() != kept.answer.moved.car.codes.tolist()


def test_ways_whose_drag_the_day_cannot_tell_apart_are_marked(prepared, answers):
    """By the draws of both: a way's own interval is wider than that of its difference to the one above."""
    ways = find_ways(prepared, answers)
    alike = costs_alike(ways, 0.95)
    assert len(alike) == len(ways)
    assert not alike[0]
    for k in range(1, len(ways)):
        apart = ways[k].state.draws[2] - ways[k - 1].state.draws[2]
        low, high = np.quantile(apart, [0.025, 0.975])
        same_list = ways[k].to_target is ways[k - 1].to_target
        assert alike[k] == (same_list and low <= 0.0 <= high)
    table = ways_table(ways, answers.answer, Show())
    assert [row["drag"].text.startswith("~") for row in table.rows] == list(alike)


def test_ballast_says_what_it_takes(prepared, answers):
    kinds = {
        one.kind for way in find_ways(prepared, answers) if way.ballast is not None for one in way.assumptions
    }
    assert {"set-up stays", "ballast moved"} <= kinds
