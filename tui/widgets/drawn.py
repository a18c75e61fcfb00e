"""The common part of widgets that show lines of text with roles."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from textual.geometry import Size
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from tui.widgets.plain import needs_ascii

if TYPE_CHECKING:
    from rich.style import Style

    from tui.widgets.canvas import Line, Lines


def strip_of(line: Line, styles: dict[str, Style], width: int) -> Strip:
    """Turn a drawn line into a strip of exactly the given width."""
    segments = [Segment(text, styles[role]) for text, role in line]
    return Strip(segments).adjust_cell_length(width, styles[""])


def component_classes(widget: str, *roles: str) -> set[str]:
    """Return the component classes of a widget for the roles of its lines."""
    return {f"{widget}--{role}" for role in roles}


def styles_of(widget: Widget) -> dict[str, Style]:
    """Collect the styles of a widget's component classes by role, the part after ``--``."""
    named = {
        name.partition("--")[2]: widget.get_component_rich_style(name) for name in widget.COMPONENT_CLASSES
    }
    return {"": widget.rich_style, **named}


class Drawn(Widget):
    """A widget that shows what ``drawing`` gives for its size."""

    ALLOW_SELECT: ClassVar[bool] = False

    ascii_only: reactive[bool] = reactive(False)
    """Draw with ASCII characters alone."""

    def __init__(
        self,
        *,
        ascii_only: bool | None = None,
        id: str | None = None,  # noqa: A002 - Textual's own word
    ) -> None:
        super().__init__(id=id)
        self.set_reactive(Drawn.ascii_only, needs_ascii() if ascii_only is None else ascii_only)
        self._lines: Lines | None = None
        self._drawn_for = Size(0, 0)
        self._styles: dict[str, Style] = {}

    @abstractmethod
    def drawing(self, width: int, height: int) -> Lines:
        """Draw for a size in cells."""

    def watch_ascii_only(self) -> None:
        """Draw anew."""
        self.redraw()

    def notify_style_update(self) -> None:
        """Draw anew in other colours."""
        super().notify_style_update()
        self.redraw()

    def redraw(self) -> None:
        """Forget what was drawn."""
        self._lines = None
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return one line of the drawing."""
        width, height = self.size
        if self._lines is None or self._drawn_for != self.size:
            self._lines, self._styles, self._drawn_for = (
                self.drawing(width, height),
                styles_of(self),
                self.size,
            )
        line = self._lines[y] if y < len(self._lines) else []
        return strip_of(line, self._styles, width)
