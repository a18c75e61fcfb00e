"""Everything known about the picked run."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Footer, Static

from balance.tell.detail import run_detail
from tui.actions import CLOSE, bindings

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from tui.app import AxletrimApp
    from tui.state import State


class Detail(ModalScreen[None]):
    """Sections of labelled figures: answer, loads, balance, places, reading, method."""

    BINDINGS: ClassVar = bindings(CLOSE)
    app: AxletrimApp

    def compose(self) -> ComposeResult:
        """Lay out an empty sheet."""
        yield VerticalScroll(classes="sheet")
        yield Footer()

    def on_mount(self) -> None:
        """Watch the state."""
        self.watch(self.app, "state", self.show_state)

    def show_state(self, state: State) -> None:
        """Fill the sheet."""
        if state.assessment is None or state.picked_row is None:
            return
        sheet = self.query_one(VerticalScroll)
        parts: list[Static] = []
        for section in run_detail(state.assessment, state.picked_row, state.show):
            parts.append(Static(section.heading, classes="heading", markup=False))
            width = max((len(label) for label, _ in section.lines), default=0)
            for label, text in section.lines:
                line = f"{label.ljust(width)}  {text}" if width else text
                parts.append(Static(line, classes="line", markup=False))
        sheet.remove_children()
        sheet.mount_all(parts)
        sheet.focus()

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)
