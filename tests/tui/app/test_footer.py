"""The footer as one widget: its keys act where they are clicked, say what they do, and move where they have no room."""

import pytest
from textual.events import MouseScrollDown, MouseScrollUp

from tui.widgets.key_footer import KeyFooter, SteadyFooter


def column_of(ui, words):
    return ui.lines[-1].index(words)


@pytest.mark.parametrize("size", [(100, 30), (120, 40)])
async def test_a_click_acts_as_the_key_does(running, demo, size):
    async with running(demo, size=size) as ui:
        for words, screen in (("detail", "Detail"), ("2345", "Parts"), ("? help", "Help")):
            await ui.pilot.click(KeyFooter, offset=(column_of(ui, words), 0))
            await ui.settle()
            assert ui.screen == screen
            await ui.press("escape")
            assert ui.screen == "Home"


async def test_a_click_beside_the_keys_does_nothing(running, demo):
    async with running(demo, size=(160, 50)) as ui:
        await ui.pilot.click(KeyFooter, offset=(column_of(ui, "▏") - 1, 0))
        await ui.settle()
        assert ui.screen == "Home"


async def test_a_key_pointed_at_says_what_it_does(running, demo):
    async with running(demo, size=(120, 40)) as ui:
        footer = ui.find(KeyFooter)
        await ui.pilot.hover(KeyFooter, offset=(column_of(ui, "notes"), 0))
        assert footer.pointed == "n"
        assert "assumed" in str(footer.tooltip)
        await ui.pilot.hover("#runs", offset=(5, 3))
        assert footer.pointed == ""


async def test_keys_without_room_come_by_the_wheel(running, demo):
    async with running(demo, size=(60, 24)) as ui:
        footer, before = ui.find(KeyFooter), ui.lines[-1]
        assert "units" not in before
        turn = (footer, 0, 0, 0, 1, 0, False, False, False)
        for _ in range(12):
            footer.post_message(MouseScrollDown(*turn))
        await ui.settle()
        assert "u units" in ui.lines[-1]
        assert "? help" in ui.lines[-1]
        for _ in range(12):
            footer.post_message(MouseScrollUp(*turn))
        await ui.settle()
        assert ui.lines[-1] == before


async def test_a_sheet_shows_the_key_of_the_palette(running, demo):
    async with running(demo, size=(100, 30)) as ui:
        await ui.press("d")
        assert "▏^p palette" in ui.lines[-1]
        await ui.pilot.click(SteadyFooter, offset=(column_of(ui, "palette"), 0))
        await ui.settle()
        assert ui.screen == "CommandPalette"
