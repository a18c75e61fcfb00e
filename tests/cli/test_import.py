"""`axletrim import`: a session, or questions that name the option to give; never half of either."""

import os

import pytest

TABLE = """\
Facility;a big hall
Run;Configuration;Lift F;Lift R;Drag
Tare;;1;2;3
012;base;84,5;260;1.150,5
12A;splitter;(140);275;1.162
Avg;;-28;268;1.156
"""
GIVEN = ("--unit", "drag=N", "--unit", "lift=N", "--speed", "160 km/h", "--air-density", "1.225 kg/m^3")


@pytest.fixture
def ask(axletrim, desk, tmp_path):  # noqa: ARG001 - the desk puts the car there
    (tmp_path / "their runs.csv").write_text(TABLE, encoding="cp1252")

    def run(*more):
        return axletrim(
            "import", "their runs.csv", "--vehicle", "car/vehicle.toml", "--to", "car/spring", *more
        )

    return run


def test_what_is_open_is_asked_with_the_option_that_answers(ask, tmp_path, spoken):
    said = ask()
    spoken(said)
    assert said.stdout == ""
    for option in ("--unit front_lift=N", "--unit rear_lift=N", "--unit drag=N"):
        assert option in said.stderr
    assert "nothing was written" in said.stderr
    more = ask(*GIVEN[:4])
    assert more.returncode == 2
    assert '--speed "160 km/h"' in more.stderr
    assert '--air-density "1.225 kg/m^3"' in more.stderr
    assert not (tmp_path / "car" / "spring").exists()


def test_a_session_comes_out_that_passes_its_check(ask, axletrim, tmp_path):
    done = ask(*GIVEN)
    assert done.returncode == 0, done.stderr
    assert "a tare, without wind: line 3" in done.stdout
    assert "an average or another summary: line 6" in done.stdout
    folder = tmp_path / "car" / "spring"
    assert (folder / "their runs.csv").read_text(encoding="cp1252") == TABLE
    assert 'format = "axletrim-import/1"' in (folder / "import.toml").read_text(encoding="utf-8")
    assert (folder / "runs.csv").read_text(encoding="utf-8") == (
        "run,configuration,front_lift [N],rear_lift [N],drag [N]\n012,base,84.5,260,1150.5\n12A,splitter,-140,275,1162\n"
    )
    assert "no faults in 2 runs" in axletrim("check", folder).stdout


def test_a_dry_run_shows_all_and_writes_nothing(ask, tmp_path):
    done = ask(*GIVEN, "--dry-run")
    assert done.returncode == 0
    assert "decimal comma" in done.stdout
    asked = ask("--dry-run")
    assert asked.returncode == 2
    assert "To answer" in asked.stdout
    assert sorted(p.name for p in (tmp_path / "car").iterdir()) == ["day", "vehicle.toml"]


def test_the_next_file_of_the_same_shape_may_be_answered_as_the_last(ask, axletrim, tmp_path):
    assert ask(*GIVEN).returncode == 0
    again = ("import", "their runs.csv", "--vehicle", "car/vehicle.toml", "--to", "car/summer")
    offered = axletrim(*again)
    assert offered.returncode == 2
    assert "--same-as-last" in offered.stderr
    day = ("--speed", "150 km/h", "--air-density", "1.2 kg/m^3")
    assert axletrim(*again, "--same-as-last").returncode == 2
    done = axletrim(*again, "--same-as-last", *day)
    assert done.returncode == 0, done.stderr
    assert 'speed = "150 km/h"' in (tmp_path / "car" / "summer" / "session.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--column", "front_lft=Lift F"), "did you mean 'front_lift'?"),
        (("--column", "front_lift=Lift X"), "did you mean 'Lift"),
        (("--column", "front_lift"), "expected NAME=VALUE"),
        (("--lines", "9"), "two line numbers"),
        (("--lines", "9-3"), "or 12- to the end"),
        (("--speed", "160"), "without a unit"),
        (("--date", "yesterday"), "expected a date"),
        (("--encoding", "utf-99"), "--encoding"),
        (("--same-as-last",), "no earlier import"),
        (("--moment-sign", "left"), "nose-up"),
    ],
)
def test_answers_that_cannot_be_used_are_refused_in_words(ask, spoken, more, words):
    assert words in spoken(ask(*GIVEN, *more))


