"""The tool killed in the middle of a line, in a terminal of its own: what was typed is offered back."""

import time

import numpy as np
import pytest

from balance.files.day.journal import Journal, replay
from tests.terminal import PATIENCE, Terminal, wait_until


@pytest.mark.parametrize("words", ["-96 -21", '-96 -214 1150 note "tufts o'])
async def test_a_line_typed_before_the_tool_was_killed_is_offered_back(running, desk, words):
    journal = desk.session / ".axletrim-journal"
    terminal = Terminal(desk.session)
    try:
        terminal.shows("Larkspur coupe")
        wait_until(journal.exists, "the day is open for work")
        terminal.type(f"a{words}")
        wait_until(
            lambda: words.replace('"', '\\"').encode() in journal.read_bytes(), "the line is on the disk"
        )
    finally:
        terminal.kill()
    assert (desk.session / "runs.csv").read_text(encoding="utf-8") == desk.runs
    async with running(desk.session) as ui:
        assert "A run was half typed when axletrim ended" in ui.text
        assert words in ui.text
        await ui.press("t")
        assert ui.find("#line").value == words


async def test_a_run_entered_before_the_tool_was_killed_is_there(running, desk):
    terminal = Terminal(desk.session)
    table = desk.session / "runs.csv"
    try:
        terminal.shows("Larkspur coupe")
        wait_until((desk.session / ".axletrim-journal").exists, "the day is open for work")
        terminal.type("a121 -478 1231 repeat")
        wait_until(
            lambda: b"1231 repeat" in (desk.session / ".axletrim-journal").read_bytes(), "the line is typed"
        )
        terminal.type("\r")
        wait_until(lambda: len(table.read_text(encoding="utf-8").splitlines()) == 6, "the run is in the file")
    finally:
        terminal.kill()
    async with running(desk.session) as ui:
        assert ui.state.day.readings.labels == ("1", "2", "3", "4", "5")
        assert ui.screen == "Home"


BURST, LONGEST = 9, 60
"""Runs that one start enters before it is killed in the next, and runs after which a new day begins."""


def line_of(run):
    return f"120.{run:03d} -480 1230 repeat"


def whole(desk, count):
    """What runs.csv holds once so many runs were typed after the four that are there."""
    return desk.runs + "".join(f"{run},wing,120.{run:03d},-480,1230\n" for run in range(5, 5 + count))


class Killing:
    """A day on which runs are typed into one interface after the other, each killed in the midst of it."""

    def __init__(self, desk, chance):
        self.desk, self.chance = desk, chance
        self.table, self.journal = desk.session / "runs.csv", desk.session / ".axletrim-journal"
        self.counts = {"saves": 0, "kills": 0, "drafts": 0, "brought back": 0}

    @property
    def saved(self):
        return len(self.table.read_text(encoding="utf-8").splitlines()) - 5

    def begin(self):
        """Start the interface, and answer what it asks about what the last one left."""
        left = replay(Journal([self.journal]).lines) if self.journal.exists() else None
        terminal = Terminal(self.desk.session)
        terminal.shows("Larkspur coupe")
        wait_until(
            lambda: f'"pid": {terminal.process.pid},'.encode() in self.lock, "the day is open for work"
        )
        if left and left.history and left.history.text != self.table_before:
            terminal.shows("Brought back from the journal")
            terminal.type("k")
            self.counts["brought back"] += 1
        if left and left.draft:
            terminal.shows("half typed when axletrim ended")
            terminal.shows(left.draft["\tline"].split()[0])
            terminal.type("d")
            self.counts["drafts"] += 1
        return terminal

    @property
    def lock(self):
        try:
            return (self.desk.session / ".axletrim-lock").read_bytes()
        except FileNotFoundError:
            return b""

    def kill_one(self, saves):
        """Type runs, and kill while the next is typed or saved; then hold what is on the disk against it."""
        if self.saved > LONGEST:
            self.journal.unlink()
            self.desk.write(runs=self.desk.runs)
        self.table_before = self.table.read_text(encoding="utf-8")
        terminal = self.begin()
        try:
            begun = self.saved
            terminal.type("a")
            for _ in range(saves):
                row = self.saved
                terminal.type(f"{line_of(5 + row)}\r")
                wait_until(lambda row=row: self.saved == row + 1, f"run {5 + row} is in the file")
            confirmed = self.saved
            terminal.type(line_of(5 + confirmed))
            time.sleep(self.chance.uniform(0.0, 0.8))
            if self.chance.random() < 0.7:
                terminal.type("\r")
                time.sleep(self.chance.uniform(0.0, 0.2))
        finally:
            terminal.kill()
        self.counts["kills"] += 1
        found = self.table.read_text(encoding="utf-8")
        assert found == whole(self.desk, self.saved), "neither the old file nor the new one"
        assert confirmed <= self.saved <= confirmed + 1, "a run that was saved is gone"
        self.counts["saves"] += self.saved - begun
        told = replay(Journal([self.journal]).lines)
        assert told.history.text in (whole(self.desk, confirmed), whole(self.desk, confirmed + 1))
        if told.draft:
            assert line_of(5 + confirmed).startswith(told.draft["\tline"])


@pytest.mark.thorough
def test_runs_entered_while_the_tool_is_killed_again_and_again_are_whole(desk):
    killing = Killing(desk, np.random.default_rng(1))
    for _ in range(3):
        killing.kill_one(2)
    assert killing.counts["kills"] == 3
    assert killing.counts["saves"] >= 6


@pytest.mark.slow
def test_five_hundred_saves_with_kills_among_them_are_whole(desk):
    killing = Killing(desk, np.random.default_rng(2))
    while killing.counts["saves"] < 500 or killing.counts["kills"] < 60:
        killing.kill_one(BURST)
    assert killing.counts["saves"] >= 500
    assert killing.counts["kills"] >= 60
    assert killing.counts["drafts"] > 0


async def test_an_interface_whose_terminal_vanished_ends_by_itself_and_keeps_what_was_typed(running, desk):
    """Without a signal: the process is in a session of its own. 129 is what a hang-up ends a process with, common practice."""
    table, journal = desk.session / "runs.csv", desk.session / ".axletrim-journal"
    terminal = Terminal(desk.session)
    try:
        terminal.shows("Larkspur coupe")
        wait_until(journal.exists, "the day is open for work")
        terminal.type(f"a{line_of(5)}")
        wait_until(lambda: b"1230 repeat" in journal.read_bytes(), "the line is typed")
        terminal.type("\r")
        wait_until(lambda: len(table.read_text(encoding="utf-8").splitlines()) == 6, "the run is in the file")
        terminal.type("119 -47")
        wait_until(lambda: b"119 -47" in journal.read_bytes(), "the next one is on the disk")
        terminal.type("9")
        terminal.vanish()
        assert terminal.process.wait(timeout=PATIENCE) == 129
    finally:
        if terminal.process.poll() is None:
            terminal.kill()
    assert table.read_text(encoding="utf-8") == whole(desk, 1)
    async with running(desk.session) as ui:
        assert "A run was half typed when axletrim ended" in ui.text
        assert "119 -47" in ui.text
