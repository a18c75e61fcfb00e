"""Keys in the order they were pressed: each acts before the next one is looked at, and none is lost between screens."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from textual.events import Key

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from textual.events import Paste

    from tui.pages import Pages

_SOON = 0.005
"""Seconds until a screen that is being opened is looked at again."""


@runtime_checkable
class TakesKeys(Protocol):
    """A screen that takes some keys itself, without a binding."""

    def take_key(self, key: Key) -> bool:
        """Act upon a key, or say that it is none of this screen's."""
        ...


class Keys:
    """What is pressed and pasted, held back while the screen it is meant for is being opened.

    Textual forwards keys to what has the focus when they arrive, and acts upon a binding only when the key has come
    back from there: what follows in the same burst would go to the screen below the one that is opened.

    Parameters
    ----------
    app : Pages
        Whose screens take the keys.
    forward : callable
        Hands an event on to what has the focus.
    opening : callable
        Whether the day is about to be open, and keys have to wait for it too.
    """

    def __init__(
        self,
        app: Pages,
        forward: Callable[[Key | Paste], Awaitable[None]],
        opening: Callable[[], bool],
    ) -> None:
        self._app, self._forward, self._opening = app, forward, opening
        self._held: deque[Key | Paste] = deque()

    async def take(self, event: Key | Paste) -> None:
        """Act upon what was pressed or pasted, after all that came before it."""
        self._held.append(event)
        if len(self._held) == 1:
            await self._let_through()

    async def _let_through(self) -> None:
        if self._opening() or not self._app.screen.is_mounted:
            self._app.set_timer(_SOON, self._let_through)
            return
        event = self._held[0]
        if not (isinstance(event, Key) and await self._acted_upon(event)):
            await self._forward(event)
        self._held.popleft()
        if self._held:
            self._app.call_later(self._let_through)  # after what the key asked to be done next

    async def _acted_upon(self, key: Key) -> bool:
        """Act upon a key that no field takes, where it means something here."""
        screen, focused = self._app.screen, self._app.focused
        if focused is not None and focused.check_consume_key("x", "x"):
            return False
        if isinstance(screen, TakesKeys) and screen.take_key(key):
            return True
        bound = screen.active_bindings.get(key.key)
        if bound is None or not bound.enabled:
            return False
        return await self._app.run_action(bound.binding.action, bound.node)
