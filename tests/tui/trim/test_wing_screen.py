"""The wing screen driven by keys: the answer is the model's, faults stand under their fields, nothing typed is lost."""

import pytest
from textual.widgets import Input

from balance.decide.car.prepared_day import prepare_day
from balance.decide.settings.trim_question import TrimQuestion, answer_trim
from balance.files.formats.stated_text import read_stated
from balance.model.records import HALF_95
from balance.tell.figures import Show
from balance.tell.words import CAUTIONS
from tui.widgets.asked_form import AskedForm
from tui.widgets.chart import ChartView

SIZES = [(80, 24), (120, 40)]
named = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
FRONT = "120 N at 160 km/h +- 20 N"
HOLES = """
[drive]
top_speed = "228 km/h"
[[adjusters]]
setting = "wing"
holes = { "A" = "2 deg", "B" = "6 deg", "C" = "9 deg" }
limits = { low = "0 deg", high = "10 deg", confirmed_by = "scrutineer, 12 May" }
"""
SWEEP = """\
run,configuration,wing [deg],front_lift [N],rear_lift [N],drag [N],baseline
1,base,,-150,260,1150,
2,base,2,-140,40,1180,1
3,base,5,-125,-80,1195,1
4,base,8,-110,-180,1215,1
5,base,11,-95,-160,1290,1
6,base,,-152,262,1151,1
"""


def keys(text):
    return tuple({" ": "space", "/": "slash", "+": "plus", "-": "minus"}.get(one, one) for one in text)


def answer(ui, **question):
    day = ui.state.day
    return answer_trim(prepare_day(day), TrimQuestion(**question), speed=ui.state.speed)


def faults(ui):
    return [str(one.content) for one in ui.app.screen.query(".fault") if one.display]


async def ask(ui, field, text):
    """Go to a field of the question, type, and leave the form."""
    await ui.press("f2", *["down"] * list(ui.find(AskedForm).keys).index(field), *keys(text), "escape")


