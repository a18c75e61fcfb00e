"""Everything about one part of the library: each day, all channels, what may be said, and all notes."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tui.host.state_sheet import StateSheet
from tui.widgets.sheet import Sheet
from tui.widgets.table_lines import shown_whole, table_lines

if TYPE_CHECKING:
    from tui.host.state import State


class PartSheet(StateSheet):
    """Days, channels and notes of the picked part."""

    def show_state(self, state: State) -> None:
        """Tell of the picked part."""
        from balance.tell.library.column_rows import column_lines  # noqa: PLC0415 - after the first paint
        from balance.tell.library.library_text import (  # noqa: PLC0415 - after the first paint
            effects_table,
            part_line,
            standing_words,
            together_table,
        )
        from balance.tell.library.part_picture import drag_line, part_picture  # noqa: PLC0415 - as above

        view, part = state.library, state.library_part
        if view.figures is None or part is None:
            return
        width = self.room
        lines = [(part_line(part, state.show), "heading")]
        lines += table_lines(shown_whole(partial(effects_table, part, state.show), width), width)
        together = together_table(part, state.show)
        if together.rows:
            lines += [("All channels", "heading"), *table_lines(together, width)]
        lines.append(("What so many cars allow to be said", "heading"))
        said = [*standing_words(part), drag_line(part_picture(part, view.channel or None), state.show)]
        lines += [(sentence, "") for sentence in said if sentence]
        if columns := column_lines(part, state.show):
            lines += [("Compared columns", "heading"), *((line, "") for line in columns)]
        if view.figures.read.notes:
            lines.append(("Notes", "heading"))
            lines += [(f"! {note}", "warn") for note in view.figures.read.notes]
        lines += [("The library", "heading"), (view.figures.read.line, "")]
        self.query_one(Sheet).show(lines)
