"""Entering and correcting runs by keys: what stands on the screen, in the state, and in the file."""

from textual import events
from textual.widgets import Input

from tui.features.entry.entry import Correct, Entry


def last_row(session):
    return (session / "runs.csv").read_text(encoding="utf-8").splitlines()[-1]


def said(ui):
    """What stands beside the fields, as words with single spaces."""
    return " ".join(str(ui.find("#preview Static").content).split())


async def looked(ui):
    """Wait until what is typed was looked at."""
    while ui.app.screen.looked_at is not ui.app.screen.typing:
        await ui.pilot.pause(0.02)
    await ui.settle()


async def line(ui, words, *keys):
    """Put words into the line at once, then press keys."""
    await ui.type_line(words)
    await ui.press(*keys)


async def test_one_line_enters_a_run_and_says_what_it_did(running, demo):
    async with running(demo) as ui:
        await ui.press("a")
        assert isinstance(ui.app.screen, Entry)
        assert "B R I N D L O W H A T C H" in ui.text
        assert "front_lift [N] rear_lift [N] drag [N], then what was changed" in ui.text
        await ui.type("-96 -214 1150 wing 4 flap 10")
        await looked(ui)
        assert "Run 25, from run 24" in said(ui)
        assert "wing_angle: off → 4°" in said(ui)
        assert "empty, though run 24 has them: speed, temperature" in said(ui)
        await ui.press("enter", "enter")  # it is doubted
        assert last_row(demo) == "25,,as delivered,,,4,10,,,,,,,-96,-214,1150,,,,"
        assert ui.state.picked == "25"
        assert ui.state.work.undo == "run 25 added"
        for words in (
            "Run 25 entered",
            "▲ More understeer than in slow corners from 166 km/h",
            "no baseline stated: compared with run 24, from which it was typed",
            "Change: run 25 against",
            "of downforce",
            "Repeatability one reading at 160 km/h: sd front",
        ):
            assert words in said(ui)
        assert ui.find("#line").value == ""
        await line(ui, "-97 -215 1151 repeat", "enter", "enter", "escape")
        assert last_row(demo).startswith("26,,as delivered,,,4,10,")
        assert ui.screen == "Home"
        assert ui.state.run.label == "25"  # the repeats are folded into their first


async def test_what_is_typed_in_one_breath_with_the_key_reaches_the_line(running, demo):
    async with running(demo) as ui:
        for key in ("a", "-", "9", "2", "q"):
            ui.app.post_message(_key(key))
        await ui.settle()
        await ui.settle()
        assert isinstance(ui.app.screen, Entry)
        assert ui.find("#line").value == "-92q"


def _key(character):
    return events.Key("minus" if character == "-" else character, character)


ASKED = "Run 25 is not saved yet Enter again saves it · Esc goes back to the field"


async def test_a_doubted_run_is_asked_about_and_saved_by_a_second_enter(running, demo):
    async with running(demo) as ui:
        before = (demo / "runs.csv").read_bytes()
        await ui.press("a")
        await line(ui, "-96 -2140 1150 wing 4")
        assert "! run 25: rear of 2140 N" in said(ui)
        await ui.press("enter")
        assert said(ui).startswith(ASKED)
        assert "! run 25: rear of 2140 N" in said(ui)
        assert (demo / "runs.csv").read_bytes() == before
        assert ui.find("#line").value == "-96 -2140 1150 wing 4"
        await ui.press("enter")
        assert last_row(demo).startswith("25,")


async def test_enter_right_behind_a_doubtful_line_is_not_quicker_than_the_doubt(running, demo):
    async with running(demo) as ui:
        before = (demo / "runs.csv").read_bytes()
        await ui.press("a")
        ui.find("#line").value = "-96 -2140 1150 wing 4"
        for _ in range(3):  # before anything was looked at
            ui.app.post_message(events.Key("enter", "\r"))
        await ui.settle()
        assert said(ui).startswith(ASKED)
        assert (demo / "runs.csv").read_bytes() == before


async def test_whatever_is_changed_of_a_doubted_run_it_is_asked_about_anew(running, demo):
    async with running(demo) as ui:
        before = (demo / "runs.csv").read_bytes()
        await ui.press("a")
        await line(ui, "-96 -2140 1150 wing 4", "enter")
        await line(ui, "-96 -2150 1150 wing 4", "enter")
        assert said(ui).startswith(ASKED)
        assert "rear of 2150 N" in said(ui)
        await ui.fill(rear_lift="-2160")  # a field
        assert ASKED not in said(ui)
        await ui.press("f10")
        assert said(ui).startswith(ASKED)
        await ui.press("tab")  # nothing is changed, but Enter in another field may be meant to go on
        assert ASKED not in said(ui)
        await ui.press("f10")
        assert (demo / "runs.csv").read_bytes() == before
        await ui.press("enter")  # in a field that others follow
        assert last_row(demo).startswith("25,")
        assert "-2160,1150" in last_row(demo)


