"""Everything known about the picked part."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.screen import Screen
from textual.widgets import Footer

from balance.tell.part_detail import part_detail
from tui.actions import CLOSE, bindings
from tui.drawing import section_lines
from tui.following import follow
from tui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from tui.app import AxletrimApp
    from tui.state import State


class Part(Screen[None]):
    """Sections of labelled figures: answer, changes, price, balance, way from the base, notes."""

    BINDINGS: ClassVar = bindings(CLOSE)
    app: AxletrimApp

    def compose(self) -> ComposeResult:
        """Lay out an empty sheet."""
        yield Sheet(classes="sheet")
        yield Footer()

    def on_mount(self) -> None:
        """Watch the state."""
        self.set_focus(self.query_one(Sheet))
        follow(self, lambda _, state: self.show_state(state))

    def show_state(self, state: State) -> None:
        """Fill the sheet."""
        figures, row = state.parts.figures, state.parts.picked_row()
        if figures is not None and row is not None:
            self.query_one(Sheet).show(
                section_lines(part_detail(figures, row, state.show, self.size.width - 10))
            )

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)
