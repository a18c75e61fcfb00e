"""What tufts did, beside the curve of the setting on its page."""

import pytest

from tests.cooled_day import RUNS, SESSION

named = pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")


@pytest.fixture
def tufted(desk):
    desk.replace(session=SESSION, runs=RUNS)
    return desk.session


async def test_the_page_of_the_curve_says_what_was_seen_at_each_setting(running, tufted):
    async with running(tufted, size=(120, 60)) as ui:
        await ui.press("4")
        assert ui.screen == "Wing"
        assert "Seen: tufts attached at 4 to 8°, lifting at the ends at 12°" in ui.text
        assert "tufts, seen and in no decision: attached at 4 to 8°, lifting at the ends at 12°" in ui.text


@named
def test_pictures(opened, tufted, size):
    assert opened(tufted, size, "4")
