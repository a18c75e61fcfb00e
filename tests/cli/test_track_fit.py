"""`axletrim track fit`: an invented log, whose truth stands in vehicles/README.md, gives friction and power back."""

import re

import pytest

TRUE_FRICTION, TRUE_POWER = 1.10, 161.0  # vehicles/README.md, "How the log was made"


@pytest.fixture
def cars(axletrim, tmp_path):
    assert axletrim("demo", "--copy", "cars").returncode == 0
    return tmp_path / "cars"


DAY = "cars/brindlow_hatch/tunnel_day"
LOG = "cars/brindlow_hatch/tracks/tarnhollow/log_of_six_laps.csv"


def offered(text, key):
    """Read an offered line: its value and what stands behind the plus or minus."""
    found = re.search(rf'{key} = "([\d.]+)[^±"]*± ([\d.]+)', text)
    assert found, text
    return float(found[1]), float(found[2])


def test_the_log_of_the_demo_gives_its_truth_back(axletrim, cars):
    before = (cars / "brindlow_hatch" / "vehicle.toml").read_bytes()
    told = axletrim("track", "fit", LOG, DAY, "--configuration", "15")
    assert told.returncode == 0, told.stderr
    assert told.stderr == "axletrim: nothing was written; --write puts these lines into vehicle.toml\n"
    for key, true in (("friction", TRUE_FRICTION), ("power", TRUE_POWER)):
        value, half = offered(told.stdout, key)
        assert abs(value - true) <= half
        assert half < 0.05 * true
    text = " ".join(told.stdout.split())
    assert "driven with splitter and wing (mean of runs 15, 17) · air 1.190 kg/m³" in text
    assert "Grip exponent: this log cannot tell" in text  # all corners load the tyres much alike
    assert "grip_load_exponent" not in told.stdout
    assert "6 used: lap 2, lap 3, lap 4, lap 5, lap 6, lap 7" in text
    assert "lap 1 left out: 126.3 s where the fastest lap takes" in text
    assert "lap 8 left out: 3,112 m long where the others are" in text
    assert (cars / "brindlow_hatch" / "vehicle.toml").read_bytes() == before


def test_lines_are_written_and_no_other_byte_is_touched(axletrim, cars):
    file = cars / "brindlow_hatch" / "vehicle.toml"
    before = file.read_text().splitlines()
    told = axletrim("track", "fit", LOG, DAY, "--configuration", "15", "--write")
    assert told.stderr == (
        "axletrim: wrote tyres.friction, drive.power into cars/brindlow_hatch/vehicle.toml; "
        f"next: axletrim lap {DAY}\n"
    )
    after = file.read_text().splitlines()
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert [b.partition(" = ")[0] for _, b in changed] == ["power", "friction"]
    for a, b in changed:
        assert a.partition("#")[2] == b.partition("#")[2]
    assert axletrim("check", DAY).returncode == 0
    assert axletrim("lap", DAY, "15").returncode == 0


def test_a_car_without_friction_and_power_is_fitted_too(axletrim, cars):
    file = cars / "brindlow_hatch" / "vehicle.toml"
    kept = [
        line
        for line in file.read_text().splitlines(keepends=True)
        if not line.startswith(("friction", "power"))
    ]
    file.write_text("".join(kept))
    told = axletrim("track", "fit", LOG, DAY, "--configuration", "15", "--write")
    assert told.returncode == 0, told.stderr
    value, half = offered(file.read_text(), "friction")
    assert abs(value - TRUE_FRICTION) <= half
    value, half = offered(file.read_text(), "power")
    assert abs(value - TRUE_POWER) <= half


def test_what_cannot_be_fitted_is_told(axletrim, spoken, cars):
    other = cars / "ostrel_two_seater" / "tracks" / "upper_field_loop"
    other.rename(cars / "brindlow_hatch" / "tracks" / "upper_field_loop")
    fit = ("track", "fit", LOG, DAY, "--track")
    assert "another track, or a lap that begins elsewhere" in spoken(
        axletrim(*fit, "upper_field_loop", "--configuration", "15")
    )
    assert "expected one of: tarnhollow, upper_field_loop" in spoken(
        axletrim(*fit, "x", "--configuration", "15")
    )
    assert "found 8 of that name, expected one; name it by one of its runs" in spoken(
        axletrim(*fit, "tarnhollow", "--configuration", "splitter and wing")
    )
    assert "configuration: found 'wings'" in spoken(axletrim(*fit, "tarnhollow", "--configuration", "wings"))
    assert "found no such file" in spoken(
        axletrim("track", "fit", "none.csv", DAY, "--track", "tarnhollow", "--configuration", "15")
    )


@pytest.mark.thorough
def test_the_track_of_the_demo_is_what_its_log_makes(axletrim, cars):
    made = axletrim(
        "track", "import", LOG, "--car", "cars/brindlow_hatch", "--name", "again", "--direction", "anticlockwise"
    )  # fmt: skip
    assert made.returncode == 0, made.stderr
    tracks = cars / "brindlow_hatch" / "tracks"
    assert (tracks / "again" / "line.csv").read_text() == (tracks / "tarnhollow" / "line.csv").read_text()
