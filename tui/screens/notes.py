"""What was assumed, what is unlikely, and the cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Footer, Static

from balance.tell.remarks import gathered, run_remarks, session_remarks
from balance.tell.words import CAUTIONS
from tui.actions import CLOSE, bindings

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from tui.app import AxletrimApp


class Notes(ModalScreen[None]):
    """Notes on the session and its runs."""

    BINDINGS: ClassVar = bindings(CLOSE)
    app: AxletrimApp

    def compose(self) -> ComposeResult:
        """Lay out the notes."""
        table, show = self.app.state.assessment, self.app.state.show
        with VerticalScroll(classes="sheet"):
            if table is not None:
                runs = gathered(
                    table.labels, [list(run_remarks(table, r, show)) for r in range(len(table.labels))]
                )
                for heading, sentences in (
                    ("Notes on runs", runs),
                    ("Notes on the session", list(session_remarks(table, show))),
                    ("Cautions", list(CAUTIONS)),
                ):
                    yield Static(heading, classes="heading")
                    for sentence in sentences or ["none"]:
                        yield Static(f"· {sentence}", classes="entry", markup=False)
        yield Footer()

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)
