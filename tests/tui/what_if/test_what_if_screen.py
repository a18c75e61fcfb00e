"""The what-if screen driven by keys: every figure is the model's, every step can be taken back, what is saved is on the disk."""

import tomllib

import numpy as np
import pytest
from textual.widgets import Static

from balance.decide.car.prepared_day import prepare_day
from balance.decide.what_if.what_if import evaluate_what_if
from balance.files.formats.what_if import read_what_ifs
from balance.model.what_ifs import WhatIf
from balance.tell.words import CAUTIONS
from tests.files.library.conftest import Days
from tui.widgets.chart import ChartView

SIZES = [(80, 24), (120, 40)]
named = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
LOADED = """
[drive]
driven = "rear"
power = "230 kW"
top_speed = "245 km/h"
[loadings.race]
fuel = { mass = "-25 kg", behind_front_axle = "2300 mm" }
"""


@pytest.fixture
def demo(demo):
    """The invented tunnel day before anything was asked of it."""
    (demo / "what_if.toml").unlink()
    return demo


def keys(text):
    named_keys = {
        " ": "space",
        "/": "slash",
        "+": "plus",
        "-": "minus",
        "%": "percent_sign",
        ";": "semicolon",
    }
    return tuple(named_keys.get(one, one) for one in text)


async def start(ui, run="16"):
    """Go to the screen and start from a run."""
    await ui.press("5", "home", "enter", *keys(run), "enter")
    assert ui.screen == "WhatIfs"
    assert ui.state.what_if.present.start == run


async def go_to(ui, key):
    """Put the cursor on a dial."""
    inputs = [one.key for one in ui.find("#inputs").inputs]
    await ui.press("home", *["down"] * inputs.index(key))


def shown(ui):
    return ui.app.screen.figures.result


def expected(ui):
    return evaluate_what_if(prepare_day(ui.state.day), ui.state.what_if.present, speed=ui.state.speed)


def sheet(ui):
    """Give the words beside the changes, unfolded."""
    return ui.find("#result").query_one(Static).content.plain


def agree(ui):
    """Tell whether what is shown is what the model says of the what-if, intervals included."""
    ours, theirs = shown(ui), expected(ui)
    assert ui.app.screen.figures.drawn
    for side in ("start", "result"):
        one, other = getattr(ours, side), getattr(theirs, side)
        assert one.forces.tolist() == other.forces.tolist()
        assert one.handling.verdicts == other.handling.verdicts
    np.testing.assert_array_equal(ours.forces.low, theirs.forces.low)
    np.testing.assert_array_equal(ours.grip_surplus.high, theirs.grip_surplus.high)
    return True


async def test_it_starts_from_the_picked_run_with_nothing_changed(running, demo):
    async with running(demo) as ui:
        await ui.press("down", "down", "5")
        run = ui.state.run.label
        assert ui.state.what_if.present == WhatIf(start=run)
        assert agree(ui)
        assert "Stays" in ui.text