@pytest.mark.parametrize("place", ["nothing.csv", "car", "car/day/session.toml"])
def test_what_is_no_table_is_refused_in_words(axletrim, desk, spoken, place):  # noqa: ARG001 - likewise
    spoken(axletrim("import", place, "--vehicle", "car/vehicle.toml", "--to", "car/spring"))


def test_a_folder_in_use_is_left_alone(ask, tmp_path, spoken):
    (tmp_path / "car" / "spring").mkdir()
    (tmp_path / "car" / "spring" / "notes.txt").write_text("keep", encoding="utf-8")
    assert "found something there already" in spoken(ask(*GIVEN))
    assert sorted(p.name for p in (tmp_path / "car").iterdir()) == ["day", "spring", "vehicle.toml"]


def test_help_shows_an_example(axletrim):
    shown = axletrim("import", "--help")
    assert shown.returncode == 0
    assert "--drop-rows" in shown.stdout


def test_what_is_no_plain_file_is_refused_at_once(axletrim, desk, spoken, tmp_path):  # noqa: ARG001 - likewise
    os.mkfifo(tmp_path / "pipe")
    for place in (tmp_path / "pipe", "/dev/zero"):
        said = spoken(axletrim("import", place, "--vehicle", "car/vehicle.toml", "--to", "car/spring"))
        assert "found something that is not a plain file" in said


def test_a_file_whose_name_is_no_text_is_imported_like_any_other(axletrim, desk, tmp_path):  # noqa: ARG001 - likewise
    place = tmp_path / os.fsdecode(b"their\xff.csv")
    place.write_text(TABLE, encoding="cp1252")
    done = axletrim("import", place, "--vehicle", "car/vehicle.toml", "--to", "car/spring", *GIVEN)
    assert done.returncode == 0, done.stderr
    assert "their" in (tmp_path / "car" / "spring" / "session.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["report.toml", "what_if.toml", "runs.csv"])
def test_the_original_never_stands_in_place_of_a_file_of_ours(axletrim, desk, tmp_path, name):  # noqa: ARG001 - likewise
    (tmp_path / name).write_text(TABLE, encoding="cp1252")
    done = axletrim("import", name, "--vehicle", "car/vehicle.toml", "--to", "car/spring", *GIVEN)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "car" / "spring" / f"original_{name}").read_text(encoding="cp1252") == TABLE


@pytest.mark.parametrize("blank", ["", "off", "none", "-"])
def test_words_for_nothing_fitted_are_not_fitted(axletrim, desk, tmp_path, blank):  # noqa: ARG001 - the car
    (tmp_path / "table.csv").write_text(
        "Run,Configuration,Lift F [N],Lift R [N],Drag [N],Wing angle [deg],Vents\n"
        f"1,base,84,260,1150,{blank},{blank}\n2,wing,90,-250,1200,6,open\n"
    )
    done = axletrim(
        "import", "table.csv", "--vehicle", "car/vehicle.toml", "--to", "car/spring", "--speed", "160 km/h",
        "--air-density", "1.225 kg/m^3",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "car" / "spring" / "runs.csv").read_text(encoding="utf-8").splitlines()[1] == (
        "1,base,84,260,1150,,"
    )


SPEEDS = "Run,Configuration,Lift F [N],Lift R [N],Drag [N],Wind [m/s]\n1,base,84,260,1150,44.4\n2,base,60,200,940,40\n"


