"""What a page says agrees with the verdicts that stand on it."""

import numpy as np
import pytest

from balance.decide.day.day import reduce_day
from balance.decide.settings.families import find_families
from balance.decide.settings.response import fit_response
from balance.decide.settings.trim_question import TrimQuestion, answer_trim
from balance.decide.settings.ways import find_ways
from balance.files.formats.report import BriefChoices
from balance.files.loader import load_session
from balance.tell.figures import Show
from balance.tell.report.page import brief_page, page_html
from balance.tell.report.pictures.canvas import in_two_lines
from balance.tell.report.recommended import recommended, recommended_line
from balance.tell.report.report_data import ReportData
from balance.tell.settings.setting_words import range_words, stall_sentence
from balance.tell.settings.ways_table import ways_table
from tests.small_session import HEAD, SESSION, VEHICLE, Desk

STATED = SESSION + '[repeatability]\nfront = "4 N"\nrear = "4 N"\ndrag = "3 N"\n'
SMOOTH = (
    VEHICLE
    + '[tyres]\nstiffness_load_exponent = 0.75\ngrip_load_exponent = 0.86\n[drive]\ntop_speed = "195 km/h"\n'
)


@pytest.fixture
def report(tmp_path):
    def made(rows, *, session=STATED, vehicle=SMOOTH, head=HEAD):
        desk = Desk(tmp_path)
        desk.write(vehicle=vehicle, session=session, runs=head + rows)
        day = reduce_day(load_session(desk.session), draws=400)
        return ReportData(day, BriefChoices(), Show())

    return made


def page(report):
    """Write the page, its own spaces and marks as they are typed."""
    return page_html(brief_page(report)).replace("\xa0", " ").replace("&#39;", "'")


SAFE_BUT_LOSES = "1,base,-300,100,1150\n2,more front,-330,90,1150\n3,even,10,9,1150\n"
"""By the axles' weights, 6857 and 5794 N: the first two have the front over the rear, the third adds next to nothing."""


def test_of_a_car_in_balance_it_is_not_said_that_it_is_dangerous_or_out_of_balance(report):
    made = report(SAFE_BUT_LOSES)
    said = page(made)
    assert "No recommendation: nothing tested that gains downforce is free of danger. Nearest: even" in said
    assert "Free of danger, but it gains no downforce, or loses some at an axle." in said
    assert "named speed" not in said
    assert "No configuration of this day is free of danger" not in said
    assert "do not drive this one" not in said.lower()
    line = recommended_line(recommended(made.day), made.table, made.show)[0]
    assert line.startswith("Nothing tested that gains downforce is free of danger · nearest: even · ")


@pytest.mark.parametrize(
    ("places", "where"),
    [("", "the tested speed"), ('[[places]]\nname = "crest"\nspeed = "190 km/h"\n', "every named speed")],
)
def test_named_speeds_are_spoken_of_only_where_there_are_any(report, places, where):
    made = report("1,base,-40,-700,1150\n2,pushes more,-60,-900,1150\n", session=STATED + places)
    said = page(made)
    assert f"nothing tested that gains downforce is free of danger and in balance at {where}." in said
    assert ("named speed" in said) is bool(places)


FITTED = "run,configuration,splitter [mm],gurney [mm],vents,front_lift [N],rear_lift [N],drag [N]\n"


def test_a_mount_is_told_of_parts_on_the_car_alone_and_a_length_of_nothing_is_no_part(report):
    rows = "1,base,0,0,N,40,34,1150\n2,base,50,0,N,-300,0,1180\n3,base,50,10,N,-300,-255,1200\n"
    made = report(rows, head=FITTED)
    said = page(made)
    assert "Recommended: splitter 50 mm, gurney 10 mm" in said
    mounts = said[said.index("Mounts at") : said.index("How sure")]
    assert "on the splitter" in mounts
    assert "on the gurney" in mounts
    assert "vents" not in mounts
    assert "never run" not in mounts
    assert "vents N" not in said
    assert "gurney 0" not in said


def test_a_small_load_promises_no_more_than_it_is(report):
    """The rear carries 1500 N more than at the start, which is dangerous: no page says that air does not matter."""
    made = report("1,base,-300,100,1150\n2,even,-10,-9,1150\n")
    said = page(made)
    assert "Small load" in said
    assert "Too slow" not in said
    assert "Up to 195 km/h the air changes neither axle's load by 1 %" in said


@pytest.mark.parametrize(
    ("top", "felt"), [(True, "every speed you reach"), (False, "In balance up to 195 km/h.")]
)
def test_every_speed_is_spoken_of_only_where_a_top_speed_is_stated(report, top, felt):
    """Without one a car is looked at to 1.22 times the highest tested speed, 160 km/h."""
    vehicle = SMOOTH if top else SMOOTH.replace('[drive]\ntop_speed = "195 km/h"\n', "")
    made = report("1,base,40,34,1150\n2,even,-300,-255,1180\n", vehicle=vehicle)
    assert made.recommends
    assert felt in page(made)
    assert ("every speed you reach" in page(made)) is top


STEPS = (
    "run,configuration,splitter [mm],wing_aoa [deg],vents,canards,vgs,front_lift [N],rear_lift [N],drag [N]\n"
)
EACH_PART = """\
1,base,,,,,,40,200,1150
2,base,50,,,,,-150,220,1160
3,base,50,2,,,,-140,0,1170
4,base,50,5,,,,-130,-120,1190
5,base,50,8,,,,-120,-240,1220
6,base,50,11,,,,-110,-360,1260
7,base,50,14,,,,-105,-340,1330
8,base,50,17,,,,-100,-300,1420
9,base,50,2,yes,,,-160,-2,1165
10,base,50,2,,yes,,-160,2,1175
11,base,50,2,,,yes,-142,-1,1171
12,base,60,2,,,,-165,1,1174
"""


