"""A grid of cells to draw text on, each cell with a role in place of a colour."""

from __future__ import annotations

from itertools import groupby

from tui.widgets.plain import cells

Piece = tuple[str, str]
"""Text and its role, the name of a component style; the role "" is ordinary text."""
Line = list[Piece]
Lines = list[Line]


class Canvas:
    """Cells that start blank and are drawn over; what falls outside is left out."""

    def __init__(self, width: int, height: int) -> None:
        self.width = max(0, width)
        self.height = max(0, height)
        self._rows: Lines = [[(" ", "")] * self.width for _ in range(self.height)]

    def put(self, x: int, y: int, text: str, role: str = "") -> None:
        """Write a text from a cell to the right."""
        if not 0 <= y < self.height:
            return
        row = self._rows[y]
        for character in text:
            wide = cells(character)
            if wide == 0:
                if 0 < x <= self.width:
                    row[x - 1] = (row[x - 1][0] + character, row[x - 1][1])
                continue
            if x >= 0 and x + wide <= self.width:
                self._clear(row, x, wide)
                row[x : x + wide] = [(character, role), *[("", role)] * (wide - 1)]
            x += wide

    def _clear(self, row: Line, x: int, wide: int) -> None:
        """Blank the other half of wide characters that are about to be cut in two."""
        if x and row[x][0] == "":
            row[x - 1] = (" ", row[x - 1][1])
        end = x + wide
        if end < self.width and row[end][0] == "":
            row[end] = (" ", row[end][1])

    def is_free(self, x: int, y: int, length: int, over: str = " ") -> bool:
        """Return whether nothing but background lies in a run of cells."""
        if not (0 <= y < self.height and x >= 0 and x + length <= self.width):
            return False
        return all(text in over and text for text, _ in self._rows[y][x : x + length])

    def lines(self) -> Lines:
        """Return the rows as runs of equal role."""
        return [
            [("".join(text for text, _ in run), role) for role, run in groupby(row, key=lambda cell: cell[1])]
            for row in self._rows
        ]


def to_text(lines: Lines) -> str:
    r"""Join drawn lines to plain text, without spaces at the ends of lines.

    Examples
    --------
    >>> to_text([[("front ", "muted"), ("5.9 %", "")], [("   ", "")]])
    'front 5.9 %\n'
    """
    return "\n".join("".join(text for text, _ in line).rstrip() for line in lines)
