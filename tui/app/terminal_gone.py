"""An interface whose terminal has vanished ends by itself, once what was typed is on the disk."""

from __future__ import annotations

import asyncio
import os
import select
import sys
import time
from threading import Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asyncio import AbstractEventLoop
    from collections.abc import Callable

HUNG_UP = 129
"""What a process ends with that is told of a hang-up: 128 and the number of the signal, common practice."""
_PATIENCE = 60.0
"""Seconds for saving, and for an interface that hangs on a write into the terminal that is gone."""


def end_without_terminal(keep: Callable[[], None]) -> None:
    """Watch the terminal from a thread; where it is gone, keep what there is and end.

    A terminal that is closed tells its session, and this process ends by that signal. One that vanishes tells nobody that
    is in no session of it: what is read from it is then empty for ever, at once and again, by which a processor is kept busy.
    """
    stdin = sys.__stdin__
    if stdin is None or stdin.closed or not hasattr(select, "poll") or not stdin.isatty():
        return
    waiting = (stdin.fileno(), asyncio.get_running_loop(), keep)
    Thread(target=_wait_and_end, args=waiting, name="axletrim-terminal", daemon=True).start()


def _wait_and_end(terminal: int, loop: AbstractEventLoop, keep: Callable[[], None]) -> None:
    poll = select.poll()
    poll.register(terminal, 0)  # nothing but its end is waited for
    if not any(found & select.POLLHUP for _, found in poll.poll()):
        return
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (1, 2):  # a write into it would fail, and the next ones wait for ever
        if os.isatty(stream) or stream == terminal:
            os.dup2(nowhere, stream)

    def end() -> None:
        try:
            keep()
        finally:
            os._exit(HUNG_UP)

    try:
        loop.call_soon_threadsafe(end)
    except RuntimeError:  # it is ending already
        return
    time.sleep(_PATIENCE)
    os._exit(HUNG_UP)
