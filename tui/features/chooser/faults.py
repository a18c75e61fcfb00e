"""The screen of faults: what is wrong with the files, and what is still shown behind it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from tui.host.actions import CLOSE, Action
from tui.host.page import Page
from tui.widgets.key_footer import KeyFooter
from tui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.model.errors import Fault

FAULTS = (
    Action("read_again", "r", "read again", "read the files once more, after mending them"),
    *CLOSE,
)


class Faults(Page[bool]):
    """Lists every fault; the result says whether to read the files again."""

    ACTIONS: ClassVar = FAULTS

    def __init__(self, path: str, faults: tuple[Fault, ...], *, last_good: bool) -> None:
        super().__init__()
        self._path, self._faults, self._last_good = path, faults, last_good

    def compose(self) -> ComposeResult:
        """Lay out an empty sheet."""
        yield Sheet(classes="sheet")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Fill the sheet."""
        sheet = self.query_one(Sheet)
        self.set_focus(sheet)
        count = len(self._faults)
        behind = (
            "The figures behind this are those of the last good state."
            if self._last_good
            else "This day has not been shown yet."
        )
        lines = [
            (f"{count} fault{'s' if count != 1 else ''} in {_short(self._path)}", "heading"),
            (f"{behind} Mend the files; they are read again when they change.", ""),
        ]
        for fault in self._faults:
            place = fault.file if fault.line is None else f"{fault.file}, line {fault.line}"
            column = f", {fault.column}" if fault.column else ""
            lines.append((f"× {place}{column}", "fault"))
            mend = f"\n  {fault.mend}" if fault.mend else ""
            lines.append((f"  found {fault.found}\n  expected {fault.expected}{mend}", ""))
        sheet.show(lines)

    def action_read_again(self) -> None:
        """Read the files again."""
        self.dismiss(True)

    def action_close(self) -> None:
        """Go back to the last good state."""
        self.dismiss(False)


def _short(path: str) -> str:
    """Name a session by its folder and the car's."""
    return "/".join(Path(path).parts[-2:])