async def test_the_picked_run_is_asked_about_and_its_answer_stands_first(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        assert ui.screen == "Wing"
        found = ui.state.wing.figures.answers.answer
        expected = answer(ui, run="16", setting="wing_angle").answer
        assert found.solutions[0].value == expected.solutions[0].value
        assert (found.solutions[0].low, found.solutions[0].high) == (
            expected.solutions[0].low,
            expected.solutions[0].high,
        )
        assert "Wing angle 4.6° (4.1 to 5.0, 95 % of draws) gives a grip balance of 1.0 %" in ui.text
        assert "at 148 km/h" in ui.text
        assert "mounts carry" in ui.text
        assert "× tested" in ui.text


async def test_a_stated_change_with_its_uncertainty_moves_the_answer(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        await ask(ui, "front", FRONT)
        std = f"{20.0 / HALF_95!r} N"  # ± is half of a 95 % interval
        stated = read_stated({"front": "120 N at 160 km/h", "front_std": std}, air_density=1.2)
        expected = answer(ui, run="16", setting="wing_angle", stated=(stated,)).answer.solutions[0]
        found = ui.state.wing.figures.answers.answer.solutions[0]
        assert found.value == expected.value
        assert found.state.forces.tolist() == expected.state.forces.tolist()


async def test_a_target_in_points_and_one_in_per_cent(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        await ask(ui, "target", "7 points rearward")
        expected = answer(ui, run="16", setting="wing_angle", offset=-0.07).answer.solutions[0]
        assert ui.state.wing.figures.answers.answer.solutions[0].value == expected.value
        assert "an aero balance 7.0 points behind weight" in ui.text
        await ui.press("f8")
        await ask(ui, "run", "16")
        await ask(ui, "target", "2 %")
        expected = answer(ui, run="16", setting="wing_angle", surplus=0.02).answer.solutions[0]
        assert ui.state.wing.figures.answers.answer.solutions[0].value == expected.value


async def test_a_measured_part_is_picked_and_left_off_again(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        await ui.press("f6", "down", "down", "down", "enter")
        (label,) = ui.state.wing.figures.answers.question.on
        assert ui.state.wing.text("on") == label
        expected = answer(ui, run="16", setting="wing_angle", on=(label,)).answer
        assert ui.state.wing.figures.answers.answer.before.forces.tolist() == expected.before.forces.tolist()
        await ui.press("f6", "down", "down", "down", "enter")
        assert ui.state.wing.figures.answers.question.on == ()


async def test_run_and_setting_are_picked_from_lists(running, demo):
    async with running(demo) as ui:
        await ui.press("4", "f3")
        assert "From which run?" in ui.text
        await ui.press("escape", "f4")
        await ui.press("escape")
        await ask(ui, "run", "16")
        await ui.press("f4", "down", "enter")
        assert ui.state.wing.text("setting") == "wing_angle"


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("front", "120 N", "120 N at what speed?"),
        ("front", "120 N at 160 km/h +- 2 +- 3 N", "one uncertainty"),
        ("rear", "many", "expected"),
        ("run", "99", "found '99'"),
        ("setting", "vents", "vents"),
        ("on", "99", "found '99'"),
        ("target", "3 points", "rearward or forward"),
        ("target", "3", "expected a grip balance"),
        ("target", "-9 %", "there the car is past the oversteer limit"),
    ],
)
async def test_a_fault_stands_under_its_field_and_the_text_stays(running, demo, field, text, words):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16" if field != "run" else "")
        await ask(ui, field, text)
        assert [words in fault for fault in faults(ui)] == [True]
        assert ui.state.wing.text(field) == text
        assert "1 fault to correct in the question" in ui.text
        if ui.state.wing.figures is not None:
            assert "below is the result of the question before" in ui.text
            assert ui.app.screen.has_class("-stale")
        row = next(row for row in ui.app.screen.query("FormRow") if row.field.key == field)
        assert row.query_one(Input).value == text
        assert row.has_class("-wrong")


async def test_what_is_typed_is_there_again_after_another_page(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        await ask(ui, "front", "120 N at")
        await ui.press("2", "4")
        assert ui.state.wing.text("front") == "120 N at"
        assert "120 N at" in ui.text
        assert [("force and its speed" in fault or "expected" in fault) for fault in faults(ui)] == [True]


async def test_a_run_outside_every_sweep_says_which_runs_are_in_one(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "23")
        assert "14, 15, 17, 16, 18, 19" in " ".join(faults(ui)[0].split())
        assert ui.app.screen.has_class("-stale")  # below is what stood there before


async def test_a_run_without_a_setting_opens_on_the_nearest_that_has_one_and_says_which(running, demo):
    """By hand: of the runs of a sweep, 3 and 4 (splitter alone) and 9 and 10 (spoiler alone) differ from run 1 in one
    setting, and so do 11 and 12 (wing alone); run 3 is the nearest in the order of the day."""
    async with running(demo) as ui:
        await ui.press("4")
        assert faults(ui) == []
        assert (
            "run 1 has no setting to move: this is run 3, the nearest that has · F3 picks another" in ui.text
        )
        assert ui.state.wing.figures.answers.question.run == "3"
        assert ui.state.wing.figures.answers.question.setting == "splitter_length"
        assert "3 · nearest to 1" in ui.hint("run")
        await ask(ui, "setting", "wing_angle")
        assert "this is run 11" in ui.text
        assert ui.state.wing.figures.answers.question.run == "11"
        await ask(ui, "run", "1")
        assert "found in no family" in faults(ui)[0]


async def test_no_solution_names_the_nearest_and_what_is_missing(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        await ask(ui, "target", "40 points rearward")
        closest = answer(ui, run="16", setting="wing_angle", offset=-0.4).answer.closest
        assert ui.state.wing.figures.answers.answer.solutions == ()
        assert "No wing angle inside the useful range gives" in ui.text
        missing = Show().quantity("force", closest.missing_rear)
        assert f"{missing} more downforce at the rear axle" in ui.text


async def test_alternatives_places_assumptions_and_cautions_stand_below(running, demo):
    async with running(demo, size=(160, 120)) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        for words in (
            "before it is moved",
            "► target met",
            "flap height 10 mm, not met",
            "leave it, front +200 N",
            "long left",
            "bridge esses",
            "useful 2 to 11°",
            "88W allows there",
            "the interval holds the day's repeatability",
            *CAUTIONS,
        ):
            assert words in ui.text


async def test_holes_and_limits_of_the_real_adjuster(running, desk):
    desk.write(vehicle=desk.vehicle + HOLES, runs=SWEEP)
    async with running(desk.session, size=(120, 60)) as ui:
        await ui.press("4")
        await ask(ui, "run", "3")
        holes = ui.state.wing.figures.answers.answer.solutions[0].holes
        assert [hole.name for hole in holes] == ["B", "A"]
        assert "hole B, more rear grip" in ui.text
        assert "hole A" in ui.text
        assert "confirmed by scrutineer, 12 May" in ui.text


async def test_the_chart_shows_the_answer_and_what_is_withheld(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        for title in ("grip balance, rear over front", "front downforce", "rear downforce", "drag"):
            chart = ui.find(ChartView).chart
            assert chart.title == f"{title} at 148 km/h"
            assert {mark.label for mark in chart.marks} == {"answer 4.6", "now 8", "stalled: not offered"}
            curve, tested, past = chart.series
            assert max(curve.x) == 11.0
            assert list(past.x) == [14.0]
            assert list(tested.x) == [2.0, 5.0, 8.0, 11.0]
            await ui.press("c")


async def test_speed_and_units_are_those_of_the_other_screens(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        await ui.press("p")
        assert ui.state.wing.figures.answers.answer.speed == ui.state.speed
        assert "at 172 km/h" in ui.text
        await ui.press("u")
        assert "at 107 mph" in ui.text
        assert "lbf" in ui.text


async def test_help_and_copy(running, demo):
    async with running(demo, size=(120, 100)) as ui:
        await ui.press("4")
        await ask(ui, "run", "16")
        await ui.press("y")
        assert "wing_angle 4.6°" in ui.app.clipboard
        await ui.press("question_mark")
        for words in ("useful range", "put a measured part on", "trim"):
            assert words in ui.text


async def test_two_escapes_lead_from_a_field_to_the_runs(running, demo):
    async with running(demo) as ui:
        await ui.press("4", "f2", "escape")
        assert ui.screen == "Wing"
        await ui.press("escape")
        assert ui.screen == "Home"


@pytest.mark.parametrize("size", [*SIZES, (160, 50)], ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("theme", ["axletrim-dark", "axletrim-sunlight"])
def test_picture(opened, demo, size, theme):
    assert opened(demo, size, "4", "f2", *keys("16"), "escape", theme=theme)


@named
def test_picture_of_a_fault(opened, demo, size):
    assert opened(demo, size, "4", "f2", *keys("16"), "down", "down", *keys("120 N"), "escape")


@named
def test_picture_without_a_solution(opened, demo, size):
    question = ("f2", *keys("16"), *["down"] * 6, *keys("40 points rearward"), "escape")
    assert opened(demo, size, "4", *question)
