"""A watched file with heads of its own: its columns are said by hand, shown, changed, and kept over restarts."""

import pytest
from textual.widgets import OptionList

from tests.terminal import Terminal, wait_until

HEAD = "Tunnel 3 (invented); day 12\nLift F [N];FZ rear;Drag N;Config;Run No\n"
TABLE = f"{HEAD}-96;214;1180;base;11\n-97;215;1181;flap;12\n"


@pytest.fixture
def other(tmp_path):
    file = tmp_path / "readings.csv"
    file.write_text(TABLE, encoding="utf-8")
    return file


async def watch(ui, path):
    await ui.press("l")
    ui.find("#text").value = str(path)
    await ui.press("enter")
    await ui.look_for_changes()


def rows(desk):
    return (desk.session / "runs.csv").read_text(encoding="utf-8").splitlines()[1:]


def listed(ui):
    options = ui.find(OptionList)
    return [str(options.get_option_at_index(k).prompt) for k in range(options.option_count)]


def asked(ui):
    """The question on top, for its words may be folded."""
    return str(ui.find(".heading").content)


def told(ui):
    return " ".join(one.message for one in ui.app._notifications)


def chosen(ui):
    return str(ui.find("#chosen").content).splitlines()


async def say(ui, *pairs):
    """Open the question, and pick for each column the file's by the words of both."""
    await ui.press("f6")
    for picks in pairs:
        for words in picks:
            (key,) = [line.split()[0] for line in listed(ui) if f" {words}" in line]
            await ui.press(key)
    await ui.press("escape")


READINGS = (
    ("front_lift [N]", "Lift F [N]"),
    ("rear_lift [N]", "FZ rear", "down", "N"),
    ("drag [N]", "Drag N"),
)


