"""`axletrim lap`: the contract of its record, what it refuses, and that its seconds are those of the laps."""

import json
import re
import shutil

import pytest

import balance
from balance.files.formats.track import read_track
from balance.files.loader import load_session


@pytest.fixture
def day(axletrim, tmp_path):
    """A copy of the invented day, with one track of its car."""
    assert axletrim("demo", "--copy", "cars").returncode == 0
    shutil.rmtree(tmp_path / "cars" / "brindlow_hatch" / "tracks", ignore_errors=True)
    assert axletrim("new", "track", "cars/brindlow_hatch", "Short loop").returncode == 0
    return "cars/brindlow_hatch/tunnel_day"


def test_the_record_keeps_its_contract_and_its_laps_are_the_laps(axletrim, day, tmp_path):
    ran = axletrim("lap", day, "--track", "Short loop", "--json")
    assert (ran.returncode, ran.stderr) == (0, "")
    record = json.loads(ran.stdout)
    assert (record["format"], record["track"]) == ("axletrim-lap/1", "Short loop")
    assert set(record["gradient_s_per_m2"]) >= {"front", "rear", "drag"}
    assert all(set(one) == {"added", "taken"} for one in record["gradient_s_per_m2"].values())
    assert set(record["drag_paid_by_downforce"]) >= {"front", "rear", "balanced"}
    rows = {tuple(one["runs"]): one for one in record["configurations"]}
    start = rows["1", "2", "6", "13", "24"]
    assert (start["against_start_s"], start["against_start_s_interval"]) == (0.0, [0.0, 0.0])
    table = json.loads(axletrim("table", day, "--json").stdout)["configurations"]
    track = read_track(tmp_path / "cars" / "brindlow_hatch" / "tracks" / "short_loop")
    assert record["length_m"] == pytest.approx(track.length)
    vehicle = load_session(tmp_path / day).vehicle
    for one in table:
        found = rows[tuple(one["runs"])]
        lap = balance.simulate_lap(
            track,
            vehicle,
            front_area=one["front_downforce_area_m2"],
            rear_area=one["rear_downforce_area_m2"],
            drag_area=one["drag_area_m2"],
            air_density=record["air_density_kg_m3"],
        )
        assert found["lap_s"] == pytest.approx(float(lap.time), rel=1e-6)
        assert found["top_speed_m_s"] == pytest.approx(float(lap.speed.max()), rel=1e-6)
        assert found["range_verdict"] == one["range_verdict"]
        assert found["lap_s_interval"][0] < found["lap_s"] < found["lap_s_interval"][1]
        lowest = min(corner["lowest_speed_m_s"] for corner in found["corners"])
        assert lowest == pytest.approx(float(lap.speed.min()), rel=1e-3)
        assert {corner["limited_by"] for corner in found["corners"]} <= {"front", "rear", "power"}
    best = record["fastest_in_balance"]
    assert {one["range_verdict"] for one in record["configurations"] if one["name"] == best} >= {"in balance"}


def test_some_configurations_by_name_or_run_and_drag_priced_there(axletrim, day):
    one = json.loads(axletrim("lap", day, "15", "--json").stdout)
    assert [row["runs"] for row in one["configurations"]] == [["15", "17"]]
    assert (one["start"], one["at"]) == ("as delivered", "splitter and wing")
    named = json.loads(axletrim("lap", day, "wing", "spoiler", "--start", "11", "--json").stdout)
    assert sorted(row["name"] for row in named["configurations"]) == ["spoiler", "spoiler", "wing", "wing"]
    assert named["start"] == "wing"


def test_the_page_says_what_a_lap_is_not_and_warns(axletrim, day):
    text = axletrim("lap", day, "--full", "--width", "100").stdout
    for words in (
        "simulated; differences are surer than the lap",
        "Fastest in balance:",
        "no driver, no tyre heat, no kerbs",
        "Minus is faster.",
        "with friction 1.08 ± 0.04",
        "warning: as delivered: MORE OVERSTEER",
        "series",  # of the cautions
    ):
        assert words in " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 100
    short = axletrim("lap", day, "--width", "80").stdout
    assert max(map(len, short.splitlines())) <= 80
    assert "wing 8, flap 10 " in short  # nothing that tells two configurations apart is cut off


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--track", "long loop"), "track: found 'long loop', expected one of: short_loop"),
        (("blue",), "configuration: found 'blue', expected one of: as delivered"),
        (("--start", "99"), "run: found '99'"),
        (("--air-density", "heavy"), "--air-density"),
    ],
)
def test_what_is_not_there_is_told(axletrim, day, arguments, words):
    ran = axletrim("lap", day, *arguments)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert words in ran.stderr


def test_a_car_without_track_friction_or_power_has_no_lap(axletrim, day, tmp_path):
    car = tmp_path / "cars" / "brindlow_hatch"
    text = (car / "vehicle.toml").read_text()
    (car / "vehicle.toml").write_text(re.sub(r"\nfriction = .*", "", text))
    ran = axletrim("lap", day)
    assert ran.returncode == 2
    assert '[tyres] friction = "1.15 ± 0.05"' in ran.stderr
    (car / "vehicle.toml").write_text(re.sub(r"\npower = .*", "", text))
    assert "[drive] power" in axletrim("lap", day).stderr
    for path in [*(car / "tracks").rglob("*")][::-1]:
        path.unlink() if path.is_file() else path.rmdir()
    ran = axletrim("lap", day)
    assert ran.returncode == 2
    assert "axletrim new track" in ran.stderr
    assert "axletrim track import" in ran.stderr


