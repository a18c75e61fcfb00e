"""Everything known about the picked run."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.screen import Screen
from textual.widgets import Footer

from balance.tell.detail import run_detail
from tui.actions import CLOSE, bindings
from tui.following import follow
from tui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from tui.app import AxletrimApp
    from tui.state import State


class Detail(Screen[None]):
    """Sections of labelled figures: answer, loads, balance, places, reading, method."""

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
        if state.assessment is None or state.picked_row is None:
            return
        lines = []
        for section in run_detail(state.assessment, state.picked_row, state.show):
            lines.append((section.heading, "heading"))
            width = max((len(label) for label, _ in section.lines), default=0)
            lines += [
                (f"{label.ljust(width)}  {text}" if width else text, "") for label, text in section.lines
            ]
        self.query_one(Sheet).show(lines)

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)
