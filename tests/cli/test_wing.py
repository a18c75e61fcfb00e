"""`axletrim trim` and `axletrim response` as processes."""

import csv
import io
import json
from pathlib import Path

import numpy as np
import pytest

CHANGE = ("--front-change", "120 N at 160 km/h", "--front-change-std", "20 N")
ASK = ("--from", "16", "--setting", "wing_angle")


def test_json_answers(axletrim, demo):
    done = axletrim("trim", demo, *ASK, *CHANGE, "--target-offset", "3 points rearward", "--json")
    assert done.returncode == 0, done.stderr
    record = json.loads(done.stdout)
    assert record["format"] == "axletrim-wing/1"
    assert (record["setting"], record["unit"], record["from_run"]) == ("wing_angle", "deg", "16")
    assert record["target"] == {"balance_offset": -0.03}
    assert record["tested_range"] == [2.0, 14.0]
    assert record["useful_range"] == [2.0, 11.0]
    assert "does not rise" in record["useful_range_ends_because"]
    (one,) = record["solutions"]
    low, high = one["interval"]
    assert 2.0 < low < one["value"] < high < 11.0
    assert one["inside_useful_range"] is True
    assert one["balance_offset"] == pytest.approx(-0.03, abs=1e-9)
    for key in ("front_downforce_N", "rear_downforce_N", "drag_N"):
        assert one[f"{key}_std"] > 0.0
    assert record["closest"] is None
    assert any(
        family["differs"] == {"flap_height": {"value": 10.0, "unit": "mm"}}
        for family in record["alternatives"]
    )
    assert any("rear and drag taken as unchanged" in text for text in record["assumptions"])


def test_an_answer_goes_back_into_what_if(axletrim, demo):
    target = ("--target-surplus", "2 %", "--speed", "185 km/h")
    one = json.loads(axletrim("trim", demo, *ASK, *CHANGE, *target, "--json").stdout)["solutions"][0]
    sets = ("from=16", f"wing_angle={one['value']!r} deg", "front=120 N at 160 km/h", "speed=185 km/h")
    options = [part for text in sets for part in ("--set", text)]
    (found,) = json.loads(axletrim("what-if", demo, *options, "--json").stdout)["what_ifs"]
    assert found["result"]["grip_surplus"] == pytest.approx(0.02, abs=1e-9)
    assert found["result"]["rear_downforce_N"] == pytest.approx(one["rear_downforce_N"], rel=1e-12)


def test_no_solution_is_an_answer(axletrim, demo):
    done = axletrim("trim", demo, *ASK, "--target-offset", "40 points rearward", "--json")
    record = json.loads(done.stdout)
    assert (done.returncode, record["solutions"]) == (0, [])
    assert not record["closest"]["outside_at_a_place"]  # 11 deg is nearer, but pushes at a named place
    assert record["closest"]["missing_rear_N"] > 0.0
    assert record["closest"]["missing_front_N"] is None
    text = axletrim("trim", demo, *ASK, "--target-offset", "40 points rearward")
    assert text.returncode == 0
    assert "no wing_angle inside the useful range" in text.stdout


def test_text_has_interval_speed_units_and_cautions(axletrim, demo):
    done = axletrim(
        "trim", demo, *ASK, *CHANGE, "--target-offset", "3 points rearward", "--width", "200", "--full"
    )
    assert done.returncode == 0
    assert (
        "wing_angle 5.6° (4.9 to 6.3, 95 % of draws) gives an aero balance 3.0 points behind weight"
        in done.stdout
    )
    for words in (
        "at 148 km/h",
        "1.200 kg/m³",
        "Cautions",
        "not the shape of the curve",
        "no limits of the series",
    ):
        assert words in done.stdout
    american = axletrim("trim", demo, *ASK, *CHANGE, "--units", "us")
    assert "lbf" in american.stdout
    assert "mph" in american.stdout


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--front-change", "120 N"), "120 N at what speed?"),
        (("--front-change-std", "20 N"), "the change of front that it belongs to"),
        (("--target-offset", "3 points"), "rearward or forward"),
        (("--target-surplus", "-5 %"), "past the oversteer limit"),
        (("--air", "29 degC"), "no pressure"),
        (("--family", "14,15"), "wing_angle"),
        (("--part", "99"), "'99'"),
        (("--speed", "100"), "without a unit"),
    ],
)
def test_refusals_in_plain_words(axletrim, demo, spoken, options, said):
    if options == ("--family", "14,15"):
        options = ("--family", "15,17")
    assert said in spoken(axletrim("trim", demo, *ASK, *options))


