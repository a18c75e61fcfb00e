"""The home screen driven by keys and mouse: the state first, then what stands on the screen."""

import pytest
from textual.widgets import Input

from tui.widgets.axle_bars import AxleBars
from tui.widgets.chart import ChartView
from tui.widgets.line_table import HEADER, LineTable


async def test_a_session_opens_with_its_verdict_speed_sign_and_certainty(running, demo):
    async with running(demo) as ui:
        assert ui.screen == "Home"
        assert ui.state.path == str(demo)
        assert not ui.state.pending
        for words in (
            "Brindlow hatch (invented)",
            "Winter tunnel day (invented)",
            "at 148 km/h, 1.200 kg/m³",
            "downforce positive, LIFT negative",
            "one reading at 160 km/h: sd front 7.2, rear 6.8, drag 3.8 N",
            "as delivered (mean of runs 1, 2, 6, 13, 24)",
            "MORE OVERSTEER than in slow corners from 95 km/h (90 to 100): dangerous",
            "Judged 118 to 228 km/h, under power too",
            "load added at 148 km/h",
            "grip balance, rear over front",
        ):
            assert words in ui.text
        assert isinstance(ui.app.focused, LineTable)
        assert "…" not in ui.text


async def test_moving_picks_the_run_and_shows_its_card(running, demo):
    async with running(demo) as ui:
        await ui.press("down", "down", "end")
        assert ui.state.run.label == "23"
        assert "Run 23 track package" in ui.text
        assert "More understeer than in slow corners from 166 km/h" in ui.text
        await ui.press("home")
        assert ui.state.run.label == "1"
        await ui.press("pagedown")
        assert ui.state.cursor > 1


async def test_keys_that_repeat_fast_lose_no_step(running, demo):
    async with running(demo, size=(80, 24)) as ui:
        await ui.press(*["down"] * 12, *["plus"] * 6, *["down"] * 2)
        assert ui.state.cursor == ui.find(LineTable).cursor == 14
        assert ui.state.show.bare("speed", ui.state.speed) == "175"
        assert ui.state.assessment.speed == ui.state.speed
        assert not ui.state.pending
        assert f"Run {ui.state.run.label} " in ui.text


async def test_folding_keeps_the_picked_run(running, demo):
    async with running(demo) as ui:
        assert ui.labels.count("2") == 0  # run 7, at another speed, tests the scaling
        await ui.press("end", "f")
        assert "2" in ui.labels
        assert not ui.state.folded
        assert len(ui.labels) == 23
        assert ui.state.run.label == "23"
        assert "+5" not in ui.text
        await ui.press("f")
        assert ui.state.run.label == "23"


async def test_the_key_sorts_and_turns_the_order(running, demo):
    async with running(demo) as ui:
        await ui.press("end", "s")
        key = ui.state.sort[0]
        assert ui.state.sort == (key, False)
        assert "↑" in ui.titles
        assert ui.state.run.label == "23"
        assert ui.find(LineTable).cursor == ui.state.cursor
        await ui.press("S")
        assert ui.state.sort == (key, True)
        assert "↓" in ui.titles


async def test_a_click_on_a_head_sorts(running, demo):
    async with running(demo) as ui:
        at = ui.titles.index("front")
        for expected in (("front", False), ("front", True), None):
            await ui.pilot.click(LineTable, offset=(at + 1, 0))
            await ui.settle()
            assert ui.state.sort == expected


async def test_a_click_picks_and_a_double_click_tells_everything(running, demo):
    async with running(demo) as ui:
        await ui.pilot.click(LineTable, offset=(8, HEADER + 5))
        await ui.settle()
        assert ui.state.cursor == 5
        await ui.pilot.double_click(LineTable, offset=(8, HEADER + 6))
        await ui.settle()
        assert ui.state.cursor == 6
        assert ui.screen == "Detail"


async def test_the_filter_keeps_rows_with_all_words_until_escape(running, demo):
    async with running(demo, size=(80, 24)) as ui:
        await ui.press("slash")
        assert isinstance(ui.app.focused, Input)
        await ui.type("spoiler")
        assert ui.labels == ["9", "10"]
        assert "filter: spoiler · 2 rows" in ui.text
        await ui.press("enter")
        assert isinstance(ui.app.focused, LineTable)
        assert ui.labels == ["9", "10"]
        assert ui.state.run.label == "9"
        await ui.press("escape")
        assert ui.state.wanted == ""
        assert len(ui.labels) == 17
        assert "filter:" not in ui.text


