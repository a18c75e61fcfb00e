"""A command at a terminal of its own, and somebody who answers."""

import os
import pty
import select
import subprocess
import sys


def typed(axletrim, arguments, answers):
    """Run a command at a terminal, type an answer at each question, and give all that was seen and the exit code."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "tui", *arguments],
        stdin=theirs, stdout=theirs, stderr=theirs, cwd=axletrim.folder, env=axletrim.environment,
    )  # fmt: skip
    os.close(theirs)
    seen, left = b"", list(answers)
    while True:
        assert select.select([ours], [], [], 60)[0], seen
        try:
            more = os.read(ours, 4096)
        except OSError:  # the other end is closed
            more = b""
        if not more:
            break
        seen += more
        if left and seen.endswith(b"]: "):
            os.write(ours, left.pop(0).encode() + b"\n")
            seen += b"\n"
    os.close(ours)
    return seen.decode(), process.wait(60)
