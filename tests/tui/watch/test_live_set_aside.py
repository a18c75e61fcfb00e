"""Rows of a watched file that are no runs: set aside with a reason, counted, undone, and brought back one by one."""

import pytest
from textual.widgets import OptionList

from tests.terminal import Terminal, wait_until

HEAD = "run,front_lift [N],rear_lift [N],drag [N]\n"
TARE, RUN, MEAN = "tare,0,0,1\n", "11,-90,-200,1155\n", "mean,-90,-200,1156\n"


@pytest.fixture
def other(tmp_path):
    file = tmp_path / "readings.csv"
    file.write_text(HEAD + TARE + RUN + MEAN, encoding="utf-8")
    return file


async def watch(ui, path):
    await ui.press("l")
    ui.find("#text").value = str(path)
    await ui.press("enter")
    await ui.look_for_changes()


async def go_on(ui):
    """Watch on after a restart, and look at the rows."""
    await ui.press("w")
    await ui.look_for_changes()
    await ui.press("l")


def rows(desk):
    return (desk.session / "runs.csv").read_text(encoding="utf-8").splitlines()[5:]


def waiting(ui):
    return [row.key for row in ui.app.open_day.live.waiting_rows.rows]


def listed(ui):
    options = ui.find(OptionList)
    return [str(options.get_option_at_index(k).prompt) for k in range(options.option_count)]


async def test_a_row_set_aside_waits_no_more_is_counted_and_one_undo_away(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("delete")
        assert "Set row tare of readings.csv aside: why is it no run?" in ui.text
        assert "drag [N] 1" in ui.text
        await ui.press("escape")
        assert waiting(ui) == ["tare", "11", "mean"]
        await ui.press("delete", "t")
        assert waiting(ui) == ["11", "mean"]
        assert "1 row is set aside: F7 brings one back" in ui.text
        assert ui.state.work.undo == "row tare of readings.csv set aside: tare or zero"
        assert rows(desk) == []
        await ui.press("U")
        assert waiting(ui) == ["tare", "11", "mean"]
        assert "was taken back" in ui.text
        assert "brings one back" not in ui.text
        await ui.press("R")
        assert waiting(ui) == ["11", "mean"]


async def test_a_reason_can_be_typed_and_must_be_one(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("delete", "o", "enter")
        assert "expected a reason in a few words" in ui.text
        await ui.type("door open")
        await ui.press("enter")
        assert ui.state.work.undo == "row tare of readings.csv set aside: door open"


async def test_rows_set_aside_stay_so_over_restarts_and_any_of_them_can_be_brought_back(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("delete", "t", "delete", "b", "delete", "a")
        assert waiting(ui) == []
    async with running(desk.session) as ui:
        assert "No rows of it taken so far, 3 set aside." in ui.text
        await go_on(ui)
        assert waiting(ui) == []
        await ui.press("f7")
        assert [line.split("  run ")[0] for line in listed(ui)] == [
            "1  tare: tare or zero", "2  11: aborted", "3  mean: average",
        ]  # fmt: skip
        await ui.press("2")
        assert waiting(ui) == ["11"]
        assert "2 rows are set aside" in ui.text
        await ui.press("enter", "enter", "enter")  # it is doubted
        assert rows(desk) == ["11,wing,-90,-200,1155"]
    async with running(desk.session) as ui:
        assert "1 row of it taken so far, 2 set aside." in ui.text
        await go_on(ui)
        assert waiting(ui) == []


async def test_a_row_set_aside_that_reads_otherwise_now_shows_up_again(running, desk, other):
    other.write_text("configuration," + HEAD + "flap," + RUN, encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert len(rows(desk)) == 1
        await ui.press("U", "delete", "b")  # a row that would become a run by itself
        assert rows(desk) == []
        other.write_text("configuration," + HEAD + "flap," + RUN.replace("1155", "1165"), encoding="utf-8")
        await ui.look_for_changes()
        assert rows(desk) == []
        assert "row 11 was set aside as aborted; reads otherwise now" in ui.text
        other.write_text("configuration," + HEAD + "flap," + RUN, encoding="utf-8")
        await ui.look_for_changes()
        assert waiting(ui) == []  # as it was when it was set aside
        other.write_text("configuration," + HEAD + "flap," + RUN.replace("1155", "1175"), encoding="utf-8")
        await ui.look_for_changes()
        await ui.press("delete", "b")
        assert waiting(ui) == []
        await ui.press("U")
        assert waiting(ui) == ["11"]
        await ui.press("enter", "enter", "enter")  # it is doubted
        assert rows(desk) == ["11,flap,-90,-200,1175"]


async def test_what_a_row_said_that_is_gone_from_the_file_can_be_read_still(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("delete", "t")
        other.write_text(HEAD + RUN + MEAN, encoding="utf-8")
        await ui.look_for_changes()
        await ui.press("f7")
        (line,) = listed(ui)
        assert "NOT IN THE FILE NOW" in line
        await ui.press("1")
        said = " ".join(one.message for one in ui.app._notifications)
        assert "it said: run tare · front_lift [N] 0 · rear_lift [N] 0 · drag [N] 1" in said
        assert "1 row is set aside" in ui.text


async def test_nothing_set_aside_is_said_and_a_correction_is_not_set_aside(running, desk, other):
    other.write_text("configuration," + HEAD + "flap," + RUN, encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("f7")
        other.write_text("configuration," + HEAD + "flap," + RUN.replace("1155", "1165"), encoding="utf-8")
        await ui.look_for_changes()
        await ui.press("delete")
        said = " ".join(one.message for one in ui.app._notifications)
        assert "no row of readings.csv is set aside" in said
        assert "this is a correction of a run" in said
        assert ui.state.work.waiting == 1


async def test_a_row_set_aside_just_before_a_kill_stays_so(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
    terminal = Terminal(desk.session)
    try:
        terminal.shows("was watched when")
        terminal.type("w")
        terminal.shows("3 rows wait")
        terminal.type("l")
        terminal.shows("what was changed?")
        terminal.type("\x1b[3~")  # Del
        terminal.shows("why is it no run?")
        terminal.type("t")
        journal = desk.session / ".axletrim-journal"
        wait_until(lambda: "set aside: tare" in journal.read_text(encoding="utf-8"), "the row is set aside")
    finally:
        terminal.kill()
    async with running(desk.session) as ui:
        await go_on(ui)
        assert waiting(ui) == ["11", "mean"]
