"""`axletrim plan`, `new plan`, and what `check` says of a plan, as processes of their own."""

import json
import shutil

import pytest

from tests.files.library.conftest import Days

CANDIDATE = {
    "configuration", "settings", "readings", "minutes", "worth", "worth_per_minute", "changes_choice", "would_become",
    "needs", "expected",
}  # fmt: skip
"""Keys of a candidate; common practice of this file, its contract, no source."""


@pytest.fixture
def straight(demo):
    """The invented morning on a straight, which has no plan."""
    return demo.parents[1] / "ostrel_two_seater" / "straight_morning"


@pytest.fixture
def day(demo, tmp_path):
    """A copy of the invented tunnel day, with its plan."""
    shutil.copytree(demo.parent, tmp_path / "car")
    return tmp_path / "car" / "tunnel_day"


def flat(done):
    """Return what a command printed, its folded lines put together."""
    return " ".join(done.stdout.split())


def record(axletrim, *arguments):
    done = axletrim(*arguments, "--json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_a_plan_as_json_holds_its_contract(axletrim, day):
    plan = record(axletrim, "plan", day)
    assert plan["format"] == "axletrim-plan/1"
    assert plan["unit"] == "N"
    assert set(plan["now"]) >= {"best", "share"}
    assert plan["minutes_left"] > 0.0
    assert all(set(one) >= CANDIDATE for one in plan["candidates"])
    rates = [round(one["worth_per_minute"], 9) for one in plan["candidates"]]
    assert rates == sorted(rates, reverse=True)
    for one in plan["candidates"]:
        assert one["worth"] >= 0.0
        assert one["worth"] == pytest.approx(one["worth_per_minute"] * one["minutes"])
        for force in one["expected"].values():
            assert force["low"] < force["mean"] < force["high"]
        assert one["minutes"] <= plan["minutes_left"]
    for before, after in zip(plan["order"], plan["order"][1:], strict=False):
        assert before["start"] < after["start"]


def test_every_wanted_run_is_in_the_order_or_dropped_until_it_is_made(axletrim, day):
    plan = record(axletrim, "plan", day)
    planned = [one for one in plan["order"] if one["kind"] == "run"]
    assert len(planned) + len(plan["dropped"]) == 4
    assert [one["must"] for one in planned + plan["dropped"]].count(True) == 1
    with (day / "runs.csv").open("a") as runs:
        runs.write("25,17:20,splitter and wing,40,,5,,,,160.0,20.2,1007.4,47,-180,-280,1215,,,,\n")
    after = record(axletrim, "plan", day)
    left = [one["settings"] for one in after["order"] + after["dropped"] if one.get("kind", "run") == "run"]
    assert len(left) == 3
    assert {
        "splitter_length": {"value": 40.0, "unit": "mm"},
        "wing_angle": {"value": 5.0, "unit": "deg"},
    } not in left
    assert after["minutes_left"] < plan["minutes_left"]


def test_text_says_the_clock_the_next_runs_the_order_and_the_cautions(axletrim, day):
    done = axletrim("plan", day, "--width", "120")
    assert done.returncode == 0, done.stderr
    for words in (
        "run 24 done",
        "left until 19:00",
        "Most merit so far:",
        "Order: ",
        "must: track package",
        "as typed",
        "Estimates.",
    ):
        assert words in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 120
    narrow = axletrim("plan", day, "--width", "80").stdout
    assert max(map(len, narrow.splitlines())) <= 80
    full = axletrim("plan", day, "--full").stdout
    assert "Local rules and qualified people" in full
    assert "not run yet, from the runs so far" in " ".join(full.split())


def test_a_run_on_the_dangerous_side_says_so_first(axletrim, demo, straight):
    """On a straight the car is driven: what the day shows past the oversteer limit is never offered in silence."""
    for folder in (demo, straight):
        table = record(axletrim, "table", folder)
        loose = {
            one["name"] for one in table["configurations"] if one["range_verdict"] == "front overpowers rear"
        }
        assert loose
        plan = record(axletrim, "plan", folder)
        warned = [one for one in (*plan["candidates"], *plan["order"]) if one["warning"]]
        assert warned
        assert all("OVERSTEER" in one["warning"] or "oversteer limit" in one["warning"] for one in warned)
    assert "do not build up speed" in axletrim("plan", straight).stdout


def test_a_configuration_that_was_run_is_expected_where_its_readings_lie(axletrim, day):
    table = record(axletrim, "table", day)
    (run,) = (one for one in table["runs"] if one["run"] == "18")
    expected = record(axletrim, "plan", day, "--expect", "wing=11 deg, splitter_length=60 mm")
    for name in ("front_downforce_N", "rear_downforce_N", "drag_N"):
        assert expected["expected"][name]["low"] < run[name] < expected["expected"][name]["high"]
    assert expected["run_before"]
    assert expected["units"].keys() == {"front lift", "rear lift", "drag"}
    in_inches = record(axletrim, "plan", day, "--expect", "wing_angle=11 deg, splitter=6 cm")
    assert in_inches["expected"] == expected["expected"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("wings=8 deg", "expected one of: splitter_length"), ("wing_angle=8", "a setting with its unit"),
        ("wing_angle", "a setting and its value"), ("wing_angle=8 deg, wing=9 deg", "twice"), ("wing_angle=8 kg", "angle"),
    ],
)  # fmt: skip
def test_a_configuration_that_cannot_be_read_says_what_is_expected(axletrim, day, text, words):
    done = axletrim("plan", day, "--expect", text)
    assert done.returncode == 2
    assert done.stdout == ""
    assert words in done.stderr