async def test_a_filter_that_fits_nothing_says_so_and_shows_no_card(running, demo):
    async with running(demo) as ui:
        await ui.press("slash")
        await ui.type("xyz")
        assert ui.labels == []
        assert "no run has these words" in ui.text
        assert "OVERSTEER" not in ui.text
        await ui.press("escape")
        assert "OVERSTEER" in ui.text


async def test_escape_without_a_filter_changes_nothing(running, demo):
    async with running(demo) as ui:
        before = ui.state
        await ui.press("escape")
        assert ui.state is before
        assert ui.screen == "Home"
        assert isinstance(ui.app.focused, LineTable)


async def test_speed_goes_up_and_down_everywhere_at_once(running, demo):
    async with running(demo) as ui:
        await ui.press("plus")
        assert "at 150 km/h, 1.200 kg/m³" in ui.text
        assert "load added at 150 km/h" in ui.text
        await ui.press("minus", "minus")
        assert "load added at 140 km/h" in ui.text
        assert "148 km/h" not in ui.text
        assert ui.state.assessment.speed == ui.state.speed


@pytest.mark.parametrize(("typed", "kmh"), [("165", 165.0), ("100 mph", 160.9344), ("45 m/s", 162.0)])
async def test_a_speed_is_typed_with_or_without_its_unit(running, demo, typed, kmh):
    async with running(demo) as ui:
        await ui.press("v")
        assert ui.screen == "AskSpeed"
        assert "in km/h or with its unit" in ui.text
        await ui.type(typed)
        await ui.press("enter")
        assert ui.screen == "Home"
        assert ui.state.speed * 3.6 == pytest.approx(kmh)
        assert isinstance(ui.app.focused, LineTable)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("fast", "found 'fast', expected a speed as in"),
        ("12 kg", "expected a speed"),
        ("0", "expected a speed"),
        ("9000", "expected a speed"),
        ("-20", "expected a speed"),
    ],
)
async def test_a_wrong_speed_is_refused_in_words_and_may_be_left(running, demo, typed, said):
    async with running(demo, size=(80, 24)) as ui:
        before = ui.state.speed
        await ui.press("v")
        await ui.type(typed)
        await ui.press("enter")
        assert ui.screen == "AskSpeed"
        assert said in ui.text
        await ui.press("escape")
        assert ui.state.speed == before


async def test_units_change_everywhere_and_are_remembered(running, demo):
    async with running(demo) as ui:
        await ui.press("u")
        assert ui.state.units == "us"
        for words in (
            "at 92 mph, 0.0749 lb/ft³",
            "lbf",
            "load added at 92 mph",
            "speed, mph",
            "drag 0.9 lbf",
        ):
            assert words in ui.text
        assert "km/h" not in ui.text
        assert "kg/m³" not in ui.text
    async with running(demo) as ui:
        assert ui.state.units == "us"


async def test_places_are_gone_through(running, demo):
    async with running(demo) as ui:
        await ui.press("p")
        assert "crest: 172 km/h" in ui.text
        assert ui.state.speed * 3.6 == pytest.approx(172)
        await ui.press("p", "p")
        assert ui.state.speed * 3.6 == pytest.approx(148)


async def test_without_places_the_key_says_so(running, desk):
    desk.write(session=desk.bare + desk.stated)
    async with running(desk.session) as ui:
        await ui.press("p")
        assert "no speeds are named" in ui.text


async def test_each_quantity_is_drawn_in_turn(running, demo):
    async with running(demo) as ui:
        for title in (
            "load on each axle",
            "wheel-load share, front",
            "neutral-steer shift",
            "drag",
            "drag power",
        ):
            await ui.press("c")
            assert ui.find(ChartView).chart.title == title
            assert title in ui.text
        await ui.press("c")
        assert "grip balance, rear over front" in ui.text


async def test_curves_have_their_interval_once_it_is_drawn(running, demo):
    async with running(demo) as ui:
        assert any(series.low is not None for series in ui.find(ChartView).chart.series)
        await ui.press("down")
        assert any(series.low is not None for series in ui.find(ChartView).chart.series)


