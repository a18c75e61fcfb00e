"""The track as it is drawn into the room that there is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.content import Content
from textual.widget import Widget

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.tell.laps.track_page import Run

    Draw = Callable[[int, int], tuple[tuple[Run, ...], ...]]

_STYLES = {
    "front": "bold $primary",
    "rear": "bold $accent",
    "power": "$foreground",
    "label": "bold",
    "": "$text-muted",
}


class TrackMap(Widget, can_focus=False):
    """Draws a track anew at each size; ``draw`` gives its lines for a width and a height."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's own word
        super().__init__(id=id)
        self._draw: Draw | None = None

    def show(self, draw: Draw) -> None:
        """Show another drawing."""
        self._draw = draw
        self.refresh()

    def render(self) -> Content:
        """Draw the lines, each run of cells in the style of its role."""
        lines = () if self._draw is None else self._draw(self.size.width, self.size.height)
        drawn = [Content.assemble(*((run.text, _STYLES[run.role]) for run in line)) for line in lines]
        return Content("\n").join(drawn)
