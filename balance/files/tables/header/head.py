"""Where the header of a table stands, which row holds its units, and what says either again among the data."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from balance.files.tables.header.meanings import Meaning, meaning_of, recognised, words_of
from balance.files.tables.header.unit_words import counts, spelled, unit_like
from balance.files.tables.reading.grid import told_apart
from balance.files.tables.reading.numerals import tidy
from balance.model.columns import READINGS
from balance.model.errors import one_line
from balance.units.text import known_unit

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping, Sequence

    from balance.files.tables.importing.plan import ImportOptions
    from balance.files.tables.reading.grid import Cell, Grid, Row

SEARCHED = 200
"""Rows in which a header is looked for."""
FEWEST = 3
"""Cells that a header has at least, for there are three readings."""


class HeaderTongue(NamedTuple):
    """What headers of one kind of table mean, with the unit split off, and what could be a unit there."""

    meaning: Callable[[str], tuple[Meaning, str, str]]
    unit_like: Callable[[str], bool]


OF_RUNS = HeaderTongue(meaning_of, unit_like)
"""A table of runs, as of a wind tunnel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadColumn:
    """One column by its header: what the file calls it, what that means, its unit as written."""

    index: int
    header: str
    name: str
    unit: str
    meaning: Meaning


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The header of a table: its columns, and which rows it takes up (positions in the grid)."""

    columns: tuple[HeadColumn, ...]
    first: int
    rows: int
    units_row: bool

    @property
    def after(self) -> int:
        """Position of the first row below."""
        return self.first + self.rows

    @property
    def names(self) -> tuple[str, ...]:
        """What each column is called: a unit of a row of their own behind it, its place where it has no name of its own."""
        return told_apart((self._name(column) or placed(column.index) for column in self.columns), "{} #{}")

    def told(self, grid: Grid) -> str:
        """State where in a file it stands."""
        first, *more = (row.line for row in grid.rows[self.first : self.after])
        over = f" to {more[-1]}" if more else ""
        return f"header on line {first}{over}{', units in a row of their own' * self.units_row}"

    def _name(self, column: HeadColumn) -> str:
        name, unit = clean(column.header), column.unit
        if not self.units_row or not name or meaning_of(name)[2] or column.meaning.quantity == "text":
            return name
        return f"{name} [{unit}]" if known_unit(spelled(unit)) or counts(unit) else name


def placed(index: int) -> str:
    """Name a column by its place in the file, as a person may do where its header does not tell.

    Examples
    --------
    >>> placed(0)
    'column 1'
    """
    return f"column {index + 1}"


def clean(text: str) -> str:
    """Bring a text to one line, without characters that a terminal would obey."""
    return one_line(" ".join(text.split()))


def find_head(grid: Grid, options: ImportOptions, tongue: HeaderTongue = OF_RUNS) -> Head | None:
    """Find the header of a table, where somebody has said that it is, or where it can be understood."""
    best: tuple[tuple[int, int], Head] | None = None
    line, lines = options.header_line, options.lines
    wanted = {" ".join(name.split()) for name in options.columns.values()}
    first = next((i for i, row in enumerate(grid.rows) if lines is None or row.line >= lines[0]), 0)
    searched = range(first, min(len(grid.rows), first + SEARCHED))
    for position in searched if line is None else range(len(grid.rows)):
        here = grid.rows[position].line
        if (line is not None and here != line) or (lines is not None and here > lines[1]):
            continue
        head = head_at(grid.rows, position, wanted, tongue)
        worth = _worth(head.columns, wanted)
        if line is not None:
            return head
        if worth < FEWEST or not words_only(grid.rows[position]):
            continue
        rank = (worth, -head.rows + head.units_row)  # the understanding of fewer lines, where equal
        if best is None or rank > best[0]:
            best = (rank, head)
    if best is None and lines is not None:
        return find_head(grid, replace(options, lines=None), tongue)
    return best[1] if best else None


def likely_head(grid: Grid, options: ImportOptions, tongue: HeaderTongue = OF_RUNS) -> Head | None:
    """Find the header of a table even where little of it is understood, for its columns can be said by hand."""
    head = find_head(grid, options, tongue)
    if head is not None or options.header_line is not None:
        return head
    rows = grid.rows[:SEARCHED]
    own = (i for i, row in enumerate(rows) if any(t.split("[")[0].strip() in READINGS for t in texts_of(row)))
    wide = (i for i, row in enumerate(rows) if len(row.cells) >= FEWEST)
    place = next(own, next(wide, None))
    return None if place is None else head_at(grid.rows, place, tongue=tongue)


def head_at(
    rows: Sequence[Row], position: int, wanted: Collection[str] = (), tongue: HeaderTongue = OF_RUNS
) -> Head:
    """Read the header that begins at a row, over one line or two, with the units below it if they are there."""
    one = _columns(texts_of(rows[position]), wanted, tongue)
    height = 1
    below = rows[position + 1] if position + 1 < len(rows) else None
    if below is not None and words_only(below) and not units_there(below, tongue):
        joined = _joined(texts_of(rows[position]), texts_of(below), wanted, tongue)
        two = _columns(joined, wanted, tongue)
        if _worth(two, wanted) > _worth(one, wanted):
            one, height = two, 2
    under = rows[position + height] if position + height < len(rows) else None
    units_row = under is not None and units_there(under, tongue)
    if units_row and under is not None:
        one = tuple(replace(c, unit=c.unit or under.text(c.index).strip("[](){} ")) for c in one)
    return Head(columns=one, first=position, rows=height + units_row, units_row=units_row)


def texts_of(row: Row) -> list[str]:
    """Return the cells of a row as clean text."""
    return [row.text(index) for index in range(len(row.cells))]


def _columns(texts: Sequence[str], wanted: Collection[str], tongue: HeaderTongue) -> tuple[HeadColumn, ...]:
    columns = []
    for index, text in enumerate(texts):
        meaning, name, unit = tongue.meaning(text)
        if text in wanted and not meaning.quantity:
            name, unit = (name, unit) if tongue.unit_like(unit) else (text, "")
        columns.append(HeadColumn(index=index, header=text, name=name, unit=unit, meaning=meaning))
    return tuple(columns)


def _joined(
    upper: Sequence[str], lower: Sequence[str], wanted: Collection[str], tongue: HeaderTongue
) -> list[str]:
    """Join two lines of a header; a group's name above holds for the blank cells to its right."""
    joined = []
    group = ""
    for index in range(max(len(upper), len(lower))):
        over = upper[index] if index < len(upper) else ""
        under = lower[index] if index < len(lower) else ""
        group = over or group
        tries = [f"{over} {under}".strip(), f"{group} {under}".strip(), under or over]
        if not under:
            tries = [over]
        understood = [text for text in tries if tongue.meaning(text)[0].quantity or text in wanted]
        joined.append(understood[0] if understood else tries[0])
    return joined


