"""The interface in a terminal of its own, to be typed into and killed."""

import os
import pty
import select
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PATIENCE = (
    300.0  # seconds for something to be done on a loaded machine: waits end by minutes, never by counts
)


class Terminal:
    """The interface in a pseudo-terminal, as a person would have it; without a session it asks for one."""

    def __init__(self, session):
        self._own, theirs = pty.openpty()
        self._seen = b""
        environment = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "80", "LINES": "24"}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tui", *([] if session is None else ["open", str(session)])],
            cwd=ROOT, stdin=theirs, stdout=theirs, stderr=theirs, env=environment, start_new_session=True,
        )  # fmt: skip
        os.close(theirs)
        self._vanished = False
        self._reads = threading.Thread(target=self._read, daemon=True)
        self._reads.start()

    def _read(self):
        while not self._vanished:
            if not select.select([self._own], [], [], 0.05)[0]:
                continue
            try:
                self._seen += os.read(self._own, 65536)
            except OSError:
                return

    def shows(self, words):
        """Wait until some words were written."""
        wait_until(lambda: words.encode() in self._seen, words)

    def type(self, text):
        """Press the keys of a text."""
        os.write(self._own, text.encode())

    def vanish(self):
        """Take the terminal away; the process is in no session of it, so that no signal tells it."""
        self._vanished = True
        self._reads.join()
        os.close(self._own)

    def kill(self):
        """End it at once, as a power cut would."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def wait_until(met, what):
    """Wait until something is met, or say what was not."""
    end = time.monotonic() + PATIENCE
    while not met():
        assert time.monotonic() < end, what
        time.sleep(0.02)
