"""A second screen that only looks: it follows a running day, takes no lock, and writes nothing into the day or its car."""

import subprocess
import sys
from pathlib import Path

import pytest

from balance.files.day import durable

ROOT = Path(__file__).resolve().parents[3]
WORK = """\
import sys
from balance.files.day.opening import open_day
from tests.open_days import add
with open_day(sys.argv[1]) as day:
    for line in sys.stdin:
        label = str(len(day.sheet.labels) + 1)
        add(day, run=label, configuration="base") if line.strip() == "add" else day.undo()
        print(len(day.sheet.labels), flush=True)
"""


@pytest.fixture(autouse=True)
def forgotten_afterwards():
    """A process looks to its end; the tests share one."""
    yield
    durable._LOOKED_AT.clear()


class Running:
    """A day that another process works on."""

    def __init__(self, session):
        self.process = subprocess.Popen(
            [sys.executable, "-c", WORK, str(session)],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def do(self, what):
        """Have something done, and give how many runs there are then."""
        self.process.stdin.write(f"{what}\n")
        self.process.stdin.flush()
        return int(self.process.stdout.readline())

    def end(self):
        self.process.stdin.close()
        self.process.stdout.close()
        return self.process.wait(timeout=60)


@pytest.fixture
def work_on():
    begun = []

    def work(session):
        begun.append(Running(session))
        return begun[-1]

    yield work
    for one in begun:
        if one.process.poll() is None:
            one.process.kill()
            one.process.wait()


def everything(folder):
    """Every file of a car and what it holds."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


async def test_it_follows_a_running_day_and_leaves_it_alone(running, desk, work_on):
    day = work_on(desk.session)
    count = day.do("add")
    before = everything(desk.car)
    async with running(desk.session, looking=True) as ui:
        assert "LOOKING ONLY: this screen follows the day and writes nothing" in ui.text
        assert len(ui.state.day.readings.runs) == count
        assert everything(desk.car) == before
        assert day.do("add") == count + 1
        after = everything(desk.car)
        await ui.until(lambda: len(ui.state.day.readings.runs) == count + 1, ui.look_for_changes)
        for key in (
            "a",
            "e",
            "escape",
            "m",
            "escape",
            "U",
            "R",
            "C",
            "D",
            "f5",
            "8",
            "f2",
            "f4",
            "delete",
            "p",
            "1",
        ):
            await ui.press(key)
        await ui.look_for_changes()
    assert everything(desk.car) == after
    assert day.do("undo") == count  # the one that works on it has lost nothing
    assert day.end() == 0


async def test_no_lock_is_taken_so_that_another_may_open_it_for_work(running, desk, work_on):
    async with running(desk.session, looking=True) as ui:
        day = work_on(desk.session)
        count = day.do("add")
        await ui.until(lambda: len(ui.state.day.readings.runs) == count, ui.look_for_changes)
        assert day.end() == 0


async def test_a_report_and_own_words_are_refused(running, demo):
    before = everything(demo.parent)
    async with running(demo, looking=True) as ui:
        await ui.press("7", "f10")
        assert "opened to look" in ui.text
        await ui.press("f2")
        await ui.fill(title="Mine")
        await ui.press("enter", "escape", "1")
    assert everything(demo.parent) == before


def test_what_lies_beside_a_day_that_is_looked_at_may_be_written(tmp_path):
    (tmp_path / "car" / "day").mkdir(parents=True)
    durable.only_look_at(tmp_path / "car")
    durable.write_atomically(tmp_path / "other.txt", b"1")
    for path in (tmp_path / "car" / "vehicle.toml", tmp_path / "car" / "day" / "runs.csv"):
        with pytest.raises(durable.SaveError, match="opened to look"):
            durable.write_atomically(path, b"1")
        with pytest.raises(durable.SaveError, match="opened to look"):
            durable.append_durably(path, b"1")
        assert not path.exists()
