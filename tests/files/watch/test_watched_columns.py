"""Columns of a watched file that are named otherwise: understood where they say all, asked about where they do not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.day.run_entry import next_entry
from balance.files.day.run_sheet import sheet_from
from balance.files.tables.header.file_column import FileColumn
from balance.files.tables.header.mapping import column_of, columns_asked, columns_found, likely
from balance.files.tables.header.understood import table_of
from balance.files.tables.importing.plan import ImportOptions, Question
from balance.files.tables.rows.sheet_rows import cells_of, entry_from_row
from balance.files.tables.watch.file_watch import WatchedRow, watch_file
from balance.model.errors import InputError

SHEET = sheet_from(
    "run,configuration,wing_angle [deg],flap,front_lift [N],rear_lift [N],drag [N],speed [km/h],note\n"
    "1,base,2,off,84,260,1150,160,\n"
)
DOWN = sheet_from(
    "run,configuration,front_downforce [lbf],rear_downforce [lbf],drag [lbf]\n1,base,-19,-58,258\n"
)
SHARES = sheet_from(
    "run,configuration,front_lift_coefficient,rear_lift_coefficient,drag_coefficient\n1,a,0.1,0.2,0.4\n"
)
NOTHING = ImportOptions()


def found(header, name, sheet=SHEET, *, above=(), figures=(), **answers):
    return column_of(
        sheet.plan(name), header, table_of([header], above=above), figures, ImportOptions(**answers)
    )


@pytest.mark.parametrize(
    ("header", "name", "column"),
    [
        ("Lift F [N]", "front_lift", FileColumn(header="Lift F [N]", unit="N", positive="up")),
        ("Downforce HA (kgf)", "rear_lift", FileColumn(header="Downforce HA (kgf)", unit="kgf", positive="down")),
        ("Drag N", "drag", FileColumn(header="Drag N", unit="N", positive="rearward")),
        ("front_lift [lbf]", "front_lift", FileColumn(header="front_lift [lbf]", unit="lbf", positive="up")),
        ("v [kph]", "speed", FileColumn(header="v [kph]", unit="km/h")),
        ("Wing (°)", "wing_angle", FileColumn(header="Wing (°)", unit="deg")),
        ("Wing [rad]", "wing_angle", FileColumn(header="Wing [rad]", unit="rad")),
        ("Gurney", "flap", FileColumn(header="Gurney")),
        ("Lauf Nr", "run", FileColumn(header="Lauf Nr")),
    ],
)  # fmt: skip
def test_a_head_that_says_all_is_asked_nothing(header, name, column):
    assert found(header, name) == column


@pytest.mark.parametrize(
    ("header", "name", "answers", "field", "words"),
    [
        ("FZ rear [N]", "rear_lift", {}, "lift_sign", "'FZ rear [N]' does not say"),
        ("Channel 4 [N]", "front_lift", {}, "lift_sign", "'Channel 4 [N]' does not say"),
        ("Drag [N]", "front_lift", {}, "lift_sign", "'Drag [N]' does not say"),
        ("Lift F", "front_lift", {}, "units", "'Lift F' has no unit: which is it (1 for a coefficient)?"),
        ("Lift F [lb]", "front_lift", {}, "units", "which measures a mass: is it lbf?"),
        ("FZ rear", "rear_lift", {"lift_sign": "down"}, "units", "'FZ rear' has no unit"),
        ("FZ rear", "rear_lift", {"lift_sign": "up", "units": {"rear_lift": "mm"}}, "units", "'mm', which is no force"),
        ("FX [N]", "drag", {}, "drag_sign", "'FX [N]' does not say"),
        ("Channel 5 [N]", "drag", {}, "drag_sign", "'Channel 5 [N]' does not say"),
        ("Wind", "speed", {}, "units", "'Wind' has no unit: km/h, mph, m/s, knot?"),
        ("Wing", "wing_angle", {}, "units", "'Wing' has no unit: deg, rad?"),
        ("Wing [mm]", "wing_angle", {}, "units", "'Wing [mm]' has the unit 'mm', which is none of wing_angle"),
    ],
)  # fmt: skip
def test_what_a_head_leaves_open_is_asked_in_the_words_of_an_import(header, name, answers, field, words):
    question = found(header, name, **answers)
    assert isinstance(question, Question)
    assert question.field == field
    assert words in question.text


def test_most_figures_of_drag_negative_are_asked_about():
    question = found("Drag [N]", "drag", figures=("-1150", "-1160", "12"))
    assert "2 of 3 are negative" in question.text
    answered = found("Drag [N]", "drag", figures=("-1150",), drag_sign="forward")
    assert answered.cell("-1150", SHEET.plan("drag")) == "1150"


def test_lines_above_the_header_settle_a_sign_or_make_it_doubtful():
    stated = ("Positive = downforce",)
    assert found("FZ rear [N]", "rear_lift", above=stated).positive == "down"
    assert found("Lift R [N]", "rear_lift", above=stated).field == "lift_sign"


def test_counts_are_asked_about_and_scaled():
    assert found("CL front [counts]", "front_lift_coefficient", SHARES).field == "units"
    column = found("CL front [counts]", "front_lift_coefficient", SHARES, units={"front_lift": "0.001"})
    assert column.cell("-112.5", SHARES.plan("front_lift_coefficient")) == "-0.1125"


def test_a_coefficient_is_no_force():
    with pytest.raises(
        InputError, match=r"found a coefficient under 'CLF', expected a force as in 'front_lift"
    ):
        found("CLF", "front_lift")
    with pytest.raises(InputError, match="found a force under 'Drag N', expected a coefficient"):
        found("Drag N", "drag_coefficient", SHARES)


def test_likely_columns_are_offered_by_their_words():
    header = (
        "Versuch",
        "CLF",
        "Lift F [N]",
        "Lift R [N]",
        "Drag [N]",
        "V [kph]",
        "Wing",
        "Config",
        "Remarks",
    )
    offered = {plan.name: likely(plan, header) for plan in SHEET.plans}
    assert offered["front_lift"] == ("Lift F [N]", "CLF")
    assert offered["drag"] == ("Drag [N]",)
    assert offered["speed"] == ("V [kph]",)
    assert offered["wing_angle"] == ("Wing",)
    assert (offered["run"], offered["configuration"], offered["note"]) == (
        ("Versuch",),
        ("Config",),
        ("Remarks",),
    )
    assert offered["flap"] == ()


def test_columns_asked_are_those_not_there_by_their_own_header():
    header = ("run", "front_lift [lbf]", "rear_lift [N]", "Drag N", "wing_angle [deg]")
    names = [plan.name for plan in columns_asked(SHEET, header)]
    assert names == ["front_lift", "drag", "configuration", "flap", "speed", "note"]
    called = {"front_lift": FileColumn(header="front_lift [lbf]", unit="lbf", positive="up")}
    assert "front_lift" in [
        plan.name for plan in columns_asked(SHEET, header, called)
    ]  # it can be changed again
    assert columns_found(SHEET, header, called)["front_lift [lbf]"] == "front_lift"


def test_a_chosen_column_that_is_gone_is_missed_again():
    row = WatchedRow(file="f.csv", key="1", line=2, cells={"A": "1", "rear_lift [N]": "2", "drag [N]": "3"})
    called = {"front_lift": FileColumn(header="B", unit="N", positive="up")}
    with pytest.raises(InputError, match=r"found no column 'front_lift \[N\]'"):
        cells_of(SHEET, row, called)


def test_a_figure_that_is_none_is_left_empty_where_it_would_be_converted():
    column = FileColumn(header="F", unit="lbf", positive="up")
    assert column.cell("err", SHEET.plan("front_lift")) == ""
    assert column.cell("1,234", SHEET.plan("front_lift")) == ""
    assert FileColumn(header="F", unit="N", positive="up").cell("err", SHEET.plan("front_lift")) == "err"


FIGURES = st.decimals(-9999, 9999, places=2, allow_nan=False).map(lambda figure: f"{figure:f}")
UNITS = st.sampled_from(["N", "lbf", "kgf", "kN", "daN"])


@given(figures=st.tuples(FIGURES, FIGURES, FIGURES), unit=UNITS, sign=st.sampled_from(["lift", "downforce"]),
       drag=st.sampled_from(["rearward", "forward"]), sheet=st.sampled_from([SHEET, DOWN]))  # fmt: skip
def test_a_mapped_row_is_the_run_that_its_own_units_and_signs_say(figures, unit, sign, drag, sheet):
    """Read twice: brought to the session's columns, and by our reader under a header of the file's own unit."""
    positive = "up" if sign == "lift" else "down"
    scale = {"kN": 100, "daN": 10}.get(unit, 1)  # so that figures stay within what is credible
    figures = tuple(f"{float(figure) / scale / 10:.2f}" for figure in figures)
    row = WatchedRow(file="f.csv", key="x", line=2, cells=dict(zip("ABC", figures, strict=True)))
    front, rear, _ = (plan.name for plan in sheet.force_columns)
    called = {
        front: FileColumn(header="A", unit=unit, positive=positive),
        rear: FileColumn(header="B", unit=unit, positive=positive),
        "drag": FileColumn(header="C", unit=unit, positive=drag),
    }
    entry = entry_from_row(sheet, next_entry(sheet), row, called)
    run = sheet.appended(entry.cells).runs[-1]
    turned = -1 if drag == "forward" else 1
    theirs = sheet_from(
        f"run,configuration,front_{sign} [{unit}],rear_{sign} [{unit}],drag [{unit}]\n"
        f"1,a,{figures[0]},{figures[1]},{figures[2]}\n"
    ).runs[0]
    expected = (theirs.reading.front, theirs.reading.rear, turned * theirs.reading.drag)
    found_there = (run.reading.front, run.reading.rear, run.reading.drag)
    # half of a tenth of the last digit of the file: what is written anew has one digit more than it had
    digit = {"N": 1.0, "lbf": 4.4482216152605, "kgf": 9.80665, "kN": 1000.0, "daN": 10.0}[unit] / 100
    assert found_there == pytest.approx(expected, rel=1e-12, abs=0.0501 * digit)


TABLES = [
    "Tunnel 3 (invented), day 12\nRun;Lift F;FZ rear;Drag\n;N;N;N\n11;-96;214;1180\n",
    "Lift F [N];FZ rear [N];Drag [N];Run\n-96;214;1180;11\nLift F [N];FZ rear [N];Drag [N];Run\n",
    "Facility\tTunnel 3\nDate\t2031-05-01\n\nLift F [N]\tFZ rear [N]\tDrag [N]\tRun No\n-96\t214\t1180\t11\n",
]


@pytest.mark.parametrize("text", TABLES)
def test_heads_of_others_are_found_under_lines_above_them_and_with_units_below(tmp_path, text):
    file = tmp_path / "facility.csv"
    file.write_text(text, encoding="utf-8")
    watch = watch_file(file)
    (event,) = watch.poll()
    assert event.row.key == "11"
    assert {"Lift F [N]", "FZ rear [N]", "Drag [N]"} <= set(watch.header)
    assert event.row.cells["FZ rear [N]"] == "214"


def test_two_columns_of_one_head_are_both_there_and_a_short_row_is_filled_up(tmp_path):
    file = tmp_path / "facility.csv"
    file.write_text("A;B;B;C\n1;2;3;4\n5;6\n", encoding="utf-8")
    first, second = (event.row for event in watch_file(file).poll())
    assert dict(first.cells) == {"A": "1", "B": "2", "B #2": "3", "C": "4"}
    assert dict(second.cells) == {"A": "5", "B": "6", "B #2": "", "C": ""}
