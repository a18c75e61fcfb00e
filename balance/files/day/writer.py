"""A thread that brings to the disk what is asked, one after the other, so that nobody who types waits for a disk."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from threading import current_thread
from typing import TYPE_CHECKING, Any, TypeVar

from balance.model.errors import SaveError

if TYPE_CHECKING:
    from collections.abc import Callable
    from threading import Thread

T = TypeVar("T")


def at_once(work: Callable[[], object]) -> None:
    """Do some work on the caller's own thread; why something cannot be saved is kept by the work itself."""
    with suppress(SaveError):
        work()


class Writer:
    """Does what it is asked in a thread of its own, in the order in which it was asked."""

    def __init__(self, begins: Callable[[], None], done: Callable[[Future[Any]], None]) -> None:
        self._begins, self._done = begins, done
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="axletrim-writer")
        self._last: Future[Any] | None = None
        self._thread: Thread | None = None

    def __call__(self, work: Callable[[], object]) -> None:
        """Have some work done; what cannot be saved is said where the work keeps it."""
        if current_thread() is self._thread:  # asked by what is being written
            at_once(work)
        else:
            self.submit(lambda: at_once(work))

    def submit(self, work: Callable[[], T]) -> Future[T]:
        """Have some work done, and get what comes of it."""

        def run() -> T:
            self._thread = current_thread()
            return work()

        self._begins()
        future = self._pool.submit(run)
        self._last = future
        future.add_done_callback(self._done)
        return future

    def end(self) -> None:
        """Let the thread go once all is done; nothing more can be asked."""
        self._pool.shutdown(wait=False)

    def settle(self) -> None:
        """Wait until all is done that was asked so far."""
        if self._last is not None and current_thread() is not self._thread:
            with suppress(Exception):  # told to whoever asked for it
                self._last.result()
