"""Small tables in lines of label and text, for a sheet of sections."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def table_lines(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> list[tuple[str, str]]:
    """Set a small table in lines of label and text, figures one under the other."""
    table = [head, *rows]
    widths = [max(len(row[k]) for row in table) for k in range(1, len(head))]
    return [
        (row[0], "  ".join(cell.rjust(width) for cell, width in zip(row[1:], widths, strict=True)).rstrip())
        for row in table
    ]