async def test_esc_leads_from_the_doubt_back_to_the_field_and_then_to_the_runs(running, demo):
    async with running(demo) as ui:
        before = (demo / "runs.csv").read_bytes()
        await ui.press("a")
        await line(ui, "-96 -2140 1150 wing 4", "enter", "escape")
        assert ui.screen == "Entry"
        assert ui.app.focused is ui.find("#line")
        assert said(ui).startswith("Run 25, from run 24")
        await ui.press("enter")
        assert said(ui).startswith(ASKED)
        await ui.press("escape", "escape")
        assert ui.screen == "Home"
        assert "a run is half typed: a goes on with it" in ui.text
    assert (demo / "runs.csv").read_bytes() == before


async def test_a_run_that_nothing_speaks_against_is_saved_by_one_enter_and_the_next_is_typed_on(
    running, demo
):
    async with running(demo) as ui:
        await ui.press("a")
        ui.find("#line").value = "97 285 1155 repeat"
        await ui.pilot.press(
            "enter", "9", "8"
        )  # the next run is begun before it is known whether one is doubted
        await ui.settle()
        assert last_row(demo).startswith("25,")
        assert ui.find("#line").value == "98"


async def test_a_correction_that_makes_a_run_doubtful_is_asked_about(running, demo):
    async with running(demo) as ui:
        before = (demo / "runs.csv").read_bytes()
        await ui.press("a", "f4")
        await line(ui, "rear_lift -2870", "enter")
        assert said(ui).startswith("Run 24 is not saved yet Enter again saves it")
        assert (demo / "runs.csv").read_bytes() == before
        await ui.press("escape")
        assert isinstance(ui.app.screen, Correct)
        await ui.press("f10", "f10")
        assert "-2870" in last_row(demo)


async def test_what_stands_in_the_way_is_said_and_nothing_is_lost(running, demo):
    async with running(demo) as ui:
        before = (demo / "runs.csv").read_bytes()
        await ui.press("a")
        await line(ui, "-96 -214 1150 wig 4", "enter")
        assert "Not yet" in said(ui)
        assert "found 'wig', expected one of" in said(ui)
        assert ui.find("#line").value == "-96 -214 1150 wig 4"
        assert (demo / "runs.csv").read_bytes() == before


async def test_two_keys_say_what_was_changed(running, demo):
    async with running(demo) as ui:
        await ui.press("a")
        await line(ui, "-96 -214 1150", "f2")
        assert "What was changed since run 24?" in ui.text
        await ui.press("3")
        assert ui.find("#line").value == "-96 -214 1150 wing_angle "
        await ui.type("4")
        await line(ui, ui.find("#line").value, "f2", "7")
        assert "configuration:" in ui.text
        await ui.press("1")
        assert 'configuration "' in ui.find("#line").value
        await line(ui, "-96 -214 1150", "f2", "r", "enter", "enter")  # it is doubted
        assert last_row(demo).startswith("25,,as delivered,")


async def test_names_are_completed_from_those_in_use(running, demo):
    async with running(demo) as ui:
        await ui.press("a")
        await line(ui, '-96 -214 1150 configuration "splitter a', "right")
        assert ui.find("#line").value == '-96 -214 1150 configuration "splitter and wing"'
        await line(ui, "-96 -214 1150 fla", "right")
        assert ui.find("#line").value == "-96 -214 1150 flap_height"


async def test_fields_take_the_figures_in_the_units_of_the_session(running, demo):
    async with running(demo) as ui:
        await ui.press("a", "tab")
        assert isinstance(ui.app.focused, Input)
        await ui.type("-96")
        await ui.press("tab")
        await ui.type("-214")
        await ui.press("tab")
        await ui.type("1150")
        await ui.press("tab", "tab", "tab")
        await ui.type("4")
        await looked(ui)
        assert "wing_angle: off → 4°" in said(ui)
        here = ui.app.focused
        await ui.press("enter")
        assert ui.app.focused is not here  # Enter goes to the next field
        await ui.press("f10", "f10")  # it is doubted
        assert last_row(demo) == "25,,as delivered,,,4,,,,,,,,-96,-214,1150,,,,"


async def test_a_new_setting_gets_a_column_and_the_line_knows_it(running, desk):
    async with running(desk.session) as ui:
        await ui.press("a")
        await line(ui, "-96 -214 1150", "f6")
        ui.find("#text").value = "wing_angle"
        await ui.press("enter")
        assert ui.screen == "Entry"
        await ui.press("f6")
        ui.find("#text").value = "flap [mn]"
        await ui.press("enter")
        assert "×" in ui.text
        ui.find("#text").value = "flap [mm]"
        await ui.press("enter")
        await line(ui, "-96 -214 1150 flap 10", "enter", "enter")  # it is doubted
        assert last_row(desk.session) == "5,wing,-96,-214,1150,,10"


async def test_a_run_begins_a_new_block(running, desk):
    async with running(desk.session) as ui:
        await ui.press("a")
        await line(ui, "80 258 1149 repeat", "f7", "enter")
        await ui.press("enter", "enter")  # it is doubted
        assert last_row(desk.session).endswith(",80,258,1149,2")


