"""An import that joins a day that is there: the same rows as a watched file gives, and nothing else of the day touched."""

from dataclasses import replace

import pytest

from balance.files.day.opening import open_day
from balance.files.day.run_entry import next_entry
from balance.files.day.run_sheet import sheet_from
from balance.files.tables.header.file_column import FileColumn
from balance.files.tables.importing.into_a_day import join
from balance.files.tables.importing.plan import NOT_FITTED, ImportOptions
from balance.files.tables.importing.planning import plan_import
from balance.files.tables.rows.sheet_rows import read_rows, run_from
from balance.files.tables.watch.file_watch import watch_file
from balance.model.errors import InputError
from tests.small_session import Desk
from tui.host.import_answers import answered

DAY = ImportOptions(speed="160 km/h", air_density="1.225 kg/m^3", forces="as read")
SHEET = sheet_from(
    "run,block,configuration,wing_angle [deg],front_lift [N],rear_lift [N],drag [N],note\n"
    "1,2,base,,84,260,1150,tufts\n",
    file_format=2,
)
THEIRS = (
    "Run;Config;Wing (°);Downforce F [lbf];Downforce R [lbf];Drag [lbf];Air temp [°C];Remarks\n"
    "Tare;;;0,1;0,2;0,3;;\n"
    "11;base;;-19;-58;258;21,5;\n"
    "12;wing;4;-18;60;262;22,0;first try\n"
)


@pytest.fixture
def planned(tmp_path, vehicle_text):
    (tmp_path / "vehicle.toml").write_text(vehicle_text, encoding="utf-8")

    def plan(text, options=DAY):
        source = tmp_path / "theirs.csv"
        source.write_text(text, encoding="utf-8")
        return plan_import(source, vehicle=tmp_path / "vehicle.toml", options=options)

    return plan


WING = ImportOptions(columns={"wing_angle": "Wing (°)"})


def test_runs_are_added_in_the_columns_of_the_day(planned):
    joined = join(SHEET, planned(THEIRS), WING)
    assert joined.questions == ()
    assert joined.added == ("11", "12")
    head, first, *rows = joined.sheet.text.splitlines()
    assert head == f"{SHEET.text.splitlines()[0]},temperature [degC]"
    assert first == "1,2,base,,84,260,1150,tufts,"
    # 1 lbf is 4.4482216152605 N: international pound, by definition, and g0 after CGPM 1901; one digit more is kept
    assert rows == [
        "11,2,base,,84.5162,257.997,1147.64,,21.5",
        "12,2,wing,4,80.068,-266.893,1165.43,first try,22.0",
    ]


def test_a_watched_file_gives_the_same_rows(planned, tmp_path):
    plan = planned(THEIRS)
    grown = SHEET.with_columns(["temperature [degC]"])
    watch = watch_file(tmp_path / "theirs.csv")
    watch.poll()
    called = {
        "run": FileColumn(header="Run"),
        "configuration": FileColumn(header="Config"),
        "wing_angle": FileColumn(header="Wing (°)", unit="deg"),
        "front_lift": FileColumn(header="Downforce F [lbf]", unit="lbf", positive="down"),
        "rear_lift": FileColumn(header="Downforce R [lbf]", unit="lbf", positive="down"),
        "drag": FileColumn(header="Drag [lbf]", unit="lbf", positive="rearward"),
        "temperature": FileColumn(header="Air temp [°C]", unit="degC"),
        "note": FileColumn(header="Remarks"),
    }
    read = read_rows(grown, watch.table, called)
    for row in watch.rows:
        if row.line in read.runs:
            grown = grown.appended(run_from(grown, next_entry(grown), read.runs[row.line]).cells)
    assert grown.text == join(SHEET, plan, WING).sheet.text


def test_a_setting_that_the_file_calls_otherwise_or_does_not_have_is_asked_about(planned):
    (question,) = join(SHEET, planned(THEIRS)).questions
    assert question.choices == ("wing [deg]", NOT_FITTED)
    for said, settings in (("wing [deg]", [{}, {"wing_angle": 4.0}]), (NOT_FITTED, [{}, {"wing": 4.0}])):
        joined = join(SHEET, planned(THEIRS), answered(ImportOptions(), question, said))
        assert [
            {name: one.value for name, one in run.settings.items()} for run in joined.sheet.runs[1:]
        ] == settings


def test_labels_of_the_day_are_asked_about_and_runs_that_are_there_are_not_added_twice(planned):
    plan = planned(THEIRS.replace("11;base", "1;base"))
    (question,) = join(SHEET, plan, WING).questions
    assert question.choices == ("suffix", "number")
    for said, labels in (("suffix", ("1 (2)", "12")), ("number", ("2", "3"))):
        assert join(SHEET, plan, replace(WING, labels=said)).added == labels
    again = join(join(SHEET, planned(THEIRS), WING).sheet, planned(THEIRS), WING)
    assert (again.added, again.there) == ((), ("11", "12"))


def test_what_a_file_leaves_open_is_asked_but_not_what_the_day_states(planned):
    plan = planned(THEIRS, ImportOptions())
    assert {question.key for question in plan.questions} == {"speed", "air_density", "forces"}
    assert join(SHEET, plan, WING).questions == ()
    asked = join(SHEET, planned(THEIRS.replace("Downforce F", "Fz front"), ImportOptions()), WING)
    assert asked.sheet is None
    assert [question.key for question in asked.questions] == ["lift_sign"]


def test_a_coefficient_does_not_join_forces(planned):
    plan = planned("Run;Config;Wing (°);CLF;CLR;CD\n11;base;;0,1;0,2;0,4\n")
    with pytest.raises(
        InputError, match=r"found a coefficient under 'front_lift_coefficient', expected a force"
    ):
        join(SHEET, plan)


def test_a_record_that_the_day_has_no_column_for_is_left_and_said(planned):
    plan = planned(THEIRS.replace("Remarks", "Side force [N]").replace("first try", "12"))
    assert join(SHEET, plan, WING).left == ("side_force [N]",)


@pytest.mark.usefixtures("own_data")
def test_it_is_one_step_of_the_day_and_nothing_else_is_touched(tmp_path, planned):
    desk = Desk(tmp_path / "desk")
    plan = planned("Run;Config;Front lift [N];Rear lift [N];Drag [N]\n11;flap;90;250;1140\n")
    before = {path.name: path.read_bytes() for path in desk.session.iterdir()}
    with open_day(desk.session) as day:
        joined = join(day.sheet, plan)
        day.change("1 run imported from theirs.csv", joined.sheet)
        assert day.sheet.labels[-1] == "11"
        assert (desk.session / "runs.csv").read_bytes().startswith(before["runs.csv"])
        day.undo()
        assert day.can_redo == "1 run imported from theirs.csv"
    after = {path.name: path.read_bytes() for path in desk.session.iterdir() if path.name in before}
    assert after == before
