"""The page of joined days driven by keys: a day joins, what it is tied by, and what refuses it."""

import pytest

from tests.small_session import SESSION, VEHICLE

HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N],wing [deg]\n"
MONDAY = f"{HEAD}1,base,80,260,1150,\n2,wing,100,-240,1200,5\n3,base,84,256,1152,\n"
THURSDAY = f"{HEAD}1,base,95,280,1170,\n2,lip,60,280,1175,\n3,base,91,276,1168,\n"


@pytest.fixture
def days(tmp_path):
    """Two days of one car in one named facility, and one that nothing ties; the folder of the car."""
    (tmp_path / "vehicle.toml").write_text(VEHICLE, encoding="utf-8")
    for name, runs in (("friday", f"{HEAD}1,lip,60,280,1175,\n"), ("monday", MONDAY), ("thursday", THURSDAY)):
        folder = tmp_path / name
        folder.mkdir()
        text = SESSION.replace("Spring tunnel day (invented)", f"{name} (invented)")
        (folder / "session.toml").write_text(
            text.replace("[facility]\n", '[facility]\nname = "North tunnel"\n'), encoding="utf-8"
        )
        (folder / "runs.csv").write_text(runs, encoding="utf-8")
    return tmp_path


async def test_a_day_joins_and_parts_are_compared_across(running, days):
    async with running(days / "monday") as ui:
        await ui.press("J")
        assert ui.screen == "Pick"
        await ui.press("down", "enter")
        assert ui.screen == "JoinedPage"
        await ui.until(lambda: "Every configuration against base" in ui.text)
        assert "A: monday (invented)" in ui.text
        assert "B: thursday (invented)" in ui.text
        assert "Tied by base (A 1, 3 · B 1, 3)" in ui.text
        await ui.press("a")
        await ui.press("3")
        await ui.until(lambda: "Every configuration against lip (B 2)" in ui.text)
        assert "over days" in ui.text
        await ui.press("u")
        await ui.until(lambda: "lbf" in ui.text)
        await ui.press("escape")
        assert ui.screen == "Home"


async def test_what_nothing_ties_is_refused_in_words_and_taken_off_again(running, days):
    async with running(days / "monday") as ui:
        await ui.press("J", "enter")
        await ui.until(lambda: "found no configuration that was run on both" in ui.text)
        await ui.press("d", "enter")
        await ui.until(lambda: "d joins another day of this car" in ui.text)
        await ui.press("a")
        assert ui.screen == "JoinedPage"


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_picture(opened, days, size):
    assert opened(days / "monday", size, "J", "down", "enter")
