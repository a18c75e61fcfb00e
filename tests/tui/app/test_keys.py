"""Keys pressed faster than screens open: each acts in its turn, and none goes to the screen below."""

import pytest
from textual.events import Key, Paste
from textual.keys import _character_to_key


async def burst(ui, text):
    """Press all the keys of a text before any of them is looked at."""
    for character in text:
        key = {"\r": "enter"}.get(character) or _character_to_key(character)
        ui.app.post_message(Key(key, character))
    await ui.settle()


@pytest.mark.parametrize("line", ["-96 -214 1150", "84 260 1150 wing 4 flap 10", "rqdmnv"])
async def test_a_line_typed_in_one_breath_with_the_key_that_opens_it(running, demo, line):
    async with running(demo) as ui:
        await burst(ui, f"a{line}")
        assert ui.screen == "Entry"
        assert ui.find("#line").value == line


async def test_words_of_the_filter_typed_in_one_breath(running, demo):
    async with running(demo) as ui:
        await burst(ui, "/wing")
        assert ui.find("#filter").value == "wing"
        assert ui.screen == "Home"
        assert ui.state.wanted == "wing"


async def test_a_menu_its_choice_and_the_reason_typed_in_one_breath(running, desk):
    async with running(desk.session) as ui:
        await burst(ui, "m1s" + "tufts loose\r")  # the row stands for two readings: the first of them
        assert ui.screen == "Home"
        written = (desk.session / "runs.csv").read_text(encoding="utf-8")
        assert "suspect" in written
        assert "tufts loose" in written


async def test_fields_of_a_form_filled_in_one_breath_each_gets_its_own(running):
    async with running() as ui:
        await ui.press("f3")
        await burst(ui, "Larkspur\r\r1290 kg\r54.2 %\r2575 mm\r480 mm\r")
        typed = {"mass.total": "1290 kg", "mass.front_share": "54.2 %", "size.wheelbase": "2575 mm"}
        assert {key: ui.field(key).value for key in typed} == typed
        assert ui.field("mass.cg_height").value == "480 mm"


async def test_a_run_saved_and_the_next_one_typed_in_one_breath(running, desk):
    async with running(desk.session) as ui:
        await burst(ui, "a121 -478 1231 repeat\r83 262 1153 configuration base\r")
        rows = (desk.session / "runs.csv").read_text(encoding="utf-8").splitlines()[-2:]
        assert [row.split(",")[:5] for row in rows] == [
            ["5", "wing", "121", "-478", "1231"],
            ["6", "base", "83", "262", "1153"],
        ]


async def test_a_doubted_run_and_two_enters_in_one_breath_save_nothing_that_was_not_seen(running, desk):
    async with running(desk.session) as ui:
        await burst(ui, "a82 261 1151 repeat\r\r\r")
        assert "Run 5 is not saved yet" in ui.text
        await burst(ui, "\r")
        rows = (desk.session / "runs.csv").read_text(encoding="utf-8").splitlines()
        assert rows[-1] == "5,wing,82,261,1151"
        assert len(rows) == 6


async def test_what_is_pasted_in_one_breath_with_the_key_that_opens_the_field(running, demo):
    async with running(demo) as ui:
        ui.app.post_message(Key("a", "a"))
        ui.app.post_message(Paste("-96 -214 1150"))
        await ui.settle()
        assert ui.find("#line").value == "-96 -214 1150"


async def test_a_menu_opened_right_after_a_move_is_of_the_row_moved_to(running, demo):
    async with running(demo) as ui:
        ui.app.post_message(Key("down", None))
        await burst(ui, "d")
        assert ui.screen == "Detail"
        assert "Run 2" in ui.text or "Run 3" in ui.text


async def test_keys_for_a_screen_below_do_nothing_to_it(running, demo):
    async with running(demo) as ui:
        before = ui.state
        await burst(ui, "?ad+f")
        assert ui.screen == "Help"
        assert ui.state is before


@pytest.mark.parametrize("pages", ["52525232", "5642312", "3265423", "1521B2"])
async def test_pages_may_be_turned_faster_than_they_are_drawn(running, demo, pages):
    async with running(demo) as ui:
        await burst(ui, pages)
        assert ui.app._exception is None
        assert ui.screen == {"2": "Parts", "3": "Scatter"}[pages[-1]]


async def test_work_that_is_asked_for_on_a_screen_that_is_left_at_once_is_done(running, demo):
    """What a screen was to call after its next drawing is lost with it; the work of the application is not."""
    from textual.screen import Screen

    from tui.host.workers import Latest

    class NeverDrawn(Screen):
        async def _invoke_and_clear_callbacks(self):
            """Leave what is to be called after drawing, as a screen does that is left before."""

    async with running(demo) as ui:
        found, left = [], NeverDrawn()
        await ui.app.push_screen(left)
        Latest(ui.app, found.append).ask(lambda: "found")
        await ui.until(lambda: left._callbacks)
        ui.app.pop_screen()
        await ui.until(lambda: found == ["found"])
        await ui.settle()
