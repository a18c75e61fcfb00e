"""A session as one CSV file that can be sent, opened in a spreadsheet, and imported again without a loss."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.session_path import RUNS_FILE, SESSION_FILE
from balance.files.tables.reading.grid import marked
from balance.files.tables.reading.own_export import MARK
from balance.files.text_file import read_text
from balance.model.kinds import NUMBER, clean_number

if TYPE_CHECKING:
    from balance.model.records import Session

_LIMIT = 20_000_000


def session_csv(session: Session) -> str:
    """Write a session as CSV: its facts behind number signs, then its runs as they were typed.

    A text that a spreadsheet would take for a formula gets an apostrophe before it; importing takes it off.
    """
    folder = Path(session.folder)
    facts = read_text(folder / SESSION_FILE, shown_as=SESSION_FILE, limit=_LIMIT, what="a session.toml")
    runs = read_text(folder / RUNS_FILE, shown_as=RUNS_FILE, limit=_LIMIT, what="a table of runs")
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([MARK])
    writer.writerows([f"# {line}".rstrip()] for line in facts.splitlines())
    for number, cells in enumerate(csv.reader(io.StringIO(runs, newline=""))):
        if any(cell.strip() for cell in cells):
            writer.writerow([_safe(cell, head=number == 0) for cell in cells])
    return out.getvalue()


def _safe(cell: str, *, head: bool) -> str:
    """Mark a text; a number with its sign stays a number."""
    return cell if head or NUMBER.fullmatch(clean_number(cell)) else marked(cell)