def words_only(row: Row) -> bool:
    """Return whether no cell of a row is a number."""
    return not any(map(figure, row.cells))


def figure(cell: Cell) -> bool:
    """Return whether a cell begins as a number does."""
    if isinstance(cell, float) or cell[:1].isdigit():
        return True
    if not cell or cell[:1].isalpha():
        return False
    plain = tidy(cell).lstrip("+-")
    return plain[:1].isdigit() or (plain[:1] in (".", ",") and plain[1:2].isdigit())


def units_there(row: Row, tongue: HeaderTongue = OF_RUNS) -> bool:
    """Return whether a row holds units and nothing else."""
    there = [text for text in texts_of(row) if text]
    fitting = sum(map(tongue.unit_like, there))
    return fitting >= 2 and fitting == len(there) and any(text.strip("[](){} -") for text in there)


def _worth(columns: Sequence[HeadColumn], wanted: Collection[str]) -> int:
    said = {
        (c.meaning.quantity, c.meaning.name, c.meaning.coefficient) for c in columns if c.meaning.quantity
    }
    return len(said) + sum(1 for c in columns if c.header in wanted and not c.meaning.quantity)


def again(rows: Sequence[Row], head: Head) -> Head | None:
    """Read a header among the data, which says what the first one says or what a header would."""
    if not words_only(rows[0]):
        return None
    names = {c.index: words_of(c.name) for c in head.columns if c.name}
    one = head_at(rows, 0)
    there = [c for c in one.columns if c.header]
    same = sum(1 for c in there if names.get(c.index) == words_of(c.name))
    if same >= max(FEWEST, len(there) / 2) or recognised(texts_of(rows[0])) >= FEWEST:
        return one
    return None


def said_again(rows: Sequence[Row], head: Head) -> tuple[int, dict[int, str]]:
    """Read a header or units among the data."""
    later = again(rows, head)
    if later is not None:
        return later.rows, {c.index: c.unit for c in later.columns if c.unit}
    if units_only(rows[0]):
        row = rows[0]
        return 1, {i: row.text(i).strip("[](){} ") for i in range(len(row.cells)) if row.text(i)}
    return 0, {}


def other_units(units: Mapping[int, str], head: Head) -> dict[int, str]:
    """Keep the units that are not those of the first header."""
    first = {c.index: c.unit for c in head.columns}
    return {index: unit for index, unit in units.items() if unit != first.get(index, "")}


def moved(head: Head, first: Head) -> bool:
    """Return whether a later header puts something else into a column than the first one does."""
    ours = {c.index: c for c in first.columns if c.header}
    for column in head.columns:
        known = ours.get(column.index)
        if not column.header or (known and words_of(known.name) == words_of(column.name)):
            continue
        if known is None or not column.meaning.quantity or known.meaning != column.meaning:
            return True
    return False


def header_above(grid: Grid, head: Head) -> Row | None:
    """Return the header of another table above the one found, which has rows of figures of its own."""
    for position in range(max(0, head.first - SEARCHED), head.first):
        rows = grid.rows[position + 1 : head.first]
        if (
            words_only(grid.rows[position])
            and recognised(texts_of(grid.rows[position])) >= FEWEST
            and any(sum(map(figure, row.cells)) >= FEWEST for row in rows)
        ):
            return grid.rows[position]
    return None


def lower_header(row: Row, under: Row, head: Head) -> bool:
    """Return whether a row of words right below a header may be a part of it that was not understood.

    It has words where the header has none and where the next row has figures.
    """
    blank = [i for i in range(len(row.cells)) if not any(c.index == i and c.header for c in head.columns)]
    return words_only(row) and any(
        row.text(i) and i < len(under.cells) and under.cells[i] != "" and figure(under.cells[i])
        for i in blank
    )


def units_only(row: Row) -> bool:
    """Return whether a row among the data holds units and nothing else."""
    return words_only(row) and units_there(row)
