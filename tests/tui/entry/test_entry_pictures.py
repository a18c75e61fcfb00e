"""Pictures of the screens on which a day is typed, in the sizes they have to fit."""

import pytest
from textual.widgets import Input

from tui.app.app import AxletrimApp

SIZES = pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")


@pytest.fixture
def pictured(snap_compare, interface_of):
    """Compare a picture after some keys; a text among them is put into the field at once."""

    def compare(session, size, *steps, theme=None):
        app = AxletrimApp(None if session is None else str(session))

        async def prepare(pilot):
            ui = interface_of(pilot)
            await ui.settle()
            if theme is not None:
                app.theme = theme
            for step in steps:
                if step.startswith("="):
                    await ui.type_line(step[1:])
                else:
                    await ui.press(step)
            for field in app.screen.query(Input):  # where a picture catches the cursor's blinking is chance
                field.cursor_blink = False
            await pilot.pause()

        return snap_compare(app, terminal_size=size, run_before=prepare)

    return compare


@SIZES
@pytest.mark.parametrize("theme", ["axletrim-dark", "axletrim-sunlight"])
def test_a_run_half_typed(pictured, demo, size, theme):
    assert pictured(demo, size, "a", "=-96 -2140 1150 wing 4", theme=theme)


@SIZES
def test_a_run_just_entered(pictured, demo, size):
    assert pictured(demo, size, "a", "=-96 -214 1150 wing 4", "enter", "enter")


@SIZES
def test_a_doubted_run_is_asked_about(pictured, demo, size):
    assert pictured(demo, size, "a", "=-96 -2140 1150 wing 4", "enter")


@SIZES
def test_what_was_changed(pictured, demo, size):
    assert pictured(demo, size, "a", "f2")


@SIZES
def test_a_run_corrected(pictured, demo, size):
    assert pictured(demo, size, "end", "E", "=wing 6")


@SIZES
@pytest.mark.parametrize("key", ["e", "m", "k"])
def test_what_to_do_with_a_run(pictured, demo, size, key):
    assert pictured(demo, size, "down", "down", key)


@SIZES
def test_a_day_without_runs(pictured, desk, size):
    desk.write(runs=desk.head)
    assert pictured(desk.session, size)


@SIZES
def test_a_new_car(pictured, size):
    assert pictured(None, size, "c")


@SIZES
def test_for_reading_only(pictured, desk, size):
    owner = '{"pid": 4711, "host": "elsewhere", "since": "2026-05-14T09:30:00+02:00", "started": "1"}'
    (desk.session / ".axletrim-lock").write_text(owner, encoding="utf-8")
    assert pictured(desk.session, size)
