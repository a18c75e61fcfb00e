"""What can be different in a what-if, a line each; the cursor stays on the same thing when figures change."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.table import Cell, Column
from tui.widgets.line_table import LineTable

if TYPE_CHECKING:
    from balance.tell.what_if.inputs import WhatIfInput

_COLUMNS = (
    Column(key="name", title="what if", width=16),
    Column(key="value", title="now", width=11, flexible=True),
    Column(key="start", title="start", width=10, priority=3),
)


class DialList(LineTable):
    """Dials with what they stand at and what they started from."""

    def __init__(self) -> None:
        super().__init__(_COLUMNS, id="dials", empty="making the day ready …")
        self.dials: tuple[WhatIfInput, ...] = ()

    def show(self, dials: tuple[WhatIfInput, ...]) -> None:
        """List other dials, or the same ones with other figures."""
        here = None if self.dial is None else self.dial.key
        at = next((k for k, dial in enumerate(dials) if dial.key == here), min(self.cursor, len(dials) - 1))
        self.dials = dials
        self.set_source(len(dials), self._words, cursor=at)

    @property
    def dial(self) -> WhatIfInput | None:
        """What the cursor stands on; nothing before there is anything."""
        return self.dials[min(self.cursor, len(self.dials) - 1)] if self.dials else None

    def _words(self, row: int, key: str) -> Cell:
        dial = self.dials[row]
        role = "strong" if dial.changed else ""
        if key == "name":
            return Cell(f"{'◆' if dial.changed else ' '} {dial.name}", role)
        return Cell(dial.value, role) if key == "value" else Cell(dial.start, "muted")
