"""A long file on the import screen: how far it is, keys that answer meanwhile, a way to stop. Threads for real."""

import csv
import io

import pytest
from textual.events import Key

from balance.files.loader import load_session

LONG, SHORTER, SHORT = 100_000, 6_000, 1_000
"""Rows that take many seconds to read, about one, and less: enough to look in between."""


@pytest.fixture
def table(desk, tmp_path):
    """Make a table with so many runs that leaves nothing to ask: names, roles and facts stand in it."""

    def make(count):
        out = io.StringIO()
        lines = csv.writer(out, lineterminator="\n")
        lines.writerow(["# axletrim export 1"])
        lines.writerows([f"# {line}"] for line in (desk.bare + desk.stated).splitlines())
        out.write(desk.head)
        for run in range(1, count + 1):
            lines.writerow(
                [run, ("base", "splitter", "wing")[run % 3], 80 + run % 7, 260 - run % 5, 1150 + run % 11]
            )
        file = tmp_path / "theirs.csv"
        file.write_text(out.getvalue(), encoding="utf-8")
        return file

    return make


def names(folder):
    return sorted(
        str(path.relative_to(folder)) for path in folder.rglob("*") if ".axletrim-" not in path.name
    )


def send(ui, key):
    """Press a key without waiting for what is at work."""
    ui.app.post_message(Key(key, {"question_mark": "?"}.get(key, key if len(key) == 1 else None)))


async def begin(ui, file):
    """Ask for a file to be imported, and look as soon as its progress is shown."""
    await ui.press("i")
    ui.find("#text").value = str(file)
    send(ui, "enter")
    await ui.until(lambda: ui.screen == "Importing" and ("%" in ui.text or ui.app.screen._plan is not None))
    return ui.app.screen


async def test_reading_says_how_far_it_is_and_keys_answer_meanwhile(running, desk, table):
    async with running(desk.session) as ui:
        screen = await begin(ui, table(LONG))
        assert screen._plan is None
        shown = set()

        def look():
            shown.update(part for part in ui.text.split(" · ") if part.endswith("%"))
            return len(shown) > 1

        await ui.until(look)
        assert all(
            said.startswith(("reading the file: ", "parting rows and columns: ", "sorting rows: "))
            for said in shown
        )
        assert "F8 stops" in ui.text
        send(ui, "question_mark")
        await ui.until(lambda: ui.screen == "Help")
        assert screen._plan is None, "the help came only once the file was read"
        send(ui, "escape")
        await ui.until(lambda: ui.app.screen is screen)
        assert screen._plan is None
        send(ui, "f8")
        await ui.until(lambda: "stopped; nothing was written" in ui.text)


async def test_reading_is_stopped_with_nothing_written(running, desk, table):
    async with running(desk.session) as ui:
        file = table(LONG)
        before = names(desk.car)
        screen = await begin(ui, file)
        send(ui, "f8")
        await ui.until(lambda: not ui.busy)
        await ui.settle()
        assert screen._plan is None
        assert "stopped; nothing was written" in ui.text
        assert "nothing was read and nothing was written: esc goes back" in ui.text
        assert "%" not in ui.text
        await ui.press("f10")
        assert ui.app.screen is screen
        await ui.press("escape")
        assert ui.screen == "Home"
        assert names(desk.car) == before


async def written(ui, file):
    """Read a file to its end, ask for its session, and look as soon as that is being written."""
    screen = await begin(ui, file)
    await ui.until(lambda: screen._plan is not None)
    await ui.settle()
    await ui.press("f10")
    send(ui, "enter")
    await ui.until(lambda: ui.app.screen is screen and "%" in ui.text)
    return screen


async def test_writing_is_stopped_with_nothing_left(running, desk, table):
    async with running(desk.session) as ui:
        before = names(desk.car)
        screen = await written(ui, table(SHORTER))
        assert any(f"{words}: " in ui.text for words in ("writing", "reading it back"))
        send(ui, "f10")
        await ui.until(lambda: "writing … · F8 stops" in ui.text)
        send(ui, "f8")
        await ui.until(lambda: not ui.busy)
        await ui.settle()
        assert ui.app.screen is screen
        assert "stopped; nothing was written" in ui.text
        assert "nothing left to ask: F10 writes the day" in ui.text
        assert names(desk.car) == before


async def test_leaving_while_it_is_written_leaves_nothing(running, desk, table):
    async with running(desk.session) as ui:
        before = names(desk.car)
        await written(ui, table(SHORTER))
        send(ui, "escape")
        await ui.until(lambda: ui.screen == "Home" and not ui.busy)
        await ui.until(
            lambda: names(desk.car) == before
        )  # its thread stops a moment after the screen is gone


async def test_a_long_file_that_is_let_finish_is_the_session(running, desk, table):
    async with running(desk.session) as ui:
        await written(ui, table(SHORT))
        made = desk.car / "theirs"
        await ui.until(lambda: f"{SHORT} runs imported" in ui.text)
        await ui.until(lambda: ui.state.path == str(made))
        assert len(load_session(made).runs) == SHORT
        assert names(made) == ["import.toml", "runs.csv", "session.toml", "theirs.csv"]
