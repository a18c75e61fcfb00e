"""Keys in the order they were pressed: each acts before the next one is looked at, and none is lost between screens."""

from __future__ import annotations

from collections import deque
from time import monotonic
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from textual.events import Key

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from textual.events import Paste
    from textual.widget import Widget

    from tui.host.host import Host

_SOON = 0.005
"""Seconds until a screen that is being opened is looked at again."""
_ROUNDS = 3
"""How often what a key sets off in a field climbs up to the screen: the key, what the field says, what its form says."""
_LOOK, _PATIENCE = 0.05, 5.0
"""Seconds until a field is looked at that may be gone by then, and after which the next key is let through anyway."""


@runtime_checkable
class TakesKeys(Protocol):
    """A screen that takes some keys itself, without a binding."""

    def take_key(self, key: Key) -> bool:
        """Act upon a key, or say that it is none of this screen's."""
        ...


class Keys:
    """What is pressed and pasted, held back while the screen it is meant for is being opened, or a run looked at.

    Textual forwards keys to what has the focus when they arrive, and acts upon a binding only when the key has come
    back from there: what follows in the same burst would go to the screen below the one that is opened.
    """

    def __init__(
        self,
        app: Host,
        forward: Callable[[Key | Paste], Awaitable[None]],
        opening: Callable[[], bool],
    ) -> None:
        self._app, self._forward, self._opening = app, forward, opening
        self._held: deque[Key | Paste] = deque()
        self._since: deque[float] = deque()

    async def take(self, event: Key | Paste) -> None:
        """Act upon what was pressed or pasted, after all that came before it."""
        self._held.append(event)
        self._since.append(monotonic())
        if len(self._held) == 1:
            self._app.at_work += 1
            await self._let_through()

    @property
    def pressed_at(self) -> float:
        """When what is acted upon was pressed; now, where that is no key."""
        return self._since[0] if self._since else monotonic()

    async def _let_through(self) -> None:
        if not self._app.is_running:
            return
        if self._opening() or not self._app.screen.is_mounted:
            self._app.set_timer(_SOON, self._let_through)
            return
        event, field = self._held[0], self._app.focused
        acted = isinstance(event, Key) and await self._acted_upon(event)
        if not acted:
            await self._forward(event)
        if acted or field is None or not isinstance(event, Key) or _is_text(field, event):
            self._next()
        else:
            self._come_back(field)

    def _next(self) -> None:
        self._held.popleft()
        self._since.popleft()
        if self._held:
            self._app.call_later(self._let_through)  # after what the key asked to be done next
        else:
            self._app.at_work -= 1

    def _come_back(self, field: Widget) -> None:
        """Hold the next key until what this one set off in a field is done, as Enter that leads to the next field."""
        event = self._held[0]
        way = iter([*field.ancestors_with_self] * _ROUNDS)
        until = monotonic() + _PATIENCE

        def climb() -> None:
            if self._waits_for(event) and not any(node.call_later(climb) for node in way):
                self._next()

        def look() -> None:
            if self._waits_for(event):
                if field.is_attached and monotonic() < until:
                    self._app.set_timer(_LOOK, look)
                else:
                    self._next()

        self._app.set_timer(_LOOK, look)
        climb()

    def _waits_for(self, event: Key | Paste) -> bool:
        return bool(self._held) and self._held[0] is event

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


def _is_text(field: Widget, key: Key) -> bool:
    """Return whether a key is a character that a field takes in."""
    return field.check_consume_key(key.key, key.character)
