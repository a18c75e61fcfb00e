"""The tool killed in the middle of a line, in a terminal of its own: what was typed is offered back."""

import os
import pty
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 60.0


class Terminal:
    """The interface in a pseudo-terminal, as a person would have it."""

    def __init__(self, session):
        self._own, theirs = pty.openpty()
        self._seen = b""
        environment = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "80", "LINES": "24"}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tui", "open", str(session)],
            cwd=ROOT, stdin=theirs, stdout=theirs, stderr=theirs, env=environment, start_new_session=True,
        )  # fmt: skip
        os.close(theirs)
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self):
        while True:
            try:
                self._seen += os.read(self._own, 65536)
            except OSError:
                return

    def shows(self, words):
        wait_until(lambda: words.encode() in self._seen, words)

    def type(self, text):
        os.write(self._own, text.encode())

    def kill(self):
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def wait_until(met, what):
    end = time.monotonic() + PATIENCE
    while not met():
        assert time.monotonic() < end, what
        time.sleep(0.02)


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
        terminal.type("a80 258 1149 repeat")
        wait_until(
            lambda: b"1149 repeat" in (desk.session / ".axletrim-journal").read_bytes(), "the line is typed"
        )
        terminal.type("\r")
        wait_until(lambda: len(table.read_text(encoding="utf-8").splitlines()) == 6, "the run is in the file")
    finally:
        terminal.kill()
    async with running(desk.session) as ui:
        assert ui.state.day.readings.labels == ("1", "2", "3", "4", "5")
        assert ui.screen == "Home"
