"""The format of a day: what format 2 reads otherwise, what an older day keeps, and that a newer one is never half read."""

import json

import pytest

from tests.small_session import SESSION, VEHICLE

SECOND = f"format = 2\n{SESSION}"
TOTALS = (
    "run,configuration,front_lift [N],rear_lift [N],drag [N],total_lift [N]\n"
    "1,base,84,260,1150,344\n2,base,86,261,1151,247\n3,splitter,-140,275,1162,\n"
)
WORDS = (
    "run,configuration,vents,front_lift [N],rear_lift [N],drag [N]\n"
    "1,base,,84,260,1150\n2,base,Off,86,261,1151\n3,base,-,85,262,1149\n4,base,open,-40,275,1162\n"
)
DAY = ("--title", "Spring day", "--speed", "100 mph", "--air-density", "1.225 kg/m^3")
CAR = (
    "--name",
    "Mine (invented)",
    "--mass",
    "1290 kg",
    "--front-share",
    "54.2 %",
    "--wheelbase",
    "2575 mm",
)
RAISE = "write format = 2 at the head of session.toml"


def settings(axletrim, session):
    """What each run has fitted, by its label."""
    table = axletrim("table", session, "--json", "--draws", "100")
    assert table.returncode == 0, table.stderr
    return {run["run"]: run["settings"] for run in json.loads(table.stdout)["runs"]}


def notes(axletrim, session):
    checked = axletrim("check", session)
    assert checked.returncode == 0, checked.stdout
    return [line.removeprefix("note: ") for line in checked.stdout.splitlines()[:-1]]


def first_key(path):
    return next(line for line in path.read_text(encoding="utf-8").splitlines() if line and line[0] != "#")


def test_a_new_car_and_a_new_day_say_their_format_first(axletrim, tmp_path):
    assert axletrim("new", "car", "car", *CAR).returncode == 0
    assert axletrim("new", "day", "car/day", *DAY).returncode == 0
    for path in ("car/vehicle.toml", "car/day/session.toml"):
        assert first_key(tmp_path / path).startswith("format = 2")


