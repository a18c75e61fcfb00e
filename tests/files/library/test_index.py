"""The index among programs: shared, killed while it is made, on a disk that cannot be written."""

import os
import shutil
import signal
import sqlite3
import stat
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from balance.files.library.index import IndexLost
from tests.files.library.conftest import Days

ROOT = Path(__file__).resolve().parents[3]
OPEN = (
    "import sys, pathlib\n"
    "from balance.decide.library.kept import effects_of_day\n"
    "from balance.files.library.library import Library\n"
    "with Library(pathlib.Path(sys.argv[1]), effects_of_day) as found:\n"
    "    print(len(found.days), sum(day.head.effects for day in found.days), found.index.kept, found.writes)\n"
)


def opening(days, **others):
    return subprocess.Popen(
        [sys.executable, "-c", OPEN, str(days.library)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        **others,
    )


def told(process):
    out, err = process.communicate(timeout=120)
    assert process.returncode == 0, err
    return out.split()


def many(days, count):
    """Write a library of many days by hand, none of them read yet."""
    days.library.mkdir(parents=True)
    folders = [str(days.day(f"car{k}", gain=40.0 + k % 30)) for k in range(count)]
    (days.library / "library.toml").write_text(f"days = {folders!r}\n", encoding="utf-8")


def test_two_programs_at_once(days):
    many(days, 30)
    both = [opening(days) for _ in range(2)]
    assert [told(one)[:3] for one in both] == [["30", "30", "True"]] * 2
    with days.open() as library:
        assert len(library.days) == len(library.unconfirmed()) == 30


def test_a_reader_of_the_index_is_no_hindrance(days):
    days.five()
    database = sqlite3.connect(days.library / "index.sqlite")
    database.execute("SELECT count(*) FROM days").fetchone()
    days.day("oak", gain=90.0)
    with days.open() as library:
        assert library.index.kept
    database.close()


def test_an_index_that_breaks_while_it_is_open_is_told_and_made_again(days):
    days.five()
    with days.open() as library:
        path = days.library / "index.sqlite"
        path.write_bytes(path.read_bytes()[:4096] + b"\xa5" * 40960)
        library.index._database.execute("PRAGMA shrink_memory")  # so that it is read from the disk
        with pytest.raises(IndexLost, match="open the library again"):
            library.effects("rear spoiler 25 mm")
    with days.open() as library:
        assert len(library.effects("rear spoiler 25 mm")) == 5


def kill_while_reading(days, after):
    """Kill an opening as soon as so many records of days are there."""
    process = opening(days)
    records = days.library / "days"
    until = time.monotonic() + 60.0
    while process.poll() is None and time.monotonic() < until:
        if records.is_dir() and len(list(records.glob("[!.]*.json"))) >= after:
            break
    process.send_signal(signal.SIGKILL)
    process.communicate()


def goes_on(days, count):
    kept = {path.name: path.stat().st_mtime_ns for path in (days.library / "days").glob("[!.]*.json")}
    with days.open() as library:
        assert len(library.days) == len(library.unconfirmed()) == count
        assert library.broken == ()
    for name, when in kept.items():
        assert (days.library / "days" / name).stat().st_mtime_ns == when  # what was read is not read again


@pytest.mark.thorough
def test_a_kill_loses_nothing_and_the_next_opening_goes_on(days):
    many(days, 120)
    kill_while_reading(days, 12)
    found = len(list((days.library / "days").glob("[!.]*.json")))
    assert 12 <= found < 120
    goes_on(days, 120)


@pytest.mark.slow
def test_many_kills_lose_nothing(tmp_path):
    for after in range(1, 60, 2):
        days = Days(tmp_path / str(after))
        many(days, 60)
        kill_while_reading(days, after)
        goes_on(days, 60)
        shutil.rmtree(days.place)


def seen_by_somebody_else(days):
    """Open the library in a child that may not write there; the superuser, who always may, becomes nobody in it."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.geteuid() == 0:
                os.setuid(65534)
            with days.open() as library:
                oak = next(day for day in library.days if day.head.title == "spring of oak")
                effect = next(one for day, one in library.effects("rear spoiler 25 mm") if day == oak)
                found = (len(library.days), round(effect.effect[1] / effect.effect[2], 3))
                os.write(writing, repr((*found, library.index.kept, library.writes)).encode())
        finally:
            os._exit(0)
    os.close(writing)
    with open(reading, "rb") as pipe:  # noqa: PTH123 - a pipe has no path
        found = pipe.read().decode()
    os.waitpid(child, 0)
    return found


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
def test_a_disk_that_cannot_be_written_opens_for_reading():
    with tempfile.TemporaryDirectory() as place:
        days = Days(Path(place))
        days.five()
        days.day("oak", gain=96.0)  # changed since: it is read again all the same
        paths = [Path(place), *Path(place).rglob("*")]
        for path in paths:
            path.chmod(0o555 if path.is_dir() else 0o444)
        try:
            for _ in range(2):
                assert seen_by_somebody_else(days) == "(5, 12.0, False, False)"  # 96 N over 8 N
            (days.library / "index.sqlite").chmod(0o000)
            assert seen_by_somebody_else(days) == "(5, 12.0, False, False)"
        finally:
            for path in paths:
                path.chmod(path.stat().st_mode | stat.S_IRWXU)
