"""A table of somebody else's on the screen: what is open is asked, the rest is shown, nothing is written before."""

import pytest
from textual.widgets import OptionList

from balance.files.loader import load_session


@pytest.fixture
def table(tmp_path):
    file = tmp_path / "theirs.csv"
    file.write_text(
        "Tunnel;;;;\nRun;Config;Lift F;Lift R;Drag\n1;base;84,5;260;1150\n2;wing;120;-480;1230\nAvg;;102;-110;1190\n"
    )
    return file


async def answers(ui, count):
    """Give the first answer offered to as many questions, and the facts that are typed."""
    typed = {"speed": "160 km/h", "air density": "1.225 kg/m^3"}
    for _ in range(count):
        if not ui.app.screen._plan.questions:
            return
        question = ui.app.screen._plan.questions[0]
        await ui.press("home", "enter")
        if ui.screen == "Pick":
            await ui.press("1")
        else:
            ui.find("#text").value = next(
                text
                for word, text in typed.items()
                if word in question.text.casefold() or question.field == word.replace(" ", "_")
            )
            await ui.press("enter")


async def test_a_foreign_table_becomes_a_session_once_all_is_answered(running, desk, table):
    async with running(desk.session) as ui:
        await ui.press("i")
        ui.find("#text").value = str(table)
        await ui.press("enter")
        assert ui.screen == "Pick"  # the columns come first: not all that a day needs are known
        assert "Columns of theirs.csv: which one is what" in ui.text
        await ui.press("escape")
        assert ui.screen == "Importing"
        assert "'Lift F' has no unit: which is it" in ui.text
        assert "decimal comma" in ui.text
        await ui.press("f10")
        assert ui.screen == "Importing"
        await answers(ui, 12)
        assert "nothing left to ask: F10 writes the day" in ui.text
        assert "2 runs, " in ui.text
        await ui.press("f10", "enter")
        made = desk.car / "theirs"
        assert ui.state.path == str(made)
        assert [run.label for run in load_session(made).runs] == ["1", "2"]


async def test_leaving_writes_nothing(running, desk, table):
    async with running(desk.session) as ui:
        await ui.press("i")
        ui.find("#text").value = str(table)
        await ui.press("enter", "escape", "escape")
        assert ui.screen == "Home"
    assert not (desk.car / "theirs").exists()


OPEN = """\
Run;Config;Front lift [N];Rear lift [N];Drag [N];Note
1;base;84,5;260;1150;
2;ditto;120;-480;1230;mean of 3 and 4
3;wing;121;-481;1231;do not use
4;wing;122;-482;1232;
"""


async def test_what_becomes_of_a_row_is_picked_in_words(running, desk, tmp_path):
    file = tmp_path / "open.csv"
    file.write_text(OPEN, encoding="utf-8")
    async with running(desk.session) as ui:
        await ui.press("i")
        ui.find("#text").value = str(file)
        await ui.press("enter")
        for words, choice in (("mean of 3 and 4", "drop line 3"), ("do not use", "void line 4")):
            plan = ui.app.screen._plan
            place = next(i for i, one in enumerate(plan.questions) if words in one.text)
            await ui.press("home", *["down"] * place, "enter")
            listed = {
                "mean of 3 and 4": ["keep line 3", "drop line 3"],
                "do not use": ["keep line 4", "void line 4"],
            }
            assert [one for one in listed[words] if one in ui.text] == listed[words]
            await ui.press(str(1 + listed[words].index(choice)))
        plan = ui.app.screen._plan
        assert plan.options.drop_rows == ("line 3",)
        assert plan.options.void_rows == ("line 4",)
        assert [row[0] for row in plan.rows] == ["1", "3", "4"]


async def test_a_blank_means_the_one_above_only_if_that_is_said(running, desk, tmp_path):
    file = tmp_path / "open.csv"
    file.write_text(OPEN.replace("mean of 3 and 4", "").replace("do not use", ""), encoding="utf-8")
    async with running(desk.session) as ui:
        await ui.press("i")
        ui.find("#text").value = str(file)
        await ui.press("enter", "home", "enter")
        assert "the one above" in ui.text
        assert "drop line 3" in ui.text
        await ui.press("o")
        ui.find("#text").value = "no"
        await ui.press("enter")
        assert ui.screen == "AskText"
        ui.find("#text").value = "the one above"
        await ui.press("enter")
        assert [row[1] for row in ui.app.screen._plan.rows] == ["base", "base", "wing", "wing"]


async def test_a_table_joins_the_open_day_as_one_step_and_undo_takes_it_back(running, desk, table):
    table.write_text(
        "Run;Config;Lift F [N];Lift R [N];Drag [N]\n11;flap;84,5;260;1150\n1;wing;120;-480;1230\n"
    )
    before = (desk.session / "runs.csv").read_text(encoding="utf-8")
    async with running(desk.session) as ui:
        await ui.press("i")
        ui.find("#text").value = str(table)
        await ui.press("enter", "f9")
        assert "the day has a run '1' already, with other readings" in ui.text
        await ui.press("1")
        assert ui.screen == "Home"
        added = "11,flap,84.5,260,1150\n1 (2),wing,120,-480,1230\n"
        assert (desk.session / "runs.csv").read_text(encoding="utf-8") == before + added
        assert ui.state.work.undo == "2 runs imported from theirs.csv"
        await ui.press("U")
        assert (desk.session / "runs.csv").read_text(encoding="utf-8") == before


async def test_columns_are_said_on_the_page_that_a_watched_file_has(running, desk, table):
    table.write_text("No;Config;Channel 1 [N];Lift R [N];Drag [N];Wind\n11;flap;84,5;260;1150;160\n")
    async with running(desk.session) as ui:
        await ui.press("i")
        ui.find("#text").value = str(table)
        await ui.press("enter", "escape", "f6")
        listed = [str(ui.find(OptionList).get_option_at_index(k).prompt) for k in range(5)]
        assert listed[:3] == [
            "1  run  the file's 'No'",
            "2  configuration  the file's 'Config'",
            "3  front reading  NEEDED",
        ]
        await ui.press("3")
        assert "Which column of theirs.csv is the front reading?" in ui.text
        options = ui.find(OptionList)
        prompts = [str(options.get_option_at_index(k).prompt) for k in range(options.option_count)]
        (key,) = [prompt.split()[0] for prompt in prompts if "Channel 1" in prompt]
        await ui.press(key)
        assert "What do positive figures of 'Channel 1 [N]' mean?" in ui.text
        await ui.press("2")
        await ui.until(lambda: ui.screen == "Pick" and "the file's 'Channel 1 [N]'" in ui.text)
        await ui.press("escape")
        assert ui.screen == "Importing"
        assert "front_downforce [N]" in ui.app.screen._plan.header
