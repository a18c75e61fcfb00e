"""The customer's track driven by keys: configurations, parts and packages by seconds, what is missing, and its picture."""

import re

import numpy as np
import pytest

from balance.decide.laps.day_laps import fastest_in_balance
from balance.files.formats.track import save_track
from balance.model.tracks import TrackPlace, track_of_segments

LENGTHS = (300.0, 60.0, 200.0, 90.0, 500.0, 120.0, 150.0, 70.0, 400.0, 157.0)
TURNS = (0.0, 1 / 40, 0.0, 1 / 60, 0.0, 1 / 90, 0.0, -1 / 30, 0.0, 1 / 50)
"""Lengths [m] and curvature [1/m] of an invented loop; elementary, no source."""
SIZES = [(80, 24), (100, 30), (120, 40)]
THEMES = ["axletrim-dark", "axletrim-sunlight"]
sized = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
themed = pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.removeprefix("axletrim-"))


def lay(car, name, turns=TURNS, **figures):
    """Lay out a track of a car, in place of those that it has."""
    track = track_of_segments(
        name.replace("_", " "),
        LENGTHS,
        turns,
        places=(TrackPlace(name="hairpin", distance=330.0),),
        **figures,
    )
    save_track(track, car / "tracks" / name)


@pytest.fixture
def day(demo):
    """The invented tunnel day, of whose car one invented loop is the only track."""
    for file in sorted((demo.parent / "tracks").glob("*/*")):
        file.unlink()
    lay(demo.parent, "short_loop")
    return demo


def laps_of(ui):
    return ui.state.track.figures.laps


async def test_it_opens_on_the_fastest_in_balance_and_says_what_a_lap_is_not(running, day):
    async with running(day) as ui:
        await ui.press("9")
        assert ui.screen == "Track"
        figures = ui.state.track.figures
        best = fastest_in_balance(figures.laps, figures.ranges)
        assert figures.order[0] == ui.state.track.position == best
        for words in (
            "short loop", "2,047 m", "simulated; differences are surer than the lap", "Fastest in balance",
            "1f hairpin", "minus faster", "with friction", "pays for", "no driver, no tyre heat",
            "oversteer is the dangerous side", "in balance",
        ):  # fmt: skip
            assert words in ui.text
        await ui.press("escape")
        assert ui.screen == "Home"


async def test_what_is_faster_and_not_in_balance_is_never_first(running, day):
    async with running(day) as ui:
        await ui.press("9")
        figures, laps = ui.state.track.figures, laps_of(ui)
        order = figures.order
        assert sorted(order) == list(range(len(laps.rows)))
        assert np.argmin(laps.lap.time) != order[0]  # on this day the least lap time is that of another
        dangerous = [figures.ranges[laps.rows[k]].dangerous for k in order]
        assert not any(dangerous[: len(order) - sum(dangerous)])


async def test_moving_shows_the_corners_of_the_configuration_and_enter_its_lap(running, day):
    async with running(day) as ui:
        await ui.press("9")
        first = ui.text
        await ui.press("down", "down")
        view = ui.state.track
        assert view.position == view.figures.order[2]
        assert view.of_picked.position == view.position
        assert ui.text != first
        await ui.press("enter")
        assert ui.screen == "LapSheet"
        for words in ("Corners", "Straights", "to 1 hairpin", "no air", "Assumed:", "no kerbs"):
            assert words in ui.text
        await ui.press("escape")
        assert ui.screen == "Track"
        assert ui.state.track.picked == 2


async def test_the_sheet_of_a_lap_says_what_a_degree_is_worth(running, day):
    async with running(day) as ui:
        await ui.press("9")
        assert ui.state.track.of_picked.steps
        await ui.press("enter")
        assert "1° more" in ui.text
        assert "1° less" in ui.text


async def test_the_lists_go_through_parts_and_prices(running, day):
    async with running(day, size=(80, 24)) as ui:
        await ui.press("9")
        assert "configuration" in ui.text
        await ui.press("f2")
        assert "What each part is worth" in ui.text
        await ui.press("f2")
        packages = ui.state.track.prices.packages
        assert f"{len(packages.front)} of {packages.permitted} packages" in ui.text
        assert "EUR" in ui.text
        assert "not offered" in ui.text
        await ui.press("f2")
        assert ui.state.track.listed == "configurations"


async def test_a_car_without_prices_says_where_they_are_stated(running, day):
    file = day.parent / "vehicle.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.partition("[[prices]]")[0], encoding="utf-8")
    async with running(day) as ui:
        await ui.press("9", "f2")
        assert "No prices: state them under [[prices]]" in ui.text


