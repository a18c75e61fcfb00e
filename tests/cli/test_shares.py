"""`shares` of session.toml through the commands: told where it counts, no other car named on a customer's page."""

import json

import pytest

from tests.small_session import SESSION, VEHICLE

HEAD = "run,time,configuration,front_lift [N],rear_lift [N],drag [N]\n"
OWN = f"{HEAD}1,09:00,base,80,260,1150\n2,09:20,lip,40,262,1155\n3,09:40,base,84,256,1152\n"
OTHER = f"{HEAD}1,09:10,base,10,90,850\n2,09:30,wing,14,-90,870\n3,09:50,base,16,92,852\n4,10:10,wing,10,-92,868\n"
NAMED = 'date = 2026-05-14\n[facility]\nname = "{}"\n'


@pytest.fixture
def two(tmp_path):
    """Write the days of two cars; give what writes the first one's facility anew, and its folder."""

    def write(car, runs, facility, shares=""):
        folder = tmp_path / car / "day"
        folder.mkdir(parents=True, exist_ok=True)
        (tmp_path / car / "vehicle.toml").write_text(VEHICLE.replace("Larkspur", car), encoding="utf-8")
        text = SESSION.replace("[facility]\n", shares + NAMED.format(facility))
        (folder / "session.toml").write_text(text, encoding="utf-8")
        (folder / "runs.csv").write_text(runs, encoding="utf-8")
        return folder

    write("Ostrel", OTHER, "North tunnel")
    return lambda facility: write("Larkspur", OWN, facility, 'shares = ["../../Ostrel/day"]\n')


def test_degrees_of_freedom_add_up_in_every_command(axletrim, two):
    day = two("North tunnel")
    record = json.loads(axletrim("parts", day, "--json").stdout)
    assert record["repeatability"]["channels"]["front"]["degrees_of_freedom"] == 3.0  # by hand: 1 and 2
    told = " ".join(axletrim("repeatability", day).stdout.split())
    assert "Repeatability shared with another car of the same day: 3 degrees of freedom together" in told
    assert "Told by the runs of 2 cars that took turns, in the order of the clock." in told
    by_itself = two("South tunnel")
    record = json.loads(axletrim("parts", by_itself, "--json").stdout)
    assert record["repeatability"]["channels"]["front"]["degrees_of_freedom"] == 1.0


def test_what_cannot_be_shared_is_told_and_the_day_stands(axletrim, two):
    day = two("South tunnel")
    found = axletrim("check", day)
    words = (
        "session.toml:3: shares: found a day in 'North tunnel', expected one in 'South tunnel'; correct a name, or leave "
        "the day out; until then nothing is shared with it"
    )
    assert words in " ".join(found.stdout.split())
    assert found.returncode == 0
    assert axletrim("check", day, "--strict").returncode == 1
    table = axletrim("table", day)
    assert table.returncode == 0
    assert f"warning: {words}" in " ".join(table.stdout.split())  # without --full
    assert " ".join(axletrim("table", day, "--full").stdout.split()).count(words) == 1


def test_no_other_car_is_named_on_the_customers_page(axletrim, two, tmp_path):
    page = tmp_path / "page.html"
    assert axletrim("report", two("North tunnel"), "-o", page).returncode == 0
    text = page.read_text(encoding="utf-8")
    assert "Larkspur" in text
    assert "Ostrel" not in text
