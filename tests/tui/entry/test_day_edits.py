"""Marks, blocks, baselines, undo and redo: each step is in the file at once, and each is taken back."""

import pytest

from tui.features.car_and_day.side_by_side import differences
from tui.widgets.line_table import LineTable


def text(session):
    return (session / "runs.csv").read_text(encoding="utf-8")


def runs(session):
    head, *rows = text(session).splitlines()
    names = [name.partition(" [")[0] for name in head.split(",")]
    return [dict(zip(names, row.split(","), strict=False)) for row in rows]


async def test_a_run_is_marked_void_with_its_reason_and_leaves_every_result(running, desk):
    async with running(desk.session) as ui:
        await ui.press("end", "m")
        assert "Run 4 wing: does it count?" in ui.text
        await ui.press("v", "enter")
        assert "expected why the run is void" in ui.text
        await ui.type("strut loose")
        await ui.press("enter")
        assert runs(desk.session)[3]["status"] == "void"
        assert runs(desk.session)[3]["reason"] == "strut loose"
        assert "4" not in ui.state.day.readings.labels
        await ui.press("m")
        assert "base: which of its 2 readings?" in ui.text
        await ui.press("3")
        assert "good again: run 4 void: strut loose" in ui.text
        await ui.press("1")
        assert ui.state.day.readings.labels == ("1", "2", "3", "4")


async def test_all_runs_since_the_last_good_baseline_are_offered(running, desk):
    desk.write(runs=f"{desk.runs}5,flap,110,-500,1240\n")
    async with running(desk.session) as ui:
        await ui.press("end", "m")
        assert "suspect: runs 4, 5 all since run 3, the last good baseline" in ui.text
        await ui.press("S")
        await ui.type("wing slipped")
        await ui.press("enter")
        assert [run["status"] for run in runs(desk.session)] == ["", "", "", "suspect", "suspect"]


async def test_voiding_the_only_run_leaves_a_day_that_says_what_to_do(running, desk):
    desk.write(runs=f"{desk.head}1,base,84,260,1150\n")
    async with running(desk.session) as ui:
        await ui.press("m", "v")
        await ui.type("x")
        await ui.press("enter")
        assert ui.state.day is None
        assert "no run counts yet: press a and type the first one (1 void: m brings back)" in ui.text
        await ui.press("U")
        assert ui.state.day.readings.labels == ("1",)


async def test_a_new_block_begins_at_the_picked_run(running, desk):
    async with running(desk.session) as ui:
        await ui.press("f", "down", "down", "k")
        assert "A new block begins at run 3. Its name:" in ui.text
        ui.find("#text").value = "after re-zero"
        await ui.press("enter")
        assert [run["block"] for run in runs(desk.session)] == ["", "", "after re-zero", "after re-zero"]


@pytest.mark.parametrize("screen", ["home", "parts"])
async def test_a_baseline_is_moved_and_kept_in_the_file(running, desk, screen):
    async with running(desk.session) as ui:
        if screen == "home":
            await ui.press("end")
        else:
            await ui.press("2", "home")
            for _ in range(3):
                row = ui.state.parts.picked_row()
                if ui.state.parts.run_of(row) == "4":
                    break
                await ui.press("down")
        await ui.press("b")
        assert "Compare run 4 with which run?" in ui.text
        await ui.press("down", "down", "enter")
        assert runs(desk.session)[3]["baseline"] == "2"
        assert ui.state.parts.baselines == ()
        await ui.press("ctrl+z")
        assert "baseline" not in runs(desk.session)[3]


async def test_undo_and_redo_go_over_the_whole_day_and_over_restarts(running, desk):
    before = text(desk.session)
    async with running(desk.session) as ui:
        await ui.press("a")
        ui.find("#line").value = "80 258 1149 repeat"
        await ui.press("enter", "enter")  # it is doubted
        ui.find("#line").value = "-90 250 1149 configuration lip"
        await ui.press("enter", "enter", "escape")
        after = text(desk.session)
    async with running(desk.session) as ui:
        await ui.press("U")
        assert "taken back: run 6 added" in ui.text
        await ui.press("ctrl+z")
        assert text(desk.session) == before
        assert ui.state.day.readings.labels == ("1", "2", "3", "4")
        await ui.press("R", "ctrl+y")
        assert text(desk.session) == after
        await ui.press("R")
        assert "nothing to redo on this day" in ui.text


