"""A compared column in the answers of the command line, and that it enters nothing else."""

import csv
import html
import io
import json
import re
from itertools import pairwise

import pytest
from openpyxl import load_workbook

import balance
from balance.files.loader import load_session
from tests.cooled_day import COMPARED, LOUVRES_ALONE, RUNS, SESSION

HALF = 7.70
"""Half of the interval of run 2: t of 0.975 and 3 degrees of freedom (3.182, NIST/SEMATECH e-Handbook of Statistical
Methods, table 1.3.6.7.2) times 2.095 Pa sqrt(1 + 1/3), by hand as in tests/properties/parts/test_column_increments.py."""


@pytest.fixture
def cooled(desk):
    return desk.write(session=SESSION + COMPARED, runs=RUNS)


@pytest.fixture
def ask(axletrim):
    def read(*arguments):
        result = axletrim(*arguments)
        assert result.returncode == 0, result.stderr
        return result.stdout

    return read


def test_a_process_prints_the_column_with_its_unit_interval_and_what_is_left_out(axletrim, cooled):
    result = axletrim.process("parts", cooled, "--width", "120")
    assert result.returncode == 0, result.stderr
    head, units = next(pair for pair in pairwise(result.stdout.splitlines()) if "what differs" in pair[0])
    assert head.index("drag") < head.index("radiator") < head.index("ΔDF/ΔD")
    assert "Pa, ±" in units
    louvres = next(line for line in result.stdout.splitlines() if "louvres open" in line)
    wing = next(line for line in result.stdout.splitlines() if "wing 12°" in line)
    assert "+18 ±8" in louvres
    assert "~−6 ±8" in wing
    told = " ".join(result.stdout.split())
    assert (
        "radiator pressure drop in Pa, as read at 160 km/h; one value, sd 2 Pa (repeats); it enters no balance"
        in told
    )
    assert "radiator pressure drop: no value in run 6, left out of its changes" in told


def test_the_record_holds_the_change_in_the_unit_of_the_file(ask, cooled):
    record = json.loads(ask("parts", cooled, "--json"))
    about = record["columns"]["radiator_pressure_drop"]
    assert (about["unit"], about["source"], about["degrees_of_freedom"]) == ("Pa", "repeats", 3.0)
    assert (about["without_value"], about["brought_to_one_dynamic_pressure"]) == (["6"], False)
    part = next(one for one in record["parts"] if one["run"] == "2")
    change = part["columns"]["radiator_pressure_drop"]
    low, high = change["change_interval"]
    assert change["change"] == pytest.approx(431.0 - (412.0 + 415.0 + 411.0) / 3.0)
    assert (high - low) / 2.0 == pytest.approx(HALF, abs=0.005)
    assert change["change_resolved"] is True


def test_the_table_of_cells_has_a_column_for_each_figure(ask, cooled):
    header, *rows = ask("parts", cooled, "--csv").splitlines()
    place = header.split(",").index("columns.radiator_pressure_drop.change")
    assert rows[1].split(",")[0] == "2"
    assert "columns.radiator_pressure_drop.change_interval_high" in header
    assert header.count("radiator") == 8
    assert place > 0


def test_the_detail_names_what_is_compared(ask, cooled):
    text = ask("compare", cooled, "1", "2")
    assert "Changes of what else is compared, run less baseline" in text
    (line,) = [line for line in text.splitlines() if line.strip().startswith("radiator pressure drop ")]
    assert "+18 Pa" in line
    assert "significant" in line


def test_columns_of_other_speeds_are_brought_to_the_facilitys_and_that_is_said(ask, desk):
    speeds = RUNS.replace("tufts\n", "tufts,speed [km/h]\n", 1).splitlines()
    rows = [f"{row},{'160' if k % 2 else '140'}" for k, row in enumerate(speeds[1:])]
    session = desk.write(
        session=SESSION + COMPARED.replace("]", ', "intake_temperature"]'),
        runs="\n".join([speeds[0], *rows]) + "\n",
    )
    told = " ".join(ask("parts", session).split())
    # (160/140)^2 = 1.306, by hand
    assert (
        "radiator pressure drop in Pa, brought to 160 km/h and 1.225 kg/m³, for the runs differ by 31 %"
        in told
    )
    assert "intake temperature in degC, as read at 140 to 160 km/h" in told


