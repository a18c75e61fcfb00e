"""What a run should read, while it is typed, once it is saved, and in the rows of a watched file that wait."""

from textual.widgets import Static

from tui.widgets.sheet import Sheet


def said(ui):
    return " ".join(str(ui.find("#preview").query_one(Static).render()).split())


async def test_the_expected_range_stands_before_a_figure_is_typed_and_moves_with_the_settings(running, demo):
    async with running(demo) as ui:
        await ui.press("a")
        await ui.fill(splitter_length="60", wing_angle="8", configuration="splitter and wing")
        await ui.until(lambda: "expected: front lift −" in said(ui), ui.pilot.pause)
        assert "run before, the range of a repeat" in said(ui)
        before = said(ui)
        await ui.fill(wing_angle="6.5")
        await ui.until(lambda: "not run yet, from the runs so far" in said(ui), ui.pilot.pause)
        assert said(ui) != before
        await ui.fill(canards="")
        await ui.fill(vents="closed")
        await ui.until(lambda: "expected: front lift" in said(ui), ui.pilot.pause)


async def test_a_right_reading_is_as_expected_and_a_turned_sign_is_asked_about_and_taken(running, demo):
    async with running(demo) as ui:
        await ui.press("a")
        await ui.type_line("97 285 1162 repeat")
        assert "As expected: front, rear and drag are inside their 95 % ranges." in said(ui)
        await ui.type_line("97 -285 1162 repeat")
        assert "Not as expected: rear" in said(ui)
        assert "Check: sign of the rear turned?" in said(ui)
        assert "reads as in run" not in said(ui)  # one guard, not two
        await ui.press("enter", "enter")
        await ui.until(lambda: "As expected?" in said(ui), ui.pilot.pause)
        assert "Check: sign of the rear turned?" in said(ui)
        assert (demo / "runs.csv").read_text(encoding="utf-8").splitlines()[-1].startswith("25,")


async def test_at_another_speed_the_range_is_that_of_the_speed(running, demo):
    """By hand: forces go by the square of the speed, so that at half of it they are a quarter."""
    async with running(demo) as ui:
        await ui.press("a")
        await ui.fill(speed="80")
        await ui.until(lambda: "drag 28" in said(ui) or "drag 29" in said(ui), ui.pilot.pause)


async def test_the_first_run_of_a_day_has_nothing_to_be_held_against(running, desk):
    desk.write(runs=desk.head)
    async with running(desk.session) as ui:
        await ui.press("a")
        await ui.type_line("84 260 1150 configuration base")
        assert "nothing unlikely in it" in said(ui)
        assert isinstance(ui.find("#preview"), Sheet)


async def test_a_row_that_waits_says_what_it_should_read(running, desk, tmp_path):
    other = tmp_path / "readings.csv"
    other.write_text(
        "run,front_lift [N],rear_lift [N],drag [N]\n11,121,-478,1231\n12,121,478,1231\n", encoding="utf-8"
    )
    async with running(desk.session) as ui:
        await ui.press("l")
        ui.find("#text").value = str(other)
        await ui.press("enter")
        await ui.look_for_changes()
        await ui.until(lambda: "expected, unchanged since run 4" in ui.text, ui.pilot.pause)
        assert "it reads as expected" in ui.text
        await ui.press("down")
        await ui.until(lambda: "it reads otherwise: rear" in ui.text, ui.pilot.pause)
