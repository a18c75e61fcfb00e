"""Rows that are no runs, or may be none: dropped with their line and reason, or asked about."""

import pytest

from balance.files.tables.importing.plan import wanted_lines
from balance.model.errors import FileFaults

HEAD = "Run,Configuration,Front lift [N],Rear lift [N],Drag [N]\n"
ROWS = "1,base,84,260,1150\n2,splitter,-140,275,1162\n"
DAY = {"speed": "160 km/h", "air_density": "1.225 kg/m^3"}


def keys(plan):
    return [question.key for question in plan.questions]


def column(plan, name):
    return [row[plan.header.index(name)] for row in plan.rows]


JUNK = """\
Tare,,0.5,1.5,2.5
1,base,84.5,260.5,1150.5
# lunch
3,lost,N/A,#DIV/0!,
4,half,84.5,,1150.5
,,,,
5,aborted,84.5,261.5,1150.5
Mean 1-5,,84.5,260.5,1150.5
End of test
"""


def test_every_dropped_row_has_its_line_and_reason(planned):
    plan = planned(HEAD + JUNK, keep_rows=("5",))
    assert [(d.line, d.reason) for d in plan.dropped] == [
        (2, "a tare, without wind"), (4, "a comment"), (5, "no reading in it"), (6, "no rear lift (blank)"),
        (9, "an average or another summary"), (10, "no reading in it"),
    ]  # fmt: skip
    assert column(plan, "run") == ["1", "5"]


def test_a_word_for_void_is_asked_about_and_then_kept(planned):
    assert keys(planned(HEAD + JUNK)) == ["void.8"]
    assert column(planned(HEAD + JUNK, void_rows=("5",)), "status") == ["", "void"]


@pytest.mark.parametrize(
    "row",
    [
        "9,mean of 3,1,2,3",
        "9 avg,base,1,2,3",
        "9,tare,1,2,3",
        "#9,base,1,2,3",
        "9,base,12x,2,3",
        "9,base,0,2,3",
    ],
)
def test_a_row_that_may_be_a_run_is_asked_about(planned, row):
    plan = planned(HEAD + ROWS + row + "\n")
    assert len(plan.questions) == 1
    assert "line 4" in plan.questions[0].text
    assert planned(HEAD + ROWS + row + "\n", drop_rows=("line 4",)).ready


def test_words_about_units_among_the_rows_are_asked_about(planned):
    assert keys(planned(HEAD + ROWS + "values below in lbf\n3,base,84,260,1150\n")) == ["units.4"]


@pytest.mark.parametrize("count", [1, 40])
def test_a_quotation_mark_that_swallows_rows_is_a_fault(planned, count):
    with pytest.raises(FileFaults, match=r"runs.csv:3: found a quotation mark that is never closed"):
        planned(HEAD + '1,base,84,260,1150\n2,"wing,84,260,1150\n' + "3,wing,84,260,1150\n" * count)


def test_figures_with_letters_are_asked_about(planned):
    assert keys(planned(HEAD + "1,base,84x,260x,1150x\n2,base,84,260,1150\n")) == ["number.2"]


MOVED = HEAD + ROWS + "Run,Configuration,Drag [N],Front lift [N],Rear lift [N]\n3,wing,1190,-60,-90\n"


def test_another_header_midway_is_asked_about_and_its_part_can_be_taken_alone(planned):
    plan = planned(MOVED)
    assert keys(plan) == ["header.4"]
    assert "--lines 1-3" in plan.questions[0].option
    assert column(planned(MOVED, lines=(1, 3)), "drag [N]") == ["1150", "1162"]
    assert plan.questions[0].option.endswith("then --lines 4-")
    assert column(planned(MOVED, lines=wanted_lines("4-")), "drag [N]") == ["1190"]
    turned = HEAD + ROWS + HEAD.replace("lift", "downforce") + "3,wing,60,90,1190\n"
    assert keys(planned(turned)) == ["header.4"]


def test_units_that_changed_above_the_lines_wanted_still_hold(planned):
    text = HEAD + "1,base,84,260,1150\n,,lbf,lbf,lbf\n2,base,84,260,1150\n3,base,85,260,1150\n"
    assert column(planned(text, lines=(5, 5)), "drag [N]") == [
        "5115.45"  # 1150 lbf, by definition 4.4482216152605 N each
    ]


def test_settings_and_records_whose_unit_changes_are_brought_to_the_first(planned):
    text = (
        HEAD.replace("\n", ",Flap [mm],Total lift [N]\n")
        + "1,base,84,260,1150,10,344\n2,base,84,260,1150,20,344\n,,,,,in,lbf\n"
    )
    text += "3,base,84,260,1150,1.5,77.3\n"
    plan = planned(text)
    # by definition 1 in = 25.4 mm and 1 lbf = 4.4482216152605 N
    assert [float(v) for v in column(plan, "flap [mm]")] == pytest.approx([10, 20, 38.1], abs=0.05)
    assert [float(v) for v in column(plan, "total_lift [N]")] == pytest.approx([344, 344, 343.85], abs=0.05)
    assert keys(planned(text.replace(",in,lbf", ",deg,lbf"))) == ["unit.flap"]


def test_a_row_of_differences_is_no_run(planned):
    assert [d.line for d in planned(HEAD + ROWS + "Delta 2-1,,-224,15,12\n").dropped] == [4]


def test_a_label_that_stands_twice_is_asked_about(planned):
    assert keys(planned(HEAD + ROWS + ROWS)) == ["labels"]
    assert column(planned(HEAD + ROWS + ROWS, labels="suffix"), "run") == ["1", "2", "1 (2)", "2 (2)"]


def test_a_blank_configuration_is_asked_about(planned):
    text = HEAD + "1,base,84,260,1150\n2,,85,261,1151\n"
    assert keys(planned(text)) == ["blank.3"]
    assert column(planned(text, fill_down=True), "configuration") == ["base", "base"]


def test_an_unknown_status_is_asked_about(planned):
    text = HEAD.replace("Drag [N]", "Drag [N],Status") + "1,base,84,260,1150,OK\n2,base,84,260,1150,B\n"
    assert keys(planned(text)) == ["status.b"]
    assert column(planned(text, status={"B": "suspect"}), "status") == ["", "suspect"]
