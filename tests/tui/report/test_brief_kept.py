"""A text that the customer's page refuses: in the journal until it is mended, and offered back after any end."""

import json
import tomllib

from textual.widgets import TextArea

from tests.terminal import Terminal, wait_until
from tui.widgets.asked_form import AskedForm


def kept(folder):
    lines = (folder / ".axletrim-journal").read_text(encoding="utf-8").strip().splitlines()
    return [record["typed"] for record in map(json.loads, lines) if record["kind"] == "brief"]


async def speed(ui, text):
    down = ["down"] * list(ui.find(AskedForm).keys).index("speed")
    await ui.press("f2", *down, *({" ": "space"}.get(one, one) for one in text), "enter")


async def test_a_refused_text_is_offered_back_and_gone_once_it_is_mended(running, demo):
    async with running(demo) as ui:
        await ui.press("7")
        await speed(ui, "148")
        assert kept(demo)[-1] == {"speed": "148"}  # a slow machine keeps what was typed of it before, too
    async with running(demo) as ui:
        assert ui.state.brief_typed == {"speed": "148"}
        assert "kept in the journal: stated at speed" in " ".join(
            one.message for one in ui.app._notifications
        )
        await ui.press("7")
        assert ui.find(AskedForm).values["speed"] == "148"
        assert "found '148' without a unit" in ui.text
        await speed(ui, "148 km/h")
        assert kept(demo)[-1] == {}
        assert tomllib.loads((demo / "report.toml").read_text(encoding="utf-8"))["speed"] == "148 km/h"
    async with running(demo) as ui:
        assert ui.state.brief_typed == {}


async def test_own_words_that_a_broken_file_refuses_outlive_a_kill(running, demo):
    (demo / "report.toml").write_text('title = "half\n', encoding="utf-8")
    journal = demo / ".axletrim-journal"
    terminal = Terminal(demo)
    try:
        terminal.shows("Brindlow")
        wait_until(journal.exists, "the day is open for work")
        terminal.type("7")
        terminal.shows("own words")
        terminal.type("\x1b[17~")  # F6
        terminal.type("Two quiet days")
        wait_until(lambda: b"Two quiet days" in journal.read_bytes(), "the words are in the journal")
    finally:
        terminal.kill()
    async with running(demo) as ui:
        await ui.press("7")
        assert ui.find(TextArea).text.strip() == "Two quiet days"
        assert (demo / "report.toml").read_text(encoding="utf-8") == 'title = "half\n'
