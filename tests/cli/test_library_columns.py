"""A compared column in a library: pooled like a channel, told in a line, and no more than the cars allow."""

import json

import pytest

from tests.cooled_day import COMPARED, RUNS, SESSION
from tests.small_session import VEHICLE

PART = "louvres open"
GAINS = {"ash": 19.0, "birch": 29.0, "cedar": 13.0, "oak": 24.0, "yew": 17.0}


@pytest.fixture
def library(axletrim, tmp_path):
    def run(command, *arguments):
        return axletrim("library", command, *arguments, "--library", tmp_path / "library")

    return run


@pytest.fixture
def add(tmp_path, library):
    """Add a day of each of some cars, whose louvres add so much to a radiator's pressure drop."""

    def several(count, *, speeds=("160 km/h",) * 5, unit="Pa"):
        for (car, gain), speed in zip(list(GAINS.items())[:count], speeds, strict=False):
            folder = tmp_path / car / "day"
            folder.mkdir(parents=True)
            (tmp_path / car / "vehicle.toml").write_text(
                VEHICLE.replace("Larkspur coupe", f"{car} {car}"), encoding="utf-8"
            )
            text = (SESSION + COMPARED).replace("Cooling day", f"Day of {car}").replace("160 km/h", speed)
            (folder / "session.toml").write_text(text, encoding="utf-8")
            runs = RUNS.replace(",431,", f",{412.0 + gain:g},").replace("drop [Pa]", f"drop [{unit}]")
            (folder / "runs.csv").write_text(runs, encoding="utf-8")
            result = library("add", folder, "--car", "new", "--same")
            assert result.returncode == 0, result.stderr

    return several


def columns(library, *arguments):
    return json.loads(library("show", PART, "--json", *arguments).stdout)["columns"]["radiator_pressure_drop"]


@pytest.mark.parametrize("count", range(1, 6))
def test_so_many_cars_allow_so_much_to_be_said_of_a_column(add, library, count):
    add(count)
    told = " ".join(library("show", PART).stdout.split())
    assert "Radiator pressure drop, Pa, at 160 km/h · " in told
    line = told.partition("Radiator pressure drop, ")[2].partition(". ")[0]
    assert ("mean of" in line) == (count >= 3)
    assert ("next car" in line) == (count >= 5)
    # 431 - 412.667 = 18.33, half of its interval 7.70: by hand in tests/properties/parts/test_column_increments.py
    assert ("ash ash (invented) +18 ± 8" in line) == (count <= 4)
    found = columns(library)
    assert (found["unit"], found["cars"], len(found["effects"])) == ("Pa", count, count)
    assert (found["pooled"]["mean"] is not None) == (count >= 3)
    assert (found["pooled"]["next_interval"] is not None) == (count >= 5)


def test_the_mean_of_equal_errors_is_the_plain_mean(add, library):
    """Weights are equal where all variances are, whatever the variance between cars."""
    add(5)
    found = columns(library)
    values = [gain + 412.0 - 1238.0 / 3.0 for gain in GAINS.values()]
    assert [one["change"] for one in found["effects"]] == pytest.approx(values)
    assert found["pooled"]["mean"] == pytest.approx(sum(values) / 5.0)


def test_a_pressure_of_other_speeds_and_units_stands_at_the_speed_shown(add, library):
    add(2, speeds=("160 km/h", "140 km/h"))
    first, second = columns(library, "--speed", "160 km/h", "--air-density", "1.225 kg/m^3")["effects"]
    assert first["change"] == pytest.approx(19.0 + 412.0 - 1238.0 / 3.0)
    # (160/140)^2 times what was read at 140 km/h: dynamic pressure goes with the square of the speed
    assert second["change"] == pytest.approx((160.0 / 140.0) ** 2 * (29.0 + 412.0 - 1238.0 / 3.0))


def test_columns_are_pooled_in_si_whatever_their_files_have(add, library):
    add(1, unit="hPa")
    (one,) = columns(library)["effects"]
    assert one["change"] == pytest.approx(100.0 * (19.0 + 412.0 - 1238.0 / 3.0))


def test_a_library_without_a_column_says_nothing_of_any(library, add, tmp_path):
    add(1)
    file = tmp_path / "ash" / "day" / "session.toml"
    file.write_text(file.read_text(encoding="utf-8").replace(COMPARED, ""), encoding="utf-8")
    shown = library("show", PART)
    assert "adiator" not in shown.stdout
    assert "columns" not in json.loads(library("show", PART, "--json").stdout)