def test_a_column_in_a_unit_of_speed_is_asked_about_and_never_kept_in_silence(axletrim, desk, tmp_path):  # noqa: ARG001 - the car
    (tmp_path / "table.csv").write_text(SPEEDS)
    given = ("--vehicle", "car/vehicle.toml", "--to", "car/spring", "--air-density", "1.225 kg/m^3")
    asked = axletrim("import", "table.csv", *given, "--speed", "160 km/h")
    assert asked.returncode == 2
    assert "is 'Wind [m/s]' the speed of each run, or a record only?" in asked.stderr
    assert '--column speed="Wind [m/s]"' in asked.stderr
    used = axletrim("import", "table.csv", *given, "--column", "speed=Wind [m/s]", "--forces", "as read")
    assert used.returncode == 0, used.stderr
    assert "speed [m/s]" in (tmp_path / "car" / "spring" / "runs.csv").read_text(encoding="utf-8")
    other = (*given[:2], "--to", "car/other", *given[4:], "--speed", "160 km/h", "--recorded", "Wind [m/s]")
    assert axletrim("import", "table.csv", *other).returncode == 0


@pytest.mark.parametrize(
    ("front", "rear", "total", "asked"),
    [
        ("-100", "-400", "-700", True),
        ("-100", "400", "-500", True),
        ("-100", "-400", "-500", False),
        ("-100", "-400", "-505", False),  # within 2 % of the larger axle
        ("-100", "-400", "500", True),  # lift counts up there as well
    ],
)
def test_a_total_is_held_against_the_axles(axletrim, desk, tmp_path, front, rear, total, asked):  # noqa: ARG001 - the car
    (tmp_path / "table.csv").write_text(
        f"Run,Configuration,Lift F [N],Lift R [N],Lift total [N],Drag [N]\n1,base,{front},{rear},{total},1150\n"
    )
    given = (
        "--vehicle",
        "car/vehicle.toml",
        "--to",
        "car/spring",
        "--speed",
        "160 km/h",
        "--air-density",
        "1.2 kg/m^3",
    )
    said = axletrim("import", "table.csv", *given)
    assert said.returncode == (2 if asked else 0), said.stderr
    assert ("do not agree: is a sign or a column mixed up?" in said.stderr) is asked
    assert (
        axletrim(
            "import", "table.csv", *given[:2], "--to", "car/other", *given[4:], "--recorded", "Lift total [N]"
        ).returncode
        == 0
    )


def test_a_table_joins_a_day_that_is_there_once_what_is_open_is_answered(axletrim, desk, tmp_path, spoken):
    (tmp_path / "later.csv").write_text(TABLE, encoding="cp1252")
    before = (desk.session / "runs.csv").read_text(encoding="utf-8")
    asked = axletrim("import", "later.csv", "--into", desk.session)
    spoken(asked)
    assert "--unit drag=N" in asked.stderr
    assert "--air-density" not in asked.stderr  # the day states it
    tried = axletrim("import", "later.csv", "--into", desk.session, *GIVEN[:4], "--dry-run")
    assert tried.returncode == 0, tried.stderr
    assert (desk.session / "runs.csv").read_text(encoding="utf-8") == before
    done = axletrim("import", "later.csv", "--into", desk.session, *GIVEN[:4])
    assert done.returncode == 0, done.stderr
    assert "added 2 runs" in done.stderr
    assert (desk.session / "runs.csv").read_text(encoding="utf-8") == (
        f"{before}012,base,84.5,260,1150.5\n12A,splitter,-140,275,1162\n"
    )
    again = axletrim("import", "later.csv", "--into", desk.session, *GIVEN[:4])
    assert "left out, in the day already: 012, 12A" in again.stderr
    both = axletrim("import", "later.csv", "--into", desk.session, "--to", "elsewhere")
    assert both.returncode == 2
    assert "expected the day alone" in both.stderr


def test_what_is_missing_is_said_at_once_with_a_command_that_has_it(axletrim, tmp_path, spoken):
    (tmp_path / "their runs.csv").write_text(TABLE, encoding="cp1252")
    said = spoken(axletrim("import", "their runs.csv"))
    assert "Missing --vehicle and --to" in said
    assert "axletrim import 'their runs.csv' --vehicle my_car/vehicle.toml --to my_car/spring_day" in said
    assert "Missing --to, as in" in spoken(axletrim("import", "their runs.csv", "--vehicle", "mine.toml"))