def test_a_turned_sign_is_named_and_a_right_run_is_not(axletrim, day):
    right = record(axletrim, "plan", day, "--judge", "24")
    assert right["inside"] == "95"
    assert right["likely"] == []
    text = (day / "runs.csv").read_text()
    (day / "runs.csv").write_text(text.replace(",96,287,1153,", ",96,-287,1153,"))
    turned = record(axletrim, "plan", day, "--judge", "24")
    assert turned["inside"] == "outside"
    assert turned["likely"][0] == "sign of the rear turned"
    assert "Check: sign of the rear turned?" in axletrim("plan", day, "--judge", "24").stdout
    unknown = axletrim("plan", day, "--judge", "99")
    assert unknown.returncode == 2
    assert "'99'" in unknown.stderr


def test_a_run_sheet_stands_alone_and_holds_the_runs(axletrim, day, tmp_path):
    done = axletrim("plan", day, "--sheet", tmp_path / "sheet.html")
    assert done.returncode == 0, done.stderr
    page = (tmp_path / "sheet.html").read_text().replace("\N{NO-BREAK SPACE}", " ")
    for words in ("Runs to make", "splitter 40 mm", "front lift", "Cautions", "Runs made", "as delivered"):
        assert words in page
    assert "http" not in page.replace("http-equiv", "")
    refused = axletrim("plan", day, "--sheet", tmp_path / "sheet.toml")
    assert refused.returncode == 2


