"""Joined days as plain text for stdout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.over_days.joined_text import (
    against_heading,
    against_table,
    apart_heading,
    day_lines,
    joined_line,
    joined_notes,
    runs_sentences,
    shift_table,
)
from balance.tell.words import CAUTIONS_OF_DAYS
from tui.printing.lines import folded, foot, grid

if TYPE_CHECKING:
    from balance.decide.over_days.joined import JoinedFigures
    from balance.tell.figures import Show


def print_joined(
    figures: JoinedFigures, show: Show, width: int, *, full: bool
) -> tuple[str, tuple[str, ...]]:
    """Write joined days: how far they lie apart, and every configuration against one."""
    joined = figures.joined
    lines = folded(joined_line(figures, show), width)
    for day in day_lines(joined):
        lines += folded(day, width)
    lines += ["", *folded(apart_heading(joined), width)]
    shifts = shift_table(figures, show)
    lines.append(grid(shifts, range(len(shifts.rows)), width)[0])
    lines += ["", *folded(against_heading(figures), width)]
    table = against_table(figures, show)
    drawn, dropped = grid(table, range(len(table.rows)), width)
    lines.append(drawn if table.rows else "no other configuration was run: nothing to compare")
    others = runs_sentences(joined) if full else ()
    return "\n".join(
        [*lines, *foot(joined_notes(figures, show), others, width, full=full, said=CAUTIONS_OF_DAYS)]
    ), dropped
