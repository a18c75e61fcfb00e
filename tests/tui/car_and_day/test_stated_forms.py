"""The car and the day corrected on the screen: the files keep their comments, order and whatever the form does not know."""

import difflib
import os
import shutil
import tempfile
from contextlib import contextmanager
from pathlib import Path

import pytest

from balance.files.loader import load_session

NOBODY = 65534


def changed_lines(before, after):
    """Give what was taken out of a text and what came in, line by line."""
    lines = list(difflib.ndiff(before.splitlines(), after.splitlines()))
    return [line[2:] for line in lines if line[0] == "-"], [line[2:] for line in lines if line[0] == "+"]


async def test_a_car_weighed_again_in_pounds_keeps_every_other_byte_and_moves_the_figures(running, demo):
    file = demo.parent / "vehicle.toml"
    before = file.read_bytes()
    async with running(demo) as ui:
        front = ui.state.session.vehicle.front_share
        await ui.press("C")
        assert ui.screen == "EditFile"
        assert ui.field("mass.corners.front_left").value == "362 kg"
        await ui.fill(mass__corners__front_left="820 lb", size__wheelbase="2.561 m")
        assert "front left 362 kg → 820 lb, wheelbase 2560 mm → 2.561 m" in ui.text
        await ui.press("f10")
        assert ui.screen == "Home"
        assert ui.state.session.vehicle.front_share > front
        assert ui.state.assessment.day.session.vehicle.wheelbase == 2.561
    after = file.read_bytes()
    assert after == before.replace(b'"362 kg"', b'"820 lb"').replace(
        b'wheelbase = "2560 mm"', b'wheelbase = "2.561 m"'
    )
    # 1 lb is 0.45359237 kg: international avoirdupois pound, by definition
    assert load_session(demo).vehicle.mass == pytest.approx(820 * 0.45359237 + 352 + 235 + 231)


async def test_a_field_emptied_is_not_stated_and_one_that_has_to_be_there_is_refused(running, demo):
    file = demo.parent / "vehicle.toml"
    before = file.read_text(encoding="utf-8")
    async with running(demo) as ui:
        await ui.press("C")
        await ui.fill(mass__cg_height="", size__wheelbase="")
        await ui.press("f10")
        assert ui.screen == "EditFile"
        assert "wheelbase: found nothing, expected it, as 2575 mm" in ui.text
        assert file.read_text(encoding="utf-8") == before
        await ui.fill(size__wheelbase="2560 mm")
        await ui.press("f10")
        assert ui.state.session.vehicle.cg_height is None
        gone, come = changed_lines(before, file.read_text(encoding="utf-8"))
        assert [line.split("=")[0] for line in gone + come] == ["cg_height ", "# cg_height "]
        await ui.press("C")
        await ui.fill(mass__cg_height="520 mm")
        await ui.press("f10")
    assert file.read_text(encoding="utf-8") == before


async def test_what_the_whole_session_could_not_be_read_with_is_said_and_nothing_is_written(running, desk):
    head = "run,configuration,front_lift_coefficient,rear_lift_coefficient,drag_coefficient"
    desk.write(runs=f"{head}\n1,base,0.01,0.05,0.4\n", session=desk.bare)
    async with running(desk.session) as ui:
        await ui.press("C")
        await ui.fill(size__frontal_area="", mass__total="1300")
        assert "mass as it runs: found '1300' without a unit, expected a mass with its unit" in ui.text
        await ui.fill(mass__total="1300 kg")
        await ui.press("f10")
        assert ui.screen == "EditFile"
        assert "facility.reference_area: found nothing, expected the area" in ui.text
        assert (desk.car / "vehicle.toml").read_text(encoding="utf-8") == desk.vehicle
        await ui.fill(size__frontal_area="21.3 ft^2")
        await ui.press("f10")
        assert ui.screen == "Home"
    assert (desk.car / "vehicle.toml").read_text(encoding="utf-8") == desk.vehicle.replace(
        "1290 kg", "1300 kg"
    ).replace("1.98 m^2", "21.3 ft^2")


async def test_a_place_is_added_one_corrected_and_one_taken_out(running, demo):
    file = demo / "session.toml"
    before = file.read_text(encoding="utf-8")
    async with running(demo) as ui:
        await ui.press("D")
        assert ui.field("places.1.name").value == "crest"
        await ui.fill(places__0__speed="92 mph", places__1__name="", places="pit straight 140 mph")
        await ui.press("f10")
        assert "found nothing, expected text" in ui.text
        assert file.read_text(encoding="utf-8") == before
        await ui.fill(places__1__speed="")
        await ui.press("f10")
        assert ui.screen == "Home"
        assert [place.name for place in ui.state.places] == ["long left", "bridge esses", "pit straight"]
    gone, come = changed_lines(before, file.read_text(encoding="utf-8"))
    assert [line for line in gone if line] == [
        'speed = "148 km/h"',
        "[[places]]",
        'name = "crest"',
        'speed = "172 km/h"',
    ]
    assert [line for line in come if line] == [
        'speed = "92 mph"',
        "[[places]]",
        'name = "pit straight"',
        'speed = "140 mph"',
    ]


