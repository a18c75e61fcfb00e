"""The printer: lines folded to a width, sentences, sections and tables as plain text for stdout and the clipboard."""

from __future__ import annotations

import textwrap
from functools import partial
from typing import TYPE_CHECKING

from balance.tell.words import CAUTION_SHORT, CAUTIONS
from tui.widgets.canvas import to_text
from tui.widgets.columns import header_lines, lay_out, row_line
from tui.widgets.table_lines import table_lines

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from balance.tell.runs.detail import Section
    from balance.tell.table import Cell, Cells, Column, Table

MOST_NOTES = 8
"""Notes under a printed table, unless all are asked for."""
_DANGER = "warning:"
"""What every note of a danger has in it."""


def folded(text: str, width: int) -> list[str]:
    """Fold a line to a width."""
    return textwrap.wrap(text, width, subsequent_indent="  ")


def printed(table: Table, width: int) -> list[str]:
    """Write a small table."""
    return [text for text, _ in table_lines(table, width - 2)]


def listed(title: str, sentences: Iterable[str], width: int) -> list[str]:
    """Write sentences one under the other below their title, folded to a width."""
    lines = folded(title, width)
    for sentence in sentences:
        lines += textwrap.wrap(sentence, width, initial_indent="- ", subsequent_indent="  ") or ["-"]
    return lines


def foot(
    deciding: Sequence[str],
    others: Sequence[str],
    width: int,
    *,
    full: bool,
    said: Sequence[str] = CAUTIONS,
    first: Sequence[str] = (),
) -> list[str]:
    """Write what stands under a table: the notes that change a decision and a line of caution, or all of both.

    Those of readings in doubt come first and always stand, then dangers; how many of them had no room is said with
    how many notes had none.
    """
    ordered = [*first, *sorted(deciding, key=lambda note: _DANGER not in note), *others]
    most = len(ordered) if full else max(len(first), min(MOST_NOTES, len(first) + len(deciding)))
    notes, left = ordered[:most], ordered[most:]
    lines = notes_below(notes, width)
    if left:
        dangers = sum(_DANGER in note for note in left)
        warned = f", {dangers} of them warning{'s' * (dangers != 1)}" if dangers else ""
        more = f"{len(left)} more note{'s' * (len(left) != 1)}{warned}: --full"
        lines += [*([] if notes else [""]), *folded(more, width)]
    return [*lines, "", *cautions(width, full=full, said=said)]


def cautions(width: int, *, full: bool, said: Sequence[str] = CAUTIONS) -> list[str]:
    """Write the cautions: all of them, or one line that names where they are."""
    return listed("Cautions", said, width) if full else folded(f"{CAUTION_SHORT} (axletrim cautions)", width)


def labelled(sections: Iterable[Section], width: int) -> list[str]:
    """Write sections of labelled figures, the labels of each in a column of their own."""
    lines: list[str] = []
    for section in sections:
        lines += [*folded(section.heading, width)]
        indent = max((len(label) for label, _ in section.lines), default=0)
        for label, text in section.lines:
            if not label:
                lines += textwrap.wrap(text, width, initial_indent="  ", subsequent_indent="  ")
                continue
            head = f"  {label.ljust(indent)}  "
            if len(head) + len(text) <= width:
                lines.append(f"{head}{text}")
            else:
                lines += textwrap.wrap(text, width, initial_indent=head, subsequent_indent="    ")
        lines.append("")
    return lines[:-1]


def grid(
    table: Cells,
    rows: Sequence[int],
    width: int,
    *,
    columns: Sequence[Column] | None = None,
    fitted: Callable[[Sequence[int], Mapping[str, int]], Callable[[int, str], Cell]] | None = None,
) -> tuple[str, tuple[str, ...]]:
    """Draw a table into a width."""
    columns = columns or table.columns
    layout = lay_out(columns, width)
    lines = [*header_lines(layout, None)]
    cell = table.cell if fitted is None else fitted(rows, layout.room)
    lines += [row_line(layout, partial(cell, row), cursor=False) for row in rows]
    titles = {column.key: column.title for column in columns}
    return to_text(lines), tuple(titles[key] for key in layout.dropped)


def table_below(table: Table, width: int) -> list[str]:
    """Write a small table with a line before it; nothing where it has no rows."""
    return ["", *printed(table, width)] if table.rows else []


def notes_below(notes: Sequence[str], width: int) -> list[str]:
    """Write notes under what they are of; nothing where there are none."""
    return ["", *listed("Notes", notes, width)] if notes else []


def print_sections(
    heads: Sequence[str],
    sections: Sequence[tuple[str, Sequence[str]]],
    width: int,
    *,
    full: bool | None = True,
) -> str:
    """Write sections one under the other, folded to the width; ``full`` is of the cautions, none of which stay for None."""
    lines = [line for head in heads for line in folded(head, width)]
    for title, sentences in sections:
        lines += ["", *listed(title, sentences, width)]
    return "\n".join(lines if full is None else [*lines, "", *cautions(width, full=full)])
