"""Joined days as plain text for stdout."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import one_line
from balance.tell.over_days.joined_text import (
    against_table,
    configuration_name,
    day_lines,
    joined_line,
    joined_notes,
    runs_of,
    runs_sentences,
    shift_table,
    tie_sentence,
)
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
    lines += ["", *folded(f"How far the days lie apart. {tie_sentence(joined)}", width)]
    shifts = shift_table(figures, show)
    lines.append(grid(shifts, range(len(shifts.rows)), width)[0])
    reference = one_line(
        f"{configuration_name(joined, figures.reference)} ({runs_of(joined, figures.reference)})"
    )
    lines += ["", *folded(f"Every configuration against {reference}, the days' shift taken out", width)]
    table = against_table(figures, show)
    drawn, dropped = grid(table, range(len(table.rows)), width)
    lines.append(drawn if table.rows else "no other configuration was run: nothing to compare")
    others = runs_sentences(joined) if full else ()
    return "\n".join([*lines, *foot(joined_notes(figures, show), others, width, full=full)]), dropped