def test_a_new_plan_can_be_read_and_is_never_written_over(axletrim, day):
    (day / "plan.toml").unlink()
    done = axletrim(
        "new",
        "plan",
        day,
        "--start",
        "08:00",
        "--end",
        "18:00",
        "--break",
        "12:30-13:15",
        "--drag-worth",
        "3",
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip().endswith("plan.toml")
    assert axletrim("check", day).returncode == 0
    assert record(axletrim, "plan", day)["aim"]["choose"]["drag_worth"] == 3.0
    before = (day / "plan.toml").read_text()
    again = axletrim("new", "plan", day)
    assert again.returncode == 2
    assert (day / "plan.toml").read_text() == before
    (day / "plan.toml").unlink()
    wrong = axletrim("new", "plan", day, "--start", "19:00")
    assert wrong.returncode == 2
    assert "hours.end" in wrong.stderr
    assert not (day / "plan.toml").exists()


def test_check_reads_the_plan(axletrim, day):
    assert axletrim("check", day).returncode == 0
    text = (day / "plan.toml").read_text()
    (day / "plan.toml").write_text(text.replace('end = "19:00"', 'end = "08:00"').replace('"3 min"', "3"))
    done = axletrim("check", day)
    assert done.returncode == 2
    assert "plan.toml:6: hours.end: found 08:00, expected an end after 08:30; check both times" in done.stdout
    assert "minutes.wing_angle: found 3 without a unit" in done.stdout
    assert axletrim("plan", day).returncode == 2


def test_a_day_without_runs_has_an_order_and_says_what_it_needs(axletrim, day):
    head = (day / "runs.csv").read_text().splitlines()[0]
    (day / "runs.csv").write_text(f"{head}\n")
    plan = record(axletrim, "plan", day)
    assert plan["order"][0]["kind"] == "baseline"
    assert "before the first run" in axletrim("plan", day).stdout
    car = day.parent / "vehicle.toml"
    car.write_text(
        "\n".join(line for line in car.read_text().splitlines() if not line.startswith("frontal_area"))
    )
    done = axletrim("plan", day)
    assert done.returncode == 0
    assert "state frontal_area" in " ".join(done.stdout.split())
    assert record(axletrim, "plan", day)["candidates"] == []
    judged = axletrim("plan", day, "--judge", "1")
    assert judged.returncode == 2


def test_options_that_exclude_one_another_and_clocks_that_are_none_are_refused(axletrim, day):
    assert axletrim("plan", day, "--judge", "3", "--expect", "").returncode == 2
    assert "time of day" in axletrim("plan", day, "--now", "soon").stderr
    later = record(axletrim, "plan", day, "--now", "18:30")
    assert later["minutes_left"] == 30.0
    over = record(axletrim, "plan", day, "--now", "19:30")
    assert over["stop"] is True
    assert over["candidates"] == []


def test_a_plan_that_aims_at_a_lap_is_valued_in_seconds(axletrim, tmp_path):
    axletrim("demo", "--copy", "cars")
    day = "cars/brindlow_hatch/tunnel_day"
    axletrim("new", "track", "cars/brindlow_hatch", "Short loop")
    path = tmp_path / day / "plan.toml"
    text = path.read_text().replace("choose = { drag_worth = 2.0 }", 'choose = { track = "Short loop" }')
    path.write_text(text.replace('enough = "20 N"', 'enough = "0.02 s"'))
    record = json.loads(axletrim("plan", day, "--json").stdout)
    assert (record["unit"], record["aim"]) == ("s", {"choose": {"drag_worth": None, "track": "Short loop"}})
    assert record["enough"] == 0.02
    assert record["candidates"]
    printed = axletrim("plan", day).stdout
    assert "ms/min" in printed
    assert "the least lap time on Short loop" in " ".join(printed.split())
    path.write_text(path.read_text().replace('"Short loop"', '"Long loop"'))
    printed = " ".join(axletrim("plan", day).stdout.split())
    assert "plan: aim: track: found 'Long loop', expected one of: " in printed
    assert "Order:" in printed


@pytest.fixture
def fresh(tmp_path):
    """A day before its spoiler, which its plan expects from the library beside it."""
    days = Days(tmp_path)
    days.five()
    folder = days.day(
        "fresh",
        runs="run,configuration,front_lift [N],rear_lift [N],drag [N],rear_spoiler [mm]\n1,base,84,260,1150,\n",
    )
    (folder / "plan.toml").write_text(
        '[[wanted]]\nrear_spoiler = "25 mm"\n[expected.rear_spoiler]\n"25 mm" = "from library"\n',
        encoding="utf-8",
    )
    return folder


def test_a_plan_says_what_it_expects_from_the_library(axletrim, fresh, tmp_path):
    library = tmp_path / "library"
    done = axletrim("plan", fresh, "--library", library, "--full")
    assert done.returncode == 0, done.stderr
    assert "rear spoiler 25 mm (rear spoiler 25 mm): expected, from 5 cars" in flat(done)
    record_ = record(axletrim, "plan", fresh, "--library", library)
    (one,) = record_["from_library"]
    assert (one["setting"], one["part"], one["cars"], one["why_not"]) == (
        "rear_spoiler",
        "rear spoiler 25 mm",
        5,
        None,
    )
    assert one["rear_downforce_area_m2"]["low"] < one["rear_downforce_area_m2"]["mean"]
    asked = axletrim("plan", fresh, "--library", library, "--expect", "rear_spoiler=25 mm")
    assert "; rear spoiler expected, from 5 cars" in flat(asked)
    sheet = tmp_path / "sheet.html"
    assert axletrim("plan", fresh, "--library", library, "--sheet", sheet).returncode == 0
    assert "never measured; rear spoiler 25 mm (rear spoiler 25 mm): expected, from 5 cars." in " ".join(
        sheet.read_text(encoding="utf-8").split()
    )
    # without the library the range is that of a spoiler of which nothing is known, and it is wider
    wide = record(axletrim, "plan", fresh, "--expect", "rear_spoiler=25 mm")["expected"]["rear_downforce_N"]
    narrow = record(axletrim, "plan", fresh, "--library", library, "--expect", "rear_spoiler=25 mm")
    narrow = narrow["expected"]["rear_downforce_N"]
    assert wide["low"] < narrow["low"] < narrow["high"] < wide["high"]


def test_a_plan_without_the_library_says_why_it_assumes(axletrim, fresh):
    done = axletrim("plan", fresh, "--full")
    assert done.returncode == 0
    assert "assumed, for the library does not say" in flat(done)
    checked = axletrim("check", fresh)
    assert checked.returncode == 0
    assert "found no library" in flat(checked)


def test_a_plan_finds_the_library_of_the_environment(axletrim, fresh):
    done = axletrim("plan", fresh, "--full", AXLETRIM_LIBRARY=str(fresh.parents[1] / "library"))
    assert "expected, from 5 cars" in flat(done)


def test_a_new_plan_says_why_it_proposes_nothing(axletrim, fresh, tmp_path):
    plan, runs = fresh / "plan.toml", fresh / "runs.csv"
    runs.write_text(runs.read_text(encoding="utf-8") + "2,spoiler,90,200,1158,31\n", encoding="utf-8")
    plan.unlink()
    assert axletrim("new", "plan", fresh, "--library", tmp_path / "library").returncode == 0
    assert "# nothing is expected from the library: no part of it is said as a setting" in plan.read_text(
        encoding="utf-8"
    )


def test_a_key_that_nothing_else_names_is_asked_about(axletrim, fresh):
    plan = fresh / "plan.toml"
    plan.write_text(plan.read_text(encoding="utf-8") + '[[wanted]]\nwhy = "strip"\n', encoding="utf-8")
    asked = "a setting that no run has: why; is it meant?"
    assert f"note: plan.toml: {asked}" in axletrim("check", fresh).stdout
    assert asked in flat(axletrim("plan", fresh, "--full"))
    # named by a second wanted run, an expected line or the time of a change, it is meant
    for also in (
        '[[wanted]]\nwhy = "wing"\n',
        '[expected.why]\nstrip = { rear = "40 N ± 10 N" }\n',
        '[minutes]\nwhy = "5 min"\n',
    ):
        plan.write_text(f'[[wanted]]\nwhy = "strip"\n{also}', encoding="utf-8")
        assert "is it meant?" not in axletrim("check", fresh).stdout


def test_a_gain_is_one_of_merit(axletrim, day):
    assert " of merit." in flat(axletrim("plan", day))


def test_a_new_plan_proposes_what_the_library_knows(axletrim, fresh, tmp_path):
    library, plan = tmp_path / "library", fresh / "plan.toml"
    plan.unlink()
    assert axletrim("new", "plan", fresh, "--library", library).returncode == 0
    nothing = "# nothing is expected from the library: "
    assert f"{nothing}no run of this day has a setting yet" in plan.read_text(encoding="utf-8")
    runs = fresh / "runs.csv"
    runs.write_text(runs.read_text(encoding="utf-8") + "2,spoiler,90,200,1158,25\n", encoding="utf-8")
    plan.unlink()
    assert axletrim("new", "plan", fresh, "--library", library).returncode == 0
    text = plan.read_text(encoding="utf-8")
    lines = text.splitlines()
    assert lines[-2:] == [
        "# [expected.rear_spoiler]",
        '# "25 mm" = "from library"              # rear spoiler 25 mm: expected, from 5 cars',
    ]
    assert record(axletrim, "plan", fresh, "--library", library)["from_library"] == []
    plan.write_text(text.replace("# [exp", "[exp").replace('# "25', '"25'), encoding="utf-8")
    (one,) = record(axletrim, "plan", fresh, "--library", library)["from_library"]
    assert one["cars"] == 5
