"""What a report arrives at where nobody names it: never a danger while there is another, never one lucky reading."""

import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.best_balanced import best_balanced
from balance.decide.day.day import reduce_day
from balance.decide.day.verdict import VerdictWord
from balance.files.formats.report import BriefChoices
from balance.files.loader import load_session
from balance.tell.figures import Show
from balance.tell.report.page import brief_page, page_html
from balance.tell.report.report_data import ReportData
from tests.small_session import HEAD, SESSION, VEHICLE, Desk

STATED = SESSION + '[repeatability]\nfront = "4 N"\nrear = "4 N"\ndrag = "3 N"\n'
SMOOTH = (
    VEHICLE
    + '[tyres]\nstiffness_load_exponent = 0.75\ngrip_load_exponent = 0.86\n[drive]\ntop_speed = "195 km/h"\n'
)


@pytest.fixture
def day(tmp_path):
    def made(rows, vehicle=SMOOTH):
        desk = Desk(tmp_path)
        desk.write(vehicle=vehicle, session=STATED, runs=HEAD + rows)
        return reduce_day(load_session(desk.session), draws=400)

    return made


def label(day, choice):
    return day.readings.labels[day.rows.members[choice.row][0]]


# 160 km/h and 1.225 kg/m³ make 1210 Pa; the axles carry 6857 N and 5794 N: loads in that ratio keep the car in balance
def test_a_safe_car_is_chosen_before_one_with_more_load(day):
    made = day("1,base,40,40,1150\n2,front heavy,-900,-100,1200\n3,both,-300,-260,1200\n")
    choice = best_balanced(made, 0)
    assert (label(made, choice), choice.loaded, choice.safe) == ("3", True, True)


def test_a_widened_front_limit_makes_no_car_safe(day):
    wide = f'{SMOOTH}[target]\nfront_tolerance = "30 %"\n'
    made = day("1,base,40,40,1150\n2,front heavy,-900,-100,1200\n3,both,-300,-260,1200\n", wide)
    choice = best_balanced(made, 0)
    assert (label(made, choice), choice.safe) == ("3", True)


def test_balance_by_lift_is_no_answer_while_another_car_has_load(day):
    made = day("1,base,40,60,1150\n2,lifts alike,68,57,1100\n3,presses,-200,-190,1180\n")
    assert label(made, best_balanced(made, 0)) == "3"


@pytest.mark.parametrize("one_axle", ["150,190", "220,120"], ids=["front alone", "rear alone"])
def test_gaining_at_one_axle_alone_is_no_gain_while_another_car_gains_at_both(day, one_axle):
    """All still lift: 50 N gained at one axle and 20 N, more than noise, lost at the other stand behind 20 N over both."""
    made = day(f"1,base,200,170,1150\n2,one axle,{one_axle},1150\n3,both axles,190,160,1150\n")
    choice = best_balanced(made, 0)
    assert (label(made, choice), choice.loaded) == ("3", True)


def test_of_cars_alike_in_balance_the_one_that_pays_its_drag(day):
    made = day("1,base,40,40,1150\n2,cheap,-300,-255,1180\n3,dear,-330,-280,1400\n")
    assert label(made, best_balanced(made, 0)) == "2"


@pytest.mark.parametrize(
    ("rear", "shares", "chosen"), [(-445, (0.951, 0.999), "3"), (-455, (0.5, 0.949), "2")]
)
def test_a_few_draws_less_in_balance_give_way_to_more_load(day, rear, shares, chosen):
    """Within 5 points of the surest car the load decides, 100 N or more here at no drag; common practice, no source."""
    made = day(f"1,base,40,40,1150\n2,even,-200,-170,1180\n3,keen,-300,{rear},1180\n")
    even, keen = (one.shares[VerdictWord.IN_BALANCE] for one in assess(made).handling.verdicts[1:])
    assert even == 1.0
    assert shares[0] < keen < shares[1]
    assert label(made, best_balanced(made, 0)) == chosen


def test_one_lucky_reading_of_a_car_that_is_loose_is_no_answer(day):
    readings = [("loose", -500, -rear) for rear in (32, 33, 34, 35, 420)]
    turns = [one for reading in readings for one in (reading, ("even", -100, -90))]
    rows = "".join(f"{k},{name},{front},{rear},1180\n" for k, (name, front, rear) in enumerate(turns, 2))
    made = day(f"1,base,40,40,1150\n{rows}")
    assert label(made, best_balanced(made, 0)) == "3"


