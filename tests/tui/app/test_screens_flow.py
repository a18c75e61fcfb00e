"""The other screens, and what happens to files while they are open."""

import shutil

import pytest
from textual.widgets import Input

from balance.model.glossary import terms
from tui.app.app import APP, ActionCommands
from tui.widgets.line_table import LineTable


async def test_detail_tells_everything_about_the_picked_run(running, demo):
    async with running(demo, size=(100, 60)) as ui:
        await ui.press("down", "d")
        assert ui.screen == "Detail"
        for words in (
            "Run 3 splitter",
            "MORE OVERSTEER than in slow corners from 68 km/h",
            "MORE OVERSTEER than in slow corners from",
            "Loads at 148 km/h, 1.200 kg/m³",
            "N LIFT",
            "Balance",
            "At each named speed",
            "The reading",
            "as read (positive up)",
        ):
            assert words in ui.text
        await ui.press("u")
        assert "Loads at 92 mph" in ui.text
        await ui.press("escape")
        assert ui.screen == "Home"
        assert isinstance(ui.app.focused, LineTable)


async def test_detail_stays_scrolled_where_it_was_when_figures_change(running, demo):
    async with running(demo, size=(80, 24)) as ui:
        await ui.press("enter", "pagedown")
        at = ui.find("Sheet").scroll_y
        assert at > 0
        await ui.press("u")
        assert ui.find("Sheet").scroll_y == at


async def test_notes_say_assumptions_and_cautions(running, demo):
    async with running(demo, size=(120, 60)) as ui:
        await ui.press("n")
        assert ui.screen == "Notes"
        for words in ("Notes on runs", "Notes on the day", "assumed", "Cautions", "run 5: suspect"):
            assert words in ui.text
        await ui.press("escape")
        assert isinstance(ui.app.focused, LineTable)


def _unframed(ui):
    """Give what stands within the frame, with single spaces: a long line of help goes on in the next one."""
    return " ".join(" ".join(line.strip(" │") for line in ui.lines).split())


@pytest.mark.parametrize("open_key", [None, "d", "n", "o", "question_mark"])
async def test_the_question_mark_explains_every_screen(running, demo, open_key):
    async with running(demo, size=(120, 60)) as ui:
        if open_key is not None:
            await ui.press(open_key)
        name, actions = ui.screen.lower(), ui.app.screen.ACTIONS
        await ui.press("question_mark")
        assert ui.screen == "Help"
        for action in [*actions, *APP]:
            assert " ".join(action.help.split()) in _unframed(ui) or open_key == "question_mark"
        await ui.press("escape")
        assert ui.screen.lower() == ("home" if open_key == "question_mark" else name)


async def test_help_of_home_explains_columns_with_unit_and_sign(running, demo):
    async with running(demo, size=(160, 80)) as ui:
        await ui.press("question_mark")
        assert {column.term for column in ui.state.table.columns} <= set(terms())
        for words in ("Columns", "front, rear, total [N]:", "Sign:", "Terms", "every action by name"):
            assert words in ui.text
        assert ui.text.count("settings:") == 1
        await ui.press("u")
        assert "front, rear, total [lbf]:" in ui.text


@pytest.mark.parametrize("open_key", [None, "d", "n", "o", "question_mark"])
async def test_the_palette_offers_every_action_of_the_screen_with_its_help(running, demo, open_key):
    async with running(demo) as ui:
        if open_key is not None:
            await ui.press(open_key)
        hits = [hit async for hit in ActionCommands(ui.app.screen).discover()]
        offered = {f"{action.label}: {action.help}" for action in [*ui.app.screen.ACTIONS, *APP]}
        assert {hit.display for hit in hits} == offered


async def test_the_palette_offers_nothing_that_would_break_our_words(running, demo):
    async with running(demo, size=(120, 90)) as ui:
        await ui.press("ctrl+p")
        assert "faster: raise the speed shown by 5" in ui.text
        assert "theme" not in ui.text.replace("theme: change between dark and black on white", "")
        assert "Screenshot" not in ui.text
        assert "Maximize" not in ui.text
        await ui.type("sunlight")
        await ui.press("enter")
        assert ui.screen == "Home"
        assert ui.app.theme == "axletrim-sunlight"


