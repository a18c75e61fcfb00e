"""What all screens have in common: they know the application, fold their words, and are left by a key."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from tui.widgets.plain import pack

if TYPE_CHECKING:
    from collections.abc import Awaitable, Sequence

    from tui.host.host import Host

R = TypeVar("R")


class Page(Screen[R]):
    """A screen as wide as the terminal."""

    app: Host

    @property
    def line_width(self) -> int:
        """How many cells a line of words has."""
        return max(self.size.width - 2, 20)

    def folded(self, text: str) -> list[str]:
        """Break a text between its clauses into lines that have room."""
        return pack(text, self.line_width)

    def write_lines(self, part: str, lines: Sequence[str]) -> None:
        """Write lines into a part of the page; without any it takes no room."""
        widget = self.query_one(part, Static)
        widget.update("\n".join(lines))
        widget.display = bool(lines)

    def action_close(self) -> Awaitable[None] | None:
        """Go back."""
        self.dismiss(None)
        return None


class Question(ModalScreen[R]):
    """A question over the page, which may be left without an answer."""

    app: Host

    def action_close(self) -> None:
        """Give no answer."""
        self.dismiss(None)
