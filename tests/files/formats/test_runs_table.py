"""runs.csv: what is read, and the words of each fault."""

import pytest

from balance.model.errors import FileFaults
from balance.model.records import Column, Setting, Triple

HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N]"
FULL = f"""\
note,{HEAD},speed [mph],temperature [degC],pressure [hPa],humidity [%],baseline,repeat_of,block,status,reason,time,operator,wing_angle [deg],vents,front_ride_height [mm]
"pads zeroed,
twice",1,base,84.0,260,1150,100,20,1000,50,,,am,,,08:40,A,,,101
,,,,,,,,,,,,,,,,,,,
,2, base ,−86,1.250e2,1152,100,20,1000,50,1,1,am,Suspect,gusts,,,7.5,open,102
,3,wing,1,2,3,100,20,1000,50,2,,pm,void,stopped,,,9,,103
"""
RECORDED = '[columns]\nrecorded = ["front_ride_height"]\n'


def test_a_full_file_is_read_into_si(desk, session_text):
    session = desk.load(runs=FULL, session=session_text + RECORDED)
    first, second, third = session.runs
    assert (first.line, second.line, third.line) == (2, 5, 6)
    assert (first.note, first.time, first.operator, first.block) == ("pads zeroed, twice", "08:40", "A", "am")
    assert first.reading == Triple(front=-84.0, rear=-260.0, drag=1150.0)
    assert first.resolution == Triple(front=0.05, rear=0.5, drag=0.5)
    assert (first.speed, first.temperature, first.pressure, first.humidity) == (44.704, 293.15, 1e5, 0.5)
    assert (first.settings, first.baseline, first.repeat_of) == ({}, None, None)
    assert first.recorded == {"front_ride_height": Setting(value=101.0, unit="mm")}
    assert second.reading == Triple(front=86.0, rear=-125.0, drag=1152.0)
    assert second.resolution == Triple(front=0.5, rear=0.05, drag=0.5)
    assert (second.configuration, second.status, second.reason) == ("base", "suspect", "gusts")
    assert (second.baseline, second.repeat_of) == ("1", "1")
    assert second.settings == {"wing_angle": Setting(value=7.5, unit="deg"), "vents": Setting(value="open")}
    assert third.status == "void"
    assert [run.label for run in session.used] == ["1", "2"]
    assert (session.setting_names, session.recorded_names) == (
        ("wing_angle", "vents"),
        ("front_ride_height",),
    )
    assert session.columns["front"] == Column(name="front_lift", unit="N", form="force", positive_up=True)
    assert session.columns["drag"] == Column(name="drag", unit="N", form="force", positive_up=False)


FORMS = [  # pound-force: 0.45359237 kg times 9.80665 m/s², exact; foot: 0.3048 m, exact
    ("front_lift [lbf]", "force", -4.4482216152605, True),
    ("front_downforce [kgf]", "force", 9.80665, False),
    ("front_lift [m^2]", "area", -1.0, True),
    ("front_downforce [ft^2]", "area", 0.09290304, False),
    ("front_lift_coefficient", "coefficient", -1.0, True),
    ("front_downforce_coefficient [1]", "coefficient", 1.0, False),
]


@pytest.mark.parametrize(("column", "form", "one", "positive_up"), FORMS)
def test_the_name_says_the_sign_and_the_unit_says_the_form(desk, runs_text, column, form, one, positive_up):
    session = desk.load(
        runs=runs_text.splitlines()[0].replace("front_lift [N]", column) + "\n1,base,1.0,260,1150\n"
    )
    assert session.runs[0].reading.front == pytest.approx(one, rel=1e-15)
    assert session.runs[0].resolution.front == pytest.approx(0.05 * abs(one), rel=1e-15)
    assert (session.columns["front"].form, session.columns["front"].positive_up) == (form, positive_up)


