"""`axletrim export`: what is sent on can be read by others, and comes back without a loss."""

import json
from dataclasses import replace

import pytest
from openpyxl import load_workbook

from balance.files.loader import load_session

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
    assert (
        formulas["Results"].cell(3, names["front downforce area"] + 1).value
        == results[2][names["front downforce area"]]
    )


def test_a_file_that_is_there_is_replaced_only_when_asked(axletrim, desk, tmp_path, spoken):
    (tmp_path / "out.csv").write_text("mine", encoding="utf-8")
    assert "--overwrite" in spoken(axletrim("export", desk.session, "--csv", "out.csv"))
    assert (tmp_path / "out.csv").read_text(encoding="utf-8") == "mine"
    assert axletrim("export", desk.session, "--csv", "out.csv", "--overwrite").returncode == 0
    assert "axletrim export" in (tmp_path / "out.csv").read_text(encoding="utf-8")


def test_nothing_to_write_and_nowhere_to_write_are_said(axletrim, desk, spoken):
    assert "--xlsx" in spoken(axletrim("export", desk.session))
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
