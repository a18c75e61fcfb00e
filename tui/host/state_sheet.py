"""A sheet over a page: tables and notes about one thing that is picked, laid out anew with the state and the size."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, ClassVar

from tui.host.actions import CLOSE, Action
from tui.host.following import follow
from tui.host.page import Page
from tui.widgets.key_footer import KeyFooter
from tui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from tui.host.state import State

_FRAME = 8
"""Cells of frame and room beside the words."""


class StateSheet(Page[None]):
    """A sheet that is left by a key; what stands on it, each has of its own."""

    ACTIONS: ClassVar[tuple[Action, ...]] = CLOSE

    def compose(self) -> ComposeResult:
        """Lay out an empty sheet."""
        yield Sheet(classes="sheet")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Watch the state."""
        self.set_focus(self.query_one(Sheet))
        follow(self, lambda _, state: self.show_state(state))

    def on_resize(self) -> None:
        """Lay the tables out anew."""
        self.show_state(self.app.state)

    @property
    def room(self) -> int:
        """Return the cells that words and tables may take."""
        return max(self.size.width - _FRAME, 20)

    @abstractmethod
    def show_state(self, state: State) -> None:
        """Tell of what is picked."""