HEADERS = [
    ("front_lift [lb]", ["runs.csv:1: front_lift [lb]: found the unit 'lb', which measures a mass, expected a force unit such as N, lbf, kgf, or an area unit such as m^2; write 'front_lift [lbf]'"]),
    ("front_lift [kg]", ["runs.csv:1: front_lift [kg]: found the unit 'kg', which measures a mass, expected a force unit such as N, lbf, kgf, or an area unit such as m^2; write 'front_lift [kgf]'"]),
    ("front_lift", ["runs.csv:1: front_lift: found no unit, expected a force or area unit in square brackets; write 'front_lift [N]' if it is in N, or 'front_lift_coefficient' for a coefficient"]),
    ("front_lift [Nm]", ["runs.csv:1: front_lift [Nm]: found the unit 'Nm', expected a force unit such as N, lbf, kgf, or an area unit such as m^2; check the figure and its unit"]),
    ("front_lift_coefficient [N]", ["runs.csv:1: front_lift_coefficient [N]: found the unit 'N', expected no unit: it is a coefficient; write 'front_lift_coefficient', or 'front_lift [N]' for a force"]),
    ("front_lft [N]", ["runs.csv:1: front_lft [N]: found a name close to 'front_lift', expected 'front_lift', or a setting with a name further off; did you mean 'front_lift'?"]),
    ("lift_at_front [N]", ["runs.csv:1: found no front reading, expected front_lift [N] or front_downforce [N]; is it under another name?"]),
    ("front [N]", ["runs.csv:1: found no front reading, expected front_lift [N] or front_downforce [N]; did you mean 'front'?"]),
    ("front_lift [N", ["runs.csv:1: front_lift [N: found brackets out of place, expected name [unit]; write as in 'drag [N]'", "runs.csv:1: found no front reading, expected front_lift [N] or front_downforce [N]; is it under another name?"]),
    ("front_lift [N],front_downforce [N]", ["runs.csv:1: front_downforce: found 'front_lift' as well, expected one of them; leave out one of the two columns"]),
    ("front_lift [N],front_lift [lbf]", ["runs.csv:1: front_lift [lbf]: found the same name again, expected one column of each name; rename or leave out one"]),
    ("front_lift [N],speed", ["runs.csv:1: speed: found no unit, expected one in square brackets; write 'speed [km/h]' if it is in km/h"]),
    ("front_lift [N],speed [kmh]", ["runs.csv:1: speed [kmh]: found the unknown unit 'kmh', expected a speed unit such as km/h, mph, m/s; write 'km/h'"]),
    ("front_lift [N],wing [clicks]", ["runs.csv:1: wing [clicks]: found the unknown unit 'clicks', expected a known unit such as mm, deg, N/mm, or 1 for a plain number"]),
    ("front_lift [N],bassline", ["runs.csv:1: bassline: found a name close to 'baseline', expected 'baseline', or a setting with a name further off; did you mean 'baseline'?"]),
    ("front_lift [N],Note", ["runs.csv:1: Note: found a name close to 'note', expected 'note', or a setting with a name further off; did you mean 'note'?"]),
    ("front_lift [N],status [1]", ["runs.csv:1: status [1]: found the unit '1', expected no unit: it is text; write 'status'"]),
]  # fmt: skip


@pytest.mark.parametrize(("columns", "messages"), HEADERS)
def test_a_fault_of_the_header_is_told_once(desk, columns, messages):
    more = ",5" if "downforce [N]" in columns else "," * columns.count(",")
    runs = f"run,configuration,{columns},rear_lift [N],drag [N]\n1,base,84{more},260,1150\n2,x,14{more},275,1162\n"
    assert desk.faults(runs=runs) == messages


@pytest.mark.parametrize("name", ["front_lip [mm]", "front_lip", "rear_lip", "wing_angle [deg]", "brake_temperature [degC]", "tyre_pressure [bar]"])  # fmt: skip
def test_a_plausible_setting_is_not_taken_for_a_misspelt_column(desk, name):
    session = desk.load(runs=f"{HEAD},{name}\n1,base,84,260,1150,3\n")
    assert len(session.setting_names) == 1


ROWS = [
    ('1,base,"84,5",260,1150', ["runs.csv:2: front_lift [N]: found '84,5', expected a number; a comma for a point? write '84.5'"]),
    ("1,base,84,5,260,1150", ['runs.csv:2: found 6 cells, expected 5 as in the header; a comma inside a cell? put " around that cell']),
    ("1,base", ["runs.csv:2: found 2 cells, expected 5 as in the header; add a comma for each empty cell"]),
    ("1,base,,260,1150", ["runs.csv:2: front_lift [N]: found an empty cell, expected a number; fill it in, or leave the row out"]),
    ("1,,84,260,1150", ["runs.csv:2: configuration: found an empty cell, expected text; fill it in, or leave the row out"]),
    (",base,84,260,1150", ["runs.csv:2: run: found an empty cell, expected text; fill it in, or leave the row out"]),
    ("1,base,84 N,260,1150", ["runs.csv:2: front_lift [N]: found '84 N', expected a number; write digits with a decimal point and no unit: the unit stands in the header"]),
    ("1,base,nan,-inf,1e999", [f"runs.csv:2: {name} [N]: found '{typed}', expected a number; write digits with a decimal point and no unit: the unit stands in the header" for name, typed in (("front_lift", "nan"), ("rear_lift", "-inf"), ("drag", "1e999"))]),
    ("1,base,1e6,260,1150", ["runs.csv:2: front_lift [N]: found '1e6', expected a force within 100 kN; check the figure and its unit"]),
    ("1,b\x1b[2J,84,260,1150", ["runs.csv:2: configuration: found 'b\\x1b[2J', expected text without control characters; type it again"]),
    ('1,"b\nb",x,260,1150\n1,base,x,260,1150', ["runs.csv:2: front_lift [N]: found 'x', expected a number; write digits with a decimal point and no unit: the unit stands in the header", "runs.csv:4: front_lift [N]: found 'x', expected a number; write digits with a decimal point and no unit: the unit stands in the header", "runs.csv:4: run: found '1', which stands on line 2 too, expected a label of its own for each run; rename one"]),
    ('1,base,84,260,1150\n2,"base,84,260,1150\n3,base,1,2,3', ['runs.csv:3: found a quotation mark that is never closed, expected cells parted by commas, with " around a cell that holds one; write a quotation mark inside a cell as ""']),
    ("", ["runs.csv:1: found no run that counts, expected at least one that is not void; add a row for each run"]),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "messages"), ROWS)