def test_a_run_in_no_family_lists_those_that_are(axletrim, demo, spoken):
    said = spoken(axletrim("trim", demo, "--from", "23", "--setting", "wing_angle"))
    assert "14, 15, 17, 16, 18, 19" in said
    assert "--family" in said
    done = axletrim("trim", demo, "--from", "23", "--setting", "wing_angle", "--family", "14,16,18", "--json")
    assert done.returncode == 0
    assert any("chosen by hand" in text for text in json.loads(done.stdout)["assumptions"])


def test_holes_and_limits_of_the_vehicle_file(axletrim, demo, tmp_path):
    import shutil

    shutil.copytree(demo.parent, tmp_path / "car")
    vehicle = tmp_path / "car" / "vehicle.toml"
    vehicle.write_text(
        vehicle.read_text("utf-8")
        + '\n[[adjusters]]\nsetting = "wing_angle"\nholes = { "a" = "4 deg", "b" = "7 deg", "c" = "10 deg" }\n'
        'limits = { high = "9 deg", confirmed_by = "scrutineer" }\n',
        encoding="utf-8",
    )
    done = axletrim(
        "trim",
        tmp_path / "car" / "tunnel_day",
        *ASK,
        *CHANGE,
        "--target-offset",
        "3 points rearward",
        "--json",
    )
    record = json.loads(done.stdout)
    assert record["limits"] == {"low": None, "high": 9.0, "confirmed_by": "scrutineer"}
    assert [hole["hole"] for hole in record["solutions"][0]["holes"]] == ["b", "a"]


def test_target_and_verdict_rest_on_the_surplus_with_drive(axletrim, demo):
    """A car driven at the rear: from air loads alone 1 % would be met 3 points further forward."""
    two_seater = Path(demo).parents[1] / "ostrel_two_seater" / "straight_morning"
    ask = ("--from", "2", "--setting", "wing_angle", "--target-surplus", "1 %", "--speed", "190 km/h")
    solution = json.loads(axletrim("trim", two_seater, *ask, "--json").stdout)["solutions"][0]
    assert solution["grip_surplus_driven"] == pytest.approx(0.01, abs=1e-9)
    assert solution["grip_surplus"] > solution["grip_surplus_driven"]
    said = " ".join(axletrim("trim", two_seater, *ask, "--width", 1000).stdout.split())
    assert "the lower of without and under power" in said
    assert "under power, which the verdict is made from" in said
    assert "that is under power, not of the air load alone" in said


def test_what_the_drive_force_makes_loose_is_warned_of(axletrim, demo):
    two_seater = Path(demo).parents[1] / "ostrel_two_seater" / "straight_morning"
    said = " ".join(
        axletrim(
            "what-if", two_seater, "--set", "from=2", "--speed", "222 km/h", "--width", 1000
        ).stdout.split()
    )
    assert "warning: past the oversteer limit in 60 % of draws" in said


@pytest.mark.parametrize("target", ["-1 %", "0 %", "1 %", "3 %", "6 %"])
@pytest.mark.parametrize("run", ["14", "16", "19", "21"])
def test_an_angle_that_is_outside_at_a_named_place_is_never_the_headline(axletrim, demo, run, target):
    ask = ("--from", run, "--setting", "wing_angle", "--target-surplus", target)
    at = ("--speed", "160 km/h")  # both at one speed: --json is at the day's own without it
    record = json.loads(axletrim("trim", demo, *ask, *at, "--json").stdout)
    inside = [one for one in record["solutions"] if not one["outside_at_a_place"]]
    said = axletrim("trim", demo, *ask, *at, "--width", 1000).stdout.splitlines()[1]
    if inside:
        assert said.startswith(f"wing_angle {inside[0]['value']:.1f}")
        assert record["closest"] is None
    else:
        assert record["closest"] is not None
        assert "nearest" in said