async def test_a_change_made_outside_meanwhile_is_neither_lost_nor_overwritten_unseen(running, desk):
    file = desk.car / "vehicle.toml"
    async with running(desk.session) as ui:
        await ui.press("C")
        await ui.fill(mass__total="1300 kg", drive__driven="rear")
        theirs = desk.vehicle.replace("1290 kg", "1310 kg").replace("54.2 %", "53 %")
        file.write_text(theirs, encoding="utf-8")
        await ui.press("f10")
        assert ui.screen == "EditFile"
        assert "vehicle.toml was changed outside axletrim meanwhile: nothing was overwritten" in ui.text
        assert "mass as it runs: here 1300 kg, in the file by now 1310 kg" in ui.text
        assert ui.field("mass.front_share").value == "53 %"
        assert ui.field("mass.total").value == "1300 kg"
        assert file.read_text(encoding="utf-8") == theirs
        await ui.press("f10")
        assert ui.screen == "Home"
        assert ui.state.session.vehicle.front_share == 0.53
    assert (
        file.read_text(encoding="utf-8")
        == theirs.replace("1310 kg", "1300 kg") + '\n[drive]\ndriven = "rear"\n'
    )


async def test_a_file_broken_outside_meanwhile_covers_nothing_that_is_typed(running, desk):
    async with running(desk.session) as ui:
        await ui.press("C")
        await ui.fill(mass__total="1300 kg")
        desk.write(vehicle=desk.vehicle.replace('"1290 kg"', '"1290'))
        await ui.look_for_changes()
        assert ui.screen == "EditFile"
        await ui.press("f10")
        assert "found text that is not TOML" in ui.text
        desk.write(vehicle=desk.vehicle)
        await ui.press("f10")
        assert ui.screen == "Home"
    assert load_session(desk.session).vehicle.mass == 1300.0


@contextmanager
def without_rights():
    """Act for a while as somebody who may write nothing here; the superuser may write anywhere."""
    superuser = os.geteuid() == 0
    if superuser:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if superuser:
            os.seteuid(0)


@pytest.fixture
def closed_car(desk):
    """A car in a folder that others may look into and nobody may write into."""
    with tempfile.TemporaryDirectory() as place:
        Path(place).chmod(0o755)
        car = shutil.copytree(desk.car, Path(place) / "car")
        car.chmod(0o555)
        yield car


async def test_a_folder_that_may_only_be_read_is_said_in_the_form(running, desk, closed_car):
    async with running(closed_car / "day") as ui:
        await ui.press("C")
        await ui.fill(mass__total="1300 kg")
        with without_rights():
            await ui.press("f10")
        assert ui.screen == "EditFile"
        assert "vehicle.toml: found no permission to write" in ui.text
        assert ui.field("mass.total").value == "1300 kg"
        assert (closed_car / "vehicle.toml").read_text(encoding="utf-8") == desk.vehicle
        closed_car.chmod(0o755)
        await ui.press("f10")
        assert ui.screen == "Home"
        assert ui.state.session.vehicle.mass == 1300.0


async def test_leaving_with_something_typed_asks_and_leaving_without_does_not(running, desk):
    async with running(desk.session) as ui:
        await ui.press("C", "escape")
        assert ui.screen == "Home"
        await ui.press("D")
        await ui.fill(title="Another title")
        await ui.press("escape")
        assert "Drop what was typed?" in ui.text
        assert "Typed and not written: title." in ui.text
        await ui.press("g")
        assert ui.field("title").value == "Another title"
        ui.app.action_parts()
        await ui.settle()
        assert ui.screen == "EditFile"
        await ui.press("ctrl+q")
        assert "Typed into a form and not written: title" in ui.text
        await ui.press("s", "escape", "d")
        assert ui.screen == "Home"
    assert load_session(desk.session).title == "Spring tunnel day (invented)"


async def test_other_sessions_that_use_the_car_are_named(running, desk):
    other = desk.car / "second_day"
    other.mkdir()
    (other / "session.toml").write_text(desk.bare, encoding="utf-8")
    async with running(desk.session) as ui:
        await ui.press("C")
        assert "another day uses this file too: second_day" in ui.text


async def test_a_day_without_runs_and_one_with_unsaved_runs_are_corrected_as_they_stand(running, desk):
    desk.write(runs=desk.head)
    async with running(desk.session) as ui:
        await ui.press("D")
        await ui.fill(facility__air_density="0.0765 lb/ft^3")
        await ui.press("f10")
        assert ui.screen == "Home"
        assert ui.state.blank.facility.air_density == pytest.approx(0.0765 * 0.45359237 / 0.3048**3)
        await ui.press("a")
        await ui.type_line("84 260 1150 configuration base")
        await ui.press("enter", "escape")
        await ui.press("D")
        await ui.fill(title="Named at noon")
        await ui.press("f10")
        assert ui.state.session.title == "Named at noon"
        assert ui.state.work.undo == "session.toml: title Spring tunnel day (invented) → Named at noon"
        await ui.press("U", "U")
        assert ui.state.session.title == "Spring tunnel day (invented)"
    assert (desk.session / "runs.csv").read_text(encoding="utf-8") == desk.head


async def test_a_day_that_is_open_elsewhere_cannot_be_corrected(running, desk):
    async with running(desk.session), running(desk.session) as second:
        await second.press("r")
        await second.press("C")
        assert second.screen == "Home"
        assert "nothing can be changed here" in second.text
