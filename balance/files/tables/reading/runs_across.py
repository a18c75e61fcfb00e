"""Tables that have no line for each run: runs side by side, or a line for each reading. They are refused in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.header.meanings import meaning_of
from balance.model.errors import Fault, FileFaults

if TYPE_CHECKING:
    from collections.abc import Collection

    from balance.files.tables.header.head import Head
    from balance.files.tables.reading.grid import Grid

_SEARCHED = 200
_LONGEST = 60


def refuse_turned(grid: Grid, head: Head | None, *, named: Collection[str], shown_as: str) -> None:
    """Refuse a table whose readings are named down a column instead of along its header."""
    if named or (head is not None and any(c.meaning.quantity == "drag" for c in head.columns)):
        return
    rows = grid.rows[:_SEARCHED]
    for index in range(max((len(row.cells) for row in rows), default=0)):
        readings = [(row.line, quantity) for row in rows if (quantity := _quantity(row.text(index)))]
        lines = [line for line, quantity in readings if quantity == "drag"]
        lifts = {quantity for _, quantity in readings} & {"front", "rear", "total"}
        if not lines or not lifts:
            continue
        again = len(lines) > 1 or head is not None or index > 0
        raise FileFaults(
            [
                Fault(
                    file=shown_as,
                    line=readings[0][0],
                    column=f"column {index + 1}",
                    found="a line for each reading" if again else "a column for each run",
                    expected="a line for each run, with a column for each reading",
                    mend="a spreadsheet's pivot table brings it to that"
                    if again
                    else "a spreadsheet can paste it transposed",
                )
            ]
        )


def _quantity(text: str) -> str:
    return meaning_of(text)[0].quantity if 0 < len(text) <= _LONGEST else ""