def test_an_absolute_pressure_stands_as_read_and_why_is_said(ask, desk):
    """Near 101 325 Pa, the air at sea level: ISO 2533:1975, Standard atmosphere; 1.2 kPa is the dynamic pressure here."""
    head, *rows = RUNS.replace("radiator_pressure_drop", "duct_pressure").splitlines()
    duct = head.split(",").index("duct_pressure [Pa]")
    cells = [row.split(",") for row in rows]
    read = [
        [f"101{cell}" if k == duct and cell else cell for k, cell in enumerate(row)] + [speed]
        for row, speed in zip(cells, ["140", "160"] * 5, strict=False)
    ]
    session = desk.write(
        session=(SESSION + COMPARED).replace("radiator_pressure_drop", "duct_pressure"),
        runs="\n".join([f"{head},speed [km/h]", *map(",".join, read)]) + "\n",
    )
    told = " ".join(ask("parts", session).split())
    assert (
        "duct pressure in Pa, as read at 140 to 160 km/h; so far above the dynamic pressure they are no differences of "
        "pressure in the flow"
    ) in told
    record = json.loads(ask("parts", session, "--json"))
    assert record["columns"]["duct_pressure"]["brought_to_one_dynamic_pressure"] is False
    part = next(one for one in record["parts"] if one["run"] == "2")
    # by hand: the louvres' run less the mean of the three base runs, as they were typed
    assert part["columns"]["duct_pressure"]["change"] == pytest.approx(431.0 - (412.0 + 415.0 + 411.0) / 3.0)


@pytest.mark.parametrize("command", ["table", "trim --from 3 --setting wing_angle", "speeds 3", "parts"])
def test_verdicts_are_byte_for_byte_the_same_with_and_without_the_column(ask, desk, command):
    name, *more = command.split()
    without = ask(name, desk.write(session=SESSION, runs=RUNS), *more, "--json")
    with_it = ask(name, desk.write(session=SESSION + COMPARED, runs=RUNS), *more, "--json")
    if command in ("parts", "repeatability"):
        record = json.loads(with_it)
        assert record.pop("columns")
        for part in record.get("parts", ()):
            assert part.pop("columns")
        assert json.dumps(record) == json.dumps(json.loads(without))
    else:
        assert with_it == without


def test_a_faulty_list_is_told_by_the_check(axletrim, desk):
    session = desk.write(session=SESSION + COMPARED.replace("radiator_pressure_drop", "tufts"), runs=RUNS)
    result = axletrim("check", session)
    assert result.returncode == 2
    assert "session.toml:10: columns.compared: found 'tufts', a column of text" in result.stdout


def test_a_workbook_holds_its_changes_with_formulas_and_how_well_a_value_is_known(axletrim, cooled, tmp_path):
    done = axletrim("export", cooled, "--xlsx", "out.xlsx", "--draws", "100")
    assert done.returncode == 0, done.stderr
    values, formulas = (load_workbook(tmp_path / "out.xlsx", data_only=only) for only in (True, False))
    head, units, *rows = values["Increments"].iter_rows(values_only=True)
    place = head.index("radiator pressure drop change")
    assert head.index("drag change") < place < head.index("downforce per drag")
    assert units[place : place + 4] == ("Pa", "Pa, 95%", "Pa", "Pa")
    at = next(k for k, row in enumerate(rows) if row[0] == "2")
    change, half, low, high, significant = rows[at][place : place + 5]
    assert change == pytest.approx(431.0 - (412.0 + 415.0 + 411.0) / 3.0)
    assert half == pytest.approx(HALF, abs=0.005)
    assert (low, high) == pytest.approx((change - half, change + half))
    assert significant == "yes"
    letter = formulas["Increments"].cell(1, place + 1).column_letter
    assert formulas["Increments"].cell(at + 3, place + 3).value.startswith(f"={letter}{at + 3}-")
    readings = list(values["Readings"].iter_rows(values_only=True))
    column = readings[0].index("radiator_pressure_drop")
    assert (readings[1][column], readings[2][column], readings[7][column]) == ("Pa", 412, None)
    method = {row[0]: row[1:4] for row in values["Method"].iter_rows(values_only=True) if row[0]}
    value, unit, words = method["radiator pressure drop, standard deviation of one value"]
    assert value == pytest.approx(2.095, abs=0.0005)
    assert (unit, words) == ("Pa", "from repeats; as read at 160 km/h")


def test_a_day_sent_as_csv_comes_back_with_what_it_compares(axletrim, cooled, tmp_path):
    assert axletrim("export", cooled, "--csv", "out.csv").returncode == 0
    done = axletrim("import", "out.csv", "--vehicle", cooled.parent / "vehicle.toml", "--to", "back")
    assert done.returncode == 0, done.stderr
    assert load_session(tmp_path / "back").compared == load_session(cooled).compared


