"""Parts and scatter driven by keys: the state first, then what stands on the screen, then its picture."""

import pytest

from balance.files.day.opening import open_day
from tests.known_day import measured, true_change, write_day
from tui.widgets.axle_bars import AxleBars
from tui.widgets.chart import ChartView
from tui.widgets.line_table import LineTable

SIZES = [(80, 24), (120, 40)]
named = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
DRIFTING = """\
run,configuration,wing [deg],flap [mm],front_lift [N],rear_lift [N],drag [N],baseline
1,base,,,84,260,1150,
2,wing,5,,70,-40,1190,1
3,base,,,72,261,1152,
4,wing,5,,57,-41,1189,1
5,flap,,10,61,200,1158,1
6,base,,,54,260,1151,
7,wing,5,,39,-40,1191,1
"""
UNTOUCHED = """\
run,configuration,wing [deg],front_lift [N],rear_lift [N],drag [N],baseline
1,base,,84,260,1150,
2,base,,88,254,1154,
3,base,,80,262,1151,
4,wing,5,120,-330,1195,1
"""


def parts_shown(ui):
    view = ui.state.parts
    return [view.run_of(row) for row in view.rows()]


async def test_keys_turn_the_pages(running, demo):
    async with running(demo) as ui:
        for key, page in (("2", "Parts"), ("3", "Scatter"), ("2", "Parts"), ("1", "Home"), ("3", "Scatter")):
            await ui.press(key)
            assert ui.screen == page
            assert len(ui.app.screen_stack) <= 2
        await ui.press("escape")
        assert ui.screen == "Home"
        await ui.press("d", "2")
        assert ui.screen == "Parts"
        await ui.press("escape", "1")
        assert ui.screen == "Home"


async def test_a_question_is_answered_before_the_page_is_turned(running, demo):
    async with running(demo) as ui:
        await ui.press("o", "2")
        assert ui.screen == "Chooser"


async def test_parts_open_with_the_most_downforce_first_and_its_card(running, demo):
    async with running(demo) as ui:
        await ui.press("2")
        figures = ui.state.parts.figures
        assert figures.speed == ui.state.speed
        assert parts_shown(ui)[0] == "23"
        assert "8" not in parts_shown(ui)
        for words in (
            "at 148 km/h, 1.200 kg/m³",
            "run less baseline, downforce positive",
            "one reading, sd in N: front 7.2, rear 6.8, drag 3.8, total 10.2",
            "Run 23 against mean of runs 1, 2, 6, 13, 24: package of splitter length 60 mm",
            "of downforce and 84 N (77 to 92) of drag",
            "Downforce per drag of the part:",
            "11.25 N gained per N of",
            "downforce against drag",
            "A package: what it did belongs to all its parts together.",
        ):
            assert words in ui.text
        assert isinstance(ui.app.focused, LineTable)


async def test_a_day_of_known_truth_shows_its_parts_in_their_true_order(running, tmp_path):
    """By the truth of each part; run 5, 'splitter off', is a baseline again, and run 7, 'spoiler on', the best of it."""
    true = {run: sum(true_change(parts)[:2]) for run, (parts, _) in measured().items()}
    async with running(write_day(tmp_path), size=(160, 50)) as ui:
        await ui.press("2")
        assert parts_shown(ui) == sorted(true, key=true.get, reverse=True)
        assert "spoiler 55 mm" in ui.text
        assert " off " not in ui.text


async def test_a_baseline_run_after_the_part_is_said_to_be(running, desk):
    head = "run,configuration,spoiler [mm],front_lift [N],rear_lift [N],drag [N]\n"
    desk.write(runs=f"{head}1,as it came,55,84,60,1190\n2,spoiler off,,80,262,1150\n")
    async with running(desk.session) as ui:
        await ui.press("2")
        assert parts_shown(ui) == ["1"]
        assert "2 later" in ui.text
        assert "Run 1 against run 2 (automatic, run later)" in ui.text


async def test_moving_picks_a_part_and_enter_tells_everything(running, demo):
    async with running(demo) as ui:
        await ui.press("2", "down", "down")
        assert ui.state.parts.picked == "12"
        assert "Run 12 against mean of runs 1, 2, 6, 13, 24: wing angle 11°" in ui.text
        await ui.press("enter")
        assert ui.screen == "Part"
        for words in (
            "Changes at 148 km/h",
            "95 % interval",
            "of the whole car, not of the part",
            "Downforce per drag",
        ):
            assert words in ui.text
        await ui.press("escape")
        assert ui.screen == "Parts"
        assert ui.state.parts.picked == "12"


