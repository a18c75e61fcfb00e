"""The largest doubt in words: what would overturn a verdict, and what no repeat shows of it."""

from dataclasses import replace

import pytest

import balance
from balance.decide.day.day import reduce_day
from balance.decide.day.largest_gains import Gain, largest_gains
from balance.decide.day.overturn import Overturn
from balance.decide.day.overturned import overturned
from balance.decide.day.verdict import VerdictWord
from balance.files.loader import load_session
from balance.model.records import Place
from balance.tell.figures import Show, of_hundred
from balance.tell.runs.detail import run_detail
from balance.tell.runs.overturn_words import (
    beyond_repeats,
    doubt_sentences,
    holds_unless,
    overturn_clause,
    overturn_sentence,
)
from tests.small_session import SESSION, VEHICLE, Desk

SI = Show()
STATED = '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\ndegrees_of_freedom = 20\n'
HEAD = "run,configuration,splitter_length [mm],wing_angle [deg],canards,front_lift [N],rear_lift [N],drag [N],baseline\n"
RUNS = f"""{HEAD}1,base,,,,84,260,1150,
2,splitter,60,,,-140,275,1162,1
3,both,60,5,,-100,-80,1190,2
4,canards,60,5,pair,-150,-78,1196,3
"""
FRONT = VerdictWord.FRONT_OVERPOWERS


def made(tmp_path, *, vehicle=VEHICLE, session=SESSION + STATED, runs=RUNS):
    day = reduce_day(
        load_session(Desk(tmp_path).write(vehicle=vehicle, session=session, runs=runs)), draws=400
    )
    return balance.assess(day)


def change(what, value, **more):
    return Overturn(what=what, change=value, relative=False, doubt=1.0, to=FRONT, **more)


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (change("front_weight_share", 0.0537), "the front weight share is 5.4 points higher"),
        (change("front_weight_share", -0.003), "the front weight share is 0.3 points lower"),
        (change("exponent_difference", -0.0846), "the rear's grip exponent is 0.08 lower"),
        (change("drag_height", 0.249, height=0.249), "drag acts 249 mm above the road"),
        (change("drag_height", -0.1, height=0.2), "drag acts 200 mm above the road, not 300 mm"),
        (
            change("rear_downforce", -0.02, area_change=-0.02),
            "the rear has 20 N less downforce at 144 km/h",
        ),
        (
            replace(change("front_downforce", 0.12, area_change=0.03), relative=True),
            "the front has 12 % more downforce",
        ),
        (
            replace(change("rear_downforce", -0.34, area_change=0.03), relative=True),
            "the rear has 34 % less LIFT",
        ),
        (
            replace(change("rear_downforce", 0.054, area_change=-0.03), relative=True),
            "the rear has 5.4 % more LIFT",
        ),
    ],
)
def test_each_change_in_words_where_no_part_tells_it(one, words):
    assert overturn_clause(one, None, 1000.0, 40.0, SI) == words  # 0.02 m2 at 1000 Pa are 20 N


def test_an_axle_s_change_is_a_share_of_the_largest_gain_measured_there(tmp_path):
    table = made(tmp_path)
    gains = largest_gains(
        table.day, 2
    )  # splitter: 224 N at the front; wing: 355 N at the rear, both at 160 km/h
    pressure = table.dynamic_pressure
    less = change("front_downforce", -0.1, area_change=-0.18 * 224.0 / pressure)
    more = change("rear_downforce", 0.1, area_change=0.05 * 355.0 / pressure)
    said = holds_unless([less, more], gains, pressure, table.speed, SI)
    assert (
        said
        == "Holds unless the splitter gains 18 % less than measured, or the wing gains 5.0 % more than measured."
    )
    beyond = replace(change("front_downforce", -2.0, area_change=-250.0 / pressure), relative=True)
    assert "the front has 200 % less downforce" in holds_unless([beyond], gains, pressure, table.speed, SI)
    place = replace(less, place=Place(name="crest", speed=172.0 / 3.6))
    said = holds_unless([place], gains, pressure, table.speed, SI)
    assert said == "In balance at crest unless the splitter gains 18 % less than measured."


