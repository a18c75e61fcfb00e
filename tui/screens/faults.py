"""The screen of faults: what is wrong with the files, and what is still shown behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Footer, Static

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from balance.errors import Fault


class Faults(ModalScreen[bool]):
    """Lists every fault; the result says whether to read the files again."""

    BINDINGS: ClassVar = [
        Binding("r", "read_again", "read the files again", tooltip="after mending them"),
        Binding("escape", "close", "back"),
    ]

    def __init__(self, path: str, faults: tuple[Fault, ...], *, last_good: bool) -> None:
        super().__init__()
        self._path, self._faults, self._last_good = path, faults, last_good

    def compose(self) -> ComposeResult:
        """Lay out the faults."""
        count = len(self._faults)
        behind = (
            "The figures behind this are those of the last good state."
            if self._last_good
            else "Nothing is shown yet."
        )
        with VerticalScroll(classes="sheet"):
            yield Static(
                f"{count} fault{'s' if count != 1 else ''} in {self._path}", classes="heading", markup=False
            )
            yield Static(f"{behind} Mend the files; they are read again when they change.", markup=False)
            for fault in self._faults:
                place = fault.file if fault.line is None else f"{fault.file}, line {fault.line}"
                column = f", {fault.column}" if fault.column else ""
                yield Static(f"✖ {place}{column}", classes="fault", markup=False)
                mend = f"\n  {fault.mend}" if fault.mend else ""
                yield Static(f"  found {fault.found}\n  expected {fault.expected}{mend}", markup=False)
        yield Footer()

    def action_read_again(self) -> None:
        """Read the files again."""
        self.dismiss(True)

    def action_close(self) -> None:
        """Go back to the last good state."""
        self.dismiss(False)
