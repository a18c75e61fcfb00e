"""Everything about the lap of one configuration: corners and straights against the start, what it rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.host.state_sheet import StateSheet
from tui.widgets.sheet import Sheet
from tui.widgets.table_lines import table_lines

if TYPE_CHECKING:
    from tui.host.state import State


class LapSheet(StateSheet):
    """Corners, straights and notes of the picked configuration."""

    def show_state(self, state: State) -> None:
        """Tell of the picked configuration."""
        from balance.tell.laps.track_page import configuration_detail  # noqa: PLC0415 - after the first paint

        figures, position, found = state.track.figures, state.track.position, state.track.of_picked
        if figures is None or figures.laps is None or position is None:
            return
        laps, width = figures.laps, self.room
        over = figures.ranges[laps.rows[position]]
        (line, role), tables, notes = configuration_detail(
            laps,
            position,
            over,
            state.show,
            losses=None if found is None else found.losses,
            rate=None if found is None else found.rate,
            steps=() if found is None else found.steps,
        )
        lines = [(line, role)]
        for table in tables:
            lines += [(table.key.capitalize(), "heading"), *table_lines(table, width)]
        lines.append(("What a step of a setting is worth, and what these seconds are", "heading"))
        lines += [(note, "") for note in notes]
        self.query_one(Sheet).show(lines)