def test_a_part_that_leads_at_both_axles_says_which_and_a_step_is_called_one(tmp_path):
    runs = f"{HEAD}1,base,,5,,84,260,1150,\n2,base,,8,,20,100,1160,1\n3,canards,,8,pair,-90,90,1170,2\n"
    table = made(tmp_path, runs=runs)
    gains = largest_gains(table.day, 1)
    assert gains.front.increment == gains.rear.increment
    less = change("front_downforce", -0.1, area_change=-gains.front.area / 2.0)
    said = overturn_clause(less, gains, 1000.0, 40.0, SI)
    assert said == "the step “wing angle 5 to 8°” gains 50 % less at the front than measured"
    several = largest_gains(table.day, 2)
    one = change("front_downforce", -0.1, area_change=-several.front.area / 4.0)
    assert overturn_clause(one, several, 1000.0, 40.0, SI) == "the canards gain 25 % less than measured"
    assert isinstance(several.front, Gain)


def test_card_detail_and_sentence_are_of_the_same_changes_the_nearest_first(tmp_path):
    table = made(tmp_path)
    for row in range(4):
        found = overturned(table, [row])[0]
        detail = {s.heading: [text for _, text in s.lines] for s in run_detail(table, row, SI)}
        sentences = doubt_sentences(table, row, SI)
        if not found:
            continue
        gains = largest_gains(table.day, row)
        clauses = [overturn_clause(one, gains, table.dynamic_pressure, table.speed, SI) for one in found]
        assert sentences[0] == f"Holds unless {', or '.join(clauses[:2])}."  # at most two on a card
        assert overturn_sentence(table, row, SI) == sentences[0]
        assert doubt_sentences(table, row, SI, brief=True) == (f"Holds unless {clauses[0]}.",)
        lines = detail["What would change this"]
        assert [
            line.split(": then ")[0] for line in lines[1 : 1 + len(found)]
        ] == clauses  # all of them there
        assert all(": then " in line for line in lines[1 : 1 + len(found)])
    assert any(overturned(table, [row])[0] for row in range(4))


def test_nothing_is_said_while_the_verdict_is_awaited(tmp_path):
    table = balance.assess(made(tmp_path).day, drawn=False)
    assert doubt_sentences(table, 2, SI) == ()
    assert "What would change this" not in {s.heading for s in run_detail(table, 2, SI)}


def test_what_repeats_do_not_show_stands_where_it_is_large(tmp_path):
    def said(row=2, *, vehicle=VEHICLE, session=SESSION + STATED):
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        return beyond_repeats(made(folder, vehicle=vehicle, session=session), row, SI)

    exact = VEHICLE + "[tyres]\nstiffness_load_exponent = 0.75\ngrip_load_exponent = 0.86\n"
    scales = exact.replace(
        'total = "1290 kg"\nfront_share = "54.2 %"',
        'corners = { front_left = "352 kg", front_right = "347 kg", rear_left = "298 kg", rear_right = "293 kg" }',
    )
    assert said(vehicle=scales) == ""
    fixed = SESSION.replace("[facility]\n", '[facility]\nfloor = "fixed"\n') + STATED
    floor = "Repeats do not show: what the fixed floor does under the splitter."
    assert said(vehicle=scales, session=fixed) == floor
    assert said(0, vehicle=scales, session=fixed) == ""  # no such part on the car as it came
    assert said(vehicle=scales, session=fixed.replace('"fixed"', '"moving"')) == ""
    small = STATED + 'systematic = { front = "6 N", rear = "2 N", drag = "1 N" }\n'
    large = STATED + 'systematic = { front = "15 N", rear = "2 N", drag = "1 N" }\n'
    assert said(vehicle=scales, session=SESSION + small) == ""
    assert said(vehicle=scales, session=SESSION + large) == (
        "Repeats do not show: the facility's systematic figure (front sd 15 N)."
    )
    # all is in doubt where the verdict is open: 400 N of scatter
    open_day = SESSION + STATED.replace("7 N", "400 N")
    assert said(session=open_day) == (
        "Repeats do not show: the front weight share, stated without corner weights; the tyre load sensitivity, assumed."
    )
    assert said(vehicle=exact, session=open_day).endswith(
        "the front weight share, stated without corner weights."
    )
    assert said(vehicle=scales, session=open_day) == ""


def test_shares_of_draws_are_percentages():
    assert [of_hundred(share) for share in (0.96, 0.9964, 1.0, 0.0, 0.003)] == [
        "96 % of", "more than 99 % of", "more than 99 % of", "less than 1 % of", "less than 1 % of",
    ]  # fmt: skip
