"""A list of runs to choose a baseline from."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Vertical
from textual.widgets import Static

from balance.model.baseline_names import AND
from balance.tell.table import Cell
from tui.host.actions import CLOSE, Action
from tui.host.page import Question
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable, cells_apart

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.tell.runs.run_table import RunTable

_AS_STATED = "as in the file"
_TWO = "Two around it take a steady drift out: Space marks the run before, Enter then chooses the one after."
_NONE_STATED = "none stated: one is chosen automatically"

ASK_BASELINE = (
    Action(
        "mark",
        "space",
        "first of two",
        "mark one of two baselines around the run; Enter then chooses the other",
    ),
    *CLOSE,
)


class AskBaseline(Question["tuple[str | None] | None"]):
    """Gives the run chosen or the two around it, or nothing for what the file states; nothing at all where left."""

    ACTIONS: ClassVar = ASK_BASELINE

    def __init__(self, run: str, table: RunTable) -> None:
        super().__init__()
        self._run, self._table = run, table
        self._labels = table.table.day.readings.labels
        self._marked: int | None = None
        self._rows = [row for row, label in enumerate(self._labels) if label != run]

    def compose(self) -> ComposeResult:
        """Lay out the question."""
        with Vertical(classes="sheet"):
            yield Static(
                f"Compare run {self._run} with which run? Enter chooses, Esc leaves it as it is.",
                classes="heading",
                markup=False,
            )
            yield Static(_TWO, id="two", markup=False)
            yield LineTable(id="baselines")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Fill the list."""
        kept = [c for c in self._table.columns if c.key in ("run", "configuration") or c.term == "setting"]
        widget = self.query_one(LineTable)
        widget.set_columns(kept)
        self._cells = cells_apart(self._table, self._rows, widget)
        widget.set_source(len(self._rows) + 1, self._cell)
        self.set_focus(widget)

    def _cell(self, index: int, key: str) -> Cell:
        if index:
            row = self._rows[index - 1]
            cell = self._cells(index - 1, key)
            return Cell(f"{cell[0]} first", "warn") if key == "run" and row == self._marked else cell
        words = _AS_STATED if self.app.open_day.day is None else _NONE_STATED
        return Cell(words) if key == "configuration" else Cell("·", "muted")

    def on_line_table_row_chosen(self, message: LineTable.RowChosen) -> None:
        """Give the run under the cursor."""
        if message.index == 0:
            self.dismiss((None,))
            return
        labels, row = self._labels, self._rows[message.index - 1]
        if self._marked is None or self._marked == row:
            self.dismiss((labels[row],))
            return
        first, last = sorted((self._marked, row))
        own = labels.index(self._run) if self._run in labels else None
        if own is not None and not first < own < last:
            self.notify(
                f"runs {labels[first]} and {labels[last]} are both on one side of run {self._run}: choose one before it and "
                "one after, or one alone",
                severity="warning",
                markup=False,
            )
            return
        self.dismiss((f"{labels[first]}{AND}{labels[last]}",))

    def action_mark(self) -> None:
        """Mark the first of two, or take the mark off again."""
        index = self.query_one(LineTable).cursor
        row = self._rows[index - 1] if index else None
        self._marked = None if row == self._marked else row
        widget = self.query_one(LineTable)
        widget.set_source(len(self._rows) + 1, self._cell)
        self.query_one("#two", Static).update(
            _TWO
            if self._marked is None
            else f"Run {self._labels[self._marked]} is the first of two: Enter chooses the second."
        )
