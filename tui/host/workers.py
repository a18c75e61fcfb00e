"""Work in threads: of what is asked for again and again, only the newest answer counts."""

from __future__ import annotations

import asyncio
from concurrent.futures import Future
from threading import Thread
from typing import TYPE_CHECKING, Generic, TypeVar

from textual.dom import DOMNode

from tui.host.following import stands

if TYPE_CHECKING:
    from collections.abc import Callable

    from tui.host.stateful import StatefulApp

T = TypeVar("T")
_AT_LATEST = 0.5  # s


def begin(work: Callable[[], T]) -> Future[T]:
    """Start some work in a thread of its own, which does not keep the process from ending."""
    future: Future[T] = Future()

    def run() -> None:
        future.set_running_or_notify_cancel()
        try:
            future.set_result(work())
        except BaseException as fault:  # noqa: BLE001 - raised again where the answer is asked for
            future.set_exception(fault)

    Thread(target=run, daemon=True).start()
    return future


def once_shown(app: StatefulApp, start: Callable[[], object]) -> None:
    """Start something once what is known is on the screen: widgets ask to be drawn first, and the screen then draws.

    What a screen is to call after it has drawn is lost with a screen that is left before: then it starts all the same.
    """
    waits = [start]

    def once() -> None:
        if waits:
            waits.pop()()

    app.call_after_refresh(app.call_after_refresh, once)
    app.set_timer(_AT_LATEST, once)


class Latest(Generic[T]):
    """One piece of work at a time; what is asked for meanwhile replaces what waits.

    However fast a key repeats, there is one thread, and an answer that is no longer asked for is dropped. Work
    starts once what is known is on the screen.
    """

    def __init__(self, app: StatefulApp, take: Callable[[T], None], *, to_the_end: bool = False) -> None:
        self._app, self._take, self._to_the_end = app, take, to_the_end
        self._waiting: Callable[[], T] | None = None
        self._busy = False

    def ask(self, work: Callable[[], T]) -> None:
        """Have something worked out, in place of what was asked before."""
        self._waiting = work
        if not self._busy:
            self._busy = True
            self._app.at_work += 1
            once_shown(self._app, self._start)

    def _start(self) -> None:
        work, self._waiting = self._waiting, None
        assert work is not None  # noqa: S101 - started only where something waits
        self._app.run_worker(self._run(work))

    async def _run(self, work: Callable[[], T]) -> None:
        self._done(await asyncio.wrap_future(begin(work)))

    def _done(self, answer: T) -> None:
        if self._waiting is not None:
            self._start()
            return
        self._busy = False
        self._app.at_work -= 1
        owner = getattr(self._take, "__self__", None)
        if self._to_the_end or not isinstance(owner, DOMNode) or stands(owner):
            self._take(answer)
