"""A file that another computer adds to: rows become runs or wait, half rows wait, corrections are asked about."""

import pytest

HEAD = "run,front_lift [N],rear_lift [N],drag [N]\n"


@pytest.fixture
def other(tmp_path):
    return tmp_path / "readings.csv"


async def watch(ui, path):
    await ui.press("l")
    ui.find("#text").value = str(path)
    await ui.press("enter")
    await ui.look_for_changes()


def rows(desk):
    return (desk.session / "runs.csv").read_text(encoding="utf-8").splitlines()[1:]


async def test_rows_wait_until_it_is_said_what_was_changed(running, desk, other):
    other.write_text(f"{HEAD}11,-90,-200,1155\n12,-95,-2")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert ui.screen == "Live"
        assert "new: what was changed?" in ui.text
        assert "the last row has no line end" in ui.text
        await ui.press("escape")
        assert "▶ 1 row waits in readings.csv: l looks at them" in ui.text
        other.write_text(f"{HEAD}11,-90,-200,1155\n12,-95,-210,1160\n")
        await ui.look_for_changes()
        assert ui.state.work.waiting == 2
        await ui.press("l", "enter")
        assert "the figures are known" in ui.text
        await ui.press("enter")
        assert "Run 11 is not saved yet" in ui.text
        assert len(rows(desk)) == 4
        await ui.press("enter")
        assert rows(desk)[-1] == "11,wing,-90,-200,1155"
        await ui.press("enter")
        ui.find("#line").value = "configuration flap"
        await ui.press("enter", "enter")
        assert rows(desk)[-1] == "12,flap,-95,-210,1160"
        assert ui.state.work.waiting == 0


async def test_a_row_that_says_all_becomes_a_run_by_itself(running, desk, other):
    other.write_text(f"configuration,{HEAD}")
    async with running(desk.session) as ui:
        await watch(ui, other)
        other.write_text(f"configuration,{HEAD}flap,11,-90,-200,1155\n")
        await ui.look_for_changes()
        assert rows(desk)[-1] == "11,flap,-90,-200,1155"
        assert ui.state.work.undo == "run 11 taken from readings.csv"


@pytest.mark.parametrize(("key", "last"), [("a", "11,flap,-90,-200,1165"), ("l", "11,flap,-90,-200,1155")])
async def test_a_corrected_row_is_shown_and_accepted_or_left(running, desk, other, key, last):
    other.write_text(f"configuration,{HEAD}flap,11,-90,-200,1155\n")
    async with running(desk.session) as ui:
        await watch(ui, other)
        taken = "11,flap,-90,-200,1155"  # by a thread
        await ui.until(lambda: rows(desk)[-1] == taken, ui.look_for_changes)
        other.write_text(f"configuration,{HEAD}flap,11,-90,-200,1165\n")
        await ui.look_for_changes()
        assert "drag [N]: 1155 → 1165" in ui.text
        await ui.press("enter", key)
        assert rows(desk)[-1] == last
        assert ui.state.work.waiting == 0


async def test_a_correction_that_is_doubted_says_so_before_it_is_accepted(running, desk, other):
    other.write_text(f"configuration,{HEAD}wing,11,121,-478,1231\n")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.until(lambda: rows(desk)[-1] == "11,wing,121,-478,1231", ui.look_for_changes)
        other.write_text(f"configuration,{HEAD}wing,11,121,478,1231\n")
        await ui.look_for_changes()
        await ui.press("enter")
        assert "rear_lift [N]: -478 → 478" in ui.text
        assert "Check: sign of the rear turned?" in ui.text
        assert rows(desk)[-1] == "11,wing,121,-478,1231"


async def test_columns_that_do_not_fit_are_said_and_nothing_is_converted(running, desk, other):
    other.write_text("configuration,run,front_lift [lbf],rear_lift [N],drag [N]\nflap,11,-90,-200,1155\n")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert "found the column 'front_lift [lbf]', expected 'front_lift [N]'" in ui.text
        assert len(rows(desk)) == 4


async def test_a_file_that_is_not_there_yet_is_waited_for(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert "found no such file" in ui.text
        other.write_text(f"{HEAD}11,-90,-200,1155")
        await ui.look_for_changes()
        assert "found no such file" not in ui.text
        await ui.press("f4")
        assert ui.state.work.waiting == 1
        await ui.press("f8")
        assert ui.state.work.watched == ""