def test_a_notebook_has_the_column_beside_the_forces_with_its_unit(cooled):
    found = balance.frame(balance.assess_parts(balance.reduce_day(balance.load_session(cooled), draws=100)))
    assert found.loc["2", "radiator_pressure_drop_change"] == pytest.approx(431.0 - 1238.0 / 3.0)
    low, high = (found.loc["2", f"radiator_pressure_drop_change_{end}"] for end in ("low", "high"))
    assert (high - low) / 2.0 == pytest.approx(HALF, abs=0.005)
    assert found.attrs["units"]["radiator_pressure_drop_change_std"] == "Pa"
    assert found.attrs["units"]["drag_change_N"] == "N"
    assert not [name for name in found.columns if name.startswith("columns")]


def test_the_repeatability_of_a_value_is_told_and_recorded(ask, cooled):
    told = " ".join(ask("repeatability", cooled).split())
    assert "What else is compared, one value in its own unit" in told
    # sd by hand as above; the least significant difference is 3.182 sd sqrt(2) = 9.43 Pa
    assert "radiator pressure drop 2 Pa 3 9 Pa" in told
    one = json.loads(ask("repeatability", cooled, "--json"))["columns"]["radiator_pressure_drop"]
    assert one["std"] == pytest.approx(2.095, abs=0.0005)
    assert one["least_significant_difference"] == pytest.approx(9.43, abs=0.005)
    assert one["without_value"] == ["6"]
    assert one["drift"][0]["returned"] == [["1", "5", "9"], ["3", "8"]]


LOOSE = RUNS.replace("8,wing,,4,92,-126,1193,413,31.0,attached", "8,wing,,4,92,-126,1193,413,31.0,tip loose")


def test_what_tufts_did_stands_beside_each_tested_setting(ask, desk):
    session = desk.write(session=SESSION, runs=LOOSE)
    told = ask("response", session, "--setting", "wing_angle")
    said = [line.partition(" · ")[2] for line in " ".join(told.split()).split(" - ") if " · tufts" in line]
    assert said == ["tufts: attached; tip loose", "tufts: attached", "tufts: lifting at the ends"]
    (curve,) = json.loads(ask("response", session, "--setting", "wing_angle", "--json"))["curves"]
    assert curve["tested"] == [4.0, 8.0, 12.0]
    assert curve["seen"] == {"tufts": ["attached; tip loose", "attached", "lifting at the ends"]}
    head, *rows = csv.reader(io.StringIO(ask("response", session, "--setting", "wing_angle", "--csv")))
    place, value = head.index("seen.tufts"), head.index("value")
    assert [(row[value], row[place]) for row in rows if row[place]] == [
        ("4.0", "attached; tip loose"), ("8.0", "attached"), ("12.0", "lifting at the ends"),
    ]  # fmt: skip
    trim = " ".join(ask("trim", session, "--from", "3", "--setting", "wing_angle").split())
    assert (
        "tufts, seen and in no decision: attached; tip loose at 4°, attached at 8°, lifting at the ends at 12°"
        in trim
    )


def test_words_of_neighbours_that_agree_are_told_together(ask, desk):
    session = desk.write(session=SESSION, runs=RUNS)
    trim = " ".join(ask("trim", session, "--from", "3", "--setting", "wing_angle").split())
    assert "tufts, seen and in no decision: attached at 4 to 8°, lifting at the ends at 12°" in trim


@pytest.mark.parametrize("command", ["response --setting wing_angle", "trim --from 3 --setting wing_angle"])
def test_what_eyes_saw_decides_nothing(ask, desk, command):
    """The same figures, steps and useful range whatever the words are, and without them."""
    name, *more = command.split()

    def answer(runs):
        record = json.loads(ask(name, desk.write(session=SESSION, runs=runs), *more, "--json"))
        for curve in record.get("curves", ()):
            curve.pop("seen", None)
        return json.dumps(record)

    without = RUNS.replace("attached", "").replace("lifting at the ends", "")
    turned = RUNS.replace("attached", "separated").replace("lifting at the ends", "attached")
    assert answer(RUNS) == answer(without) == answer(turned)


def test_a_day_without_words_has_no_key_for_them(ask, desk):
    bare = RUNS.replace("attached", "").replace("lifting at the ends", "")
    text = ask("response", desk.write(session=SESSION, runs=bare), "--setting", "wing_angle", "--json")
    assert "seen" not in json.loads(text)["curves"][0]