async def test_orders_go_round_and_name_what_has_no_column(running, demo):
    async with running(demo) as ui:
        await ui.press("2")
        seen = []
        for _ in range(6):
            seen.append((ui.state.parts.rank, parts_shown(ui)[0]))
            await ui.press("s")
        assert [rank for rank, _ in seen] == ["downforce", "front", "rear", "drag", "target", "ratio"]
        assert dict(seen)["drag"] == "19"
        assert dict(seen)["ratio"] == "4"
        assert ui.state.parts.rank == "downforce"
        await ui.press("s", "s", "s", "s")
        assert "in order of grip balance moved towards its target" in ui.text


async def test_speed_changes_the_figures(running, demo):
    async with running(demo) as ui:
        await ui.press("2")
        before = ui.state.parts.figures
        await ui.press("plus")
        after = ui.state.parts.figures
        assert after.speed == ui.state.speed > before.speed
        assert "at 150 km/h" in ui.text
        await ui.press("p", "u")
        assert "mph" in ui.text
        assert "one reading, sd in lbf" in ui.text


async def test_the_way_from_the_first_baseline(running, demo):
    async with running(demo, size=(120, 40)) as ui:
        await ui.press("2", "down", "c")
        assert not ui.find(ChartView).display
        assert "splitter 60 mm │" in ui.text
        assert "run 18 │" in ui.text
        await ui.press("c")
        assert ui.find(ChartView).display


async def test_a_baseline_chosen_by_hand_goes_into_the_file(running, demo):
    table = demo / "runs.csv"
    before = table.read_text(encoding="utf-8")
    async with running(demo) as ui:
        await ui.press("2", "b")
        assert ui.screen == "AskBaseline"
        assert "Compare run 23 with which run?" in ui.text
        assert "none stated: one is chosen automatically" in ui.text
        await ui.press("down", "down", "down", "enter")
        changed = [line for line in table.read_text(encoding="utf-8").splitlines() if line not in before]
        assert [line.split(",")[16] for line in changed] == ["3"]
        assert "Run 23 against run 3" in ui.text
        await ui.press("b", "escape", "ctrl+z")
        assert table.read_text(encoding="utf-8") == before


async def test_two_baselines_around_a_run_are_chosen_and_go_into_the_file(running, demo):
    table = demo / "runs.csv"
    before = table.read_text(encoding="utf-8")
    async with running(demo) as ui:
        await ui.press("2", "b", "down", "space")
        assert "Run 1 is the first of two: Enter chooses the second." in ui.text
        await ui.press("down", "enter")  # run 2 lies before run 23, as run 1 does
        assert ui.screen == "AskBaseline"
        assert "both on one side of run 23" in ui.text
        await ui.press("end", "enter")
        changed = [line for line in table.read_text(encoding="utf-8").splitlines() if line not in before]
        assert [line.split(",")[16] for line in changed] == ["1 and 24"]
        assert "Run 23 against what lies between runs 1 and 24" in ui.text
        assert "1–24" in ui.text
        await ui.press("ctrl+z")
        assert table.read_text(encoding="utf-8") == before


async def test_a_baseline_chosen_while_another_copy_has_the_day_is_not_written(running, demo):
    with open_day(demo):
        before = (demo / "runs.csv").read_bytes()
        async with running(demo) as ui:
            await ui.press("r", "2", "b")
            await ui.press("down", "down", "down", "enter")
            assert ui.state.parts.baselines == (("23", "3"),)
            assert "1 baseline chosen by hand, not in runs.csv" in ui.text
            assert "Run 23 against run 3" in ui.text
            await ui.press("b", "enter")
            assert ui.state.parts.baselines == ()
            assert "chosen by hand" not in ui.text
        assert (demo / "runs.csv").read_bytes() == before


async def test_a_drift_is_taken_out_and_left_in_again(running, desk):
    desk.write(runs=DRIFTING)
    async with running(desk.session) as ui:
        await ui.press("2")
        assert "drift is significant and NOT REMOVED (F4 removes it)" in ui.text
        assert "With drift removed: downforce" in ui.text
        measured = ui.find(AxleBars).bars
        await ui.press("f4")
        assert ui.state.parts.figures.increments.drift_corrected
        assert "DRIFT REMOVED (F4 leaves it in)" in ui.text
        assert "With drift left in: downforce" in ui.text
        assert ui.find(AxleBars).bars != measured
        await ui.press("f4")
        assert ui.find(AxleBars).bars == measured
        await ui.press("3")
        assert "The readings drifted" in ui.text


HALF_DRIFTING = """\
run,block,configuration,wing [deg],splitter [mm],front_lift [N],rear_lift [N],drag [N]
1,am,base,,,84,260,1150
2,am,wing,5,,70,-40,1190
3,am,base,,,72,261,1152
4,am,wing,5,,57,-41,1189
5,am,base,,,60,260,1151
6,pm,base,,,80,258,1150
7,pm,splitter,,40,-120,262,1158
8,pm,base,,,77,261,1151
9,pm,base,,,81,261,1150
"""


