"""Work in a thread of which only the newest answer counts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import App

T = TypeVar("T")


class Latest(Generic[T]):
    """One piece of work at a time; what is asked for meanwhile replaces what waits.

    However fast a key repeats, there is one thread, and an answer that is no longer asked for is dropped.

    Parameters
    ----------
    app : App
        Whose loop takes the answers.
    take : callable
        Gets an answer, on the interface's thread.
    """

    def __init__(self, app: App[None], take: Callable[[T], None]) -> None:
        self._app, self._take = app, take
        self._waiting: Callable[[], T] | None = None
        self._busy = False

    def ask(self, work: Callable[[], T]) -> None:
        """Have something worked out, in place of what was asked before."""
        self._waiting = work
        if not self._busy:
            self._start()

    def _start(self) -> None:
        work, self._waiting, self._busy = self._waiting, None, True
        assert work is not None  # noqa: S101 - started only where something waits
        self._app.run_worker(lambda: self._run(work), thread=True)

    def _run(self, work: Callable[[], T]) -> None:
        answer = work()
        if self._app.is_running:
            self._app.call_from_thread(self._done, answer)

    def _done(self, answer: T) -> None:
        self._busy = False
        if self._waiting is None:
            self._take(answer)
        else:
            self._start()
