"""A file of somebody else's, text or workbook, into rows of cells."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from balance.files.tables.reading.decoding import decode
from balance.files.tables.reading.sheet_grid import sheet_grid
from balance.files.tables.reading.text_grid import text_grid
from balance.files.text_file import MOST_LINES, read_bytes, refuse_beyond

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from balance.files.tables.importing.plan import Findings
    from balance.files.tables.reading.grid import Grid

ZIP = b"PK\x03\x04"
"""How an XLSX file begins."""


class TableKind(NamedTuple):
    """What a file is to be and to hold, how large it may be, and what makes it smaller."""

    called: str
    holds: str
    what: str
    limit: int
    most_lines: int
    make_smaller: str


RUNS = TableKind(
    "table",
    "runs",
    "a table as CSV, text or XLSX",
    50_000_000,
    MOST_LINES,
    "save the runs alone, or in parts",
)
LOG = TableKind(
    "log", "log", "a driver's log as CSV, text or XLSX", 200_000_000, 500_000,
    "save some laps alone, or fewer samples a second",
)  # fmt: skip


def read_table(path: Path, kind: TableKind) -> bytes:
    """Read the bytes of a file that is to hold a table."""
    return read_bytes(
        path,
        shown_as=str(path),
        limit=kind.limit,
        what=kind.what,
        make_plain=f"save the {kind.called} as a file first",
        make_smaller=kind.make_smaller,
    )


def grid_of(
    raw: bytes, name: str, kind: TableKind, findings: Findings, tick: Callable[[float], None] | None = None
) -> tuple[str, Grid]:
    """Part a file into rows of cells, and give its text, which a workbook has not; or ask for the sheet."""
    options = findings.options
    if raw.startswith(ZIP):
        grid = sheet_grid(raw, shown_as=name, sheet=options.sheet, tick=tick)
        if grid.sheets:
            text = f"which sheet holds the {kind.holds}: {', '.join(grid.sheets)}?"
            findings.ask("sheet", text, "--sheet NAME", "sheet", grid.sheets)
        return "", grid
    refuse_beyond(raw, shown_as=name, most=kind.most_lines, make_smaller=kind.make_smaller)
    text, how = decode(raw, shown_as=name, encoding=options.encoding)
    findings.understood.append(f"text in {how}")
    return text, text_grid(text, shown_as=name, separator=options.separator, tick=tick)
