"""The footer: a click is the key that was clicked, and where there is no room whole keys are left out."""

import pytest

from tui.widgets.key_footer import KeyFooter


def column_of(ui, words):
    return ui.lines[-1].index(words)


@pytest.mark.parametrize("size", [(100, 30), (120, 40)])
async def test_a_click_acts_as_the_key_does(running, demo, size):
    async with running(demo, size=size) as ui:
        for words, screen in (("detail", "Detail"), ("n notes", "Notes"), ("? help", "Help")):
            await ui.pilot.click(KeyFooter, offset=(column_of(ui, words), 0))
            await ui.settle()
            assert ui.screen == screen
            await ui.press("escape")
            assert ui.screen == "Home"


async def test_a_click_beside_the_keys_does_nothing(running, demo):
    async with running(demo, size=(160, 50)) as ui:
        await ui.pilot.click(KeyFooter, offset=(column_of(ui, "? help") - 1, 0))
        await ui.settle()
        assert ui.screen == "Home"


@pytest.mark.parametrize("width", [60, 70, 80])
async def test_keys_without_room_are_left_out_whole_and_pages_and_help_stay(running, demo, width):
    async with running(demo, size=(width, 24)) as ui:
        last = ui.lines[-1].rstrip()
        assert " pages" in last
        assert last.endswith("? help")
        keys = [binding for _, binding, *_ in ui.app.screen.active_bindings.values() if binding.show]
        words = {one.description for one in keys if one.group is None} | {"pages", "speed"}
        shown = [word for word in last.split() if len(word) > 1 and word.isalpha()]
        assert {*shown} <= words
        assert "add" in shown
