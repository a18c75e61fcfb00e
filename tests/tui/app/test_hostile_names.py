"""Names that try to break a screen: markup, length, wide and hidden characters."""

import pytest
from rich.cells import cell_len

HOSTILE = {
    "markup": "[/] [bold]wing[/bold] [@click=app.quit]x[/]",
    "html": "<script>alert(1)</script>",
    "long": "wing " * 60,
    "emoji": "wing \N{RACING CAR}\N{VARIATION SELECTOR-16} \N{MAN}\N{ZERO WIDTH JOINER}\N{WRENCH}",
    "right to left": "wing \u05d0\u05d1\u05d2 4",
    "wide": "翼 " * 20,
    "marks": "a\u0301" * 40,
}
HIDDEN = set("\u202e\u202c\u200d\ufe0f\u200f")


def check(ui, width):
    assert all(cell_len(line) == width for line in ui.lines), ui.screen
    assert not HIDDEN & set(ui.text), ui.screen


@pytest.mark.parametrize("name", HOSTILE.values(), ids=HOSTILE)
@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_names_are_shown_as_they_are_and_lines_keep_their_width(running, desk, name, size):
    desk.write(
        runs=f"{desk.head.strip()},part,note\n1,{name},84,260,1150,{name},{name}\n",
        vehicle=desk.vehicle.replace("Larkspur coupe (invented)", name),
        session=(desk.bare + desk.stated + desk.places)
        .replace("Spring tunnel day (invented)", name)
        .replace("fast left", name),
    )
    async with running(desk.session, size=size) as ui:
        assert ui.screen == "Home"
        check(ui, size[0])
        for key in ("d", "n", "question_mark", "o", "v", "ctrl+p"):
            await ui.press(key)
            check(ui, size[0])
            await ui.press("escape")
        await ui.press("p")
        check(ui, size[0])
        assert "at 185 km/h" in ui.text
        assert "? help" in ui.lines[-1]


async def test_markup_is_never_obeyed(running, desk):
    desk.write(runs=f"{desk.head}1,{HOSTILE['markup']},84,260,1150\n")
    async with running(desk.session) as ui:
        assert "[/] [bold]wing[/bold]" in ui.text
        await ui.press("d")
        assert "[/] [bold]wing[/bold]" in ui.text


async def test_a_hostile_fault_is_shown_as_it_is(running, desk):
    desk.write(runs=f"{desk.head}1,base,[/],[bold]260,<b>\n")
    async with running(desk.session) as ui:
        assert ui.screen == "Faults"
        for words in ("'[/]'", "'[bold]260'", "'<b>'"):
            assert words in ui.text


async def test_marks_that_turn_the_direction_are_refused_and_never_sent_to_the_terminal(running, desk):
    desk.write(runs=f"{desk.head}1,wing \u202egnilrats\u202c,84,260,1150\n")
    async with running(desk.session) as ui:
        assert ui.screen == "Faults"
        check(ui, 120)