async def test_the_theme_is_changed_and_remembered(running, demo):
    async with running(demo) as ui:
        assert ui.app.theme == "axletrim-dark"
        await ui.press("t")
        assert ui.app.theme == "axletrim-sunlight"
    async with running(demo) as ui:
        assert ui.app.theme == "axletrim-sunlight"


async def test_the_speed_a_session_was_left_at_is_remembered(running, demo):
    async with running(demo) as ui:
        await ui.press("plus", "plus")
    async with running(demo) as ui:
        assert ui.state.show.bare("speed", ui.state.speed) == "155"


async def test_a_picture_is_saved_where_the_program_was_started(running, demo, place_of_its_own):
    async with running(demo) as ui:
        await ui.press("w")
        (picture,) = place_of_its_own.glob("axletrim_*.svg")
        assert "OVERSTEER" in picture.read_text(encoding="utf-8")
        assert "picture saved" in ui.text


async def test_a_picture_that_cannot_be_saved_here_goes_to_the_users_own_folder(
    running, demo, tmp_path, place_of_its_own, monkeypatch
):
    gone = tmp_path / "gone"
    gone.mkdir()
    async with running(demo) as ui:
        monkeypatch.chdir(gone)
        gone.rmdir()
        await ui.press("w")
        assert "picture saved" in ui.text
    assert list((place_of_its_own / "data" / "axletrim").glob("axletrim_*.svg"))


async def test_the_table_is_copied_as_text(running, demo):
    async with running(demo) as ui:
        await ui.press("y")
        for words in ("as delivered", "track package", "148 km/h", "▼ OVERSTEER"):
            assert words in ui.app.clipboard
        assert "table copied as text" in ui.text


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (160, 50)])
@pytest.mark.parametrize("units", ["si", "us"])
async def test_the_card_of_every_run_has_room(running, demo, remember, size, units):
    remember(units=units)
    async with running(demo, size=size) as ui:
        for _ in ui.labels:
            assert ui.find("#says").max_scroll_y == 0, ui.state.run.label
            assert ui.find("#headline").size.height <= 2
            await ui.press("down")


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_footer_shows_help_whatever_the_width(running, demo, size):
    async with running(demo, size=size) as ui:
        assert "d detail" in ui.lines[-1]
        assert "? help " in ui.lines[-1]


async def test_another_size_is_taken_while_open(running, demo):
    async with running(demo, size=(160, 50)) as ui:
        assert "splitter spoiler wing" in ui.text
        await ui.pilot.resize_terminal(80, 24)
        await ui.settle()
        assert "▼ OVERSTEER" in ui.text
        assert "? help" in ui.lines[-1]
        assert ui.find(AxleBars).size.height == 2
        await ui.pilot.resize_terminal(160, 50)
        await ui.settle()
        assert "splitter spoiler wing" in ui.text


@pytest.mark.parametrize("key", ["q", "ctrl+q"])
async def test_leaving(running, demo, key):
    async with running(demo) as ui:
        await ui.pilot.press(key)
        await ui.pilot.pause()
        assert not ui.app._running or ui.app._exit


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (160, 50)])
async def test_without_repeats_or_a_stated_scatter_it_cannot_tell_how_sure(running, desk, size):
    desk.write(session=desk.bare, runs=f"{desk.head}1,base,-84,-260,1150\n2,wing,20,-600,1250\n")
    async with running(desk.session, size=size) as ui:
        assert "one reading: noise unknown, cannot tell how sure" in ui.text
        await ui.press("down")
        assert "; cannot tell how sure" in " ".join(str(ui.find("#headline").content).split())
        assert ui.find("#says").max_scroll_y == 0
        await ui.press("d")
        assert "How sure: cannot tell" in ui.text


async def test_lift_at_both_axles_is_said_in_words_and_has_no_share(running, desk):
    desk.write(runs=f"{desk.head}1,base,84,260,1150\n2,base,86,262,1151\n")
    async with running(desk.session, size=(160, 50)) as ui:
        assert ui.text.count("LIFT") >= 3
        assert "LIFT at both axles: none" in ui.text
        await ui.press("d")
        assert "none: LIFT at both axles" in ui.text


async def test_one_run_is_a_day(running, desk):
    desk.write(runs=f"{desk.head}1,base,-84,-260,1150\n")
    async with running(desk.session) as ui:
        assert ui.labels == ["1"]
        await ui.press("down", "up", "end", "pageup", "f", "s", "S", "c", "d", "escape", "n", "escape")
        assert ui.state.run.label == "1"
