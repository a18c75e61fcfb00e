"""What is worth a second look, or in no figure, is said over the runs; a session opens in the units that it is written in."""

import pytest

from tests.small_session import HEAD, SESSION


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_repeat_with_a_digit_too_many_is_named_over_the_runs(running, desk, size):
    desk.write(
        runs=f"{HEAD}1,base,84,260,1150\n2,base,840,262,1149\n3,base,80,261,1151\n4,wing,120,-480,1230\n"
    )
    async with running(desk.session, size=size) as ui:
        assert "! run 2" in ui.text
        if size[1] > 30:
            assert "a digit too many or too few, or another configuration?" in ui.text
        await ui.press("n")
        assert "run 2: front of" in ui.text


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_day_that_cannot_be_shared_is_told_of_over_the_runs(running, desk, size):
    desk.write(session=f'shares = ["../../nobody/day"]\n{SESSION}')
    async with running(desk.session, size=size) as ui:
        assert "! 1 under shares left out: n says why" in ui.text
        await ui.press("n")
        assert "nobody/day" in ui.text


async def test_a_sound_day_has_no_such_line(running, demo):
    async with running(demo) as ui:
        assert "!" not in ui.find("#banner").render().plain


async def test_void_runs_are_told_of_with_their_reason(running, demo):
    async with running(demo) as ui:
        await ui.press("n")
        assert "run 8: void, excluded" in ui.text


async def test_a_folded_row_is_the_mean_of_its_readings_and_one_reading_has_no_verdict(running, demo):
    async with running(demo) as ui:
        assert ui.state.table.cell(ui.state.judged_row, "n").text == "5"
        assert "(mean of runs 1, 2, 6, 13, 24)" in ui.find("#card").border_title
        mean = ui.state.table.cell(ui.state.judged_row, "front").text
        await ui.press("f")
        assert "one reading of 5" in ui.find("#card").border_title
        assert ui.state.table.cell(ui.state.judged_row, "front").text != mean
        assert ui.state.table.cell(ui.state.judged_row, "verdict").text == "·"


POUNDS = "run,configuration,front_lift [lbf],rear_lift [lbf],drag [lbf]\n1,base,19,58,258\n2,base,20,59,259\n"


async def test_a_day_in_pounds_opens_in_pounds_until_other_units_are_chosen(running, desk):
    desk.write(runs=POUNDS)
    async with running(desk.session) as ui:
        assert ui.state.units == "us"
        assert "lbf" in ui.text
        await ui.press("u", "u")
        assert ui.state.units == "si"
    async with running(desk.session) as ui:
        assert ui.state.units == "si"


async def test_a_day_in_pounds_without_a_run_opens_in_pounds_too(running, desk):
    desk.write(runs=POUNDS.splitlines()[0] + "\n")
    async with running(desk.session) as ui:
        assert ui.state.units == "us"


async def test_units_that_were_chosen_hold_for_every_day(running, desk, remember):
    remember(units="us")
    async with running(desk.session) as ui:
        assert ui.state.units == "us"


FAR = (
    "run,configuration,splitter [mm],wing [deg],front_lift [N],rear_lift [N],drag [N]\n"
    "1,base,,,84,260,1150\n2,splitter,60,,-250,275,1162\n3,base,,,80,262,1152\n4,both,60,5,-215,-190,1195\n"
    "5,both,60,8,-200,-270,1215\n6,base,,,82,259,1151\n7,both,60,11,-185,-345,1240\n8,both,60,7,-205,-2400,1209\n"
)


async def test_a_reading_that_was_saved_in_a_hurry_goes_on_being_asked_about(running, desk):
    desk.write(runs=FAR)
    async with running(desk.session) as ui:
        assert "! run 8: " in ui.text
        await ui.press("n")
        assert "Worth a second look" in ui.text
        assert "run 8: " in ui.text