def test_the_customers_table_of_parts_has_the_column_and_says_how_it_was_compared(axletrim, cooled, tmp_path):
    done = axletrim("report", cooled, "-o", "page.html")
    assert done.returncode == 0, done.stderr
    text = html.unescape(re.sub(r"<[^>]+>", " ", (tmp_path / "page.html").read_text(encoding="utf-8")))
    told = " ".join(text.split())
    assert "part front rear total drag radiator effect" in told
    assert "+6 N (1 to 12) +18 Pa (11 to 26) more downforce, more drag" in told
    assert "Radiator pressure drop: as read at 160 km/h." in told
    assert "Tufts, seen and in no decision: attached at 4 to 8°, lifting at the ends at 12°." in told


def drifting():
    """A radiator that warms by 10 Pa a run, while the forces stay."""
    rows = [f"{k + 1},{'louvres' if k % 2 else 'base'},{'open' if k % 2 else ''},,84,{260 + 3 * (k % 3)},1150,"
            f"{400 + 10 * k + 20 * (k % 2) + (k % 3)},31.2," for k in range(8)]  # fmt: skip
    return "\n".join([RUNS.splitlines()[0], *rows]) + "\n"


def test_a_drift_of_the_column_alone_is_offered_and_removed_by_its_own_slope(axletrim, ask, desk):
    session = desk.write(session=SESSION + COMPARED, runs=drifting())
    told = " ".join(ask("parts", session).split())
    assert (
        "drift of radiator pressure drop is significant and NOT REMOVED (--correct-drift removes it)" in told
    )
    result = axletrim("parts", session, "--correct-drift", "--json")
    assert "no drift is significant" not in result.stderr
    record = json.loads(result.stdout)
    assert record["drift_corrected"] is False
    assert record["columns"]["radiator_pressure_drop"]["drift_corrected"] is True
    part = next(one for one in record["parts"] if one["shows_part"])["columns"]["radiator_pressure_drop"]
    assert part["drift_taken_out"] is True
    # 20 Pa of the louvres; half a run of drift, 10 Pa, is out; what is left is the scatter of up to 2 Pa
    assert part["change"] == pytest.approx(20.0, abs=2.0)
    assert "drift of radiator pressure drop REMOVED" in ask("parts", session, "--correct-drift")


def test_a_comparison_says_how_the_column_was_compared_and_what_changed(ask, cooled):
    one = json.loads(ask("compare", cooled, "1", "2", "--json"))["columns"]["radiator_pressure_drop"]
    assert one["change"] == pytest.approx(431.0 - 1238.0 / 3.0)
    assert (one["unit"], one["source"], one["without_value"]) == ("Pa", "repeats", ["6"])


def test_a_side_without_a_value_has_no_change(ask, desk):
    session = desk.write(session=SESSION + COMPARED, runs=RUNS.replace(",431,", ",,"))
    parts = json.loads(ask("parts", session, "--json"))["parts"]
    found = next(one for one in parts if one["run"] == "2")["columns"]["radiator_pressure_drop"]
    assert (found["change"], found["change_interval"], found["change_resolved"]) == (None, None, False)
    told = " ".join(ask("compare", session, "1", "2").split())
    assert "radiator pressure drop · unknown not compared ·" in told


ALONE = "radiator pressure drop −22 Pa"
"""193 Pa with the louvres, less the mean of 214 and 216 Pa without: by hand."""


@pytest.fixture
def only_cooled(desk):
    session = SESSION.replace(', "intake_temperature", "tufts"', "")
    return desk.write(session=session + COMPARED, runs=LOUVRES_ALONE)


def test_louvres_that_do_nothing_to_the_loads_are_not_called_nothing(ask, only_cooled):
    for width in ("80", "150"):
        told = ask("parts", only_cooled, "--width", width)
        louvres = next(line for line in told.splitlines() if "louvres arch" in line)
        assert "~loads, −22 Pa" in louvres
        assert not louvres.rstrip().endswith("within noise")
    sentence = " ".join(ask("compare", only_cooled, "1", "10").split())
    assert f"louvres arch leaves loads within noise; {ALONE} (" in sentence
    assert "stays within noise" not in sentence


def test_the_report_keeps_louvres_that_do_nothing_to_the_loads(ask, only_cooled, tmp_path):
    page = tmp_path / "page.html"
    ask("report", only_cooled, "-o", page)
    text = re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page.read_text(encoding="utf-8"))))
    assert f"loads within noise; {ALONE}" in text.replace("\u00a0", " ")
    assert re.search(r"[0-9]+ more comparisons? of these parts not shown here\.", text)
