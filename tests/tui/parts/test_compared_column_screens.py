"""A compared column among the parts, on the page of repeatability and in a part's detail, driven by keys."""

import pytest

from tests.cooled_day import COMPARED, RUNS, SESSION

named = pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")


@pytest.fixture
def cooled(desk):
    desk.replace(session=SESSION + COMPARED, runs=RUNS)
    return desk.session


async def pick_louvres(ui):
    await ui.press("2", "end")
    assert ui.state.parts.picked == "2"


async def test_the_column_stands_beside_the_forces_in_its_own_unit(running, cooled):
    async with running(cooled) as ui:
        await pick_louvres(ui)
        assert [one.column.name for one in ui.state.parts.figures.columns] == ["radiator_pressure_drop"]
        titles = next(line for line in ui.lines if "what differs" in line)
        assert titles.index("drag") < titles.index("radiator")
        louvres = next(line for line in ui.lines if "louvres open" in line and "±" in line)
        assert "+18 ±8" in louvres
        # 431 less the mean of 412, 415, 411, and its interval by hand: tests/properties/parts/test_column_increments.py
        assert "Radiator pressure drop: +18 Pa (11 to 26), significant." in ui.text


async def test_on_a_narrow_screen_the_column_gives_way_and_the_card_says_it(running, cooled):
    async with running(cooled, size=(80, 24)) as ui:
        await pick_louvres(ui)
        titles = next(line for line in ui.lines if "what differs" in line)
        assert "radiator" not in titles
        assert "Radiator pressure drop: +18 Pa" in ui.text


async def test_the_detail_tells_how_it_was_compared(running, cooled):
    async with running(cooled, size=(120, 60)) as ui:
        await pick_louvres(ui)
        await ui.press("enter")
        assert ui.screen == "Part"
        for words in (
            "Changes of what else is compared, run less baseline",
            "radiator pressure drop +18 Pa 11 to 26 significant 10",
            "as read at 160 km/h; one value, sd 2 Pa (repeats); it enters no balance.",
            "Radiator pressure drop: no value in run 6, left out of its changes.",
        ):
            assert words in ui.text


async def test_the_repeatability_goes_through_the_column_as_well(running, cooled):
    async with running(cooled, size=(120, 60)) as ui:
        await ui.press("3", "c", "c", "c", "c")
        assert "radiator pressure drop: repeats less their mean" in ui.text
        assert "one reading, 95 %: ± 6.7 Pa" in ui.text  # 3.182 times 2.095 Pa, as above
        await ui.press("c")
        assert "total downforce: repeats less their mean" in ui.text


@named
@pytest.mark.parametrize(
    "keys", [("2", "end"), ("2", "end", "enter"), ("3", "c", "c", "c", "c")], ids="_".join
)
def test_pictures(opened, cooled, size, keys):
    assert opened(cooled, size, *keys)
