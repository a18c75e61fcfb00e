"""`axletrim what-if` as a process."""

import json
import shutil

import pytest

from tests.files.library.conftest import HEAD, Days

SETS = ("--set", "from=16", "--set", "wing_angle=9 deg", "--set", "on=5")


@pytest.fixture
def day(demo, tmp_path):
    """A copy of the invented tunnel day in which no what-if is saved yet."""
    shutil.copytree(demo.parent, tmp_path / "car", ignore=shutil.ignore_patterns("what_if.toml"))
    return tmp_path / "car" / "tunnel_day"


def test_without_a_change_it_is_the_table(axletrim, day):
    (found,) = json.loads(axletrim("what-if", day, "--set", "from=16", "--json").stdout)["what_ifs"]
    table = json.loads(axletrim("table", day, "--json").stdout)
    run = next(r for r in table["runs"] if r["run"] == "16")
    for key in (k for k in found["result"] if k in run and k not in {"air_density_kg_m3", "speed_m_s"}):
        assert found["start"][key] == found["result"][key]
        assert found["result"][key] == (
            pytest.approx(run[key], rel=1e-13) if key.endswith("_std") else run[key]
        ), key
    assert found["change"]["grip_surplus_change"] == 0.0
    assert found["changes_verdict"] is False
    assert found["changes_range_verdict"] is False
    assert found["start"]["range_verdict"] == found["result"]["range_verdict"]


def test_saved_named_listed_and_compared(axletrim, day):
    saved = axletrim("what-if", day, *SETS, "--save", "more wing")
    assert saved.returncode == 0, saved.stderr
    assert "saved 'more wing'" in saved.stderr
    axletrim("what-if", day, "--set", "from=18", "--save", "as run")
    listed = axletrim("what-if", day)
    assert "more wing: " in listed.stdout
    assert "as run: " in listed.stdout
    both = json.loads(axletrim("what-if", day, "as run", "more wing", "--json").stdout)
    assert [one["name"] for one in both["what_ifs"]] == ["as run", "more wing"]
    changed = axletrim("what-if", day, "more wing", "--set", "wing_angle=10 deg", "--json")
    assert json.loads(changed.stdout)["what_ifs"][0]["what_if"]["settings"] == {"wing_angle": "10 deg"}
    too_many = axletrim("what-if", day, "a", "b", "c", "d", "e")
    assert too_many.returncode == 2
    assert "at most 4" in too_many.stderr


def test_text_says_what_it_rests_on(axletrim, day):
    done = axletrim("what-if", day, *SETS, "--set", "air=29 degC, 940 hPa", "--width", "200", "--full")
    for words in (
        "Start: run 16",
        "Result",
        "Change, result less start",
        "rolling resistance",
        "part 5 was measured against run 4",
        "next to the stall",
        "humidity of 50 % assumed",
        "front tyre at top speed",
        "Cautions",
    ):
        assert words in done.stdout


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--set", "wing_angle=9 deg"), "from"),
        (("--set", "from=99"), "'99'"),
        (("--set", "from=16", "--set", "wing_angle=20 deg"), "not tested"),
        (("--set", "from=16", "--set", "wing_angle=12 deg"), "past the useful range"),
        (("--set", "from=16", "--set", "front=120 N"), "at what speed?"),
        (("nothing",), "none is saved"),
        (("--save", "x"), "--save needs --set"),
    ],
)
def test_refusals_in_plain_words(axletrim, day, spoken, options, said):
    assert said in spoken(axletrim("what-if", day, *options))


def test_a_part_that_acts_far_from_where_the_car_file_has_it_is_said(axletrim, demo, tmp_path):
    day = shutil.copytree(demo.parent, tmp_path / "hatch") / demo.name
    asked = ("what-if", day, "--set", "from=4", "--set", "on=11")
    near = " ".join(axletrim(*asked).stdout.split())
    assert "it stands 550 mm behind it" in near  # vehicles/README.md: the wing of the invented hatchback
    assert "has changed the flow" not in near
    car = day.parent / "vehicle.toml"
    car.write_text(car.read_text().replace('"550 mm", height', '"-900 mm", height'))
    far = " ".join(axletrim(*asked).stdout.split())
    assert "far from there: it has changed the flow over the rest of the car" in far


PART = "rear spoiler 25 mm"


@pytest.fixture
def fresh(tmp_path):
    """A day before its spoiler, with a library of five other cars that had one."""
    days = Days(tmp_path)
    days.five()
    head = "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"
    return days.day("fresh", runs=f"{head}1,base,84,260,1150\n2,base,80,262,1152\n")