def test_where_every_car_is_dangerous_the_page_says_so(day):
    made = day("1,base,-300,100,1150\n2,worse,-700,50,1180\n")
    report = ReportData(made, BriefChoices(), Show())
    assert not report.chosen.safe
    assert report.table.ranges[report.answer].word is VerdictWord.FRONT_OVERPOWERS
    said = page_html(brief_page(report))
    assert "othing tested that gains downforce is free of danger" in said
    assert "Do not drive this one fast" in said
    assert "No recommendation" in said
    assert "Recommended" not in said


@pytest.mark.parametrize(
    ("start", "loaded_one"),
    [
        ("-100,-400", "-300,-260"),  # it presses, though it loses at the rear what it gains in front
        ("-400,-100", "-300,-260"),
        ("-100,-400", "0,0"),  # no lift is no danger
    ],
)
def test_a_car_that_presses_at_both_axles_stands_before_one_that_lifts(day, start, loaded_one):
    """The one that lifts would pay: 300 N less drag, at 5 N each."""
    made = day(f"1,base,{start},1150\n2,presses,{loaded_one},1400\n3,lifts,50,42,1100\n")
    choice = best_balanced(made, 0)
    assert (label(made, choice), choice.loaded) == ("2", True)


@pytest.mark.parametrize(
    "one_axle", ["200,120", "150,170", "206,120"], ids=["as much in front", "as much at the rear", "6 N less"]
)
def test_a_loss_at_one_axle_inside_noise_fails_no_gain(day, one_axle):
    """Readings of 4 N each: a difference of 6 N is within 11 N, Student's t apart; the gain elsewhere is 50 N, the drag less."""
    made = day(f"1,base,200,170,1150\n2,one axle,{one_axle},1000\n3,both axles,190,160,1150\n")
    choice = best_balanced(made, 0)
    assert (label(made, choice), choice.loaded) == ("2", True)


def test_where_noise_is_unknown_as_much_as_the_start_at_one_axle_is_no_gain(tmp_path):
    desk = Desk(tmp_path)
    rows = "1,base,200,170,1150\n2,one axle,200,120,1000\n3,both axles,190,160,1150\n"
    desk.write(vehicle=SMOOTH, session=SESSION, runs=HEAD + rows)
    made = reduce_day(load_session(desk.session), draws=100)
    assert label(made, best_balanced(made, 0)) == "3"


def test_where_no_car_is_loaded_the_best_of_all_is_named_and_that_is_said(day):
    made = day("1,base,68,57,1150\n2,lifts more,100,90,1150\n")
    choice = best_balanced(made, 0)
    assert (label(made, choice), choice.loaded, choice.safe) == ("1", False, True)


def test_a_suspect_reading_stands_back_whatever_its_load(tmp_path):
    head = HEAD.replace("\n", ",status,reason\n")
    rows = "1,base,40,34,1150,,\n2,suspicious,-900,-760,1100,suspect,tape\n3,right,-300,-255,1180,,\n"
    desk = Desk(tmp_path)
    desk.write(vehicle=SMOOTH, session=STATED, runs=head + rows)
    made = reduce_day(load_session(desk.session), draws=400)
    assert label(made, best_balanced(made, 0)) == "3"


def test_of_unknown_scatter_a_car_is_in_balance_or_it_is_not(tmp_path):
    """700 N and 200 N more at the rear are worth more, and push."""
    desk = Desk(tmp_path)
    desk.write(
        vehicle=SMOOTH,
        session=SESSION,
        runs=HEAD + "1,base,40,34,1150\n2,pushes,-300,-700,1180\n3,even,-300,-255,1180\n",
    )
    made = reduce_day(load_session(desk.session), draws=100)
    verdicts = assess(made).handling.verdicts
    assert [one.word for one in verdicts[1:]] == [VerdictWord.REAR_OVERPOWERS, VerdictWord.IN_BALANCE]
    assert label(made, best_balanced(made, 0)) == "3"


def test_the_worst_of_the_named_places_counts(tmp_path):
    """At 60 km/h every car is in balance; at 190 km/h the one with more load pushes."""
    places = "".join(f'[[places]]\nname = "at {v}"\nspeed = "{v} km/h"\n' for v in (60, 190))
    desk = Desk(tmp_path)
    desk.write(
        vehicle=SMOOTH,
        session=STATED + places,
        runs=HEAD + "1,base,40,34,1150\n2,pushes,-300,-700,1180\n3,even,-300,-255,1180\n",
    )
    made = reduce_day(load_session(desk.session), draws=400)
    assert assess(made, speed=60.0 / 3.6).handling.verdicts[1].word is VerdictWord.IN_BALANCE
    assert label(made, best_balanced(made, 0)) == "3"
