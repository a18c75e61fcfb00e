"""`axletrim export`: what is sent on can be read by others, and comes back without a loss."""

import json
import re
from dataclasses import replace

import pytest
from openpyxl import load_workbook

from balance.files.loader import load_session
from balance.model.columns import CONDITIONS, TEXTS
from tests.small_session import SESSION

HOSTILE = '''\
run,configuration,front_lift [N],rear_lift [N],drag [N],vents,note
1,=1+1,84.50,260,1150,-,@SUM(A1)
-2,+base,-140.0,275,1162.125,,'=quoted
'3,"a, ""b""",1,2,3,+,'tis
'''


def bare(session):
    """A session without where it stands."""
    runs = tuple(replace(run, line=0) for run in session.runs)
    return replace(session, folder="", vehicle=replace(session.vehicle, source=""), runs=runs)


@pytest.mark.parametrize("name", ["brindlow_hatch/tunnel_day", "ostrel_two_seater/straight_morning"])
def test_csv_comes_back_as_the_same_session(axletrim, demo, tmp_path, name):
    session = demo.parent.parent / name
    assert axletrim("export", session, "--csv", "out.csv").returncode == 0
    done = axletrim("import", "out.csv", "--vehicle", session.parent / "vehicle.toml", "--to", "back")
    assert done.returncode == 0, done.stderr
    assert bare(load_session(tmp_path / "back")) == bare(load_session(session))


def test_hostile_texts_are_marked_in_csv_and_come_back(axletrim, desk, tmp_path):
    desk.write(runs=HOSTILE)
    assert axletrim("export", desk.session, "--csv", "out.csv").returncode == 0
    text = (tmp_path / "out.csv").read_text(encoding="utf-8")
    assert "1,'=1+1,84.50,260,1150,'-,'@SUM(A1)" in text
    done = axletrim("import", "out.csv", "--vehicle", "car/vehicle.toml", "--to", "car/back")
    assert done.returncode == 0, done.stderr
    assert bare(load_session(tmp_path / "car" / "back")) == bare(load_session(desk.session))


def test_hostile_texts_are_texts_in_a_workbook(axletrim, desk, tmp_path):
    desk.write(runs=HOSTILE)
    assert axletrim("export", desk.session, "--xlsx", "out.xlsx", "--draws", "100").returncode == 0
    sheet = load_workbook(tmp_path / "out.xlsx")["Readings"]
    cells = [
        cell for row in sheet.iter_rows() for cell in row if cell.value in ("=1+1", "@SUM(A1)", "+base", "-")
    ]
    assert len(cells) == 4
    assert {cell.data_type for cell in cells} == {"s"}


def test_a_workbook_holds_numbers_units_and_formulas_that_agree(axletrim, demo, tmp_path):
    assert (
        axletrim("export", demo, "--xlsx", "out.xlsx", "--draws", "100", "--speed", "185 km/h").returncode
        == 0
    )
    values, formulas = (load_workbook(tmp_path / "out.xlsx", data_only=only) for only in (True, False))
    assert values.sheetnames == ["Readings", "Results", "Increments", "Method"]
    readings = list(values["Readings"].iter_rows(values_only=True))
    front = readings[0].index("front_lift")
    assert readings[1][front] == "N, positive up"
    assert [row[front] for row in readings[2:5]] == [99, 89, -234]
    results = list(values["Results"].iter_rows(values_only=True))
    names = {cell.value: cell.column - 1 for cell in values["Results"][1]}
    method = {row[0]: row[1] for row in values["Method"].iter_rows(values_only=True) if row[0]}
    pressure = method["dynamic pressure at which loads are stated"]
    assert pressure == pytest.approx(0.5 * 1.2 * (185 / 3.6) ** 2)
    for row in results[2:]:
        load = row[names["front downforce"]]
        assert load == pytest.approx(row[names["front downforce area"]] * pressure)
        assert row[names["downforce"]] == pytest.approx(load + row[names["rear downforce"]])
        assert row[names["front added load"]] == pytest.approx(
            load / method["static weight of the front axle"]
        )
    cell = formulas["Results"].cell(3, names["front downforce"] + 1)
    assert cell.value == "=F3*stated_pressure"
    assert formulas["Results"].cell(3, names["front downforce area"] + 1).value == "=Readings!M3*-1/C3"
    followed(values, formulas, names)


FOLLOWED = re.compile(r"=Readings!([A-Z]+)(\d+)(?:\*([-+.e\d]+))?/C(\d+)")


def followed(values, formulas, names):
    """Work out every area from the readings as its formula says."""
    results = values["Results"]
    for title in ("front downforce area", "rear downforce area", "drag area"):
        for row in range(3, results.max_row + 1):
            cell = formulas["Results"].cell(row, names[title] + 1)
            column, place, factor, pressure = FOLLOWED.fullmatch(cell.value).groups()
            assert values["Readings"][f"A{place}"].value == results[f"A{row}"].value
            reading = values["Readings"][f"{column}{place}"].value
            area = reading * float(factor or 1) / results[f"C{pressure}"].value
            assert area == pytest.approx(results.cell(row, names[title] + 1).value, rel=1e-12)


POUNDS = (
    "run,configuration,front_downforce [lbf],rear_downforce [lbf],drag [lbf],speed [mph],status\n"
    "1,base,-19.5,-58,258,100,\n2,base,-20,-59,259,101,void\n3,wing,-26,108,277,99,\n"
)


def test_areas_follow_from_readings_in_any_unit_with_void_runs_between(axletrim, desk, tmp_path):
    desk.write(runs=POUNDS)
    assert axletrim("export", desk.session, "--xlsx", "out.xlsx", "--draws", "100").returncode == 0
    values, formulas = (load_workbook(tmp_path / "out.xlsx", data_only=only) for only in (True, False))
    followed(values, formulas, {cell.value: cell.column - 1 for cell in values["Results"][1]})