def test_each_part_has_its_row_and_steps_of_one_setting_leave_room(report):
    """Six angles move the axles most; vents, canards and VGs move them less, the VGs within the noise of 4 N a reading."""
    made = report(EACH_PART, head=STEPS)
    told = [made.part_name(row) for row in made.told]
    for part in ("splitter 50 mm", "wing 5°", "vents", "canards", "vgs", "splitter 50 to 60 mm"):
        assert part in told
    assert told.index("splitter 50 to 60 mm") == told.index("splitter 50 mm") + 1
    said = page(made)
    assert "within noise" in said
    assert "changed the load of an axle less" not in said


def test_a_row_of_a_stalled_setting_says_so(report):
    """From 11 to 14° the rear loses 20 N: the useful range ends at 11°."""
    made = report(EACH_PART, head=STEPS)
    full = ReportData(made.day, BriefChoices(depth="full", parts=("4", "8")), Show())
    said = page(full)
    assert said.count("; stalled") == 1


def test_beside_the_recommendation_stand_its_assumed_aim_and_what_the_air_still_lifts(report):
    """60 N less lift at each axle: 40 N and 34 N remain, 74 N in all."""
    made = report("1,base,100,200,1150\n2,less,40,34,1160\n")
    lead = page(made).partition("You will feel")[0]
    assert "Recommended: less" in lead
    assert "Chosen for downforce less 5 times drag, assumed; the engineer can name another." in lead
    assert "The air still lifts both axles: 74 N of LIFT in all." in lead


def test_of_a_car_that_is_pressed_down_no_lift_is_told(report):
    made = report("1,base,40,34,1150\n2,even,-300,-255,1180\n")
    assert "still lifts" not in page(made)


TWICE = """\
1,base,50,2,,,,-140,0,1170
2,base,50,5,,,,-130,-120,1190
3,base,50,8,,,,-120,-240,1220
4,base,60,8,,,,-160,-238,1222
5,base,60,2,,,,-182,1,1172
"""


def test_one_car_stands_once_among_the_options_and_a_part_shown_twice_by_its_run(report):
    """The longer splitter was run at 8° and at 2°; at 8° it is the setting moved and the part put on: one car."""
    made = report(TWICE, head=STEPS)
    question = TrimQuestion(run="3", setting="wing_aoa")
    answers = answer_trim(made.prepared, question, speed=made.speed, air_density=made.table.air_density)
    ways = find_ways(made.prepared, answers)
    cars = [tuple(np.round(way.state.areas, 12)) for way in ways]
    assert len(set(cars)) == len(cars)
    table = ways_table(ways, answers.answer, made.show)
    names = [row["way"].text for row in table.rows]
    assert len(set(names)) == len(names)
    assert any("(run 4)" in name for name in names) == any("(run 5)" in name for name in names)
    assert "balances the car" not in table.heading


def test_no_stall_is_spoken_of_a_length(report):
    """The longer splitter gains nothing more for more drag: its useful range ends, but no surface of it stalls."""
    rows = "1,base,40,,,,,-100,0,1150\n2,base,50,,,,,-150,0,1160\n3,base,60,,,,,-145,2,1230\n"
    made = report(rows, head=STEPS)
    (family,) = find_families(made.prepared, "splitter")
    response = fit_response(made.prepared, family)
    assert response.useful == (40.0, 50.0)
    assert not any(response.stall_at(value) for value in (40.0, 50.0, 60.0))
    assert "stall" not in range_words(response)
    assert "stall" not in stall_sentence(response, 1000.0, made.show)
    assert "stalled" not in page(made)


def test_a_name_in_a_picture_takes_two_lines_and_no_third():
    """A third line lies over the bar above; a name is cut with a mark."""
    long = "Recommended: wing 2°, splitter 2 in, Gurney 0.4 in, canards small pair, vents bonnet louvres, floor flat"
    drawn = in_two_lines(long, 38)
    assert drawn.count("\n") == 1
    assert drawn.endswith("…")


def test_a_record_of_figures_is_nothing_that_eyes_saw(report):
    head = STEPS.replace(",front_lift", ",q,front_lift")
    rows = "1,base,50,2,,,,35.68,-140,0,1170\n2,base,50,5,,,,35.47,-130,-120,1190\n3,base,50,8,,,,35.60,-120,-240,1220\n"
    made = report(rows, head=head, session=STATED + '[columns]\nrecorded = ["q"]\n')
    assert "seen and in no decision" not in page(made)


def test_both_speeds_of_a_limit_are_told_apart(report):
    """The start leaves at one speed, and is in balance for sure to a lower one; the table shows the lower and says so."""
    made = report("1,base,-300,100,1150\n2,even,-300,-255,1180\n")
    assert made.table.ranges[made.baseline].in_balance_to < made.table.ranges[made.baseline].leaves
    said = page(made)
    assert "In balance to: so far the whole 95 % interval is inside the limits" in said
    assert "short of them, OVERSTEER" not in said


@pytest.mark.parametrize(("driven", "left_out"), [("", True), ('driven = "rear"\n', False)])
def test_a_verdict_without_a_driven_axle_says_in_the_same_line_that_power_is_left_out(
    report, driven, left_out
):
    """A green line that is read alone is not to stand over a danger under power."""
    said = page(report("1,base,-10,-8,1150\n2,more,-20,-17,1160\n", vehicle=f"{SMOOTH}{driven}"))
    assert ("; power left out." in said) is left_out
