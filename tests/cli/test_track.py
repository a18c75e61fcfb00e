"""`axletrim new track` and `axletrim track show`: a track to be typed over, and what it is."""

import json

import pytest

from tests.cli.typed import typed
from tests.files.tables.driven import Driven, written

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


LOG = Driven(noise=0.3)


def test_a_log_becomes_a_track(axletrim, car, tmp_path):
    written(tmp_path / "laps.csv", LOG.columns())
    asked = axletrim("track", "import", "laps.csv", "--car", car, "--name", "Oval")
    assert asked.returncode == 2
    question = "which way round is the lap? With a turn to the left counted positive it goes clockwise"
    assert asked.stderr.splitlines() == [
        f"axletrim: {question}; answer with --direction clockwise|anticlockwise",
        "axletrim: nothing was written",
    ]
    assert not (tmp_path / car / "tracks").exists()
    command = ("track", "import", "laps.csv", "--car", car, "--name", "Oval", "--direction", "clockwise")
    dry = axletrim(*command, "--dry-run")
    assert (dry.returncode, dry.stderr) == (0, "axletrim: nothing was written (--dry-run)\n")
    assert not (tmp_path / car / "tracks").exists()
    made = axletrim(*command)
    assert (made.returncode, made.stdout) == (0, dry.stdout)
    assert (
        made.stderr == "axletrim: wrote my car/tracks/oval; next: axletrim track show 'my car/tracks/oval'\n"
    )
    lines = " ".join(made.stdout.split())
    assert "Oval · 1,177 m · clockwise · 2 corners" in lines
    assert "4 used: lap 1, lap 2, lap 3, lap 4" in lines
    assert "1/m in the mean of 4 laps, root mean square along the line" in lines
    assert "Smoothed over 20 m along the line" in lines
    assert "lateral acceleration: 'Lat Acc [g]' in g" in lines
    shown = axletrim("track", "show", "my car/tracks/oval")
    assert "traced from 4 laps of laps.csv, smoothed over 20 m" in shown.stdout
    again = axletrim(*command)
    assert again.returncode == 2
    assert "nothing was overwritten" in again.stderr


def test_a_log_that_cannot_be_read_writes_nothing(axletrim, spoken, car, tmp_path):
    path = written(tmp_path / "laps.csv", LOG.columns())
    path.write_text(
        path.read_text().replace("Speed [km/h]", "Speed [m/s]").replace("Lat Acc [g]", "Channel 7")
    )
    command = ("track", "import", "laps.csv", "--car", car, "--name", "Oval", "--direction", "clockwise")
    assert "nothing tells how the car turns" in spoken(axletrim(*command))
    named = ("--column", "lateral_acceleration=Channel 7", "--unit", "lateral_acceleration=g")
    said = spoken(axletrim(*command, *named))
    assert "Speed [m/s]: found 122 m/s at most, expected 18 to 110 m/s; is it in km/h" in said
    mended = (*named, "--unit", "speed=km/h")
    said = spoken(axletrim(*command, *mended, "--smoothing", "1 m"))
    assert "smoothing: found 1 m, expected 2 m to 200 m" in said
    assert "--smoothing: found '20' without a unit" in spoken(
        axletrim(*command, *mended, "--smoothing", "20")
    )
    assert "found 'wide', expected NAME=VALUE" in spoken(axletrim(*command, "--unit", "wide"))
    assert "found no such file" in spoken(
        axletrim("track", "import", "none.csv", "--car", car, "--name", "x")
    )
    assert "vehicle.toml" in spoken(axletrim("track", "import", "laps.csv", "--car", "nobody", "--name", "x"))
    assert not (tmp_path / car / "tracks").exists()


def test_what_is_open_is_asked_on_a_terminal(axletrim, car, tmp_path):
    columns = LOG.columns()
    columns = {("Speed" if head.startswith("Speed") else head): cells for head, cells in columns.items()}
    written(tmp_path / "laps.csv", columns)
    said, code = typed(
        axletrim,
        ["track", "import", "laps.csv", "--car", car, "--name", "Oval"],
        ["km/h", "upwards", "clockwise"],
    )
    assert "in which unit is the speed" in said
    assert said.count("which way round is the lap?") == 2
    assert code == 0
    assert (tmp_path / car / "tracks" / "oval" / "track.toml").exists()