WAY = {
    "way", "settings", "runs", "front_downforce_change_N", "front_downforce_change_N_interval",
    "rear_downforce_change_N", "rear_downforce_change_N_interval", "drag_change_N", "drag_change_N_interval",
    "downforce_per_drag", "surplus", "surplus_interval", "range_verdict", "to_target", "outside_at_a_place", "measured",
    "assumes",
}  # fmt: skip


def test_ways_as_json_and_in_print(axletrim, demo):
    """The Gurney alone and two more degrees are two lines; a car as it was run has that run's own verdict."""
    ask = ("--from", "15", "--setting", "wing_angle", "--target-surplus", "3 %")
    record = json.loads(axletrim("trim", demo, *ask, "--json").stdout)
    ways = {way["way"]: way for way in record["ways"]}
    assert all(set(way) == WAY for way in ways.values())
    gurney = ways["flap height 10 mm"]
    assert gurney["measured"]
    table = json.loads(axletrim("table", demo, "--json").stdout)
    (own,) = (one for one in table["configurations"] if one["runs"] == ["22"])
    assert gurney["range_verdict"] == own["range_verdict"]
    assert gurney["surplus"] == pytest.approx(own["grip_surplus"], abs=1e-9)
    said = axletrim("trim", demo, *ask, "--width", "120").stdout
    assert "Options: every change that brings the car nearer to its target, least drag first" in " ".join(
        said.split()
    )
    assert "flap height 10 mm" in said
    old = axletrim("wing", demo, *ask, "--width", "120")
    assert old.stdout == said
    assert "\n  wing " not in axletrim("--help").stdout


def test_short_keeps_the_setting_the_nearest_and_the_range_and_names_where_the_rest_is(axletrim, demo):
    """At 3 % the setting is past a limit at a named speed, so that the nearest stands beside it."""
    ask = ("--from", "15", "--setting", "wing_angle", "--target-surplus", "3 %", "--width", "200")
    short, full = (axletrim("trim", demo, *ask, *option).stdout for option in ((), ("--full",)))
    for words in ("Setting at 148 km/h", "Options: ", "Nearest at 148 km/h", "\nRange\n", "stalled"):
        assert words in short
    for words in ("Or without ", "\nAssumptions\n", "\nCautions\n"):
        assert words in full
        assert words not in short
    body = full.partition("\nOr without ")[2].partition("\nCautions\n")[0]
    left = len([line for line in body.splitlines() if line.startswith("- ")])
    assert f"\n{left} more notes: --full\n" in short
    assert short.rstrip().endswith("(axletrim cautions)")
    assert "\n\n\n" not in short + full


def test_curve_as_json_and_csv(axletrim, demo):
    done = axletrim("response", demo, "--setting", "wing_angle", "--json")
    assert done.returncode == 0, done.stderr
    curves = json.loads(done.stdout)["curves"]
    assert len(curves) == 3
    curve = next(c for c in curves if c["tested"] == [2.0, 5.0, 8.0, 11.0, 14.0])
    assert [step["stalled"] for step in curve["steps"]] == [False, False, False, True]
    values = np.array(curve["value"])
    assert not np.any((values > 11.0) & (values < 14.0))
    low, high = np.array(curve["rear_downforce_N_interval"]).T
    assert np.all((low < curve["rear_downforce_N"]) & (curve["rear_downforce_N"] < high))
    rows = list(
        csv.DictReader(io.StringIO(axletrim("response", demo, "--setting", "wing_angle", "--csv").stdout))
    )
    assert len(rows) == sum(len(c["value"]) for c in curves)
    assert {row["tested"] for row in rows} == {"True", "False"}


def test_curve_in_words(axletrim, demo, spoken):
    done = axletrim("response", demo, "--setting", "wing_angle", "--width", "200")
    assert "11 to 14°: " in done.stdout
    assert "stalled" in done.stdout
    assert "useful 2 to 11°" in done.stdout
    assert "wing_angle" in spoken(axletrim("response", demo, "--setting", "wing_angel"))
    assert "no two runs" in spoken(axletrim("response", demo, "--setting", "flap_height"))