def test_a_part_of_the_library_is_expected_and_never_measured(axletrim, fresh, tmp_path):
    library = ("--library", tmp_path / "library")
    asked = ("what-if", fresh, "--set", "from=1", "--set", f"library={PART}", *library)
    said = " ".join(axletrim(*asked, "--full").stdout.split())
    assert "; expected, from 5 cars" in said
    assert f"{PART}: expected, from 5 cars, nothing of this car in it: front downforce −6 N ±" in said
    assert "measured" not in said.replace("nothing of this car in it", "").partition("Cautions")[0]
    saved = axletrim(*asked, "--save", "with spoiler")
    assert saved.returncode == 0, saved.stderr
    assert f'library = ["{PART}"]' in (fresh / "what_if.toml").read_text(encoding="utf-8")
    (found,) = json.loads(axletrim("what-if", fresh, "with spoiler", "--json", *library).stdout)["what_ifs"]
    (part,) = found["from_library"]
    assert (part["part"], part["cars"], part["why_not"]) == (PART, 5, None)
    change = found["change"]["rear_downforce_change_N"]
    gains = (60.0, 75.0, 40.0, 66.0, 52.0)  # of the invented cars, by hand
    assert change == pytest.approx(sum(gains) / 5, abs=1.0)
    low, high = found["change"]["rear_downforce_change_N_interval"]
    assert low < min(gains)
    assert high > max(gains)


def test_too_few_cars_are_refused(axletrim, fresh, tmp_path, spoken):
    days = Days(tmp_path / "others")
    days.add(days.day("ash"), n1="new")
    days.add(days.day("birch"), n1="same")
    said = spoken(
        axletrim(
            "what-if",
            fresh,
            "--set",
            "from=1",
            "--set",
            f"library={PART}",
            "--library",
            days.library,
            "--save",
            "no",
        )
    )
    assert (
        f"part '{PART}' from the library: found 2 cars: too few for what a next car may do, which takes five"
        in said
    )
    assert not (fresh / "what_if.toml").exists()
    said = spoken(axletrim("what-if", fresh, "--set", "from=1", "--set", f"library={PART}"))
    assert "found no library" in said


def test_a_part_that_the_car_has_already_is_not_put_on_twice(axletrim, tmp_path, spoken):
    """By its own words, in whatever unit; taken off first, or on a start without it, it is expected as ever."""
    days = Days(tmp_path)
    days.five()
    head = "run,configuration,front_lift [N],rear_lift [N],drag [N],Rear spoiler [cm]\n"
    folder = days.day("fresh", runs=f"{head}1,base,84,260,1150,\n2,spoiler,90,186,1158,2.5\n")

    def asked(*sets):
        keys = [word for one in sets for word in ("--set", one)]
        return axletrim("what-if", folder, *keys, "--set", f"library={PART}", "--library", days.library)

    refused = spoken(asked("from=2"))
    assert f"part '{PART}' from the library: found it on the car already, as" in refused
    assert "start from another run, or take it off first" in refused
    assert "found it on the car already" in spoken(asked("from=1", "on=2"))
    for sets in (("from=1",), ("from=2", "off=2")):
        done = asked(*sets)
        assert done.returncode == 0, done.stderr
        assert "expected, from 5 cars" in " ".join(done.stdout.split())


def test_a_part_that_the_day_measured_is_pointed_to(axletrim, tmp_path):
    days = Days(tmp_path)
    days.five()
    oak = days.add(days.day("elm"), n1="same") and days.place / "elm" / "spring"
    asked = (
        "what-if",
        oak,
        "--set",
        "from=1",
        "--set",
        f"library={PART}",
        "--library",
        days.library,
        "--full",
    )
    said = " ".join(axletrim(*asked).stdout.split())
    assert f"{PART}: expected, from 5 cars; this day measured it: on=2: front downforce" in said
    assert "of this car" not in said.partition("Cautions")[0]


@pytest.mark.parametrize(
    ("sets", "found"),
    [
        (
            ["from=1", "on=2"],
            "found it on the car already, as on = '2', which this day measured, expected one of the two",
        ),
        (["from=2"], "found it on the car already, as 'rear_spoiler' 25 mm, expected a car without it"),
        # another size stands in the same place
        (["from=3"], "found 'rear_spoiler' 10 mm in its place, expected a car with nothing there"),
    ],
)
def test_a_part_is_not_counted_twice(axletrim, spoken, tmp_path, sets, found):
    days = Days(tmp_path)
    days.five()
    rows = "1,base,84,260,1150,\n2,spoiler,90,200,1158,25\n3,low spoiler,86,230,1153,10\n"
    folder = days.day("fresh", runs=f"{HEAD}{rows}")
    asked = [text for one in [*sets, f"library={PART}"] for text in ("--set", one)]
    ran = axletrim("what-if", folder, *asked, "--library", days.library)
    assert ran.returncode == 2
    assert f"part '{PART}' from the library: {found}; " in spoken(ran)
    # taken off first, it counts once
    if sets == ["from=2"]:
        assert (
            axletrim("what-if", folder, *asked, "--set", "off=2", "--library", days.library).returncode == 0
        )
