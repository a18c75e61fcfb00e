"""The palette of commands: every action of the screen and of the application, by name."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from textual.command import DiscoveryHit, Hit, Hits, Provider

from tui.host.actions import APP, SCREENS

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterator


class ActionCommands(Provider):
    """Offers each action with its help and its key."""

    def _commands(self) -> Iterator[tuple[str, str, Callable[[], Awaitable[None]]]]:
        name = type(self.screen).__name__.lower()
        for owner, actions in ((self.screen, SCREENS.get(name, ())), (self.app, APP)):
            for action in actions:
                words = f"{action.label}: {action.help}"
                yield words, f"key {action.shown_key or action.key}", partial(self._run, owner, action.id)

    async def _run(self, owner: object, action: str) -> None:
        await (self.app if owner is self.app else self.screen).run_action(action)

    async def discover(self) -> Hits:
        """Offer everything while nothing is typed."""
        for words, key, run in self._commands():
            yield DiscoveryHit(words, run, help=key)

    async def search(self, query: str) -> Hits:
        """Offer what fits the words typed."""
        matcher = self.matcher(query)
        for words, key, run in self._commands():
            if (score := matcher.match(words)) > 0:
                yield Hit(score, matcher.highlight(words), run, help=key)
