"""The page of two configurations: what it opens on, how others are picked, and that nothing dangerous is cut."""

import pytest

from balance.decide.parts.two_configurations import compare_two
from balance.tell.report.side_by_side import two_sides
from balance.tell.words import CAUTION_LINE

SIZES = [(80, 24), (120, 40), (160, 50)]
named = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
ONE = "run,configuration,splitter [mm],front_lift [N],rear_lift [N],drag [N]\n1,base,,60,90,1150\n"


@named
@pytest.mark.parametrize("theme", ["axletrim-dark", "axletrim-sunlight"])
def test_picture(opened, demo, size, theme):
    assert opened(demo, size, "6", theme=theme)


async def test_it_opens_on_the_recommendation_against_the_start(running, demo):
    """The demo's report.toml names run 15; the car as delivered is what the day began with."""
    async with running(demo, size=(120, 40)) as ui:
        await ui.press("6")
        assert ui.screen == "Compare"
        for words in (
            "B R I N D L O W",
            "2026-02-17 · fixed floor · at 148 km/h",
            "splitter none, wing none",
            "splitter 60 mm, wing 5°",
            "mean of runs 15, 17",
            "right: recommended",
            "rear 5.3 % LIFT",
        ):
            assert words in ui.text
        parts, row = compare_two(ui.state.day, "1", "15", speed=ui.state.speed)
        two = two_sides(parts, row, ui.state.show)
        assert two.sentence in ui.text
        await ui.press("u")
        assert "at 92 mph" in ui.text
        await ui.press("escape")
        assert ui.screen == "Home"


async def test_without_a_recommendation_it_opens_on_the_choice_of_the_day(running, demo):
    (demo / "report.toml").unlink()
    async with running(demo, size=(120, 40)) as ui:
        await ui.press("6")
        assert "right: chosen by rule: no recommendation is written" in ui.text


async def test_another_recommendation_is_followed(running, demo):
    brief = demo / "report.toml"
    text = brief.read_text("utf-8")
    assert '\nrecommendation = "15"' in text
    brief.write_text(text.replace('\nrecommendation = "15"', '\nrecommendation = "16"'), encoding="utf-8")
    async with running(demo, size=(120, 40)) as ui:
        await ui.press("6")
        assert "splitter 60 mm, wing 8°" in ui.text


@named
async def test_any_two_can_be_picked(running, demo, size):
    async with running(demo, size=size) as ui:
        await ui.press("6", "f2")
        assert "Which configuration stands on the left?" in ui.text
        await ui.press("down", "enter")
        assert ui.state.two == ("3", "15")
        assert "splitter 40 mm, wing none" in ui.text
        await ui.press("right")
        assert ui.state.two == ("3", "16")
        await ui.press("left")
        assert ui.state.two == ("3", "15")
        await ui.press("enter", "enter")
        assert ui.state.two == ("3", "1")
        assert "splitter 40 mm" in ui.text
        assert "splitter none" in ui.text
        await ui.press("1", "6")
        assert ui.state.two == ("3", "1")


@named
async def test_verdicts_and_cautions_are_whole(running, demo, size):
    async with running(demo, size=size) as ui:
        await ui.press("6")
        left = " ".join(" ".join(line[: size[0] // 2].strip("│ ") for line in ui.lines).split())
        assert "MORE OVERSTEER than in slow corners from 95 km/h (90 to 100): dangerous" in left
        assert CAUTION_LINE in ui.text


async def test_what_both_have_is_said(running, demo):
    async with running(demo, size=(120, 40)) as ui:
        await ui.press("6", "f2", "3")
        assert ui.state.two == ("4", "15")
        assert "wing none" in ui.text
        assert "On both: splitter 60 mm." in ui.text


async def test_a_day_of_one_configuration_says_so(running, desk):
    desk.write(runs=ONE)
    async with running(desk.session) as ui:
        await ui.press("6")
        assert "one configuration: nothing to compare" in ui.text
        await ui.press("b", "enter", "right")
        assert ui.screen == "Compare"


async def test_a_pair_whose_run_is_gone_gives_way(running, demo):
    async with running(demo) as ui:
        await ui.press("6", "enter", "8")
        gone = ui.state.two[1]
        text = (demo / "runs.csv").read_text("utf-8").splitlines(keepends=True)
        kept = [line for line in text if not line.startswith(f"{gone},")]
        (demo / "runs.csv").write_text("".join(kept), encoding="utf-8")
        await ui.look_for_changes()
        assert ui.state.two is None
        assert "splitter 60 mm, wing 5°" in ui.text