async def test_the_palette_does_what_the_screen_can(running, demo):
    async with running(demo) as ui:
        await ui.press("ctrl+p")
        await ui.type("one row a configuration")
        await ui.press("enter")
        assert not ui.state.folded


async def test_recent_sessions_stand_newest_first_with_car_and_age(running, demo, desk, remember):
    remember(
        (demo, "Winter tunnel day", "Brindlow hatch", 3),
        (desk.session, "Spring tunnel day", "Larkspur coupe", 1),
        (desk.car / "gone", "Lost day", "Lost car", 0),
    )
    async with running(size=(120, 40)) as ui:
        assert ui.screen == "Chooser"
        rows = [
            line for line in ui.lines if "day" in line and "Open a day" not in line and "folder" not in line
        ]
        assert "Spring tunnel day" in rows[0]
        assert "Larkspur coupe" in rows[0]
        assert "1 day ago" in rows[0]
        assert "Winter tunnel day" in rows[1]
        assert "3 days ago" in rows[1]
        assert "invented demo day" in rows[2]
        assert "Lost day" not in ui.text
        await ui.press("enter")
        assert ui.screen == "Home"
        assert ui.state.path == str(desk.session)


async def test_the_demo_opens_on_a_copy(running, place_of_its_own):
    async with running() as ui:
        assert "invented demo day" in ui.text
        await ui.press("enter")
        assert ui.screen == "Home"
        assert ui.state.path.startswith(str(place_of_its_own / "data"))


async def test_a_path_is_typed_at_once_and_a_wrong_one_refused_in_words(running, desk):
    async with running() as ui:
        await ui.press("f4", *"/no/such/day", "enter")
        assert ui.screen == "Chooser"
        assert "nothing there" in ui.text
        assert ui.find(Input).value == "/no/such/day"
        ui.find(Input).value = str(desk.session / "session.toml")
        await ui.press("enter")
        assert ui.state.path == str(desk.session)


async def test_leaving_the_chooser_without_a_session_leaves(running):
    async with running() as ui:
        await ui.pilot.press("escape")
        await ui.pilot.pause()
        assert ui.app._exit


async def test_leaving_the_chooser_goes_back_to_the_session(running, demo):
    async with running(demo) as ui:
        await ui.press("o", "o", "escape")
        assert ui.screen == "Home"
        assert isinstance(ui.app.focused, LineTable)


async def test_a_change_outside_is_noticed_and_the_picked_run_kept(running, desk):
    async with running(desk.session) as ui:
        await ui.press("end")
        assert ui.state.run.label == "4"
        before = ui.state.assessment.handling.nominal.drag[-1]
        desk.write(runs=desk.runs.replace("1230", "1330") + "5,wing higher,118,-500,1250\n")
        await ui.look_for_changes()
        assert ui.state.run.label == "4"
        assert ui.state.assessment.handling.nominal.drag[3] > before
        assert "wing higher" in ui.text


async def test_a_change_of_the_vehicle_is_noticed_wherever_its_file_stands(running, desk):
    desk.write(session=(desk.bare + desk.stated).replace("../vehicle.toml", "own.toml"))
    shutil.move(desk.car / "vehicle.toml", desk.session / "own.toml")
    async with running(desk.session) as ui:
        (desk.session / "own.toml").write_text(desk.vehicle.replace("Larkspur", "Sedge"), encoding="utf-8")
        await ui.look_for_changes()
        assert "Sedge coupe" in ui.text


async def test_a_broken_edit_shows_its_faults_and_keeps_the_last_good_state(running, desk):
    async with running(desk.session) as ui:
        figures = ui.state.assessment
        desk.write(runs=desk.runs.replace("1162", "about 1162"))
        await ui.look_for_changes()
        assert ui.screen == "Faults"
        for words in ("1 fault in car/day", "runs.csv, line 3", "drag [N]", "about 1162", "last good state"):
            assert words in ui.text
        assert ui.state.assessment is figures
        await ui.press("escape")
        assert ui.screen == "Home"
        assert "1 fault in the files now · shown is the last good state · r reads again" in ui.text
        await ui.press("r")
        assert ui.screen == "Faults"
        await ui.press("r")
        assert ui.screen == "Faults"
        assert [type(one).__name__ for one in ui.app.screen_stack] == ["Home", "Faults"]


