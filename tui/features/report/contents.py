"""What a page may hold, in order: the line that writes it, then sections and what-ifs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from tui.widgets.plain import plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.tell.report.outline import Entry


class Holds(OptionList):
    """Lists entries under a first line of its own; the cursor stays where it was."""

    def __init__(self, first: str) -> None:
        super().__init__(id="holds", markup=False)
        self._first = first
        self._entries: tuple[Entry, ...] = ()

    def show(self, entries: Sequence[Entry]) -> None:
        """Replace the entries."""
        here = self.highlighted
        self._entries = tuple(entries)
        with self.prevent(OptionList.OptionHighlighted):
            self.clear_options()
            self.add_option(Option(Content.styled(self._first, "bold $primary")))
            for entry in entries:
                style = "" if entry.inside else "$text-muted"
                self.add_option(Option(Content.styled(plain(entry.words), style)))
            self.highlighted = 1 if here is None else min(here, self.option_count - 1)

    @property
    def entry(self) -> Entry | None:
        """What is under the cursor; nothing on the first line."""
        place = self.highlighted
        return self._entries[place - 1] if place and place <= len(self._entries) else None

    def go_to(self, name: str) -> None:
        """Put the cursor on a section."""
        names = [one.name for one in self._entries if one.kind == "section"]
        self.highlighted = names.index(name) + 1
