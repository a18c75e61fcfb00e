"""A run while it is typed: line, fields, and what comes of both, without any screen."""

import pytest

from balance.files.day.run_sheet import sheet_from
from tui.host.typed_run import TypedRun, draft_words, typing_from

HEAD = "run,configuration,wing_angle [deg],vents,speed [km/h],front_lift [N],rear_lift [N],drag [N],note\n"
DAY = f"{HEAD}1,base,,,160,84,260,1150,\n2,wing,4,,160,120,-480,1230,tufts\n"


@pytest.fixture
def sheet():
    return sheet_from(DAY)


def test_a_line_becomes_a_run(sheet):
    typing = TypedRun(sheet=sheet, line="-96 -214 873 wing 6 vents taped")
    assert typing.problem == ""
    assert typing.label == "3"
    assert typing.changes == (("wing_angle", "4", "6"), ("vents", "", "taped"))
    assert typing.unfilled == ("speed",)
    assert typing.after.text == f"{DAY}3,wing,6,taped,,-96,-214,873,\n"


@pytest.mark.parametrize(
    ("line", "filled", "said"),
    [
        ("-96", {"front_lift": "-96", "rear_lift": ""}, "found 1 figure before the end, expected 3"),
        ("-96 -214 873", {"drag": "873", "wing_angle": "4"}, "found no change against run 2"),
        ("-96 -214 873 wing", {"drag": "873"}, "wing_angle: found nothing behind it"),
        ("-96 -214 873 wing 6 ven", {"wing_angle": "6"}, "vents: found nothing behind it"),
    ],
)
def test_half_a_line_is_understood_as_far_as_it_goes(sheet, line, filled, said):
    typing = TypedRun(sheet=sheet, line=line)
    assert {name: typing.entry.cells.get(name, "") for name in filled} == filled
    assert said in typing.problem
    assert typing.after is None


def test_what_the_line_said_stands_in_the_fields_once_a_field_is_typed_in(sheet):
    typing = TypedRun(sheet=sheet, line="-96 -214 873 wing 6").with_field("speed", "158")
    assert typing.line == ""
    assert typing.entry.cells["drag"] == "873"
    assert typing.after.text.endswith("3,wing,6,,158,-96,-214,873,\n")
    again = typing.with_line("vents taped")
    assert again.after.text.endswith("3,wing,6,taped,158,-96,-214,873,\n")


def test_what_is_missing_is_named_with_its_unit(sheet):
    assert TypedRun(sheet=sheet, typed={"wing_angle": "6"}).problem == (
        "still to be typed: front_lift [N], rear_lift [N], drag [N]"
    )


def test_a_run_is_corrected_in_place_and_followed_where_it_is_named():
    sheet = sheet_from(
        f"{DAY.replace(',note', ',note,baseline').replace(chr(10) + '1', chr(10) + '1')}".replace(
            ",\n", ",,\n"
        ).replace("tufts\n", "tufts,1\n")
    )
    typing = TypedRun(sheet=sheet, edited="1", typed={"run": "1a"}, line="note zeroed")
    assert typing.problem == ""
    assert typing.after.cells("2")["baseline"] == "1a"
    assert typing.after.cells("1a")["note"] == "zeroed"


def test_a_kept_draft_is_taken_up_as_it_was(sheet):
    typing = TypedRun(sheet=sheet, line="-96 -2", start="1", typed={"note": "rain"})
    again = typing_from(sheet, typing.draft)
    assert (again.line, dict(again.typed), again.start) == ("-96 -2", {"note": "rain"}, "1")
    assert draft_words(typing.draft) == "-96 -2 · note rain"
    assert TypedRun(sheet=sheet).draft is None


def test_a_draft_whose_column_or_run_is_gone_keeps_the_rest(sheet):
    draft = TypedRun(sheet=sheet, line="-96", start="2", typed={"vents": "taped", "note": "rain"}).draft
    bare = sheet_from("run,configuration,front_lift [N],rear_lift [N],drag [N],note\n1,base,84,260,1150,\n")
    again = typing_from(bare, draft)
    assert (again.line, dict(again.typed), again.start) == ("-96", {"note": "rain"}, None)


def test_the_first_run_of_a_day_needs_its_configuration():
    sheet = sheet_from(HEAD)
    assert "configuration" in TypedRun(sheet=sheet, line="84 260 1150").problem
    typing = TypedRun(sheet=sheet, line='84 260 1150 configuration "as delivered"')
    assert typing.after.labels == ("1",)
