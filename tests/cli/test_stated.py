"""A value with its uncertainty on the command line and in a file, as processes."""

import json
import shutil

import pytest

from tests.small_session import VEHICLE

ASK = ("--from", "16", "--setting", "wing_angle", "--json")
HALF = (
    1.959964  # standard deviations of a normal distribution in half of its 95 % interval: tables, from memory
)


def interval(axletrim, demo, *change):
    done = axletrim("trim", demo, *ASK, *change)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)["solutions"][0]["interval"]


def test_forms_of_one_uncertainty_give_one_answer(axletrim, demo):
    by_option = interval(axletrim, demo, "--front-change", "120 N at 160 km/h", "--front-change-std", "20 N")
    for text in (
        "120(20) N at 160 km/h",
        "120 N sd 20 N at 160 km/h",
        f"120 N at 160 km/h +/- {20 * HALF} N",
    ):
        assert interval(axletrim, demo, "--front-change", text) == pytest.approx(by_option, abs=2e-6)


def test_a_tenth_is_assumed_and_said_unless_exactly(axletrim, demo):
    silent, tenth, exact = (
        interval(axletrim, demo, "--front-change", f"120 N{said} at 160 km/h")
        for said in ("", " sd 10 %", " exactly")
    )
    assert silent == pytest.approx(tenth, abs=1e-9)
    assert exact[1] - exact[0] < silent[1] - silent[0]
    for said, there in (("", True), (" sd 10 %", False), (" exactly", False)):
        done = axletrim("trim", demo, *ASK[:-1], "--front-change", f"120 N{said} at 160 km/h", "--full")
        assert done.returncode == 0, done.stderr
        assert ("uncertainty of the stated change: assumed 10 %" in " ".join(done.stdout.split())) is there
        assert ("taken as exact" in done.stdout) is (said == " exactly")


def test_a_stated_zero_has_a_tenth_of_the_largest(axletrim, demo):
    front = ("--front-change", "120 N exactly at 160 km/h")
    zero, tenth, exact = (
        interval(axletrim, demo, *front, "--rear-change", f"0 N{said} at 160 km/h")
        for said in ("", " sd 12 N", " exactly")
    )
    assert zero == pytest.approx(tenth, abs=1e-9)
    assert exact[1] - exact[0] < zero[1] - zero[0]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (
            ("--front-change", "120(20) N at 160 km/h", "--front-change-std", "20 N"),
            "--front-change: found front",
        ),
        (("--front-change", "120 N ± 20 kg at 160 km/h"), "--front-change: found the unit 'kg'"),
        (("--speed", "160 km/h ± 2 km/h"), "--speed: found an uncertainty in"),
        (("--target-surplus", "1 ± 0.2 %"), "--target-surplus: found an uncertainty in"),
        (("--air", "29 degC sd 1 degC, 940 hPa"), "--air: found an uncertainty in"),
    ],
)
def test_what_is_at_fault_is_said(axletrim, demo, spoken, options, said):
    assert said in spoken(axletrim("trim", demo, *ASK, *options))


def test_a_file_takes_it_and_names_its_faults(axletrim, desk):
    good = VEHICLE.replace("1290 kg", "1290 ± 4 kg").replace("54.2 %", "54.2(3) %")
    plain = axletrim("table", desk.write(), "--json")
    stated = axletrim("table", desk.write(vehicle=good), "--json")
    assert stated.returncode == 0, stated.stderr
    assert json.loads(stated.stdout)["runs"] == json.loads(plain.stdout)["runs"]
    done = axletrim("check", desk.write(vehicle=good.replace("54.2(3) %", "54.2(3) % ± 1 %")))
    assert done.returncode == 2
    assert (
        "../vehicle.toml:4: mass.front_share: found '54.2(3) % ± 1 %', expected one uncertainty; leave out one of the two"
        in " ".join(done.stdout.split())
    )


def test_a_saved_what_if_says_what_was_typed(axletrim, demo, tmp_path):
    folder = shutil.copytree(demo.parent, tmp_path / "car") / demo.name
    sets = ("from=16", "mass=1200 ± 5 kg", "front=120 N at 160 km/h exactly")
    options = [part for text in sets for part in ("--set", text)]
    done = axletrim("what-if", folder, *options, "--save", "heavier")
    assert done.returncode == 0, done.stderr
    text = (folder / "what_if.toml").read_text(encoding="utf-8")
    assert "1200 kg ± 5 kg" in text
    assert 'front = "120 N at 160 km/h and 1.2 kg/m^3 exactly"' in text
