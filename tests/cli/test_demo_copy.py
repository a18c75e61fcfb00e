"""`axletrim demo --copy`: templates that pass their own check."""

from pathlib import Path

import pytest


@pytest.mark.parametrize("there", [False, True], ids=["absent", "empty"])
def test_the_copies_pass_check_and_give_a_table(axletrim, tmp_path, there):
    target = tmp_path / "my cars"
    if there:
        target.mkdir()
    result = axletrim("demo", "--copy", target)
    assert result.returncode == 0
    assert result.stderr == ""
    sessions = [Path(line) for line in result.stdout.splitlines()]
    assert len(sessions) == 7
    for session in sessions:
        assert (session / "session.toml").is_file()
        checked = axletrim("check", session)
        assert checked.returncode == 0
        assert "no faults" in checked.stdout
        assert axletrim("table", session).returncode == 0
    assert sessions[:2] == [
        target / "brindlow_hatch" / "spring_day",
        target / "brindlow_hatch" / "tunnel_day",
    ]
    assert not list(target.rglob("*.py"))
    assert not list(target.rglob("__pycache__"))


def test_a_folder_with_something_in_it_is_left_alone(axletrim, tmp_path, spoken):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("keep")
    result = axletrim("demo", "--copy", tmp_path / "mine")
    assert "found something there already, expected an absent or empty folder" in spoken(result)
    assert result.stdout == ""
    assert [p.name for p in (tmp_path / "mine").iterdir()] == ["notes.txt"]


def test_a_file_in_the_way(axletrim, tmp_path, spoken):
    (tmp_path / "mine").write_text("keep")
    for target in (tmp_path / "mine", tmp_path / "mine" / "below"):
        spoken(axletrim("demo", "--copy", target))
    assert (tmp_path / "mine").read_text() == "keep"


def test_files_that_cannot_be_written_are_told_by_the_folder_and_the_reason(axletrim, tmp_path, spoken):
    """With room for no file but an empty one, as on a full disk."""
    target = tmp_path / "mine"
    result = axletrim.process("demo", "--copy", target, python=("-c", NO_ROOM))
    assert f"{target}: cannot copy the demo there: File too large" in spoken(result)
    assert not target.exists()


NO_ROOM = """
import resource, runpy, signal
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
runpy.run_module("tui", run_name="__main__")
"""
