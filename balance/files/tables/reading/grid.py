"""A file as rows of cells, whatever it was: the one shape that everything after it works on."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from balance.files.text_file import clean_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from typing import Self

Cell = str | float
"""A text; or a number, where the file itself says that it is one."""


UNSTORED = "a formula without a stored value"
"""What stands for a formula of a sheet that nobody has calculated."""


class Dressed(float):
    """A number that its format shows with words around it, as ``R12`` or ``1.15 kN``."""

    __slots__ = ("shown", "unit")
    shown: str
    unit: str

    def __new__(cls, value: float, shown: str, unit: str) -> Self:
        """Keep what is shown, and the words behind the number."""
        made = super().__new__(cls, value)
        made.shown, made.unit = shown, unit
        return made


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row that is not blank, with the physical line (or the sheet's row) on which it begins."""

    line: int
    cells: tuple[Cell, ...]
    filled: frozenset[int] = frozenset()
    """Columns whose cell is merged with one above, which holds what it says."""
    struck: bool = False
    """Whether any of its cells is struck out."""
    units: Mapping[int, str] = field(default_factory=dict)
    """Units that stood in cells of it, by column, where they are not the column's own."""

    def cell(self, index: int) -> Cell:
        """Return a cell, empty where the row is too short."""
        return self.cells[index] if index < len(self.cells) else ""

    def text(self, index: int) -> str:
        """Return a cell as clean text."""
        return cell_text(self.cell(index))

    @property
    def start(self) -> str:
        """The row as a person would quote it."""
        return " · ".join(text for text in map(cell_text, self.cells) if text)[:60]


@dataclass(slots=True, kw_only=True)
class RunRow:
    """A row that becomes a run: its figures by column as plain text, its texts, and its own units if they changed."""

    row: Row
    label: str
    configuration: str
    status: str
    figures: dict[int, str]
    units: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """All rows of a file, how they were told apart, and sentences about it."""

    rows: tuple[Row, ...]
    separator: str = ""
    notes: tuple[str, ...] = field(default=())
    sheets: tuple[str, ...] = ()
    elsewhere: tuple[str, ...] = ()
    """Lines of words from the other sheets of a workbook."""


def cell_text(cell: Cell) -> str:
    r"""Return a cell as one line of printable text.

    Examples
    --------
    >>> cell_text(12.0), cell_text(" two\n lines "), cell_text("\x1b[2J")
    ('12', 'two lines', '\ufffd[2J')
    """
    if isinstance(cell, Dressed):
        return cell_text(cell.shown)
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


def told_apart(names: Iterable[str], again: str) -> tuple[str, ...]:
    """Tell equal names apart by numbers, from the second on.

    Examples
    --------
    >>> told_apart(["drag", "run", "drag"], "{} #{}")
    ('drag', 'run', 'drag #2')
    """
    times: dict[str, int] = {}
    told = []
    for name in names:
        times[name] = times.get(name, 0) + 1
        told.append(again.format(name, times[name]) if times[name] > 1 else name)
    return tuple(told)


def spans(numbers: Sequence[int]) -> str:
    """Write numbers with neighbours drawn together.

    Examples
    --------
    >>> spans([3, 5, 6, 7, 9])
    '3, 5 to 7, 9'
    """
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][-1] + 1:
            parts[-1][1:] = [number]
        else:
            parts.append([number])
    return ", ".join(" to ".join(map(str, part)) for part in parts)


_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_MARKED = re.compile(r"''*[=+\-@\t\r]")


def marked(text: str) -> str:
    """Put an apostrophe before a text that a spreadsheet would take for a formula.

    Examples
    --------
    >>> marked("=1+1"), marked("'=1"), marked("wing")
    ("'=1+1", "''=1", 'wing')
    """
    return f"'{text}" if _FORMULA.match(text) else text


def unmarked(cell: str | float) -> str | float:
    """Take that apostrophe off again.

    Examples
    --------
    >>> unmarked("'=1+1"), unmarked("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if isinstance(cell, str) and _MARKED.match(cell) else cell
