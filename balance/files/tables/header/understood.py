"""A table whose header is understood: its rows, its columns by name, and what is stated around them."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from balance.files.tables.header.head import Head, HeadColumn, likely_head, words_only
from balance.files.tables.header.meanings import meaning_of
from balance.files.tables.importing.facts import Facts, facts_before, sign_words
from balance.files.tables.importing.plan import Findings, ImportOptions
from balance.files.tables.reading.cell_units import part_units
from balance.files.tables.reading.grid import Grid, Row, cell_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True, kw_only=True)
class ForeignTable:
    """A table of somebody else's.

    Plain figures stand in ``grid`` where a unit stood behind them, each column has a name of its own in ``names``; ``own``
    says that it is an export of ours, whose rows are runs one and all.
    """

    grid: Grid
    head: Head
    names: tuple[str, ...]
    facts: Facts = field(default_factory=Facts)
    own: bool = False

    @property
    def rows(self) -> tuple[Row, ...]:
        """The rows below the header."""
        return self.grid.rows[self.head.after :]

    def column(self, name: str) -> HeadColumn:
        """Find a column by its name; one that is not there is understood by its name alone."""
        if name in self.names:
            return replace(self.head.columns[self.names.index(name)], header=name)
        meaning, bare, unit = meaning_of(name)
        return HeadColumn(index=len(self.names), header=name, name=bare, unit=unit, meaning=meaning)


def understand(grid: Grid, options: ImportOptions | None = None, *, own: bool = False) -> ForeignTable | None:
    """Find the header of a table that is still being written, and what is stated around it."""
    head = likely_head(grid, options or ImportOptions())
    if head is None:
        return None
    names, facts = head.names, facts_around(grid, head)
    grid, head = part_units(grid, head, Findings())
    return ForeignTable(grid=grid, head=head, names=names, facts=facts, own=own)


def facts_around(grid: Grid, head: Head) -> Facts:
    """Read what stands above a header, and which way lift counts by any words above, in or below it."""
    facts = facts_before(grid.rows[: head.first])
    below = (" ".join(map(cell_text, row.cells)) for row in grid.rows[head.after :] if words_only(row))
    for text in (*below, *grid.elsewhere, *(column.header for column in head.columns)):
        up, down = sign_words(text)
        facts.up, facts.down = facts.up or up, facts.down or down
    return facts


def table_of(names: Sequence[str], *, above: Sequence[str] = (), rows: Sequence[Row] = ()) -> ForeignTable:
    """Return a table by its header alone, or with some rows."""
    columns = []
    for index, name in enumerate(names):
        meaning, bare, unit = meaning_of(name)
        columns.append(HeadColumn(index=index, header=name, name=bare, unit=unit, meaning=meaning))
    lines = [Row(line=line, cells=(text,)) for line, text in enumerate(above, start=1)]
    header = Row(line=len(lines) + 1, cells=tuple(names))
    grid = Grid(rows=(*lines, header, *rows))
    head = Head(columns=tuple(columns), first=len(lines), rows=1, units_row=False)
    return ForeignTable(grid=grid, head=head, names=tuple(names), facts=facts_around(grid, head))
