"""A watched file with decimal commas: read where they say it, asked about where they do not, and kept over restarts."""

import pytest
from textual.widgets import OptionList

HEAD = "run;configuration;front_lift [N];rear_lift [N];drag [N]\n"
OPEN = f"{HEAD}11;flap;-96;214;1,162\n"


@pytest.fixture
def other(tmp_path):
    return tmp_path / "readings.csv"


async def watch(ui, path):
    await ui.press("l")
    ui.find("#text").value = str(path)
    await ui.press("enter")
    await ui.look_for_changes()


async def add(ui, path, line):
    with path.open("a", encoding="utf-8") as more:
        more.write(line)
    await ui.look_for_changes()


def rows(desk):
    return (desk.session / "runs.csv").read_text(encoding="utf-8").splitlines()[5:]


def listed(ui):
    options = ui.find(OptionList)
    return [str(options.get_option_at_index(k).prompt) for k in range(options.option_count)]


def asked(ui):
    return str(ui.find(".heading").content)


def told(ui):
    return " ".join(one.message for one in ui.app._notifications)


async def test_what_can_be_read_in_one_way_only_becomes_a_run_with_a_decimal_point(running, desk, other):
    other.write_text(f"{HEAD}11;flap;-96,4;214,2;873\n12;flap;\u221297,0;(215,2);1.162,5\n", encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert rows(desk) == ["11,flap,-96.4,214.2,873", "12,flap,-97.0,-215.2,1162.5"]
        assert "decimal mark: comma, as the figures show" in ui.text


async def test_what_can_be_read_in_two_ways_is_asked_and_never_guessed(running, desk, other):
    other.write_text(OPEN, encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert rows(desk) == []
        assert "which is the decimal mark? '1,162' can be read in two ways" in ui.text
        assert "decimal mark?" in ui.text
        await ui.press("f6")
        assert listed(ui) == [",  decimal mark  NEEDED: '1,162' can be read in two ways"]
        await ui.press("comma")
        assert listed(ui) == ["p  point  '1,162' is 1162", "c  comma  '1,162' is 1.162"]
        await ui.press("escape", "escape")
        assert rows(desk) == []
        await ui.press("enter")  # on the row that waits for it
        assert "'1,162' can be read in two ways" in asked(ui)
        await ui.press("p")
        assert rows(desk) == ["11,flap,-96,214,1162"]
        assert "decimal mark: point, chosen by you" in ui.text


async def test_the_answer_is_known_after_a_restart_and_can_be_changed_or_taken_back(running, desk, other):
    other.write_text(OPEN, encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("enter", "p")
    async with running(desk.session) as ui:
        assert "1 row of it taken so far; decimal point." in ui.text
        await ui.press("w", "l")
        await add(ui, other, "12;flap;-96;214;1,163\n")
        assert rows(desk)[1:] == ["12,flap,-96,214,1163"]
        await ui.press("f6", "comma", "c", "escape")
        await add(ui, other, "13;flap;-96;214;1,164\n")
        assert rows(desk) == ["11,flap,-96,214,1162", "12,flap,-96,214,1163", "13,flap,-96,214,1.164"]
        await ui.press("f6", "comma", "f", "escape")
        await add(ui, other, "14;flap;-96;214;1,165\n")
        assert len(rows(desk)) == 3
        assert "which is the decimal mark?" in ui.text


async def test_a_row_that_settles_it_lets_those_that_waited_go_on(running, desk, other):
    other.write_text(OPEN, encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await add(ui, other, "12;flap;84,5;214;873\n")
        assert rows(desk) == ["11,flap,-96,214,1.162", "12,flap,84.5,214,873"]


async def test_a_figure_against_the_mark_waits_with_its_reason_and_can_be_typed(running, desk, other):
    other.write_text(f"{HEAD}11;flap;-96,4;214,2;873\n", encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("f6", "comma", "c", "escape")
        await add(ui, other, "12;flap;-96.4;214,2;873\n13;flap;-98,4;214,2;873\n")
        assert [line[:2] for line in rows(desk)] == ["11", "13"]
        assert "CANNOT BE READ" in ui.text
        assert (
            "readings.csv:3, row 12: found '-96.4' under 'front_lift [N]', expected a number with a decimal comma"
            in ui.text
        )
        await ui.press("enter")
        assert (
            "a figure of the row cannot be read: front_lift [N] rear_lift [N] drag [N], then what" in ui.text
        )
        assert "readings.csv:3, row 12: found" in ui.text
        ui.find("#line").value = "-96.4 214.2 873 repeat"
        await ui.press("enter", "enter")  # it is doubted
        assert rows(desk)[-1] == "12,flap,-96.4,214.2,873"
        assert ui.state.work.waiting == 0


async def test_a_row_half_entered_is_read_as_before_after_a_restart(running, desk, other):
    other.write_text("run;front_lift [N];rear_lift [N];drag [N]\n11;-96,4;214,2;err\n", encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("enter")
        await ui.type("-96.4 214.2 8")
        await ui.press("escape")
    async with running(desk.session) as ui:
        await ui.press("n")
        await ui.press("t")
        assert ui.find("#line").value == "-96.4 214.2 8"
        assert "found 'err'" in " ".join(ui.app.screen.typing.row_faults)
        assert len(ui.app.screen.typing.row_faults) == 1  # the others are read with the comma
        await ui.type("73 repeat")
        await ui.press("enter", "enter")  # it is doubted
        assert rows(desk) == ["11,wing,-96.4,214.2,873"]


async def test_decimal_commas_between_commas_wait_and_are_not_taken_by_enter(running, desk, other):
    other.write_text(f"{HEAD}11;flap;-96,4;214,2;873\n".replace(";", ","), encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert (
            "found 7 cells, expected 5 as in the header (a separator inside a cell, as a decimal comma between commas?)"
            in ui.text
        )
        await ui.press("enter")
        assert ui.screen == "Live"
        assert "set the row aside with Del" in told(ui)
        assert rows(desk) == []


async def test_a_correction_is_read_with_the_same_mark(running, desk, other):
    text = f"{HEAD}11;flap;-96,4;214,2;873\n12;flap;-97,4;214,2;873\n"
    other.write_text(text, encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        other.write_text(text.replace("-96,4;214,2;873", "-96,4;214,2;1.162"), encoding="utf-8")
        await ui.look_for_changes()
        assert "drag [N]: 873 → 1.162" in ui.text
        await ui.press("enter", "a")
        assert rows(desk)[0] == "11,flap,-96.4,214.2,1162"
        await ui.press("f6", "comma", "c", "escape")
        other.write_text(text.replace("-96,4;214,2;873", "-96.4;214,2;1.162"), encoding="utf-8")
        await ui.look_for_changes()
        await ui.press("enter")
        assert "It cannot be taken over by itself" in ui.text
        assert "accept: correct run" not in ui.text
        await ui.press("l")
        assert rows(desk)[0] == "11,flap,-96.4,214.2,1162"
        assert ui.state.work.waiting == 0
