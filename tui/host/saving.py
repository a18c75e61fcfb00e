"""What brings to the disk all that is saved in the interface: one thread, counted, so that a slow disk is told of."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from time import monotonic
from typing import TYPE_CHECKING, TypeVar

from balance.files.day.writer import Writer
from balance.model.errors import AxletrimError

if TYPE_CHECKING:
    from collections.abc import Callable
    from concurrent.futures import Future
    from typing import Any

    from tui.host.stateful import StatefulApp

T = TypeVar("T")

_SLOW = 1.0
"""Seconds after which it is said that something is still being written."""


class Saving:
    """The writer of the interface, and how much of what it was asked to write is not on the disk yet."""

    def __init__(self, app: StatefulApp, written: Callable[[], None]) -> None:
        self.writer = Writer(self._begins, self._done)
        """Takes work that writes; it is done in a thread, in the order of asking."""
        self._app, self._all_written = app, written
        self._waiting, self._since = 0, 0.0

    @property
    def busy(self) -> bool:
        """Whether something is not on the disk yet."""
        return self._waiting > 0

    @property
    def slow(self) -> bool:
        """Whether the disk keeps what is being saved waiting."""
        return self.busy and monotonic() - self._since > _SLOW

    async def write(self, work: Callable[[], T]) -> T:
        """Have something written after all that was asked before, and wait for it."""
        return await asyncio.wrap_future(self.writer.submit(work))

    async def settle(self) -> None:
        """Wait until all that was asked to be written is, or has failed."""
        await self.write(bool)

    def _begins(self) -> None:
        if not self._waiting:
            self._since = monotonic()
        self._waiting += 1
        self._app.at_work += 1

    def _done(self, future: Future[Any]) -> None:
        """Tell the interface, from the writer's thread, that something was written or could not be."""
        with suppress(RuntimeError):  # the loop is closed: nobody is there to be told
            self._app.call_later(self._written, future.exception())

    def _written(self, fault: BaseException | None) -> None:
        self._waiting -= 1
        self._app.at_work -= 1
        if fault is not None and not isinstance(fault, AxletrimError):
            raise fault
        if not self._waiting:
            self._all_written()
