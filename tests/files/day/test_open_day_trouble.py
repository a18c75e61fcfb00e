"""A day whose journal, file, folder or disk fails: what was typed is in the file, in the journal or in memory."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from balance.files.day.day_journal import waiting_journals
from balance.files.day.durable import append_durably
from balance.files.day.journal import JOURNAL_FILE
from balance.files.day.opening import open_day
from balance.files.loader import load_session
from balance.model.errors import OutsideChange, SaveError
from tests.open_days import add, names

pytestmark = pytest.mark.usefixtures("own_data")

NOBODY = 65534  # a user id without rights, on every Unix


def unsaved_day(folder):
    """A day whose last step is in the journal alone, as a crash leaves it."""
    day = open_day(folder)
    add(day)
    text = (folder / "runs.csv").read_bytes()
    add(day, run="4", note="typed last")
    lines = (folder / JOURNAL_FILE).read_bytes().splitlines(keepends=True)
    assert json.loads(lines[-1])["kind"] == "saved"
    (folder / JOURNAL_FILE).write_bytes(b"".join(lines[:-1]))
    (folder / "runs.csv").write_bytes(text)
    day._lock.release()
    return text


def test_the_journal_brings_back_what_was_not_saved(desk, runs_text):
    folder = desk.write(
        runs=runs_text.replace("drag [N]", "drag [N],note").replace("1150", "1150,").replace("1162", "1162,")
    )
    unsaved_day(folder)
    with open_day(folder) as day:
        assert day.recovered == ("run added",)
        assert load_session(folder).runs[-1].note == "typed last"
        assert not day.unsaved
    with open_day(folder) as day:
        assert day.recovered == ()


def test_a_line_cut_off_in_the_journal_costs_that_line_alone(folder):
    with open_day(folder) as day:
        add(day)
    journal = folder / JOURNAL_FILE
    journal.write_bytes(journal.read_bytes() + b'{"number": 9, "kind": "do", "wha')
    with open_day(folder) as day:
        assert (day.can_undo, day.notes) == ("run added", ())
        add(day, run="4")
    with open_day(folder) as day:
        assert day.sheet.labels == ("1", "2", "3", "4")
        day.undo()
        day.undo()
        assert day.sheet.labels == ("1", "2")


@pytest.mark.parametrize(
    "damage",
    [
        b"\x00\xff{}\n",
        b"{}\n",
        b"[]\n",
        b'{"number": 1, "kind": "do"}\n',
        b'{"number": 2, "kind": "undo", "digest": ""}\n',
    ],
)
def test_a_damaged_journal_is_set_aside_and_the_day_opens(folder, damage, runs_text):
    (folder / JOURNAL_FILE).write_bytes(damage)
    with open_day(folder) as day:
        assert day.sheet.text == runs_text
        add(day)
    with open_day(folder) as day:
        assert day.can_undo == "run added"


def test_a_damaged_journal_with_something_unsaved_gives_it_in_a_file(folder):
    text = unsaved_day(folder)
    with (folder / JOURNAL_FILE).open("ab") as journal:
        journal.write(b'{"number": 99, "kind": "undo", "digest": "no"}\n')
    with open_day(folder) as day:
        assert day.sheet.text.encode() == text
        assert len(day.notes) == 2
        assert day.notes[0].startswith("the journal was damaged")
        assert day.notes[1] == "what was typed and not saved is in runs-kept-1.csv"
    assert "4,wing" in (folder / "runs-kept-1.csv").read_text()


def test_both_sides_gone_on_is_a_conflict_at_once(folder):
    text = unsaved_day(folder)
    (folder / "runs.csv").write_bytes(text.replace(b"1150", b"1151"))
    with open_day(folder) as day:
        assert day.conflict.theirs.encode() == text.replace(b"1150", b"1151")
        assert day.sheet.labels == ("1", "2", "3", "4")
        with pytest.raises(OutsideChange):
            day.save()
        kept = day.keep_both()
        assert "4,wing" in kept.read_text()
        assert day.sheet.runs[0].reading.drag == 1151.0


def test_a_runs_csv_that_is_gone_is_brought_back(folder):
    with open_day(folder) as day:
        add(day)
        text = day.sheet.text
    (folder / "runs.csv").unlink()
    with open_day(folder) as day:
        assert day.recovered == ("runs.csv, which was gone",)
        assert (folder / "runs.csv").read_text() == text
        (folder / "runs.csv").unlink()
        add(day, run="4")
        assert (folder / "runs.csv").read_text() == day.sheet.text


def test_a_vanished_folder_keeps_what_was_typed_in_the_users_own_data(folder, tmp_path):
    with open_day(folder) as day:
        shutil.move(folder, folder.with_name("away"))
        with pytest.raises(
            SaveError, match="found no such folder, it was moved or renamed; open the day under its new name"
        ):
            add(day)
        assert day.unsaved
        assert str(tmp_path / "own") in day.trouble
        assert day.sheet.labels == ("1", "2", "3")
        shutil.move(folder.with_name("away"), folder)
        day.save()
        assert not day.unsaved
        assert load_session(folder) == day.session
    with open_day(folder) as day:
        assert day.can_undo == "run added"


CLOSED = """
import os, resource, sys
from pathlib import Path
from balance.files.day.opening import open_day
from balance.model.errors import SaveError
from balance.files.day.day_journal import find_journal
from balance.files.loader import load_session
load_session(sys.argv[1]), find_journal(Path(sys.argv[1]))  # loads what a user without rights may not
if os.geteuid() == 0:
    os.setgid(65534); os.setuid(65534)
