"""What a crash left, a second copy, a change made outside, a folder gone: said plainly, and nothing is lost."""

import pytest

from balance.files.day.opening import open_day
from balance.model.errors import SaveError
from tests.open_days import add

ROW = "5,base,80,258,1149\n"


def text(session):
    return (session / "runs.csv").read_text(encoding="utf-8")


async def test_a_second_copy_may_look_and_not_write(running, desk):
    with open_day(desk.session):
        async with running(desk.session) as ui:
            assert "This day is open in another axletrim" in ui.text
            await ui.press("r", "a")
            assert ui.screen == "Home"
            assert "FOR READING ONLY: open in another axletrim since" in ui.text
            assert "nothing can be changed here" in ui.text
            assert ui.state.day.readings.labels == ("1", "2", "3", "4")


async def test_a_session_for_reading_only_is_opened_for_work_once_the_other_copy_is_closed(running, desk):
    other = open_day(desk.session)
    async with running(desk.session) as ui:
        await ui.press("r", "r")
        assert "This day is open in another axletrim" in ui.text
        await ui.press("r")
        assert "r tries again, once the other one is closed" in ui.text
        other.close()
        await ui.press("r")
        assert ui.state.work.open
        assert "FOR READING ONLY" not in ui.text


async def test_a_session_is_taken_over_from_a_copy_that_is_gone(running, desk):
    with open_day(desk.session):
        async with running(desk.session) as ui:
            await ui.press("t")
            assert ui.state.work.open
            await ui.press("a")
            await ui.type_line("121 -478 1231 repeat")
            await ui.press("enter")
            assert text(desk.session) == f"{desk.runs}5,wing,121,-478,1231\n"


async def test_a_change_made_outside_is_taken_in_and_undone(running, desk):
    async with running(desk.session) as ui:
        desk.write(runs=desk.runs + ROW)
        await ui.look_for_changes()
        assert ui.state.day.readings.labels[-1] == "5"
        await ui.press("U")
        assert text(desk.session) == desk.runs


async def test_a_change_made_outside_while_typing_is_shown_side_by_side(running, desk):
    async with running(desk.session) as ui:
        await ui.press("a")
        await ui.type_line("121 -478 1231 repeat")
        desk.write(runs=desk.runs.replace("1162", "1172") + ROW)
        await ui.look_for_changes()
        assert ui.screen == "Conflict"
        assert "changed outside axletrim while it was worked on here" in ui.text
        assert "2 drag [N] │ 1162 1172" in ui.text
        assert "whole run, there only │ · base 80 258 1149" in ui.text
        await ui.press("f2")
        assert ui.screen == "Entry"
        assert ui.find("#line").value == "121 -478 1231 repeat"
        await ui.press("enter")
        assert (
            text(desk.session).splitlines()[-1] == "6,wing,121,-478,1231"
        )  # from run 4, on which it was begun


async def test_both_versions_are_kept(running, desk):
    async with running(desk.session) as ui:
        await ui.press("a")
        await ui.type_line("121 -478 1231 repeat")
        theirs = desk.runs + ROW
        desk.write(runs=theirs)
        await ui.press("enter")
        assert ui.screen == "Conflict"
        assert text(desk.session) == theirs
        await ui.press("f3")
        assert text(desk.session) == theirs
        kept = (desk.session / "runs-kept-1.csv").read_text(encoding="utf-8")
        assert kept == f"{desk.runs}5,wing,121,-478,1231\n"


async def test_a_folder_that_is_gone_is_said_and_saved_to_once_it_is_back(running, desk):
    async with running(desk.session) as ui:
        await ui.press("a")
        away = desk.session.rename(desk.car / "away")
        await ui.look_for_changes()
        assert ui.screen == "Entry"
        assert "the files cannot be read now" in ui.text
        await ui.type_line("121 -478 1231 repeat")
        await ui.press("enter")
        assert "× NOT SAVED" in ui.text
        assert "found no such folder, it was moved or renamed" in ui.text
        assert ui.state.work.undo == "run 5 added"
        await ui.press("escape", "q")
        assert "Leave with something unsaved?" in ui.text
        await ui.press("s")
        away.rename(desk.session)
        await ui.press("f5")
        assert text(desk.session) == f"{desk.runs}5,wing,121,-478,1231\n"
        assert "NOT SAVED" not in ui.text


