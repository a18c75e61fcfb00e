"""A full disk or a closed folder, for real: said on the screen, what was typed is kept, and saved once it can be."""

import os
import resource
import shutil
import signal
import tempfile
from contextlib import contextmanager
from pathlib import Path

import pytest

NOBODY = 65534  # a user id without rights, on every Unix
LINE = "121 -478 1231 repeat"


@contextmanager
def full_disk(room):
    """Let no file of this process grow beyond so many bytes, which it is told as one tells of a full disk."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, handler)


def text(session):
    return (session / "runs.csv").read_text(encoding="utf-8")


def half_written(session):
    return [path.name for path in session.iterdir() if path.name.endswith("axletrim-tmp")]


async def type_and_save(ui):
    await ui.press("a")
    await ui.type_line(LINE)
    await ui.press("enter")


async def test_a_full_disk_is_said_and_the_key_it_names_saves_once_there_is_room(running, desk):
    async with running(desk.session) as ui:
        journal = desk.session / ".axletrim-journal"
        with full_disk(len(desk.runs) + 5):  # the journal is longer by now: it takes nothing either
            await type_and_save(ui)
            assert "× NOT SAVED" in ui.text
            assert "runs.csv: found a full disk, expected room to write" in ui.text
            assert "what was typed is kept in memory only" in ui.text
            assert "f5 saves again" in ui.text
            assert text(desk.session) == desk.runs
            assert not half_written(desk.session)
            await ui.press("f5")
            assert "× NOT SAVED" in ui.text
            await ui.press("escape")
            assert ui.state.day.readings.labels[-1] == "5"
            await ui.press("q")
            assert "Leave with something unsaved?" in ui.text
            assert "kept in memory only" in ui.text
            assert "It is in the journal" not in ui.text
            assert "if you leave now, it is lost" in ui.text
            await ui.press("s")
        await ui.press("f5")
        assert text(desk.session) == f"{desk.runs}5,wing,121,-478,1231\n"
        assert "NOT SAVED" not in ui.text
        assert b"run 5 added" in journal.read_bytes()


async def test_what_is_half_typed_on_a_full_disk_stays_on_the_screen(running, desk):
    async with running(desk.session) as ui:
        journal = desk.session / ".axletrim-journal"
        with full_disk(len(desk.runs) + 5):
            await ui.press("a")
            await ui.type_line("-96 -21")
            ui.app.open_day.flush()
            await ui.settle()
            assert ui.find("#line").value == "-96 -21"
            assert b"-96 -21" not in journal.read_bytes()
            assert "× what is half typed is kept in memory only" in ui.text
        await ui.type_line(LINE)
        ui.app.open_day.flush()
        await ui.settle()
        assert "kept in memory only" not in ui.text
        assert LINE.encode() in journal.read_bytes()
        await ui.press("enter")
        assert text(desk.session) == f"{desk.runs}5,wing,121,-478,1231\n"


@pytest.fixture
def open_folder(desk):
    """The session in a place that every user may reach."""
    with tempfile.TemporaryDirectory() as place:
        Path(place).chmod(0o755)
        yield shutil.copytree(desk.car, Path(place) / "car") / "day"


@contextmanager
def for_reading_only(folder):
    """Take the right to write there, also from the superuser, who needs none."""
    folder.chmod(0o555)
    root = os.geteuid() == 0
    if root:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)
        folder.chmod(0o755)


async def test_a_folder_for_reading_only_is_said_and_what_was_typed_is_kept(running, desk, open_folder):
    async with running(open_folder) as ui:
        await type_and_save(ui)  # another user may not be able to load what is needed for it
        await ui.press("escape", "U")
        with for_reading_only(open_folder):
            await type_and_save(ui)
            assert "× NOT SAVED" in ui.text
            assert "runs.csv: found no permission to write" in ui.text
            assert "f5 saves again" in ui.text
            assert "what was typed is kept in" in ui.text
            assert text(open_folder) == desk.runs
            assert not half_written(open_folder)
        await ui.press("escape", "f5")
        assert text(open_folder) == f"{desk.runs}5,wing,121,-478,1231\n"
        assert "NOT SAVED" not in ui.text
