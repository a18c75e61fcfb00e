"""`axletrim check`: faults on stdout with 2, doubts as notes, and 1 for them where it was asked for."""

import shutil

import pytest

from balance.files.day.opening import open_day
from balance.model.errors import SaveError
from tests.open_days import add


@pytest.fixture
def own(tmp_path, demo):
    """Give a copy of the demo's day, with a function that changes its runs."""
    shutil.copytree(demo.parent, tmp_path / "own")
    runs = tmp_path / "own" / demo.name / "runs.csv"

    def change(old, new):
        text = runs.read_text(encoding="utf-8")
        assert old in text
        runs.write_text(text.replace(old, new), encoding="utf-8")
        return runs.parent

    return change


def test_notes_are_no_failure_unless_asked(axletrim, own):
    doubtful = own("as delivered,,,,,,,160.0,15.2", "as delivered,,,,,,,100.0,15.2")
    result = axletrim("check", doubtful)
    assert result.returncode == 0
    assert result.stderr == ""
    *notes, last = result.stdout.splitlines()
    assert notes
    assert all(note.startswith("note: ") for note in notes)
    assert last == f"no faults in 24 runs; {len(notes)} notes"
    strict = axletrim("check", doubtful, "--strict")
    assert strict.returncode == 1
    assert strict.stdout == result.stdout


def test_strict_is_fine_without_notes(axletrim, desk):
    desk.write(
        vehicle=(desk.car / "vehicle.toml").read_text()
        + '[drive]\ndriven = "rear"\n[tyres]\nstiffness_load_exponent = 0.75\ngrip_load_exponent = 0.86\n'
        'static_margin = "0 %"\n[target]\ntolerance = "3 %"\nfront_tolerance = "1.5 %"\n',
        session='format = 2\ntitle = "Spring tunnel day (invented)"\ndate = 2026-05-14\nvehicle = "../vehicle.toml"\n[facility]\n'
        'kind = "wind tunnel"\nfloor = "fixed"\nspeed = "160 km/h"\nair_density = "1.225 kg/m^3"\n'
        'drag_reacted_at = "0 mm"\n[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\n'
        "degrees_of_freedom = 20\n",
    )
    result = axletrim("check", desk.session, "--strict")
    assert result.stdout == "no faults in 2 runs; no notes\n"
    assert result.returncode == 0


def test_every_fault_of_every_file_at_once(axletrim, desk):
    desk.write(
        vehicle=(desk.car / "vehicle.toml").read_text().replace("wheelbase", "wheelbse"),
        session=(desk.session / "session.toml").read_text().replace("air_density", "air_densty"),
        runs="run,configuration,front_lift [N],rear_lift [N],drag [N]\n1,base,84,260,eleven\n1,base,8 4,260,1150\n",
    )
    result = axletrim("check", desk.session)
    assert result.returncode == 2
    for fault in (
        "did you mean 'wheelbase'?",
        "did you mean 'air_density'?",
        "runs.csv:2: drag [N]: found 'eleven', expected a number",
        "runs.csv:3: run: found '1', which stands on line 2 too",
        "runs.csv:3: front_lift [N]: found '8 4'",
    ):
        assert fault in result.stdout
    count = len(result.stdout.splitlines())
    assert result.stderr == f"axletrim: {count} faults; nothing was computed\n"
    table = axletrim("table", desk.session)
    assert (table.returncode, table.stdout) == (2, "")
    assert [
        line.removeprefix("axletrim: ") for line in table.stderr.splitlines()
    ] == result.stdout.splitlines()


def test_lift_typed_with_the_wrong_sign(axletrim, own):
    result = axletrim("check", own("\n13,13:30,as delivered,,,,,,,160.0,17.1,1009.4,52,99,285",
                                   "\n13,13:30,as delivered,,,,,,,160.0,17.1,1009.4,52,99,-285"))  # fmt: skip
    assert result.returncode == 0
    assert (
        "note: run 13: rear reads as in run 1 with its sign turned; lift typed as downforce?" in result.stdout
    )


def test_miles_typed_as_kilometres(axletrim, own):
    result = axletrim("check", own("as delivered,,,,,,,160.0,15.2", "as delivered,,,,,,,99.4,15.2"))
    assert result.returncode == 0
    assert "note: run 6: speed 99 km/h is more than 20 % from the facility's 160 km/h" in result.stdout


def test_kilometres_called_miles(axletrim, own):
    result = axletrim("check", own("speed [km/h]", "speed [mph]"))
    assert result.returncode == 0
    assert "note: run 1: speed 257 km/h is more than 20 % from the facility's 160 km/h" in result.stdout


def test_notes_in_us_units(axletrim, own):
    result = axletrim("check", own("speed [km/h]", "speed [mph]"), "--units", "us")
    assert "note: run 1: speed 160 mph is more than 20 % from the facility's 99 mph" in result.stdout


@pytest.mark.parametrize("fault", [False, True])
def test_what_is_typed_and_not_saved_is_listed_wherever_the_folder_is_now(
    axletrim, desk, tmp_path, monkeypatch, fault
):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))  # as the command has it
    with open_day(desk.session) as day:
        moved = desk.session.rename(desk.session.with_name("renamed"))
        with pytest.raises(SaveError):
            add(day)
    if fault:
        (moved / "runs.csv").write_text("run,configuration\n", encoding="utf-8")
    said = axletrim("check", moved).stdout
    kept = next((tmp_path / "data" / "axletrim" / "journals").glob("*.journal"))
    expected = (
        f"typed and not saved: 1 step, the last 'run added', kept in {kept}; open the day to bring them back"
    )
    assert f"note: {expected}" in said.splitlines()
    if not fault:
        open_day(moved).close()
        assert "typed and not saved" not in axletrim("check", moved).stdout


def test_a_doubtful_track_of_the_car_is_a_note_and_a_faulty_one_too(axletrim, own):
    day = own("as delivered,,,,,,,160.0,15.2", "as delivered,,,,,,,160.0,15.2")
    before = axletrim("check", day).stdout
    assert axletrim("new", "track", day.parent, "half way round").returncode == 0
    made_up = axletrim("check", day).stdout
    (new,) = set(made_up.splitlines()[:-1]) - set(before.splitlines())
    assert "the line of half way round is made up" in new
    line = day.parent / "tracks" / "half_way_round" / "line.csv"
    line.write_text("length [m],radius [m],angle [deg]\n300,,\n,50,90\n")
    assert "its ends do not meet" in axletrim("check", day).stdout
    line.write_text("length [m],radius [m]\n100,0\n")
    faulty = axletrim("check", day)
    assert faulty.returncode == 0
    assert "line.csv:2: radius [m]: found '0'" in faulty.stdout
