"""What was assumed, what is unlikely, and the cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.screen import Screen
from textual.widgets import Footer

from balance.tell.remarks import assumptions, gathered, left_out, run_remarks, second_look
from balance.tell.words import CAUTIONS
from tui.actions import CLOSE, bindings
from tui.following import follow
from tui.latest import Latest
from tui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.decide.assessment import Assessment
    from balance.tell.figures import Show
    from tui.app import AxletrimApp
    from tui.state import State


class Notes(Screen[None]):
    """Notes on the session and its runs."""

    BINDINGS: ClassVar = bindings(CLOSE)
    app: AxletrimApp

    def compose(self) -> ComposeResult:
        """Lay out an empty sheet."""
        yield Sheet(classes="sheet")
        yield Footer()

    def on_mount(self) -> None:
        """Watch the state."""
        self._texts = Latest(self.app, self._fill)
        self.set_focus(self.query_one(Sheet))
        follow(self, lambda _, state: self.show_state(state))

    def show_state(self, state: State) -> None:
        """Have the notes gathered, which takes a while on a long day."""
        table = state.assessment
        if table is not None:
            self._texts.ask(lambda: _notes(table, state.show))

    def _fill(self, lines: list[tuple[str, str]]) -> None:
        if self.is_attached:
            self.query_one(Sheet).show(lines)

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)


def _notes(table: Assessment, show: Show) -> list[tuple[str, str]]:
    """Gather headings and sentences."""
    count = len(table.labels)
    runs = gathered(table.labels, [list(run_remarks(table, row, show)) for row in range(count)])
    look, lines = list(second_look(table.day, show)), []
    for heading, sentences in (
        *([("Worth a second look", look)] if look else []),
        ("Notes on runs", [*left_out(table.day), *runs]),
        ("Notes on the session", [*assumptions(table.day), *table.day.session.notes]),
        ("Cautions", list(CAUTIONS)),
    ):
        lines.append((heading, "heading"))
        lines += [(f"· {sentence}", "") for sentence in sentences or ["none"]]
    return lines