async def test_the_heading_and_the_row_say_of_which_part_no_drift_is_taken(running, desk):
    desk.write(runs=HALF_DRIFTING)
    async with running(desk.session) as ui:
        await ui.press("2", "down")
        assert ui.state.parts.picked == "7"
        assert "With drift removed" not in ui.text
        measured = ui.find(AxleBars).bars
        await ui.press("f4")
        assert "DRIFT REMOVED, not of ‡ (F4 leaves it in)" in ui.text
        assert "7‡" in ui.text
        assert "2‡" not in ui.text
        assert "No drift is removed from it: none is significant in" in ui.text
        assert ui.find(AxleBars).bars == measured


async def test_without_a_drift_there_is_none_to_take_out(running, demo):
    async with running(demo) as ui:
        await ui.press("2", "f4")
        assert not ui.state.parts.correct_drift
        assert "no drift is significant on this day" in ui.text


async def test_with_nothing_known_nothing_is_resolved_and_the_way_out_is_said(running, desk):
    desk.write(session=desk.bare, runs=desk.head + "1,base,84,260,1150\n2,wing,120,-480,1230\n")
    for size in SIZES:
        async with running(desk.session, size=size) as ui:
            await ui.press("2")
            assert "NOTHING IS SIGNIFICANT: run the baseline again" in ui.text
            assert "noise unknown" in ui.text
            assert "±" not in " ".join(ui.lines[5:])
            await ui.press("3")
            assert "Noise unknown: no run was repeated" in ui.text
            assert not ui.find(ChartView).display


async def test_untouched_repeats_alone_say_that_refitting_is_assumed(running, desk):
    desk.write(session=desk.bare, runs=UNTOUCHED)
    async with running(desk.session) as ui:
        await ui.press("2")
        assert "refitting assumed, NOTHING IS CALLED SIGNIFICANT" in ui.text
        assert "†" not in ui.text


async def test_a_day_without_parts_says_so(running, desk):
    desk.write(runs=desk.head + "1,base,84,260,1150\n2,base,80,262,1152\n")
    async with running(desk.session) as ui:
        await ui.press("2")
        assert "nothing to compare" in ui.text
        await ui.press("b", "d", "c", "s", "enter")
        assert ui.screen == "Parts"


async def test_the_scatter_goes_through_the_quantities(running, demo):
    async with running(demo) as ui:
        await ui.press("3")
        titles = []
        for _ in range(4):
            titles.append(ui.find(ChartView).chart.title.partition(":")[0])
            await ui.press("c")
        assert titles == ["total downforce", "front downforce", "rear downforce", "drag"]
        assert "What this day can detect" in ui.text


async def test_a_changed_file_changes_parts_and_scatter(running, desk):
    async with running(desk.session, size=(120, 90)) as ui:
        await ui.press("2")
        before = ui.state.parts.figures
        desk.write(runs=desk.runs + "5,base,82,259,1151\n")
        await ui.look_for_changes()
        assert ui.screen == "Parts"
        assert ui.state.parts.figures is not before
        await ui.press("3")
        assert "runs 1, 3, 5" in ui.text


@pytest.mark.parametrize("page", ["2", "3"])
async def test_help_explains_columns_and_terms(running, demo, page):
    async with running(demo, size=(160, 120)) as ui:
        await ui.press(page, "question_mark")
        words = (
            (
                "front, rear, total, drag [N, ± 95 %]: What a change",
                "map of parts",
                "refitting assumed",
            )
            if page == "2"
            else ("least significant difference", "smallest detectable change", "degrees of freedom")
        )
        for word in words:
            assert word in ui.text


async def test_parts_and_scatter_are_copied_as_text(running, demo):
    async with running(demo) as ui:
        await ui.press("2", "y")
        assert "What each part did" in ui.app.clipboard
        await ui.press("3", "y")
        assert "What this day can detect" in ui.app.clipboard


@named
@pytest.mark.parametrize("keys", [("2",), ("2", "down", "c"), ("2", "d"), ("2", "b"), ("3",)], ids="_".join)
def test_pictures(opened, demo, size, keys):
    assert opened(demo, size, *keys)


@named
@pytest.mark.parametrize("page", ["2", "3"])
def test_pictures_in_the_sun(opened, demo, size, page):
    assert opened(demo, size, page, theme="axletrim-sunlight")


@named
def test_picture_of_a_day_with_nothing_known(opened, desk, size):
    desk.write(session=desk.bare, runs=desk.head + "1,base,84,260,1150\n2,wing,120,-480,1230\n")
    assert opened(desk.session, size, "2")


def test_picture_on_a_wide_screen(opened, demo):
    assert opened(demo, (160, 50), "2", "down")