def test_a_fault_of_a_row_has_its_physical_line(desk, rows, messages):
    assert desk.faults(runs=f"{HEAD}\n{rows}\n") == messages


def test_a_row_of_the_wrong_length_is_one_fault_whatever_its_shifted_cells_hold(desk):
    rows = "1,base,84,260,1150,,\n2,wing,84,5,260,1150,1,\n3,wing,84,260,1150,2,2"
    assert desk.faults(runs=f"{HEAD},baseline,repeat_of\n{rows}\n") == [
        'runs.csv:3: found 8 cells, expected 7 as in the header; a comma inside a cell? put " around that cell'
    ]


CONDITIONS = [
    ("speed [km/h]", "0", "a speed from 3.6 to 720 km/h"),
    ("speed [km/h]", "-160", "a speed from 3.6 to 720 km/h"),
    ("temperature [K]", "20", "a temperature from -123 to 127 °C"),
    ("pressure [hPa]", "0", "an absolute pressure from 300 to 1300 hPa"),
    ("pressure [kPa]", "1013", "an absolute pressure from 300 to 1300 hPa"),
    ("humidity [%]", "101", "a relative humidity from 0 to 100 %"),
    ("humidity [%]", "-1", "a relative humidity from 0 to 100 %"),
]


@pytest.mark.parametrize(("column", "typed", "expected"), CONDITIONS)
def test_air_and_speed_beyond_reason(desk, column, typed, expected):
    assert desk.faults(runs=f"{HEAD},{column}\n1,base,84,260,1150,{typed}\n") == [
        f"runs.csv:2: {column}: found '{typed}', expected {expected}; check the figure and its unit"
    ]


LINKS = [
    ("baseline", "1:9,2:", ["runs.csv:2: baseline: found '9', which is no run here, expected the label of a run; write the label of a run in this file"]),
    ("baseline", "1:,2:2", ["runs.csv:3: baseline: found the run itself, expected another run; name the run it goes back to"]),
    ("baseline", "R12:,R13:R1", ["runs.csv:3: baseline: found 'R1', which is no run here, expected the label of a run; did you mean 'R12'?"]),
    ("repeat_of", "1:1,2:", ["runs.csv:2: repeat_of: found the run itself, expected another run; name the run it goes back to"]),
    ("repeat_of", "1:3,2:1,3:2,4:3", [f"runs.csv:{line}: repeat_of: found '{named}', which leads back to this run, expected the run that was made first; leave it empty for the first of them" for line, named in ((2, 3), (3, 1), (4, 2))]),
]  # fmt: skip


@pytest.mark.parametrize(("column", "pairs", "messages"), LINKS)
def test_links_between_runs_hold(desk, column, pairs, messages):
    rows = "".join(
        f"{run},base,84,260,1150,{link}\n" for run, link in (pair.split(":") for pair in pairs.split(","))
    )
    assert desk.faults(runs=f"{HEAD},{column}\n{rows}") == messages


def test_a_row_at_fault_still_counts_as_a_run_that_others_may_name(desk):
    assert desk.faults(runs=f"{HEAD},baseline\n1,base,x,260,1150,\n2,base,84,260,1150,1\n") == [
        "runs.csv:2: front_lift [N]: found 'x', expected a number; write digits with a decimal point and no unit: the unit stands in the header"
    ]


def test_an_unknown_status_word(desk):
    assert desk.faults(runs=f"{HEAD},status\n1,base,84,260,1150,viod\n") == [
        "runs.csv:2: status: found 'viod', expected good, suspect, void or an empty cell; did you mean 'void'?"
    ]


def test_a_day_of_void_runs_is_no_day(desk):
    assert len(desk.faults(runs=f"{HEAD},status\n1,base,84,260,1150,void\n")) == 1


def test_other_marks_between_columns_are_named(desk, runs_text):
    for mark, name in ((";", "semicolons"), ("\t", "tabs")):
        assert desk.faults(runs=runs_text.replace(",", mark)) == [
            f"runs.csv:1: found columns parted by {name}, expected by commas; save it again with commas"
        ]


def test_a_column_without_a_name_is_a_fault_only_where_it_holds_something(desk):
    assert len(desk.load(runs=f"{HEAD},\n1,base,84,260,1150,\n").runs) == 1
    assert desk.faults(runs=f"{HEAD},\n1,base,84,260,1150,7\n") == [
        "runs.csv:2: column 6: found '7', expected nothing; give the column a name"
    ]


def test_faults_without_end_stop_after_a_thousand(desk):
    faults = desk.faults(runs=HEAD + "\n" + "x\n" * 5000)
    assert len(faults) == 1001
    assert faults[-1] == "runs.csv:1002: found 1000 faults already, expected fewer; the rest is not listed"


def test_no_fault_but_text_files_raises_from_the_reader_itself(desk, tmp_path):
    from balance.files.formats.runs import read_runs

    assert read_runs(desk.session / "runs.csv").faults == ()
    with pytest.raises(FileFaults):
        read_runs(tmp_path / "none.csv")
