"""What is typed into a form of a car or a day: kept at each pause, brought back, and taken back with U once it is saved."""

import os

import pytest

from balance.files.day.opening import open_day
from balance.files.loader import load_session
from tests.terminal import Terminal, wait_until


async def test_a_saved_correction_of_the_car_is_taken_back_and_done_again(running, desk):
    file = desk.car / "vehicle.toml"
    async with running(desk.session) as ui:
        await ui.press("C")
        await ui.fill(mass__total="1300 kg", size__wheelbase="2.6 m", mass__front_share="53 %")
        assert "U takes it back" in ui.text
        await ui.press("f10")
        assert ui.state.work.undo.startswith("vehicle.toml: mass as it runs 1290 kg → 1300 kg, ")
        corrected = file.read_text(encoding="utf-8")
        await ui.press("U")
        assert "taken back: vehicle.toml" in ui.text
        assert file.read_text(encoding="utf-8") == desk.vehicle
        assert ui.state.session.vehicle.mass == 1290.0
        assert ui.state.assessment.day.session.vehicle.mass == 1290.0
        await ui.press("R")
        assert file.read_text(encoding="utf-8") == corrected
        assert ui.state.session.vehicle.mass == 1300.0


async def test_a_file_changed_outside_since_is_said_and_undo_goes_on(running, desk):
    file = desk.car / "vehicle.toml"
    async with running(desk.session) as ui:
        await ui.press("C")
        await ui.fill(mass__total="1300 kg")
        await ui.press("f10")
        theirs = file.read_text(encoding="utf-8") + "# theirs\n"
        file.write_text(theirs, encoding="utf-8")
        await ui.look_for_changes()
        await ui.press("U")
        assert "undo: vehicle.toml: found" in ui.text
        assert ui.state.work.undo == ""
    assert file.read_text(encoding="utf-8") == theirs


async def test_what_was_typed_of_the_car_and_the_day_is_offered_when_the_session_is_opened_again(
    running, desk
):
    with open_day(desk.session) as day:
        day.half_typed.keep_form(
            day.name_of(day.car_file), {"mass.total": "1300 kg", "size.frontal_area": ""}
        )
        day.half_typed.keep_form("session.toml", {"title": "Another"})
    async with running(desk.session) as ui:
        assert "The form of vehicle.toml was half typed when axletrim ended" in ui.text
        assert "mass as it runs 1300 kg, frontal area emptied" in ui.text
        await ui.press("t")
        assert ui.screen == "EditFile"
        assert "brought back, typed before and not written: mass as it runs, frontal area" in ui.text
        assert ui.field("mass.total").value == "1300 kg"
        assert ui.field("size.frontal_area").value == ""
        await ui.press("f10")
        assert ui.screen == "Home"
    assert load_session(desk.session).vehicle.mass == 1300.0
    assert load_session(desk.session).vehicle.frontal_area is None
    async with running(desk.session) as ui:
        assert "The form of session.toml was half typed" in ui.text
        await ui.press("d")
        assert ui.screen == "Home"
    async with running(desk.session) as ui:
        assert ui.screen == "Home"
    assert load_session(desk.session).title == "Spring tunnel day (invented)"


async def test_what_was_brought_back_and_will_not_do_is_said_at_once(running, desk):
    with open_day(desk.session) as day:
        day.half_typed.keep_form(day.name_of(day.car_file), {"mass.total": "1300"})
    async with running(desk.session) as ui:
        await ui.press("t")
        assert "mass as it runs: found '1300' without a unit" in ui.text
        await ui.press("escape")
        assert "Typed and not written: mass as it runs." in ui.text
        await ui.press("d")
    with open_day(desk.session) as day:
        assert day.half_typed.forms == {}


async def test_leaving_keeps_what_is_typed_into_a_form_and_says_so(running, desk):
    async with running(desk.session) as ui:
        await ui.press("D")
        await ui.fill(title="Another title")
        await ui.press("ctrl+q")
        assert "Typed into a form and not written: title. It is kept" in ui.text
        await ui.press("l")
    async with running(desk.session) as ui:
        await ui.press("t")
        assert ui.field("title").value == "Another title"


async def test_a_new_car_and_a_new_day_half_typed_stand_in_their_forms_again(running, place_of_its_own):
    async with running() as ui:
        await ui.press("f3")
        await ui.fill(name="Larkspur coupe", mass__total="2844 lb")
        await ui.press("ctrl+q", "l")
    async with running() as ui:
        await ui.press("f3")
        assert "brought back, typed before and not written: name, mass as it runs" in ui.text
        assert ui.field("folder").value == str(place_of_its_own / "larkspur_coupe")
        await ui.fill(mass__front_share="54.2 %", size__wheelbase="101.4 in")
        await ui.press("f10")
        await ui.fill(title="Spring day")
        await ui.press("ctrl+q", "l")
    assert (place_of_its_own / "larkspur_coupe" / "vehicle.toml").exists()
    async with running() as ui:
        await ui.press("f3")
        assert ui.field("name").value == ""
        await ui.press("escape")
        await ui.press("f2")
        assert ui.field("title").value == "Spring day"
        await ui.press("escape", "d")
        await ui.press("f2")
        assert ui.field("title").value == ""


@pytest.mark.skipif(os.name != "posix", reason="a terminal as on Unix")
async def test_a_form_typed_into_before_the_tool_was_killed_is_offered_back(running, desk):
    journal, file = desk.session / ".axletrim-journal", desk.session / "session.toml"
    before = file.read_bytes()
    terminal = Terminal(desk.session)
    try:
        terminal.shows("Larkspur coupe")
        wait_until(journal.exists, "the day is open for work")
        terminal.type("D")
        terminal.shows("D A Y")
        terminal.type("Named at noon")
        wait_until(lambda: b"Named at noon" in journal.read_bytes(), "the title is on the disk")
    finally:
        terminal.kill()
    assert file.read_bytes() == before
    async with running(desk.session) as ui:
        assert "title Named at noon" in ui.text
        await ui.press("t")
        assert ui.field("title").value == "Named at noon"


@pytest.mark.skipif(os.name != "posix", reason="a terminal as on Unix")
async def test_a_new_car_typed_before_the_tool_was_killed_stands_in_the_form_again(running, place_of_its_own):
    file = place_of_its_own / "data" / "axletrim" / "forms" / "new_car.journal"
    terminal = Terminal(None)
    try:
        terminal.shows("Open a day")
        terminal.type("\x1bOR")  # F3, as an xterm sends it
        terminal.shows("N E W   C A R")
        terminal.type("Larkspur")
        wait_until(lambda: file.exists() and b"Larkspur" in file.read_bytes(), "the name is on the disk")
    finally:
        terminal.kill()
    async with running() as ui:
        await ui.press("f3")
        assert ui.field("name").value == "Larkspur"