async def test_steps_move_a_setting_a_weight_and_the_air(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await go_to(ui, "setting:wing_angle")
        await ui.press("right", "right")
        await go_to(ui, "mass")
        await ui.press("left", "left", "left")
        await go_to(ui, "front_share")
        await ui.press("right")
        await go_to(ui, "air")
        await ui.press("left")
        await go_to(ui, "speed")
        await ui.press("right")
        present = ui.state.what_if.present
        assert present.settings == (("wing_angle", 9.0),)
        assert (present.mass, present.front_share) == (1165.0, 0.61)
        assert present.air.density == pytest.approx(1.19)
        assert present.speed == pytest.approx(150.0 / 3.6)
        assert agree(ui)
        await go_to(ui, "mass")
        await ui.press("delete")
        assert ui.state.what_if.present.mass is None


async def test_a_step_back_to_the_start_is_no_change(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await go_to(ui, "mass")
        await ui.press("right", "left")
        assert ui.state.what_if.present == WhatIf(start="16")


async def test_a_step_past_the_useful_range_is_refused_in_words(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await go_to(ui, "setting:wing_angle")
        await ui.press(*["right"] * 7)
        assert ui.state.what_if.present.settings == (("wing_angle", 11.0),)
        assert ui.state.what_if.fault[0] == "setting:wing_angle"
        assert "past the useful range" in str(ui.find("#wrong").content)
        await ui.press("left")
        assert ui.state.what_if.present.settings == (("wing_angle", 10.5),)
        assert not ui.find("#wrong").display


async def test_stated_changes_forces_masses_and_parts_are_added(running, demo):
    async with running(demo, size=(120, 50)) as ui:
        await start(ui)
        await ui.press("f6", "3", *keys("120 N at 160 km/h +- 20 N"), "enter")
        await ui.press("f6", "6", *keys("300 N at 160 km/h; 40 N; 600 mm; 1200 mm"), "enter")
        await ui.press("f6", "7", *keys("driver 80 kg at 1350 mm"), "enter")
        await ui.press("f6", "1", "2")
        present = ui.state.what_if.present
        assert present.stated[0].front == pytest.approx(120.0 / (0.6 * (160.0 / 3.6) ** 2))
        # ± is half of a 95 % interval: 1.96 standard uncertainties of a normal distribution (tables of it, from memory)
        assert present.stated[0].front_std == pytest.approx(
            20.0 / 1.959964 / (0.6 * (160.0 / 3.6) ** 2), rel=1e-6
        )
        assert (present.forces[0].behind_rear_axle, present.forces[0].height) == (0.6, 1.2)
        assert (present.masses[0].name, present.masses[0].mass) == ("driver", 80.0)
        assert len(present.on) == 1
        assert agree(ui)
        for words in ("driver", "placed force", f"part {present.on[0]} on", "± 20 N"):
            assert words in ui.text
        await go_to(ui, "stated:0:front")
        await ui.press("right")
        assert ui.state.what_if.present.stated[0].front == pytest.approx(130.0 / (0.6 * (160.0 / 3.6) ** 2))
        await ui.press("delete")
        assert ui.state.what_if.present.stated == ()
        await go_to(ui, "mass:0:mass")
        await ui.press("left")
        assert ui.state.what_if.present.masses[0].mass == 75.0
        assert agree(ui)


async def test_undo_and_redo(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await go_to(ui, "mass")
        await ui.press("right", "right")
        assert ui.state.what_if.present.mass == 1190.0
        await ui.press("f7")
        assert ui.state.what_if.present.mass == 1185.0
        await ui.press("f7")
        assert ui.state.what_if.present.mass is None
        assert agree(ui)
        await ui.press("f9", "f9")
        assert ui.state.what_if.present.mass == 1190.0
        assert agree(ui)
        await ui.press("f9")
        assert "nothing to redo in this what-if" in ui.text


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("mass", "12", "from 100 kg to 10000 kg"),
        ("front_share", "120 %", "expected"),
        ("air", "29 parsec", "expected"),
        ("speed", "fast", "expected"),
        ("grip_exponent", "nine", "expected a number"),
        ("target_surplus", "-9 %", "there the car is past the oversteer limit"),
        ("setting:wing_angle", "9 mm", "expected a figure in deg"),
        ("setting:wing_angle", "40", "not tested"),
        ("start", "99", "found '99'"),
    ],
)
async def test_a_fault_stands_under_the_field_and_the_text_stays(running, demo, key, text, words):
    async with running(demo) as ui:
        await start(ui)
        before = ui.state.what_if.present
        await go_to(ui, key)
        await ui.press("f2", *keys(text), "enter")
        wrong = ui.find("#wrong")
        assert wrong.display
        assert words in str(wrong.content)
        assert ui.find("#typing").value == text
        assert ui.state.what_if.present == before
        await ui.press("escape")
        assert ui.state.what_if.draft(key) == text
        await ui.press("f2")
        assert ui.find("#typing").value == text


async def test_what_is_typed_is_there_again_after_another_page(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await go_to(ui, "mass")
        await ui.press("f2", *keys("12"), "escape", "2", "5")
        await go_to(ui, "mass")
        await ui.press("f2")
        assert ui.find("#typing").value == "12"


async def test_it_is_saved_reopened_and_compared(running, demo):
    async with running(demo, size=(120, 50)) as ui:
        await start(ui)
        await go_to(ui, "mass")
        await ui.press("right", "f10", *keys("heavier"), "enter")
        file = demo / "what_if.toml"
        (table,) = tomllib.loads(file.read_text(encoding="utf-8"))["what_if"]
        assert (table["name"], table["from"], table["mass"]) == ("heavier", "16", "1185 kg")
        assert read_what_ifs(ui.state.day.session, demo) == (ui.state.what_if.present,)
        await go_to(ui, "setting:wing_angle")
        await ui.press("left")
        await ui.press("f10", *["backspace"] * 7, *keys("less"), "enter")
        assert [one.name for one in read_what_ifs(ui.state.day.session, demo)] == ["heavier", "less"]
        await ui.press("f3", "1")
        assert ui.state.what_if.present.name == "heavier"
        assert ui.state.what_if.present.settings == ()
        await ui.press("f4", "f4", "1")
        assert ui.screen == "Compared"
        assert ui.state.what_if.compared == ("heavier",)
        await ui.press("f4", "2")
        assert ui.state.what_if.compared == ("heavier", "less")
        for words in ("as it stands", "heavier", "less", "3 of at most 4 what-ifs", "rests on"):
            assert words in ui.text
        await ui.press("f4", "1")
        assert ui.state.what_if.compared == ("less",)
        await ui.press("escape")
        assert ui.screen == "WhatIfs"


async def test_a_saved_file_that_cannot_be_read_is_said(running, demo):
    (demo / "what_if.toml").write_text("[[what_if]]\nname = 3\n", encoding="utf-8")
    async with running(demo) as ui:
        await start(ui)
        await ui.press("f3")
        assert "what_if.toml" in ui.text
        assert ui.screen == "WhatIfs"


async def test_values_stand_at_once_and_bands_follow(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await go_to(ui, "mass")
        page = ui.app.screen
        page.action_more()
        assert not page.figures.drawn
        assert page.figures.wanted.what_if.mass == 1185.0
        plain = ui.find(ChartView).chart
        assert [len(series.x) for series in plain.series] == [100, 100]
        assert plain.series[1].low is None
        await ui.settle()
        assert page.figures.drawn
        assert ui.find(ChartView).chart.series[1].low is not None
        assert agree(ui)


async def test_of_many_steps_the_last_one_stands(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await go_to(ui, "mass")
        page = ui.app.screen
        for _ in range(6):
            page.action_more()
        await ui.settle()
        assert ui.state.what_if.present.mass == 1210.0
        assert agree(ui)


async def test_two_series_of_every_quantity(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await go_to(ui, "mass")
        await ui.press("right")
        for _ in range(5):
            names = [series.label for series in ui.find(ChartView).chart.series]
            assert any("start" in name for name in names)
            assert any("what if" in name for name in names)
            await ui.press("c")


async def test_result_stands_beside_the_start_with_power_assumptions_and_cautions(running, demo):
    async with running(demo, size=(160, 140)) as ui:
        await start(ui)
        await go_to(ui, "mass")
        await ui.press("right")
        for words in (
            "start",
            "what if",
            "change",
            "added, front",
            "added, rear",
            "power [kW]",
            "drag-limited",
            "1185 kg",
            "set-up as it was",
            "88W allows there",
            *CAUTIONS,
        ):
            assert words in sheet(ui)


async def test_loadings_of_the_vehicle_file(running, desk):
    desk.write(vehicle=desk.vehicle + LOADED)
    async with running(desk.session) as ui:
        await ui.press("5")
        await go_to(ui, "loading")
        await ui.press("right")
        assert ui.state.what_if.present.loading == "race"
        assert agree(ui)
        await ui.press("right")
        assert ui.state.what_if.present.loading == ""


async def test_a_day_without_known_scatter_has_values_alone(running, desk):
    desk.write(session=desk.bare, runs=desk.head + "1,base,84,260,1150\n2,wing,120,-480,1230\n")
    async with running(desk.session) as ui:
        await ui.press("5")
        await go_to(ui, "mass")
        await ui.press("right")
        assert "cannot tell how sure" in ui.text
        assert "noise unknown" in sheet(ui)


async def test_places_units_help_and_copy(running, demo):
    async with running(demo, size=(120, 80)) as ui:
        await start(ui)
        await ui.press("p")
        assert shown(ui).start.speed == ui.state.speed
        await ui.press("u")
        assert "2601 lb" in ui.text
        await go_to(ui, "mass")
        await ui.press("right")
        assert "2610 lb" in ui.text
        await ui.press("y")
        assert "Assumptions" in ui.app.clipboard
        await ui.press("question_mark")
        assert "add a part, a stated change, a force or a mass" in ui.text
        assert "neutral-steer shift" in ui.text


async def test_escape_leaves_the_field_then_the_screen(running, demo):
    async with running(demo) as ui:
        await start(ui)
        await ui.press("f2", "escape")
        assert ui.screen == "WhatIfs"
        assert not ui.find("#typing").display
        await ui.press("escape")
        assert ui.screen == "Home"


CHANGES = ("home", "enter", *keys("16"), "enter", "down", "down", "right", "right")


@named
@pytest.mark.parametrize("theme", ["axletrim-dark", "axletrim-sunlight"])
def test_picture(opened, demo, size, theme):
    assert opened(demo, size, "5", *CHANGES, theme=theme)


@named
def test_picture_of_a_fault(opened, demo, size):
    assert opened(demo, size, "5", *CHANGES, "enter", *keys("40"), "enter")


@pytest.mark.parametrize("raw", [b"[[what_if]\n", "name = 'f\u00fcr'\n".encode("latin-1")])
async def test_saving_beside_a_file_that_cannot_be_read_says_why_and_leaves_it(running, demo, raw):
    async with running(demo) as ui:
        await start(ui)
        (demo / "what_if.toml").write_bytes(raw)
        await ui.press("f10")
        await ui.type("mine")
        await ui.press("enter")
        assert "what_if.toml" in " ".join(note.message for note in ui.app._notifications)
        assert ui.screen == "WhatIfs"
    assert (demo / "what_if.toml").read_bytes() == raw


@pytest.mark.parametrize("keys", [("2",), ("3",), ("4",), ("5",), ("6",), ("d",), ("n",), ("B",)])
async def test_no_page_shows_another_cars_figures(running, demo, desk, keys):
    # the other car's day has no run yet: nothing of the first car may stay on any page
    desk.write(runs=desk.head)
    async with running(demo) as ui:
        await ui.press("down", "down")
        if keys == ("5",):
            await start(ui)
        else:
            await ui.press(*keys)
        ui.app.open(str(desk.session))
        await ui.settle()
        assert "Brindlow" not in ui.text
        assert ui.state.session.title == "Spring tunnel day (invented)"
        assert "Larkspur" in ui.text
        assert not any(words in ui.text for words in ("splitter", "verdict", "front over", "FRONT OVER"))
        await ui.press("1")
        assert ui.screen == "Home"


@pytest.fixture
def fresh(tmp_path, monkeypatch):
    """A day before its spoiler; a library of five other cars that had one, and of one with louvres."""
    days = Days(tmp_path)
    days.five()
    louvres = "run,configuration,front_lift [N],rear_lift [N],drag [N],louvres\n1,base,84,260,1150,\n2,louvres,60,262,1155,bonnet\n"
    days.add(days.day("ash", "autumn", runs=louvres), n1="new")
    monkeypatch.setenv("AXLETRIM_LIBRARY", str(days.library))
    head = "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"
    return days.day("fresh", runs=f"{head}1,base,84,260,1150\n2,base,80,262,1152\n")


async def test_a_part_of_the_library_is_put_on_saved_and_asked_again(running, fresh, tmp_path):
    async with running(fresh, size=(120, 50)) as ui:
        await start(ui, "1")
        await ui.press("f6", "8")
        await ui.until(lambda: ui.screen == "Pick", ui.pilot.pause)
        assert "expected, from 5 cars" in ui.text
        await ui.press("2")  # the louvres, of which one car says too little
        assert "found 1 car: too few for what a next car may do" in " ".join(
            str(ui.find("#wrong").content).split()
        )
        assert ui.state.what_if.present.library == ()
        await ui.press("f6", "8")
        await ui.until(lambda: ui.screen == "Pick", ui.pilot.pause)
        await ui.press("1")
        await ui.settle()
        (part,) = ui.state.what_if.present.library
        assert (part.part, part.cars) == ("rear spoiler 25 mm", 5)
        assert agree(ui)
        assert "expected, from 5 cars" in str(ui.find("#answer").content)
        assert "rear spoiler 25 mm: expected, from 5 cars, nothing of this car in it" in sheet(ui)
        await ui.press("f10", *keys("spoiler"), "enter")
        assert 'library = ["rear spoiler 25 mm"]' in (fresh / "what_if.toml").read_text(encoding="utf-8")
        await go_to(ui, "library:rear spoiler 25 mm")
        await ui.press("delete")
        assert ui.state.what_if.present.library == ()
        days = Days(tmp_path)
        days.add(days.day("sorb", gain=90.0), car="new", n1="same")
        await ui.press("f3", "1")
        await ui.until(lambda: bool(ui.state.what_if.present.library), ui.pilot.pause)
        assert ui.state.what_if.present.library[0].cars == 6
        await ui.press("f4", "f4", "1")
        await ui.settle()
        assert ui.screen == "Compared"
        assert ui.text.count("expected, from 6 cars") >= 2


@named
def test_picture_with_a_part_of_the_library(opened, fresh, size):
    assert opened(fresh, size, "5", "home", "enter", "1", "enter", "f6", "8", "1")
