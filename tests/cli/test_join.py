"""`axletrim join`: days of one car side by side, as a table, as JSON and CSV, and refused in words."""

import csv
import io
import json

import pytest

from tests.small_session import SESSION, VEHICLE

HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N],wing [deg],status\n"
MONDAY = f"{HEAD}1,base,80,260,1150,,\n2,wing,100,-240,1200,5,\n3,base,84,256,1152,,\n"
THURSDAY = f"{HEAD}1,base,95,280,1170,,\n2,lip,60,280,1175,,\n3,base,91,276,1168,,suspect\n"
FIGURES = '[repeatability]\nfront = "4 N"\nrear = "4 N"\ndrag = "2 N"\ndegrees_of_freedom = 20\n'


@pytest.fixture
def days(tmp_path):
    """Write days of one car; give what writes another."""

    def write(day, runs, *, car=VEHICLE, folder="car", facility="", floor="fixed", stated=FIGURES, title=""):
        place = tmp_path / folder / day
        place.mkdir(parents=True)
        (tmp_path / folder / "vehicle.toml").write_text(car, encoding="utf-8")
        text = SESSION.replace("Spring tunnel day (invented)", title or day)
        text = text.replace("[facility]\n", f'[facility]\nfloor = "{floor}"\n{facility}')
        (place / "session.toml").write_text(text + stated, encoding="utf-8")
        (place / "runs.csv").write_text(runs, encoding="utf-8")
        return place

    return write


@pytest.fixture
def two(days):
    return days("monday", MONDAY), days("thursday", THURSDAY)


def test_two_days_as_a_table(axletrim, two):
    found = axletrim("join", *two, "--width", "90")
    assert (found.returncode, found.stderr) == (0, "")
    lines = found.stdout.splitlines()
    assert lines[0].endswith(" · 2 days joined · at 160 km/h, 1.225 kg/m³ · downforce positive")
    assert lines[1:3] == [
        "A: monday · date not stated · fixed floor · 3 runs",
        "B: thursday · date not stated · fixed floor · 3 runs",
    ]
    assert "How far the days lie apart. Tied by base (A 1, 3 · B 1)." in lines
    # by hand: mean of the base 82 N of lift on Monday, 95 on Thursday, whose suspect run enters no mean
    (shift,) = [line for line in lines if line.startswith("  B  ")]
    assert shift.split("│")[1].split()[:2] == ["−13", "±10"]
    rows = {line.split()[2]: line for line in lines if line.startswith(("  A ", "  B ")) and "day" in line}
    assert "same day" in rows["wing"]
    assert rows["lip"].split("│")[1].split()[:2] == ["+35", "±12"]  # 95 less 60
    assert "repeatability of A and B: each its own" in found.stdout.replace("\n  ", " ")


def test_the_record_has_the_day_beside_each_run(axletrim, two):
    record = json.loads(axletrim("join", *two, "--json", "--against", "lip").stdout)
    assert list(record) == [
        "format", "car", "speed_m_s", "air_density_kg_m3", "confidence", "days", "tied_by", "shifts", "against", "parts",
        "departures", "notes",
    ]  # fmt: skip
    assert (record["format"], [one["day"] for one in record["days"]]) == ("axletrim-join/1", ["A", "B"])
    assert record["against"]["runs"] == [{"day": "B", "run": "2"}]
    wing = next(one for one in record["parts"] if one["configuration"] == "wing")
    assert (wing["run"], wing["day"], wing["baseline"], wing["baseline_day"]) == ("2", "A", "2", "B")
    assert wing["compared"] == "over days"
    # by hand: −(100 − 82) less −(60 − 95)
    assert wing["front_downforce_change_N"] == pytest.approx(-18.0 - 35.0)
    assert wing["front_downforce_change_N_interval"][0] < -53.0 < wing["front_downforce_change_N_interval"][1]
    assert record["shifts"][0]["front_downforce_shift_N"] == pytest.approx(-13.0)
    assert record["shifts"][0]["tied"]
    assert record["tied_by"][0]["configuration"] == "base"


def test_a_configuration_may_be_named_by_a_run(axletrim, two):
    by_run = axletrim("join", *two, "--json", "--against", "B:2").stdout
    assert by_run == axletrim("join", *two, "--json", "--against", "lip").stdout
    fault = axletrim("join", *two, "--against", "B:9")
    assert fault.returncode == 2
    assert fault.stderr.startswith(
        "axletrim: configuration: found 'B:9', expected one of: base, wing, lip, A:1"
    )


def test_a_row_of_csv_is_a_configuration(axletrim, two):
    rows = list(csv.DictReader(io.StringIO(axletrim("join", *two, "--csv").stdout)))
    assert [(row["day"], row["run"], row["runs"], row["baseline_runs"]) for row in rows] == [
        ("A", "2", "A:2", "A:1; A:3; B:1"),
        ("B", "2", "B:2", "A:1; A:3; B:1"),
    ]
    assert {"stated_speed_m_s", "drag_change_N", "drag_change_N_interval_low"} <= rows[0].keys()


def test_days_of_one_facility_share_their_repeatability(axletrim, days):
    named = 'name = "North tunnel"\n'
    two = days("monday", MONDAY, facility=named), days("thursday", THURSDAY, facility=named)
    record = json.loads(axletrim("join", *two, "--json").stdout)
    assert [one["pooled_with"] for one in record["days"]] == [["B"], ["A"]]
    # by hand: three fits of the base on two days leave one degree of freedom beside the facility's 20
    assert record["days"][0]["repeatability"]["channels"]["front"]["degrees_of_freedom"] == 21.0
    assert "repeatability pooled over A, B: one facility, 'North tunnel'" in record["notes"]