async def test_a_key_turns_to_the_next_track(running, day):
    async with running(day) as ui:
        await ui.press("9", "f3")
        assert "the car has no other track" in ui.text
        lay(day.parent, "wide_loop", tuple(0.5 * turn for turn in TURNS))
        await ui.until(lambda: len(ui.state.track.figures.wanted.folders) == 2, ui.pilot.pause)
        before = laps_of(ui)
        await ui.press("f3")
        assert ui.state.track.folder.name == "wide_loop"
        assert laps_of(ui) is not before
        assert "wide loop" in ui.text
        await ui.press("f3")
        assert "short loop" in ui.text


async def test_units_change_and_the_page_is_copied(running, day):
    async with running(day) as ui:
        await ui.press("9", "u")
        assert "ft" in ui.text
        assert "mph" in ui.text
        await ui.press("y")
        assert "laps copied as text" in ui.text


async def test_without_a_track_it_says_how_one_is_made(running, day):
    for file in (day.parent / "tracks" / "short_loop").iterdir():
        file.unlink()
    async with running(day) as ui:
        await ui.press("9")
        assert "has no track yet" in ui.text
        assert "axletrim new track" in ui.text
        assert "axletrim track import LOG" in ui.text
        await ui.press("enter", "f2", "f3", "y", "d")  # nothing there to be shown, turned or copied
        assert ui.screen == "Track"
        lay(day.parent, "late_loop")
        await ui.until(lambda: ui.state.track.figures.laps is not None, ui.pilot.pause)
        await ui.settle()
        assert "late loop" in ui.text


async def test_without_friction_or_power_it_says_which_key_to_add(running, day):
    file = day.parent / "vehicle.toml"
    text = file.read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith(("friction", "power"))]
    file.write_text("\n".join(kept), encoding="utf-8")
    async with running(day) as ui:
        await ui.press("9")
        assert "[tyres] friction" in ui.text
        assert "[drive] power" in ui.text
        assert "axletrim track fit" in ui.text


async def test_a_corner_that_cannot_be_taken_is_named(running, day):
    file = day.parent / "vehicle.toml"
    stated = re.sub(r"(?m)^friction = .*", 'friction = "0.7 ± 0.05"', file.read_text(encoding="utf-8"))
    file.write_text(stated, encoding="utf-8")
    line = day.parent / "tracks" / "short_loop" / "line.csv"
    text = line.read_text(encoding="utf-8").splitlines()
    head = next(k for k, row in enumerate(text) if row.startswith("length"))
    rows = [f"{row},{'-44' if k == head + 2 else '0'}" for k, row in enumerate(text[head + 1 :], head + 1)]
    line.write_text("\n".join([f"{text[head]},bank [deg]", *rows]) + "\n", encoding="utf-8")
    async with running(day) as ui:
        await ui.press("9")
        assert "cannot take corner 1 hairpin" in ui.text
        assert "bank" in ui.text


async def test_a_fault_in_the_track_is_told_and_mended_while_it_is_looked_at(running, day):
    file = day.parent / "tracks" / "short_loop" / "track.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("name =", "nam ="), encoding="utf-8")
    async with running(day) as ui:
        await ui.press("9")
        assert "×" in ui.text
        assert "track.toml" in ui.text
        file.write_text(text, encoding="utf-8")
        await ui.until(lambda: ui.state.track.figures.laps is not None, ui.pilot.pause)
        await ui.settle()
        assert "Fastest in balance" in ui.text


async def test_which_axle_limits_hangs_on_a_letter_as_well_as_on_colour(running, day):
    async with running(day) as ui:
        await ui.press("9")
        laps, position = laps_of(ui), ui.state.track.position
        for pace in laps.corners():
            assert (
                f"{pace.corner.number}{str(pace.limited_by[position])[0]}" in ui.text
            )  # f, r or p: the first letter
        assert "f front, r rear, p power" in ui.text


async def test_the_help_explains_the_page(running, day):
    async with running(day) as ui:
        await ui.press("9", "question_mark")
        assert "the next track of the car" in ui.text


@themed
@sized
def test_picture(opened, day, size, theme):
    assert opened(day, size, "9", theme=theme)


@sized
def test_picture_of_the_prices(opened, day, size):
    assert opened(day, size, "9", *["f2"] * (1 if size[0] >= 110 else 2))


def test_picture_of_the_lap(opened, day):
    assert opened(day, (100, 30), "9", "enter")


async def test_the_map_of_parts_has_the_line_above_which_a_part_is_worth_its_drag(running, day):
    from tui.widgets.chart import ChartView

    def lines(ui):
        return [one.label for one in ui.app.screen.query_one(ChartView).chart.series]

    async with running(day) as ui:
        await ui.press("2")
        assert not any("worth its drag" in label for label in lines(ui))
        await ui.press("9")
        paid = ui.state.track.paid(ui.state.day)
        assert paid == ("short loop", pytest.approx(float(ui.state.track.of_picked.rate.balanced.value)))
        await ui.press("2")
        assert "above: worth its drag at short loop" in lines(ui)