def end_badly(session, sheet_row):
    """Leave a day as a killed process does: a step in the journal, and not in the file."""
    before = (session / "runs.csv").read_bytes()
    day = open_day(session)
    day.change("run 5 added", day.sheet.appended(sheet_row))
    day.half_typed.keep_run({"\tline": "-97 -2"})
    journal = session / ".axletrim-journal"
    lines = journal.read_bytes().splitlines(keepends=True)
    journal.write_bytes(
        b"".join(line for line in lines if b'"saved"' not in line.split(b'"time"')[0] or line is lines[0])
    )
    (session / "runs.csv").write_bytes(before)
    day.close()


async def test_what_the_journal_brought_back_is_shown_and_can_be_dropped(running, desk):
    row = {"run": "5", "configuration": "lip", "front_lift": "70", "rear_lift": "250", "drag": "1140"}
    end_badly(desk.session, row)
    async with running(desk.session) as ui:
        assert "Brought back from the journal" in ui.text
        assert "· run 5 added" in ui.text
        assert text(desk.session) == f"{desk.runs}5,lip,70,250,1140\n"
        await ui.press("d")
        assert text(desk.session) == desk.runs
        assert "A run was half typed when axletrim ended" in ui.text
        assert "-97 -2" in ui.text
        await ui.press("t")
        assert ui.screen == "Entry"
        assert ui.find("#line").value == "-97 -2"


async def test_a_half_typed_run_can_be_dropped(running, desk):
    with open_day(desk.session) as day:
        day.half_typed.keep_run({"\tline": "-97 -2"})
    async with running(desk.session) as ui:
        await ui.press("d")
        assert not ui.state.work.half_typed
    async with running(desk.session) as ui:
        assert "half typed" not in ui.text


async def test_a_table_that_is_gone_is_brought_back(running, desk):
    with open_day(desk.session) as day:
        row = {"run": "5", "configuration": "lip", "front_lift": "70", "rear_lift": "250", "drag": "1140"}
        day.change("run 5 added", day.sheet.appended(row))
    (desk.session / "runs.csv").unlink()
    async with running(desk.session) as ui:
        assert "runs.csv, which was gone" in ui.text
        assert text(desk.session) == f"{desk.runs}5,lip,70,250,1140\n"
        await ui.press("k")
        assert ui.state.day.readings.labels[-1] == "5"


async def test_both_sides_having_gone_on_is_shown_side_by_side_on_opening(running, desk):
    row = {"run": "5", "configuration": "lip", "front_lift": "70", "rear_lift": "250", "drag": "1140"}
    end_badly(desk.session, row)
    desk.write(runs=desk.runs.replace("1162", "1172"))
    async with running(desk.session) as ui:
        while ui.screen == "Pick":
            await ui.press("escape")
        assert ui.screen == "Conflict"
        assert "2 drag [N] │ 1162 1172" in ui.text
        assert "whole run, here only │ lip 70 250 1140 ·" in ui.text
        await ui.press("f3")
        assert text(desk.session) == desk.runs.replace("1162", "1172")
        assert "5,lip,70,250,1140" in (desk.session / "runs-kept-1.csv").read_text(encoding="utf-8")


async def test_a_run_sheet_that_is_gone_is_written_again_on_leaving_and_that_is_said(running, desk):
    async with running(desk.session) as ui:
        (desk.session / "runs.csv").unlink()
        await ui.press("q")
    assert ui.app.parting == ("runs.csv was gone and was written again",)
    assert text(desk.session) == desk.runs


async def test_a_folder_renamed_while_it_is_open_is_said_with_what_to_do(running, desk):
    async with running(desk.session) as ui:
        moved = desk.session.rename(desk.session.with_name("renamed"))
        await ui.press("a")
        await ui.type_line("121 -478 1231 repeat")
        await ui.press("enter")
        assert "× NOT SAVED in runs.csv" in ui.text
        assert "it was moved or renamed" in ui.text
        assert "open the day under its new name" in ui.text
        await ui.press("escape", "q")
        await ui.press("l")
    assert "comes back when the day is opened" in ui.app.parting[0]
    async with running(moved) as ui:
        assert "run 5 added" in ui.text
        assert text(moved).splitlines()[-1] == "5,wing,121,-478,1231"


async def test_what_waits_to_be_saved_stands_in_the_chooser(running, desk):
    with open_day(desk.session) as day:
        desk.session.rename(desk.session.with_name("renamed"))
        with pytest.raises(SaveError):
            add(day, run="5")
    async with running() as ui:
        assert ui.screen == "Chooser"
        assert "! 'run added' of Spring tunnel day (invented) is typed and not saved" in ui.text
        assert "open its folder, wherever it is now" in ui.text