def test_an_import_says_its_format_first_and_keeps_a_total_as_one(axletrim, desk, tmp_path):
    (tmp_path / "theirs.csv").write_text(
        "Run,Config,Lift F (N),Lift R (N),Drag (N),Total lift (N),Wing (deg)\n"
        "1,base,84,260,1150,344,off\n2,base,86,261,1151,347,-\n3,wing,90,-275,1162,-185,4\n"
    )
    done = axletrim(
        "import", "theirs.csv", "--to", "car/new", "--vehicle", desk.car / "vehicle.toml", "--speed", "160 km/h",
        "--air-density", "1.225 kg/m^3",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "'Total lift (N)' → total_lift [N] (held against the sum of the axles)" in " ".join(
        done.stdout.split()
    )
    assert first_key(tmp_path / "car" / "new" / "session.toml") == "format = 2"
    runs = (tmp_path / "car" / "new" / "runs.csv").read_text()
    assert runs.splitlines()[0].split(",")[-1] == "total_lift [N]"
    assert settings(axletrim, "car/new") == {
        "1": {}, "2": {}, "3": {"wing": {"value": 4.0, "unit": "deg"}},
    }  # fmt: skip
    (tmp_path / "car" / "new" / "runs.csv").write_text(runs.replace("344", "444"))
    assert any("but the total says" in note for note in notes(axletrim, "car/new"))


def test_a_total_that_somebody_calls_a_record_is_one(axletrim, desk, tmp_path):
    (tmp_path / "theirs.csv").write_text(
        "Run,Config,Lift F (N),Lift R (N),Drag (N),Total lift (N)\n1,base,84,260,1150,400\n2,base,86,261,1151,347\n"
    )
    arguments = (
        "import", "theirs.csv", "--to", "car/new", "--vehicle", desk.car / "vehicle.toml", "--speed", "160 km/h",
        "--air-density", "1.225 kg/m^3",
    )  # fmt: skip
    asked = axletrim(*arguments)
    assert asked.returncode == 2
    assert "do not agree" in asked.stderr
    assert axletrim(*arguments, "--recorded", "Total lift (N)").returncode == 0
    assert 'recorded = ["other_total_lift"]' in (tmp_path / "car" / "new" / "session.toml").read_text()
    assert notes(axletrim, "car/new") == []


@pytest.mark.parametrize("session", [SESSION, SECOND])
def test_an_export_comes_back_in_the_format_of_its_day(axletrim, desk, tmp_path, session):
    desk.write(session=session, runs=WORDS)
    assert axletrim("export", desk.session, "--csv", "out.csv").returncode == 0
    back = axletrim("import", "out.csv", "--to", "car/back", "--vehicle", desk.car / "vehicle.toml")
    assert back.returncode == 0, back.stderr
    head = first_key(tmp_path / "car" / "back" / "session.toml")
    assert (head == "format = 2") is (session is SECOND)
    assert settings(axletrim, "car/back") == settings(axletrim, desk.session)


@pytest.mark.parametrize("file", ["session", "vehicle"])
def test_a_newer_format_is_refused_in_words_and_never_half_read(axletrim, desk, file):
    text = {"session": SESSION, "vehicle": VEHICLE}[file]
    newer = {file: f"format = 3\n{text}unheard_of = 1\n"}
    desk.write(**newer, **({"runs": "what,is,this\n"} if file == "session" else {}))
    name = {"session": "session.toml", "vehicle": "../vehicle.toml"}[file]
    expected = (
        f"{name}:1: format: found 3, which is newer than this axletrim, expected at most 2; it was written by a newer "
        "axletrim: install that one, and open it there; nothing of it was read"
    )
    checked = axletrim("check", desk.session)
    assert (checked.returncode, checked.stdout) == (2, f"{expected}\n")
    for command in ("table", "parts"):
        refused = axletrim(command, desk.session)
        assert (refused.returncode, refused.stdout) == (2, "")
        assert refused.stderr == f"axletrim: {expected}\n"


@pytest.mark.parametrize("written", ["0", "-1", '"2"', "true", "1.5", "[2]"])
@pytest.mark.parametrize("file", ["session", "vehicle"])
def test_what_is_no_format_is_a_fault(axletrim, desk, file, written):
    text = {"session": SESSION, "vehicle": VEHICLE}[file]
    desk.write(**{file: f"format = {written}\n{text}"})
    checked = axletrim("check", desk.session)
    assert checked.returncode == 2
    (fault,) = checked.stdout.splitlines()
    assert ".toml:1: format: found " in fault
    assert fault.endswith(", expected 1 or 2; write format = 2")


@pytest.mark.parametrize("head", ["", "format = 1\n"])
def test_a_total_is_a_setting_in_an_older_day_and_check_says_so(axletrim, desk, head):
    desk.write(session=head + SESSION, runs=TOTALS)
    assert settings(axletrim, desk.session)["1"] == {"total_lift": {"value": 344.0, "unit": "N"}}
    said = [note for note in notes(axletrim, desk.session) if "format" in note]
    (note,) = said
    assert note == (
        "runs.csv: 'total_lift' is read as a setting; from format 2 on it is the reading of the total and is held against "
        f"the sum of the axles; to have it so, {RAISE}; to keep the setting, give it another name"
    )


def test_a_total_is_held_against_the_axles_from_format_2(axletrim, desk):
    desk.write(session=SECOND, runs=TOTALS)
    assert settings(axletrim, desk.session) == {"1": {}, "2": {}, "3": {}}
    totals = [note for note in notes(axletrim, desk.session) if "total" in note]
    assert totals == [
        "run 2: front −86 N and rear −261 N, but the total says −247 N (downforce positive): is a sign or a column mixed up?"
    ]
    down = TOTALS.replace("total_lift", "total_downforce").replace(",344\n", ",-344\n").replace("247", "347")
    desk.replace(runs=down)
    assert [note.partition(":")[0] for note in notes(axletrim, desk.session) if "total" in note] == ["run 2"]


@pytest.mark.parametrize(
    ("head", "fault"),
    [
        ("total_lift", "total_lift: found no unit, expected a force or area unit in square brackets"),
        ("total_lift [kg]", "total_lift [kg]: found the unit 'kg', which measures a mass"),
        ("total_lift [m^2]", "total_lift [m^2]: found an area, expected a force as 'front_lift [N]' has"),
        ("total_lft [N]", "total_lft [N]: found a name close to 'total_lift'"),
    ],
)
def test_a_total_that_cannot_be_held_against_the_axles_is_a_fault(axletrim, desk, head, fault):
    desk.write(session=SECOND, runs=TOTALS.replace("total_lift [N]", head))
    checked = axletrim("check", desk.session)
    assert checked.returncode == 2
    assert f"runs.csv:1: {fault}" in checked.stdout
    desk.replace(session=SESSION)
    told = [note for note in notes(axletrim, desk.session) if "from format 2 on a fault" in note]
    assert len(told) == 1


def test_two_totals_and_a_total_that_is_recorded_are_faults(axletrim, desk):
    both = TOTALS.replace("total_lift [N]", "total_lift [N],total_downforce [N]").replace("344", "344,-344")
    desk.write(session=SECOND, runs=both.replace(",247", ",247,").replace("1162,", "1162,,"))
    assert "total_downforce [N]: found 'total_lift [N]' as well" in axletrim("check", desk.session).stdout
    recorded = '[columns]\nrecorded = ["total_lift"]\n'
    desk.write(session=SECOND + recorded, runs=TOTALS)
    fault = "total_lift: found a name with a meaning of its own listed as recorded"
    assert fault in axletrim("check", desk.session).stdout
    desk.replace(session=SESSION + recorded)
    (note,) = (note for note in notes(axletrim, desk.session) if "format" in note)
    assert note == (
        "runs.csv: total_lift: from format 2 on a fault: found a name with a meaning of its own listed as recorded, expected "
        f"the name of a column that is not a known one; take it off the list, and {RAISE}"
    )


def test_words_for_nothing_fitted_hold_in_the_runs_from_format_2(axletrim, desk):
    desk.write(session=SESSION, runs=WORDS)
    assert settings(axletrim, desk.session) == {"1": {}, "2": {"vents": "Off"}, "3": {"vents": "-"}, "4": {"vents": "open"}}  # fmt: skip
    (note,) = (note for note in notes(axletrim, desk.session) if "format" in note)
    assert note == (
        "runs.csv: 'Off' and '-' under 'vents' is read as a text (runs 2, 3); from format 2 on it says that the part is not "
        f"fitted; to have it so, {RAISE}"
    )
    desk.replace(session=SECOND)
    assert settings(axletrim, desk.session) == {"1": {}, "2": {}, "3": {}, "4": {"vents": "open"}}
    assert [note for note in notes(axletrim, desk.session) if "format" in note] == []


def test_words_for_nothing_fitted_under_a_unit(axletrim, desk):
    runs = WORDS.replace("vents", "wing [deg]").replace("open", "4")
    desk.write(session=SECOND, runs=runs.replace("Off", "none"))
    assert settings(axletrim, desk.session) == {"1": {}, "2": {}, "3": {}, "4": {"wing": {"value": 4.0, "unit": "deg"}}}  # fmt: skip
    desk.replace(session=SESSION)
    checked = axletrim("check", desk.session)
    assert checked.returncode == 2
    for line, word in ((3, "none"), (4, "-")):
        fault = f"runs.csv:{line}: wing [deg]: found '{word}', expected a number; leave it empty if nothing is fitted, or {RAISE}"
        assert fault in checked.stdout.splitlines()


def test_an_older_day_that_would_be_read_the_same_has_no_note(axletrim, desk):
    assert [note for note in notes(axletrim, desk.session) if "format" in note] == []