async def test_the_menu_of_a_run_names_what_can_be_undone(running, desk):
    async with running(desk.session) as ui:
        await ui.press("e", "1")
        for words in ("correct it", "mark it suspect or void", "undo nothing to undo"):
            assert words in ui.text
        await ui.press("escape")
        assert ui.screen == "Home"


async def test_the_proposed_name_of_a_block_is_typed_over(running, desk):
    async with running(desk.session) as ui:
        await ui.press("k", "1", *"refit", "enter")
        assert ui.state.session.runs[0].block == "refit"


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (("m",), "Run 3 base: does it count?"),
        (("E",), "Correcting run 3"),
        (("k",), "A new block begins at run 3"),
        (("b",), "Compare run 3 with which run?"),
        (("x",), "from run 3"),
        (("e",), "Run 3 base"),
    ],
)
async def test_a_key_on_a_row_of_several_readings_asks_which_one(running, desk, keys, said):
    async with running(desk.session) as ui:
        assert "base (mean of runs 1, 3)" in ui.text
        await ui.press(*keys)
        assert "base: which of its 2 readings?" in ui.text
        assert "run 1 front 84 N LIFT · rear 260 N LIFT · drag 1150 N" in " ".join(ui.text.split())
        await ui.press("2")
        assert said in " ".join(ui.text.split())


async def test_a_mark_on_a_folded_row_is_of_the_reading_that_was_picked(running, desk):
    async with running(desk.session) as ui:
        await ui.press("m", "2", "v")
        await ui.type("tie-down loose")
        await ui.press("enter")
        assert [run["status"] for run in runs(desk.session)] == ["", "", "void", ""]


async def test_leaving_the_question_marks_nothing(running, desk):
    before = text(desk.session)
    async with running(desk.session) as ui:
        await ui.press("m", "escape")
        assert ui.screen == "Home"
    assert text(desk.session) == before


async def test_a_table_that_is_still_empty_moves_no_cursor(running, desk):
    async with running(desk.session) as ui:
        await ui.press("f", "end")
        table = ui.find(LineTable)
        assert ui.state.run.label == "4"
        table.set_source(0, lambda _row, _key: ("", ""))  # as while a correction is being worked out
        ui.app.screen.on_line_table_row_moved(LineTable.RowMoved(table, 0))
        assert ui.state.run.label == "4"


async def test_a_run_half_typed_keeps_the_run_that_it_starts_from(running, desk):
    async with running(desk.session) as ui:
        await ui.press("a")
        await ui.type("-90 -300 1180 configuration flap")
        assert "Run 5, from run 4" in ui.text
        sheet = ui.app.open_day.day.sheet
        row = {"run": "5", "configuration": "base", "front_lift": "82", "rear_lift": "261", "drag": "1151"}
        ui.app.open_day.change("run 5 taken from facility.csv", sheet.appended(row))
        await ui.settle()
        assert "Run 6, from run 4" in ui.text
        assert "starts from run 4, not from the last one, run 5" in ui.text
        await ui.press("enter", "enter")  # it is doubted
        assert runs(desk.session)[-1]["run"] == "6"
        assert runs(desk.session)[-1]["configuration"] == "flap"


def test_a_change_of_unit_made_outside_is_named_as_that():
    here = "run,configuration,front_lift [N],drag [N]\n1,base,84,1150\n"
    (found,) = differences(here, here.replace("front_lift [N]", "front_lift [lbf]"))
    assert found.column == "front_lift: unit of every run"
    assert (found.here, found.there) == ("N", "lbf")
