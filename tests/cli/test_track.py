"""`axletrim new track` and `axletrim track show`: a track to be typed over, and what it is."""

import json

import pytest

CAR = ("--name", "c (invented)", "--mass", "1290 kg", "--front-share", "54.2 %", "--wheelbase", "2575 mm")


@pytest.fixture
def car(axletrim):
    assert axletrim("new", "car", "my car", *CAR).returncode == 0
    return "my car"


def test_a_new_track_says_what_to_do_next(axletrim, car, tmp_path):
    made = axletrim("new", "track", car, "Upper field loop")
    assert (made.returncode, made.stdout) == (0, "my car/tracks/upper_field_loop\n")
    assert made.stderr == (
        "axletrim: type over the segments in line.csv; next: axletrim track show 'my car/tracks/upper_field_loop'\n"
    )
    folder = tmp_path / "my car" / "tracks" / "upper_field_loop"
    assert sorted(path.name for path in folder.iterdir()) == ["line.csv", "track.toml"]
    line = (folder / "line.csv").read_text()
    again = axletrim("new", "track", "my car/vehicle.toml", "Upper field loop")
    assert again.returncode == 2
    assert again.stderr.endswith("nothing was overwritten\n")
    assert (folder / "line.csv").read_text() == line


def test_a_track_is_shown(axletrim, car):
    axletrim("new", "track", car, "Upper field loop")
    shown = axletrim("track", "show", "my car/tracks/upper_field_loop")
    assert (shown.returncode, shown.stderr) == (0, "")
    lines = shown.stdout.splitlines()
    assert lines[0] == "Upper field loop · 1,572 m · clockwise · 5 corners"
    assert lines[1] == "Turns 360° right in all: its ends meet, 0 m apart on the ground."
    assert "⠁" in shown.stdout
    assert max(map(len, lines)) <= 100
    record = json.loads(axletrim("track", "show", "my car/tracks/upper_field_loop", "--json").stdout)
    assert (record["format"], record["ends_meet"], len(record["corners"])) == ("axletrim-track/1", True, 5)
    assert record["corners"][0]["radius_m"] == pytest.approx(60.0)
    assert record["corners"][0]["angle_rad"] < 0.0  # right, after ISO 8855


def test_without_braille_and_narrow(axletrim, car):
    axletrim("new", "track", car, "loop")
    shown = axletrim.process(
        "track", "show", "my car/tracks/loop", "--width", "40", encoding="latin-1", PYTHONIOENCODING="latin-1"
    )
    assert shown.returncode == 0, shown.stderr
    assert max(map(len, shown.stdout.splitlines())) <= 40
    assert "...." in shown.stdout


def test_every_fault_of_a_track_is_told(axletrim, spoken, car, tmp_path):
    axletrim("new", "track", car, "loop")
    line = tmp_path / "my car" / "tracks" / "loop" / "line.csv"
    line.write_text("length [m],radius [m]\n100,0\n-5,\n")
    said = spoken(axletrim("track", "show", "my car/tracks/loop"))
    assert said.splitlines() == [
        "axletrim: line.csv:2: radius [m]: found '0', expected a radius of 2 m or more, left positive, right negative, empty where it is straight; leave it empty where the track is straight",
        "axletrim: line.csv:3: length [m]: found '-5', expected a length above 0, up to 100 km; check the figure and its unit",
    ]
    assert "did you mean 'my car/tracks/loop'?" in spoken(axletrim("track", "show", "my car"))
    assert "found nothing there" in spoken(axletrim("track", "show", "nowhere"))


def test_ends_that_do_not_meet_are_said_not_refused(axletrim, car, tmp_path):
    axletrim("new", "track", car, "loop")
    line = tmp_path / "my car" / "tracks" / "loop" / "line.csv"
    line.write_text("length [m],radius [m],angle [deg]\n300,,\n,50,90\n")
    shown = axletrim("track", "show", "my car/tracks/loop")
    assert shown.returncode == 0
    assert "270° short of a full turn: its ends do not meet" in " ".join(shown.stdout.split())