async def test_a_half_typed_run_is_kept_and_gone_on_with(running, desk):
    async with running(desk.session) as ui:
        await ui.press("a")
        await line(ui, "-96 -2", "escape")
        assert "a run is half typed: a goes on with it" in ui.text
        await ui.press("a")
        assert ui.find("#line").value == "-96 -2"
        await ui.press("f8", "escape")
        assert "half typed" not in ui.text


async def test_leaving_with_a_half_typed_run_asks(running, desk):
    async with running(desk.session) as ui:
        await ui.press("a")
        ui.find("#line").value = "-96 -2"
        await ui.press("ctrl+q")
        assert "Leave with something unsaved?" in ui.text
        assert "-96 -2" in ui.text
        await ui.press("s")
        assert ui.screen == "Entry"
        await ui.press("ctrl+q", "l")
        assert not ui.app.is_running or ui.app._exit


async def test_a_run_is_corrected_in_place(running, desk):
    async with running(desk.session) as ui:
        await ui.press("end", "e")
        assert "Run 4 wing" in ui.text
        await ui.press("e")
        assert isinstance(ui.app.screen, Correct)
        await line(ui, 'note "tufts on" configuration "high wing"')
        assert "configuration: wing → high wing" in said(ui)
        await ui.press("tab")
        await ui.type("100")
        await ui.press("f10")
        assert ui.screen == "Home"
        assert last_row(desk.session) == "4,high wing,100,-480,1230,tufts on"
        assert ui.state.run.configuration == "high wing"


async def test_a_correction_left_changes_nothing(running, desk):
    before = (desk.session / "runs.csv").read_bytes()
    async with running(desk.session) as ui:
        await ui.press("E", "1")
        await line(ui, "configuration x", "escape")
        assert "Typed and not written: correcting run 1: configuration x." in ui.text
        await ui.press("g")
        assert ui.find("#line").value == "configuration x"
        await ui.press("escape", "d")
        assert ui.screen == "Home"
        assert not ui.state.work.half_typed
        await ui.press("E", "escape")
        assert ui.screen == "Home"
    assert (desk.session / "runs.csv").read_bytes() == before


async def test_a_run_starts_from_any_other(running, demo):
    async with running(demo) as ui:
        await ui.press("down", "down", "x")
        assert "Run 25, from run 4" in said(ui)
        await line(ui, "-380 300 1200 splitter 50", "enter")
        assert last_row(demo).startswith("25,,splitter,50,")


async def test_help_explains_the_screen_while_something_is_typed(running, demo):
    async with running(demo, size=(120, 60)) as ui:
        await ui.press("a", "f1")
        assert ui.screen == "Help"
        assert "pick the one thing that was changed, then type its figure" in ui.text
        await ui.press("escape")
        assert ui.screen == "Entry"


async def test_a_reading_is_corrected_by_its_name_and_what_is_taken_away_is_said_so(running, demo):
    async with running(demo) as ui:
        await ui.press("a", "f4")
        assert isinstance(ui.app.screen, Correct)
        assert "type what is to be corrected: drag 873" in ui.text
        await line(ui, 'front_lift 69 vents open wing 4 note ""')
        assert "front_lift: 96 → 69" in said(ui)
        assert "vents: off → open" in said(ui)
        assert "wing_angle: off → 4°" in said(ui)
        assert "note: everything off, car as at run 1 → nothing" in said(ui)
        await line(ui, "front_lift 69", "enter")
        assert last_row(demo).split(",")[13] == "69"


async def test_a_line_that_lacks_its_change_is_not_called_a_repeat(running, demo):
    async with running(demo) as ui:
        await ui.press("a")
        await line(ui, "96 287 1153")
        assert "write 'repeat' if the same was run again" in said(ui)
        assert "nothing changed" not in said(ui)
        await line(ui, "96 287 1153 repeat")
        assert "nothing changed against run 24: a repeat" in said(ui)


async def test_doubts_stand_in_the_units_that_are_typed(running, desk):
    desk.write(
        runs="run,configuration,front_lift [lbf],rear_lift [lbf],drag [lbf]\n1,base,-21,-48,196\n2,base,-22,-47,197\n"
    )
    async with running(desk.session) as ui:
        assert ui.state.units == "us"
        await ui.press("u")
        await ui.press("a")
        await line(ui, "-21 -48 1960 repeat")
        assert (
            "drag of 1960 lbf: the day's other runs have about 197 lbf; a digit too many or too few?"
            in said(ui)
        )
        assert "usual is 3.23 to 21.53 ft²" in said(
            ui
        )  # 0.3 and 2 m^2, times 10.7639 ft^2 a m^2 (NIST SP 811)


async def test_a_name_one_slip_away_from_one_in_use_is_asked_about_and_taken_all_the_same(running, demo):
    async with running(demo) as ui:
        await ui.press("a")
        await line(ui, "-96 -214 1150 conf splitetr")
        assert "! configuration 'splitetr' is new: was 'splitter' meant, which is in use?" in said(ui)
        await line(ui, "-96 -214 1150 conf spoiler")
        assert "is new" not in said(ui)
        await line(ui, "-96 -214 1150 conf splitetr", "enter", "enter")  # its reading is doubted
        assert last_row(demo).startswith("25,,splitetr,")
