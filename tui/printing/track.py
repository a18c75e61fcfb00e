"""A track as plain text for stdout: a line of words, the drawing, corners and straights."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.laps.track_drawing import START, draw_track
from balance.tell.laps.track_text import (
    closure_line,
    corners_table,
    noise_line,
    straights_table,
    track_line,
    track_notes,
)
from tui.printing.lines import folded, notes_below, table_below

if TYPE_CHECKING:
    from balance.model.tracks import Track
    from balance.tell.figures import Show

_WIDEST, _HIGHEST = 72, 22


def print_track(track: Track, show: Show, width: int, *, ascii_only: bool) -> str:
    """Write a track."""
    lines = [*folded(track_line(track, show), width), *folded(closure_line(track, show), width)]
    if noise := noise_line(track, show):
        lines += folded(noise, width)
    drawing = draw_track(track, min(width, _WIDEST), _HIGHEST, ascii_only=ascii_only)
    drawn = [row.rstrip() for row in drawing.rows]
    while drawn and not drawn[-1]:
        drawn.pop()
    while drawn and not drawn[0]:
        drawn.pop(0)
    lines += ["", *drawn, "", *folded(f"{START} where the lap begins; numbers are corners", width)]
    for table in (corners_table(track, show), straights_table(track, show)):
        lines += table_below(table, width)
    return "\n".join([*lines, *notes_below(track_notes(track, show), width)])