def test_areas_of_restated_forces_are_figures_without_a_formula(axletrim, desk, tmp_path):
    desk.write(session=SESSION.replace("as read", "restated"))
    assert axletrim("export", desk.session, "--xlsx", "out.xlsx", "--draws", "100").returncode == 0
    sheet = load_workbook(tmp_path / "out.xlsx")["Results"]
    assert isinstance(sheet["F3"].value, float)


def test_a_file_that_is_there_is_replaced_only_when_asked(axletrim, desk, tmp_path, spoken):
    (tmp_path / "out.csv").write_text("mine", encoding="utf-8")
    assert "--overwrite" in spoken(axletrim("export", desk.session, "--csv", "out.csv"))
    assert (tmp_path / "out.csv").read_text(encoding="utf-8") == "mine"
    assert axletrim("export", desk.session, "--csv", "out.csv", "--overwrite").returncode == 0
    assert "axletrim export" in (tmp_path / "out.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize(("name", "old"), [("day.csv", "--csv"), ("day.XLSX", "--xlsx")])
def test_a_file_is_written_in_the_form_of_its_ending(axletrim, desk, tmp_path, name, old):
    done = axletrim("export", desk.session, "-o", name, "--draws", "100")
    assert (done.returncode, done.stdout) == (0, ""), done.stderr
    assert f"wrote {name}" in done.stderr
    assert axletrim("export", desk.session, old, "old", "--draws", "100").returncode == 0  # an older option
    if old == "--csv":
        assert (tmp_path / name).read_bytes() == (tmp_path / "old").read_bytes()
        assert b"axletrim export" in (tmp_path / name).read_bytes()
    else:
        (tmp_path / name).rename(tmp_path / "new.xlsx")
        (tmp_path / "old").rename(tmp_path / "old.xlsx")
        new, former = (load_workbook(tmp_path / one) for one in ("new.xlsx", "old.xlsx"))
        assert new.sheetnames == former.sheetnames == ["Readings", "Results", "Increments", "Method"]
    said = axletrim("export", "--help").stdout
    assert "-o, --output" in said
    assert old not in said


def test_nothing_to_write_and_nowhere_to_write_are_said(axletrim, desk, spoken):
    assert "--output FILE, ending in .xlsx or .csv" in spoken(axletrim("export", desk.session))
    assert "expected a file ending in .xlsx or .csv" in spoken(
        axletrim("export", desk.session, "-o", "out.txt")
    )
    assert not (desk.session.parents[1] / "out.txt").exists()
    spoken(axletrim("export", desk.session, "-o", "no/such/folder/out.csv"))
    spoken(axletrim("export", desk.session, "--csv", "no/such/folder/out.csv"))


def test_a_workbook_holds_the_increments_of_the_day(axletrim, demo, tmp_path):
    assert axletrim("export", demo, "--xlsx", "out.xlsx", "--draws", "100").returncode == 0
    parts = json.loads(axletrim("parts", demo, "--json", "--draws", "100").stdout)["parts"]
    values, formulas = (load_workbook(tmp_path / "out.xlsx", data_only=only) for only in (True, False))
    head, units, *rows = values["Increments"].iter_rows(values_only=True)
    assert [row[0] for row in rows] == [part["run"] for part in parts]
    at = head.index("downforce change")
    assert units[at : at + 2] == ("N", "N, 95%")
    for row, part in zip(rows, parts, strict=True):
        low, high = part["downforce_change_N_interval"]
        assert row[at] == pytest.approx(part["downforce_change_N"])
        assert row[at + 2 : at + 4] == (pytest.approx(low), pytest.approx(high))
        assert row[at + 4] == ("yes" if part["downforce_change_N_resolved"] else "no")
        assert row[head.index("in words")]
    assert formulas["Increments"].cell(3, at + 3).value == "=O3-P3"


def test_every_column_of_the_runs_is_on_the_sheet_of_readings(axletrim, desk, tmp_path):
    head = "run,configuration,baseline,repeat_of,block,time,operator,loading,note,status,reason"
    vehicle = (desk.car / "vehicle.toml").read_text() + (
        '[loadings.race]\nfuel = { mass = "-25 kg", behind_front_axle = "2300 mm" }\n'
    )
    desk.write(
        vehicle=vehicle,
        runs=f"{head},wing [deg],vents,front_lift [N],rear_lift [N],drag [N],speed [km/h],temperature [degC],pressure [hPa],humidity [%]\n"
        "1,base,,,am,09:00,AB,race,dry,good,,,,84,260,1150,160,20,1000,40\n"
        "2,again,,1,am,09:10,AB,race,dry,suspect,tape loose,,,85,261,1151,160,20,1000,40\n"
        "3,wing,1,,am,09:20,AB,race,dry,,,4,open,80,-100,1200,160,20,1000,40\n",
    )
    assert axletrim("export", desk.session, "--xlsx", "out.xlsx", "--draws", "100").returncode == 0
    sheet = load_workbook(tmp_path / "out.xlsx")["Readings"]
    heads = {cell.value for cell in sheet[1]}
    wanted = {*TEXTS, *CONDITIONS, "wing", "vents", "front_lift", "rear_lift", "drag"}
    assert wanted - heads == set()
    assert [cell.value for cell in sheet[4]][[c.value for c in sheet[1]].index("repeat_of")] == "1"
    assert axletrim("export", desk.session, "--csv", "out.csv").returncode == 0
    kept = (tmp_path / "out.csv").read_text(encoding="utf-8")
    assert all(name in kept for name in ("repeat_of", "loading", "race"))
