"""A file as rows of cells, whatever it was: the one shape that everything after it works on."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from balance.files.text_file import clean_text

Cell = str | float
"""A text; or a number, where the file itself says that it is one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row that is not blank, with the physical line (or the sheet's row) on which it begins."""

    line: int
    cells: tuple[Cell, ...]

    def text(self, index: int) -> str:
        """Give a cell as clean text, empty where the row is too short."""
        return cell_text(self.cells[index]) if index < len(self.cells) else ""

    @property
    def start(self) -> str:
        """The row as a person would quote it."""
        return " · ".join(text for text in map(cell_text, self.cells) if text)[:60]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """All rows of a file, how they were told apart, and sentences about it."""

    rows: tuple[Row, ...]
    separator: str = ""
    notes: tuple[str, ...] = field(default=())
    sheets: tuple[str, ...] = ()


def cell_text(cell: Cell) -> str:
    r"""Give a cell as one line of printable text.

    Parameters
    ----------
    cell : str or float
        As the file has it.

    Returns
    -------
    str
        Spaces brought together; a character that a terminal would obey becomes ``\N{REPLACEMENT CHARACTER}``.

    Examples
    --------
    >>> cell_text(12.0), cell_text(" two\n lines "), cell_text("\x1b[2J")
    ('12', 'two lines', '\ufffd[2J')
    """
    if isinstance(cell, float):
        return (
            str(int(cell)) if math.isfinite(cell) and cell == int(cell) and abs(cell) < 1e15 else repr(cell)
        )
    clean = clean_text(cell)
    if clean is not None:
        return clean
    safe = "".join(
        c if c.isprintable() or (c.isspace() and c in " \t\r\n") else "\N{REPLACEMENT CHARACTER}"
        for c in cell
    )
    return " ".join(safe.split())
