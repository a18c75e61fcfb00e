"""Input as it goes wrong at a desk: a clear line on stderr, exit code 2, nothing on stdout, nothing written."""

import os

import pytest

HEADER = "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"
AS_NOBODY = """\
import os, sys
import balance.decide.day.assessment, balance.decide.doubts.plausibility, balance.files.loader, balance.units.text, tui.host.demo
import importlib.resources, shutil, tui.command_line.cli, tui.host.kept_memory, vehicles
list(tui.command_line.cli.axletrim.commands.values())
balance.units.text.unit_scale("km/h", "speed")
list(importlib.resources.files("vehicles").iterdir())
if os.geteuid() == 0:
    os.setuid(65534)
tui.command_line.cli.main(sys.argv[1:])
"""


@pytest.fixture
def refused(axletrim, desk, spoken):
    """Require that table and check refuse a session alike and leave everything as it was."""

    def check(session=desk.session, **others):
        before = sorted(desk.car.parent.rglob("*"))
        table = axletrim("table", session, **others)
        assert table.stdout == ""
        words = spoken(table)
        assert all(line.startswith("axletrim: ") for line in words.splitlines())
        checked = axletrim("check", session, **others)
        assert checked.returncode == 2
        assert [f"axletrim: {line}" for line in checked.stdout.splitlines()] == words.splitlines()
        assert sorted(desk.car.parent.rglob("*")) == before
        return words

    return check


def test_a_comma_for_a_point(desk, refused):
    desk.write(runs=HEADER + '1,base,"84,5",260,1150\n2,base,84.5,260,1150,5\n')
    words = refused()
    assert (
        "runs.csv:2: front_lift [N]: found '84,5', expected a number; a comma for a point? write '84.5'"
        in words
    )
    assert "runs.csv:3: found 6 cells, expected 5 as in the header; a comma inside a cell?" in words


def test_a_comma_for_a_point_in_the_vehicle(desk, refused):
    desk.write(vehicle=(desk.car / "vehicle.toml").read_text().replace("1290 kg", "1290,5 kg"))
    words = refused()
    assert "vehicle.toml:3: mass.total: found '1290,5 kg'" in words
    assert "a comma for a point?" in words


def test_a_missing_column(desk, refused):
    desk.write(runs="run,configuration,front_lift [N],drag [N]\n1,base,84,1150\n")
    assert "runs.csv:1: found no rear reading, expected rear_lift [N] or rear_downforce [N]" in refused()


def test_a_mass_unit_for_a_force(desk, refused):
    desk.write(runs=HEADER.replace("front_lift [N]", "front_lift [lb]") + "1,base,84,260,1150\n")
    assert "write 'front_lift [lbf]'" in refused()


def test_misspelt_keys(desk, refused):
    desk.write(session=(desk.session / "session.toml").read_text().replace("speed =", "sped ="))
    words = refused()
    assert "session.toml:4: facility.sped: found an unknown key" in words
    assert "did you mean 'speed'?" in words


def test_misspelt_columns(desk, refused):
    desk.write(runs=HEADER.replace("rear_lift", "rear_lft") + "1,base,84,260,1150\n")
    assert "did you mean 'rear_lift'?" in refused()


def test_a_folder_that_is_no_session(desk, refused):
    words = refused(desk.car)
    assert "found a folder without a session.toml" in words
    assert f"did you mean '{desk.session}'?" in words


def test_nothing_there(desk, refused):
    words = refused(desk.car / "dy")
    assert "found nothing there" in words
    assert "did you mean 'day'?" in words


def test_another_file(desk, refused):
    assert f"did you mean '{desk.session}'?" in refused(desk.session / "runs.csv")


@pytest.mark.parametrize("name", ["session.toml", "runs.csv", "../vehicle.toml"])
def test_a_folder_where_a_file_should_be(desk, refused, name):
    (desk.session / name).unlink()
    (desk.session / name).mkdir()
    assert f"{name}: found a folder, expected " in refused()


@pytest.mark.parametrize("name", ["session.toml", "runs.csv", "../vehicle.toml"])
@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "found an empty file"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x02\0", "found "),
        ("title = 'x'\n".encode("utf-16"), "found UTF-16 text"),
        ("name = 'Kühler'\n".encode("latin-1"), "found the byte 0xfc"),
    ],
    ids=["empty", "picture", "utf-16", "latin-1"],
)
def test_files_that_are_no_text(desk, refused, name, content, words):
    (desk.session / name).write_bytes(content)
    found = refused()
    assert name in found
    assert words in found


@pytest.mark.parametrize("name", ["session.toml", "runs.csv", "../vehicle.toml"])
def test_a_file_of_100_megabytes(desk, refused, name):
    os.truncate(desk.session / name, 100_000_000)
    assert f"{name}: found 100 MB, expected at most" in refused()


@pytest.fixture
def nobody(axletrim, desk):
    """Run as a user without rights in a place that this user can reach; it stays open, for another test may be in it."""
    place = desk.car.parent
    for path in (place, *place.parents):
        if path.stat().st_uid == os.geteuid():
            path.chmod(path.stat().st_mode | 0o055)
    return lambda *arguments: axletrim(*arguments, python=("-c", AS_NOBODY))


@pytest.mark.parametrize("name", ["session.toml", "runs.csv", "../vehicle.toml"])
def test_a_file_that_may_not_be_read(desk, nobody, spoken, name):
    (desk.session / name).chmod(0)
    result = nobody("table", desk.session)
    (desk.session / name).chmod(0o644)
    assert result.stdout == ""
    assert f"{name}: found a file that may not be read" in spoken(result)


def test_a_folder_that_may_not_be_read(desk, nobody, spoken):
    desk.session.chmod(0)
    result = nobody("table", desk.session)
    desk.session.chmod(0o755)
    assert "found a place that may not be read" in spoken(result)


def test_a_demo_that_cannot_be_written(desk, nobody, spoken):
    desk.car.chmod(0o555)
    result = nobody("demo", "--copy", desk.car / "new")
    desk.car.chmod(0o755)
    assert result.stdout == ""
    assert "cannot copy the demo there" in spoken(result)
    assert not (desk.car / "new").exists()