def test_a_setting_in_another_unit_is_the_same_setting(axletrim, days):
    metric = days("monday", MONDAY.replace("wing [deg]", "lip [mm]").replace(",5,", ",25.4,"))
    inches = days(
        "thursday", MONDAY.replace("wing [deg]", "lip [in]").replace(",5,", ",1,").replace("80", "81")
    )
    record = json.loads(axletrim("join", metric, inches, "--json").stdout)
    assert [one["configuration"] for one in record["tied_by"]] == ["base", "wing"]
    assert record["tied_by"][1]["settings"] == {"lip": {"value": 25.4, "unit": "mm"}}


def test_floors_and_cars_that_differ_are_told(axletrim, days):
    monday = days("monday", MONDAY)
    road = days("road", THURSDAY, folder="rebuilt", floor="road", car=VEHICLE.replace("1290 kg", "1270 kg"))
    said = " ".join(axletrim("join", monday, road).stdout.split())
    assert "floors differ (A fixed, B road): warning: a floor changes some parts more than others" in said
    assert "the car was changed between the days (mass)" in said


def test_what_cannot_be_joined_is_refused_in_words(axletrim, days, two):
    monday, _ = two
    other = days("day", THURSDAY, folder="other", car=VEHICLE.replace("Larkspur", "Ostrel"))
    alone = days("friday", f"{HEAD}1,lip,60,280,1175,,\n")
    void = days("void", f"{HEAD}1,base,60,280,1175,,void\n")
    cases = {
        (monday,): "axletrim: days: found 1, expected two or more of one car",
        (
            monday,
            monday,
        ): f"axletrim: {monday}: found the same day as {monday}, expected different days of one car",
        (monday, f"{monday}/session.toml"): (
            f"axletrim: {monday}/session.toml: found the same day as {monday}, expected different days of one car"
        ),
        (monday, other): (
            f"axletrim: 'day' ({other}): found another car, 'Ostrel coupe (invented)', expected 'Larkspur coupe (invented)'; several "
            "cars stand side by side in a library: axletrim library add"
        ),
        (monday, alone): (
            "axletrim: 'monday' and 'friday': found no configuration that was run on both, expected one at least, better "
            "two; run 'base' on the other day too; 'base' and 'lip' have the same settings: one label for both, if they are one"
        ),
        (monday, void): (
            f"axletrim: {void}/runs.csv:1: found no run that counts, expected at least one that is not void; add a row for "
            "each run"
        ),
    }
    for given, words in cases.items():
        found = axletrim("join", *given)
        assert (found.returncode, found.stdout, found.stderr.strip()) == (2, "", words)
    assert axletrim("join").returncode == 2
    assert axletrim("join", *two, "--json", "--csv").returncode == 2


def test_faults_of_every_day_are_named_with_their_day(axletrim, two):
    monday, thursday = two
    for day in two:
        runs = day / "runs.csv"
        runs.write_text(runs.read_text(encoding="utf-8").replace("1150", "much").replace("1170", "lots"))
    found = axletrim("join", *two)
    assert found.returncode == 2
    first, second = found.stderr.splitlines()
    assert first.startswith(f"axletrim: {monday}/runs.csv:2: drag [N]: found 'much'")
    assert second.startswith(f"axletrim: {thursday}/runs.csv:2: drag [N]: found 'lots'")


@pytest.mark.parametrize("width", [40, 60, 80, 120, 200])
def test_every_line_keeps_to_the_width(axletrim, two, width):
    found = axletrim("join", *two, "--width", str(width))
    assert max(map(len, found.stdout.splitlines())) <= width
    assert ("left out for width" in found.stderr) == (width < 80)


def test_what_was_run_on_both_days_says_so_and_why_it_differs_from_its_own_day(axletrim, days):
    """A wing of Monday stands among the runs of Thursday too: it is no figure of one day, and nor are those beside it."""
    monday = days("monday", MONDAY.replace("wing [deg]", "splitter [mm]"))
    thursday = days("thursday", f"{HEAD}1,base,95,280,1170,,\n2,wing,113,-222,1220,5,\n3,lip,60,280,1175,,\n".replace(
        "wing [deg]", "splitter [mm]"))  # fmt: skip
    both = axletrim("join", monday, thursday, "--width", "120")
    rows = {
        line.split("│")[0].split()[-1]: line
        for line in both.stdout.splitlines()
        if line[:3] in ("  A", "  B")
    }
    assert rows["wing"].endswith("both days")
    assert rows["lip"].endswith("same day")
    said = " ".join(both.stdout.split())
    assert "ties of all days count, so that figures differ a little from a day's own" in said
    assert (
        "fixed floor: readings of splitter and underbody parts are taken as they stand, with caution" in said
    )
    told = axletrim("join", monday, thursday, "--full").stdout
    assert "Estimates from readings of several days" in told
    assert "of one day" not in told


def test_one_tie_leaves_every_day_its_own_figures_and_no_such_note(axletrim, two):
    said = " ".join(axletrim("join", *two).stdout.split())
    assert "ties of all days count" not in said
    assert "fixed floor: readings" not in said