async def test_columns_are_picked_one_by_one_and_what_is_open_is_asked(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert "found no column 'front_lift [N]'" in ui.text
        assert "F6 on the live screen says which column is which" in ui.text
        await ui.press("f6")
        assert listed(ui) == [
            "1  front_lift [N]  NEEDED: 'Lift F [N]' perhaps",
            "2  rear_lift [N]  NEEDED: 'FZ rear' perhaps",
            "3  drag [N]  NEEDED: 'Drag N' perhaps",
            "4  run  not found: 'Run No' perhaps",
            "5  configuration  not found: 'Config' perhaps",
            "=  take all suggestions  5 of them",
            ",  decimal mark  no figure has one yet",
        ]
        await ui.press("1")
        assert listed(ui)[0] == "1  Lift F [N]  perhaps · last: -97"
        await ui.press("1")
        assert ui.find(OptionList).highlighted == 1  # the next one that is needed
        await ui.press("enter", "1")
        assert "do positive figures of lift mean up (lift) or down (downforce)?" in asked(ui)
        await ui.press("2")
        assert "'FZ rear' has no unit: which is it" in asked(ui)
        assert len(rows(desk)) == 4
        await ui.press("1")
        await ui.press("enter", "1", "escape")
        assert chosen(ui) == [
            "front_lift is the file's 'Lift F', N, positive up: chosen by you",
            "rear_lift is the file's 'FZ rear', N, positive down, its sign turned: chosen by you",
            "drag is the file's 'Drag', N, positive rearward: chosen by you",
        ]
        assert "found no column" not in ui.text
        await ui.press("enter", "enter", "enter")  # it is doubted
        assert rows(desk)[-1] == "5,wing,-96,-214,1180"


async def test_once_run_and_configuration_are_said_rows_become_runs_by_themselves(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await say(ui, *READINGS, ("run", "Run No"), ("configuration", "Config"))
        assert rows(desk)[4:] == ["11,base,-96,-214,1180", "12,flap,-97,-215,1181"]
        with other.open("a", encoding="utf-8") as more:
            more.write("-98;216;1182;flap;13\n")
        await ui.look_for_changes()
        assert rows(desk)[-1] == "13,flap,-98,-216,1182"
        other.write_text(other.read_text(encoding="utf-8").replace("1182", "1192"), encoding="utf-8")
        await ui.look_for_changes()
        assert "Drag N: 1182 → 1192" in ui.text
        await ui.press("enter", "a")
        assert rows(desk)[-1] == "13,flap,-98,-216,1192"


async def test_a_correction_goes_to_the_run_that_the_row_has_become_whatever_its_number(running, desk, other):
    other.write_text(TABLE.replace("base;11", "base;1"), encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await say(ui, *READINGS, ("configuration", "Config"))
        assert rows(desk)[4:] == ["5,base,-96,-214,1180", "6,flap,-97,-215,1181"]
        other.write_text(TABLE.replace("base;11", "base;1").replace("1180", "1190"), encoding="utf-8")
        await ui.look_for_changes()
        await ui.press("enter")
        assert "accept: correct run 5 likewise" in ui.text
        await ui.press("a")
        assert rows(desk)[0] == "1,base,84,260,1150"
        assert rows(desk)[4] == "5,base,-96,-214,1190"


async def test_what_was_said_can_be_changed_and_taken_back(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await say(ui, *READINGS)
        await say(ui, ("rear_lift [N]", "FZ rear", "up", "lbf"))
        assert "rear_lift is the file's 'FZ rear', lbf, brought to N, positive up: chosen by you" in chosen(
            ui
        )
        await ui.press("enter", "enter", "enter")  # it is doubted
        assert rows(desk)[-1] == "5,wing,-96,951.919,1180"  # 214 lbf, from memory: 1 lbf = 4.4482216 N
        await say(ui, ("rear_lift [N]", "none of them"))
        assert len(chosen(ui)) == 2
        assert "found no column 'rear_lift [N]'" in ui.text


async def test_leaving_a_question_says_nothing_of_a_column(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("f6", "2", "1", "escape")
        assert "Which column of readings.csv is rear_lift [N]?" in asked(ui)
        await ui.press("escape", "escape")
        assert ui.screen == "Live"
        assert chosen(ui) == []


async def test_a_unit_can_be_typed_and_a_coefficient_is_refused(running, desk, other):
    other.write_text("CLF;FZ rear;Drag N\n0.1;214;1180\n", encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("f6", "1", "1")
        assert "found a coefficient under 'CLF', expected a force as in 'front_lift [N]'" in told(ui)
        await ui.press("escape", "2", "1", "1", "o")
        await ui.type("furlong")
        await ui.press("enter")
        assert "'furlong', which is no force here" in asked(ui)
        await ui.press("o")
        await ui.type("daN")
        await ui.press("enter", "escape")
        assert chosen(ui) == [
            "rear_lift is the file's 'FZ rear', daN, brought to N, positive up: chosen by you"
        ]


async def test_a_file_with_our_own_heads_has_nothing_to_ask(running, desk, other):
    other.write_text("run,configuration,front_lift [N],rear_lift [N],drag [N]\n", encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("f6")
        assert "every column of the day by its own name and unit" in asked(ui)
        assert listed(ui) == [",  decimal mark  no figure has one yet"]


async def test_before_the_first_row_the_columns_can_be_said_already(running, desk, other):
    other.write_text(HEAD, encoding="utf-8")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert "found no column 'front_lift [N]'" in ui.text
        await say(ui, *READINGS, ("configuration", "Config"))
        other.write_text(TABLE, encoding="utf-8")
        await ui.look_for_changes()
        assert rows(desk)[4:] == ["5,base,-96,-214,1180", "6,flap,-97,-215,1181"]


async def test_after_a_restart_it_is_offered_to_watch_on_with_the_same_columns(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await say(ui, *READINGS, ("run", "Run No"), ("configuration", "Config"))
    with other.open("a", encoding="utf-8") as more:
        more.write("-98;216;1182;flap;13\n-99;217")
    async with running(desk.session) as ui:
        assert "readings.csv was watched when this day was open last" in ui.text
        assert "2 rows of it taken so far; what 5 of its columns are is known" in ui.text
        await ui.press("enter")
        await ui.look_for_changes()
        assert rows(desk)[4:] == ["11,base,-96,-214,1180", "12,flap,-97,-215,1181", "13,flap,-98,-216,1182"]
        await ui.press("l")
        assert len(chosen(ui)) == 5
        assert "the last row has no line end" in ui.text
        await ui.press("f8")
    async with running(desk.session) as ui:
        assert ui.screen == "Home"
        await watch(ui, other)
        assert len(chosen(ui)) == 5  # what was said is known still
        assert len(rows(desk)) == 7


async def test_no_longer_is_kept_and_later_is_offered_again(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
    async with running(desk.session) as ui:
        await ui.press("escape")
        assert ui.state.work.watched == ""
        await ui.press("l")
        assert ui.find("#text").value == str(other)
    async with running(desk.session) as ui:
        await ui.press("n")
        assert ui.state.work.watched == ""
    async with running(desk.session) as ui:
        assert ui.screen == "Home"


async def test_a_run_that_was_undone_waits_and_is_not_taken_again_by_itself(running, desk, other):
    other.write_text("run,configuration,front_lift [N],rear_lift [N],drag [N]\n11,flap,-90,-200,1155\n")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert rows(desk)[-1] == "11,flap,-90,-200,1155"
        await ui.press("escape", "U")
        await ui.look_for_changes()
        assert len(rows(desk)) == 4
        assert "1 row waits in readings.csv" in ui.text
    async with running(desk.session) as ui:
        await ui.press("w")
        await ui.look_for_changes()
        assert len(rows(desk)) == 4
        await ui.press("l")
        assert "was taken back" in ui.text
        await ui.press("enter", "enter", "enter")  # it is doubted
        assert rows(desk)[-1] == "11,flap,-90,-200,1155"
        await ui.look_for_changes()
        assert ui.state.work.waiting == 0


async def test_a_row_half_entered_before_a_restart_is_not_offered_once_it_is_a_run(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await say(ui, *READINGS)
        await ui.press("enter", *"repeat")
        await ui.press("escape")
    async with running(desk.session) as ui:
        await ui.press("n")  # not watched on, and known all the same
        assert "A run was half typed" in ui.text
        await ui.press("t", "enter", "enter")  # it is doubted
        assert rows(desk)[-1].startswith("5,wing,-96,-214,1180")
        await watch(ui, other)
        assert ui.state.work.waiting == 1


async def test_runs_that_are_there_already_are_not_taken_without_a_journal(running, desk, other):
    other.write_text("run,configuration,front_lift [N],rear_lift [N],drag [N]\n4,wing,120,-480,1230\n")
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert "run 4 says the same" in ui.text
        assert len(rows(desk)) == 4


async def test_killed_while_rows_come_in_none_is_lost_and_none_taken_twice(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await say(ui, *READINGS, ("run", "Run No"), ("configuration", "Config"))
    table = desk.session / "runs.csv"
    for number in (13, 14):
        terminal = Terminal(desk.session)
        try:
            terminal.shows("was watched when")
            terminal.type("w")
            with other.open("a", encoding="utf-8") as more:
                more.write(f"-98;216;{1169 + number};flap;{number}\n-99;21")
            wait_until(lambda: f",{1169 + number}\n" in table.read_text(encoding="utf-8"), "the row is a run")  # noqa: B023 - waited for here
        finally:
            terminal.kill()
        with other.open("a", encoding="utf-8") as more:  # the rest of the row, while nobody looks
            more.write(f"7;1200;other;{number}b\n")
    async with running(desk.session) as ui:
        await ui.press("w")
        await ui.look_for_changes()
        taken = ["11", "12", "13", "13b", "14", "14b"]  # by a thread
        await ui.until(lambda: [line.split(",")[0] for line in rows(desk)[4:]] == taken, ui.look_for_changes)


SPEEDS = "Run No,Config,Lift F [N],Lift R [N],Drag N,Wind [m/s],Remarks\n"


async def test_rows_wait_until_the_list_of_columns_is_left(running, desk, other):
    other.write_text(SPEEDS + "11,base,-96,-214,1180,44,tufts off\n", encoding="utf-8")
    head, *runs = desk.runs.splitlines()
    desk.write(runs="\n".join([f"{head},note", *(f"{run}," for run in runs), ""]))
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("f6")
        for words in (
            ("front_lift [N]", "Lift F"),
            ("rear_lift [N]", "Lift R"),
            ("drag [N]", "Drag N"),
            ("run", "Run No"),
            ("configuration", "Config"),
        ):
            for word in words:
                (key,) = [line.split()[0] for line in listed(ui) if f" {word}" in line]
                await ui.press(key)
        assert len(rows(desk)) == 4  # the speed and the remarks are not said yet
        assert any("speed [m/s]  not found: 'Wind [m/s]' perhaps" in line for line in listed(ui))
        await ui.press("escape")
        assert len(rows(desk)) == 4
        assert "is 'Wind [m/s]' the speed of each run?" in " ".join(ui.text.split())
        await say(ui, ("speed [m/s]", "Wind [m/s]"), ("note", "Remarks"))
        assert rows(desk)[-1] == "11,base,-96,-214,1180,tufts off,44"
        assert (desk.session / "runs.csv").read_text().splitlines()[0].endswith(",note,speed [m/s]")


async def test_a_speed_that_is_none_of_the_runs_is_said_once(running, desk, other):
    other.write_text(
        "run,configuration,front_lift [N],rear_lift [N],drag [N],Wind [m/s]\n11,base,-96,-214,1180,3\n"
    )
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert len(rows(desk)) == 4
        await say(ui, ("speed [m/s]", "none of them"))
        assert rows(desk)[-1] == "11,base,-96,-214,1180"
        with other.open("a", encoding="utf-8") as more:
            more.write("12,base,-97,-215,1181,4\n")
        await ui.look_for_changes()
        assert rows(desk)[-1] == "12,base,-97,-215,1181"


async def test_all_suggestions_are_taken_by_one_key_and_what_is_open_is_asked(running, desk, other):
    async with running(desk.session) as ui:
        await watch(ui, other)
        await ui.press("f6", "=")
        assert "do positive figures of lift mean up (lift) or down (downforce)?" in asked(ui)
        await ui.press("2", "1")
        assert not any("perhaps" in line for line in listed(ui))
        await ui.press("escape")
        assert rows(desk)[4:] == ["11,base,-96,-214,1180", "12,flap,-97,-215,1181"]


async def test_a_row_whose_total_is_not_the_sum_of_its_axles_waits(running, desk, other):
    other.write_text(
        "run,configuration,front_lift [N],rear_lift [N],Total lift [N],drag [N]\n"
        "11,base,-100,-400,-500,1180\n12,base,-100,-400,-700,1180\n"
    )
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert rows(desk)[4:] == ["11,base,-100,-400,1180"]
        assert "TOTAL DIFFERS" in ui.text
        assert "'Total lift [N]' says -700 N" in " ".join(ui.text.split())


async def test_what_an_import_would_ask_about_the_file_is_asked_before_any_row_is_a_run(running, desk, other):
    other.write_text(
        "Positive = downforce\nrun,configuration,front_lift [N],rear_lift [N],drag [N]\n11,base,-96,-214,1180\n"
    )
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert len(rows(desk)) == 4
        assert "do positive figures of lift mean up (lift) or down (downforce)?" in " ".join(ui.text.split())
        await ui.press("enter")
        assert ui.screen == "Live"
        assert "F6 says it" in told(ui)
        await ui.press("f6", "question_mark", "1", "escape")
        await ui.look_for_changes()
        assert rows(desk)[-1] == "11,base,-96,-214,1180"
    async with running(desk.session) as ui:
        await ui.press("w")
        with other.open("a", encoding="utf-8") as more:
            more.write("12,base,-97,-215,1181\n")
        await ui.look_for_changes()
        assert rows(desk)[-1] == "12,base,-97,-215,1181"


async def test_a_row_that_an_import_leaves_out_or_asks_about_waits_with_the_reason(running, desk, other):
    other.write_text(
        "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"
        "tare 1,base,1,2,3\n11,base,-96,-214,1180\n12,base,0,-214,1180\n"
    )
    async with running(desk.session) as ui:
        await watch(ui, other)
        assert rows(desk)[4:] == ["11,base,-96,-214,1180"]
        assert "NO RUN?" in ui.text
        assert "row tare 1: a tare, without wind" in " ".join(ui.text.split())
        await ui.press("down")
        assert "ASKED ABOUT" in ui.text
        assert "front lift is exactly 0: a reading, or nothing read?" in " ".join(ui.text.split())
        await ui.press("enter", "enter")
        assert rows(desk)[5:] == ["12,base,0,-214,1180"]
