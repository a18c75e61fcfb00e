"""Two versions of the day side by side: what is here, and what somebody else has put on the disk."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.widgets import Static

from balance.tell.table import Cell, Column
from tui.features.car_and_day.side_by_side import differences
from tui.host.actions import Action, closing
from tui.host.page import Page
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.model.errors import OutsideChange

_COLUMNS = (
    Column(key="run", title="run", width=6),
    Column(key="column", title="column", width=22),
    Column(key="here", title="here", width=16, flexible=True, group="versions"),
    Column(key="there", title="on the disk", width=20, group="versions"),
)

CONFLICT = (
    Action("reload", "f2", "take theirs", "go on with what is on the disk; undo leads back to what was here"),
    Action(
        "keep_both",
        "f3",
        "keep both",
        "put what is here into a file of its own, and go on with what is on the disk",
    ),
    closing("later", "decide later; nothing is saved until then"),
)


class Conflict(Page[None]):
    """Lists every cell that differs, and lets one version be chosen or both be kept."""

    ACTIONS: ClassVar = CONFLICT

    def __init__(self, change: OutsideChange) -> None:
        super().__init__()
        self._change = change
        self._found = differences(change.mine, change.theirs)

    def compose(self) -> ComposeResult:
        """Lay out what happened and the table."""
        yield Static("", id="head", markup=False)
        yield LineTable(_COLUMNS, id="versions", empty="they differ in the order or form of their rows alone")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Fill the table."""
        table = self.query_one(LineTable)
        table.set_source(len(self._found), self._cell)
        self.set_focus(table)

    def on_resize(self) -> None:
        """Fold the head."""
        text = (
            f"× {self._change.file} was changed outside axletrim while it was worked on here · nothing was overwritten"
            " · take theirs, or keep both: what is here then goes into a file of its own"
        )
        self.write_lines("#head", self.folded(text))

    def _cell(self, row: int, key: str) -> Cell:
        text = getattr(self._found[row], key)
        return Cell(text) if text else Cell("·", "muted")

    def action_reload(self) -> None:
        """Go on with what is on the disk."""
        self.dismiss(None)
        self.app.open_day.reload()

    def action_keep_both(self) -> None:
        """Put what is here into a file of its own, and go on with what is on the disk."""
        self.dismiss(None)
        self.app.open_day.keep_both()