def test_without_a_name_one_of_several_tracks_has_to_be_named(axletrim, day):
    axletrim("new", "track", "cars/brindlow_hatch", "Long loop")
    ran = axletrim("lap", day)
    assert ran.returncode == 2
    assert "found 2, expected the name of one: long_loop, short_loop" in ran.stderr


def test_a_corner_that_cannot_be_taken_is_told(axletrim, day, tmp_path):
    car = tmp_path / "cars" / "brindlow_hatch"
    line = car / "tracks" / "short_loop" / "line.csv"
    line.write_text("length [m],radius [m],bank [deg]\n400,,\n60,20,-45\n400,,\n60,20,\n")
    text = (car / "vehicle.toml").read_text()
    (car / "vehicle.toml").write_text(re.sub(r"friction = .*", "friction = 0.9", text))
    ran = axletrim("lap", day)
    assert ran.returncode == 2
    assert "does not get past" in ran.stderr


def test_a_step_of_a_setting_stands_beside_the_lap(axletrim, day):
    record = json.loads(axletrim("lap", day, "16", "--json").stdout)
    (wing,) = record["settings"]
    assert (wing["setting"], wing["unit"], wing["about"], wing["step"]) == ("wing_angle", "deg", 8.0, 1.0)
    assert wing["more_s_interval"][0] < wing["more_s"] < wing["more_s_interval"][1]
    text = " ".join(axletrim("lap", day, "16").stdout.split())
    assert "wing angle at 8°: 1° more: " in text


def test_a_what_if_is_worth_seconds_on_a_track(axletrim, day):
    ran = axletrim(
        "what-if", day, "--set", "from=16", "--set", "mass=1240 kg", "--track", "Short loop", "--json"
    )
    lap = json.loads(ran.stdout)["what_ifs"][0]["lap"]
    assert lap["track"] == "Short loop"
    assert lap["against_start_s"] == pytest.approx(lap["lap_s"] - lap["start_lap_s"])
    assert 0.0 < lap["against_start_s_interval"][0] < lap["against_start_s"]
    text = axletrim(
        "what-if", day, "--set", "from=16", "--set", "mass=1240 kg", "--track", "Short loop"
    ).stdout
    assert "- On Short loop: " in text
    assert "no driver, no tyre heat" in text
    bare = axletrim("what-if", day, "--set", "from=16", "--set", "mass=1240 kg", "--json")
    assert "lap" not in json.loads(bare.stdout)["what_ifs"][0]


def test_what_was_run_in_another_block_is_said(axletrim, day):
    text = " ".join(axletrim("lap", "cars/ostrel_two_seater/straight_morning", "--full").stdout.split())
    assert "wing 6° (morning)" in text
    assert "wing 6 (late morning)" in text
    assert "3 configurations were run in another block than the start" in text
    assert "in another block" not in axletrim("lap", day, "--full").stdout


def test_packages_of_priced_parts_stand_beside_the_laps(axletrim, day):
    record = json.loads(axletrim("lap", day, "--prices", "--json").stdout)
    packages = record["packages"]
    assert packages
    assert [one["price"] for one in packages] == sorted(one["price"] for one in packages)
    for one in packages:
        assert one["currency"] == "EUR"
        assert (one["trimmed_to"] is not None) == ("wing" in one["parts"])
        assert "Gurney flap" not in one["parts"] or "wing" in one["parts"]
        low, high = one["against_start_s_interval"]
        assert low < one["against_start_s"] < high
        assert -0.015 <= one["grip_surplus"] <= 0.03  # the car's own limits: never one outside them
    text = axletrim("lap", day, "--prices", "--width", "80").stdout
    assert "packages are outside the limits at a named speed: not offered" in " ".join(text.split())
    assert "packages" not in json.loads(axletrim("lap", day, "--json").stdout)


def test_a_doubtful_track_is_told_wherever_its_seconds_stand(axletrim, day, tmp_path):
    line = tmp_path / "cars" / "brindlow_hatch" / "tracks" / "short_loop" / "line.csv"
    made_up = " ".join(axletrim("lap", day).stdout.split())
    assert "warning: the line of Short loop is made up, the one that a new track begins with" in made_up
    line.write_text("length [m],radius [m]\n400,\n157.08,50\n400,\n157.08,50\n")
    assert "warning: the line" not in axletrim("lap", day).stdout
    line.write_text("length [m],radius [m]\n400,\n157.08,50\n400,\n57.08,50\n")
    assert "its ends do not meet" in " ".join(axletrim("lap", day).stdout.split())
    line.write_text("length [m],radius [km]\n400,\n157.08,50\n400,\n157.08,50\n")
    assert "has no corner: check radius and unit" in " ".join(axletrim("lap", day).stdout.split())


def test_drag_is_priced_at_the_fastest_in_balance_unless_another_is_named(axletrim, day):
    record = json.loads(axletrim("lap", day, "--json").stdout)
    assert record["at"] == record["fastest_in_balance"] == "splitter and wing"
    named = json.loads(axletrim("lap", day, "--at", "1", "--json").stdout)
    assert named["at"] == "as delivered"
    text = " ".join(axletrim("lap", day, "--at", "1").stdout.split())
    assert "at as delivered: one newton of downforce" in text