day = open_day(sys.argv[1])
cells = {"run": "3", "configuration": "wing", "front_lift": "-1.50", "rear_lift": "-300", "drag": "1180"}
try:
    day.change("run added", day.sheet.appended(cells))
except SaveError as error:
    print(error)
print(day.sheet.labels, day.unsaved)
day.close()
day = open_day(sys.argv[1])
print(day.sheet.labels, day.recovered, bool(day.trouble))
"""
FULL = CLOSED.replace("os.geteuid() == 0", "False").replace(
    "day = open_day",
    "resource.setrlimit(resource.RLIMIT_FSIZE, (110, 110))\nday = open_day",
    1,
)


def child(code, folder, own):
    done = subprocess.run(
        [sys.executable, "-c", code, str(folder)],
        capture_output=True, text=True, check=False, env={**os.environ, "XDG_DATA_HOME": str(own)},
    )  # fmt: skip
    assert done.stderr == ""
    return done.stdout.splitlines()


def test_a_closed_folder_keeps_what_was_typed_in_the_users_own_data(desk):
    with tempfile.TemporaryDirectory() as place:
        shutil.copytree(desk.car, Path(place) / "car")
        own = Path(place) / "own"
        own.mkdir()
        own.chmod(0o777)
        Path(place).chmod(0o755)
        folder = Path(place) / "car" / "day"
        folder.chmod(0o555)
        first, second, third = child(CLOSED, folder, own)
        folder.chmod(0o755)
        assert first.startswith(f"{folder / 'runs.csv'}: found no permission to write")
        assert f"; what was typed is kept in {own / 'axletrim' / 'journals'}" in first
        assert second == "('1', '2', '3') True"
        assert third == "('1', '2', '3') ('run added',) True"
        assert names(folder) == ["runs.csv", "session.toml"]


def test_a_full_disk_keeps_what_was_typed_in_memory(folder, tmp_path, runs_text):
    first, second, _ = child(FULL, folder, tmp_path / "own")
    assert "found a full disk" in first
    assert first.endswith("what was typed is kept in memory only: do not leave before it is saved")
    assert second == "('1', '2', '3') True"
    assert (folder / "runs.csv").read_text() == runs_text


def test_a_folder_renamed_while_open_gets_what_was_typed_under_its_new_name(folder):
    with open_day(folder) as day:
        add(day)
        moved = folder.rename(folder.with_name("renamed"))
        with pytest.raises(SaveError, match="comes back when the day is opened"):
            add(day, run="4")
    (waiting,) = waiting_journals(moved)
    assert waiting.steps == ("run added",)
    with open_day(moved) as day:
        assert day.recovered == ("run added",)
        assert day.sheet.labels == ("1", "2", "3", "4")
        assert not day.unsaved
    assert waiting_journals() == ()
    assert load_session(moved).runs[-1].label == "4"


def test_a_clock_set_back_hides_nothing_that_was_typed(folder, tmp_path, monkeypatch):
    # the folder was read-only for a run: its journal is the user's; the one beside has the later time
    with open_day(folder) as day:
        add(day)
        beside = folder / JOURNAL_FILE
        raw = beside.read_bytes()

        def refuse(path, more):
            if path.parent == folder:
                raise PermissionError(13, "read-only")
            return append_durably(path, more)

        def refused(*_):
            raise SaveError("found a read-only disk")

        with monkeypatch.context() as closed:
            closed.setattr("balance.files.day.journal.append_durably", refuse)
            closed.setattr("balance.files.day.day_file.write_atomically", refused)
            with pytest.raises(SaveError):
                add(day, run="4")
            day.close()
    assert beside.read_bytes() == raw
    (elsewhere,) = (tmp_path / "own" / "axletrim" / "journals").glob("*.journal")
    os.utime(elsewhere, (1, 1))  # as after the clock was set back
    with open_day(folder) as day:
        assert day.recovered == ("run added",)
        assert day.sheet.labels == ("1", "2", "3", "4")


def another_day(folder):
    """Put the day of another customer at the place of this one, as another stick at the same mount does."""
    away = folder.rename(folder.with_name("first_stick"))
    shutil.copytree(away, folder, ignore=shutil.ignore_patterns(".axletrim-*"))
    session = folder / "session.toml"
    session.write_text(session.read_text().replace("Spring", "Another customer's"))
    (folder / "runs.csv").write_text((folder / "runs.csv").read_text().replace("base", "their base"))
    return away


def whole(folder):
    return {
        path.name: path.read_bytes() for path in folder.iterdir() if not path.name.startswith(".axletrim")
    }


@pytest.mark.parametrize("opened_before", [False, True])
def test_another_day_at_the_same_path_is_never_written_into(folder, opened_before):
    with open_day(folder) as day:
        add(day)
        away = another_day(folder)
        if opened_before:
            (folder / ".axletrim-lock").unlink(missing_ok=True)
            open_day(folder).close()
        before = whole(folder)
        with pytest.raises(SaveError):
            add(day, run="4")
        assert "found another day" in day.trouble
        assert day.conflict is None
    assert whole(folder) == before
    with open_day(folder) as theirs:
        assert theirs.recovered == ()
        assert "their base" in theirs.sheet.text
    assert whole(folder) == before
    with open_day(away) as ours:
        assert ours.sheet.labels == ("1", "2", "3", "4")


def test_a_run_sheet_that_is_gone_is_written_again_on_leaving_and_that_is_said(folder):
    day = open_day(folder)
    add(day)
    text = day.sheet.text
    (folder / "runs.csv").unlink()
    assert day.close() == "runs.csv was gone and was written again"
    assert (folder / "runs.csv").read_text() == text


def test_leaving_says_what_is_not_saved(folder):
    day = open_day(folder)
    moved = folder.rename(folder.with_name("renamed"))
    with pytest.raises(SaveError):
        add(day)
    assert "open the day under its new name" in day.close()
    assert names(moved) == [".axletrim-journal", ".axletrim-lock", "runs.csv", "session.toml"]


def test_a_journal_that_another_user_keeps_to_himself_is_no_hindrance(desk):
    with tempfile.TemporaryDirectory() as place:  # reached by every user, as tmp_path is not
        Path(place).chmod(0o777)
        folder = shutil.copytree(desk.car, Path(place) / "car") / "day"
        with open_day(folder) as day:
            add(day)
        (folder / JOURNAL_FILE).chmod(0o600)
        for path in (folder.parent, folder, folder / "runs.csv"):
            path.chmod(0o777)
        own = Path(place) / "own"
        own.mkdir()
        own.chmod(0o777)
        told = child(CLOSED.replace('"3"', '"4"'), folder, own)
        assert told == ["('1', '2', '3', '4') False", "('1', '2', '3', '4') () False"]
