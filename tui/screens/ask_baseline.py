"""A list of runs to choose a baseline from."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Footer, Static

from balance.tell.table import Cell
from tui.actions import CLOSE, bindings
from tui.widgets.line_table import LineTable

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.tell.run_table import RunTable
    from tui.app import AxletrimApp

_AS_STATED = "as in the file"
_NONE_STATED = "none stated: one is proposed"


class AskBaseline(ModalScreen["tuple[str | None] | None"]):
    """Gives the label of the run chosen, or nothing for what the file states; nothing at all where left."""

    BINDINGS: ClassVar = bindings(CLOSE)
    app: AxletrimApp

    def __init__(self, run: str, table: RunTable) -> None:
        super().__init__()
        self._run, self._table = run, table
        labels = table.table.labels
        self._rows = [row for row, label in enumerate(labels) if label != run]

    def compose(self) -> ComposeResult:
        """Lay out the question."""
        with Vertical(classes="sheet"):
            yield Static(
                f"Compare run {self._run} with which run? Enter chooses, Esc leaves it as it is.",
                classes="heading",
                markup=False,
            )
            yield LineTable(id="baselines")
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Fill the list."""
        kept = [c for c in self._table.columns if c.key in ("run", "configuration") or c.term == "setting"]
        widget = self.query_one(LineTable)
        widget.set_columns(kept)
        widget.set_source(len(self._rows) + 1, self._cell)
        self.set_focus(widget)

    def _cell(self, index: int, key: str) -> Cell:
        if index:
            return self._table.cell(self._rows[index - 1], key)
        words = _AS_STATED if self.app.desk.day is None else _NONE_STATED
        return Cell(words) if key == "configuration" else Cell("·", "muted")

    def on_line_table_row_chosen(self, message: LineTable.RowChosen) -> None:
        """Give the run under the cursor."""
        if message.index == 0:
            self.dismiss((None,))
        else:
            self.dismiss((self._table.table.labels[self._rows[message.index - 1]],))

    def action_close(self) -> None:
        """Leave the baseline as it is."""
        self.dismiss(None)