async def test_a_mended_edit_comes_back_by_itself(running, desk):
    async with running(desk.session) as ui:
        desk.write(runs="nothing\n")
        await ui.look_for_changes()
        await ui.press("question_mark")
        desk.write(runs=desk.runs)
        await ui.look_for_changes()
        assert ui.screen == "Home"
        assert ui.state.faults == ()
        assert "faults" not in ui.text
        assert isinstance(ui.app.focused, LineTable)


@pytest.mark.parametrize("name", ["session.toml", "runs.csv", "../vehicle.toml"])
async def test_a_file_taken_away_is_a_fault_and_its_return_mends_it(running, desk, name):
    file = desk.session / name
    async with running(desk.session) as ui:
        kept = file.read_text(encoding="utf-8")
        file.unlink()
        await ui.look_for_changes()
        assert ui.screen == "Faults"
        assert ui.state.assessment is not None
        file.write_text(kept, encoding="utf-8")
        await ui.look_for_changes()
        assert ui.screen == "Home"


async def test_the_whole_folder_taken_away_is_a_fault(running, desk):
    async with running(desk.session) as ui:
        shutil.rmtree(desk.session)
        await ui.look_for_changes()
        assert ui.screen == "Faults"
        await ui.press("escape")
        assert "last good state" in ui.text


async def test_a_session_faulty_from_the_start_opens_once_mended(running, desk):
    desk.write(vehicle=desk.vehicle.replace("1290 kg", "1290"))
    async with running(desk.session) as ui:
        assert ui.screen == "Faults"
        assert "without a unit" in ui.text
        desk.write(vehicle=desk.vehicle)
        await ui.look_for_changes()
        assert ui.screen == "Home"
        assert "Larkspur coupe" in ui.text


async def test_leaving_the_faults_of_a_first_session_offers_another(running, desk):
    desk.write(runs="nothing\n")
    async with running(desk.session) as ui:
        await ui.press("escape")
        assert ui.screen == "Chooser"


async def test_faults_of_another_session_leave_the_one_that_is_open(running, demo, desk):
    desk.write(runs="nothing\n")
    async with running(demo) as ui:
        await ui.press("o", "f4")
        ui.find(Input).value = str(desk.session)
        await ui.press("enter")
        assert ui.screen == "Faults"
        assert "This day has not been shown yet" in ui.text
        await ui.press("r")
        assert "in car/day" in ui.text
        await ui.press("escape")
        assert ui.screen == "Home"
        assert ui.state.path == str(demo)
        assert ui.state.faults == ()
        runs = demo / "runs.csv"
        runs.write_text(
            runs.read_text("utf-8").replace("splitter and wing", "race package"), encoding="utf-8"
        )
        await ui.look_for_changes()
        assert "race package" in ui.text


@pytest.mark.parametrize(
    "content",
    [
        "",
        "[]",
        '{"recent": [{"path": 3}], "units": 7, "theme": 1}',
        '{"recent": [{"path": "DAY", "title": 5}]}',
        '{"recent": [{"path": "DAY", "opened": Infinity}]}',
        '{"recent": [{"path": "DAY", "speed": NaN}]}',
        '{"recent": {"path": "DAY"}, "theme": "no such theme"}',
        "\x00",
    ],
)
async def test_an_unreadable_memory_is_forgotten(running, demo, place_of_its_own, content):
    file = place_of_its_own / "state" / "axletrim" / "remembered.json"
    file.parent.mkdir(parents=True)
    file.write_text(content.replace("DAY", str(demo)), encoding="utf-8")
    async with running() as ui:
        assert ui.screen == "Chooser"
        assert "Winter" not in ui.text
        assert ui.app.theme == "axletrim-dark"


async def test_a_memory_that_cannot_be_written_stops_nothing(running, demo, place_of_its_own):
    (place_of_its_own / "state").write_text("a file where the folder should be", encoding="utf-8")
    async with running(demo) as ui:
        await ui.press("u")
        assert ui.state.units == "us"
