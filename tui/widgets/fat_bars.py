"""Two or more bars several lines high, for eyes that stand a step away."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.reactive import reactive

from tui.widgets.canvas import Canvas
from tui.widgets.drawn import Drawn, component_classes
from tui.widgets.plain import cut, plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tui.widgets.canvas import Lines

FatBar = tuple[str, float, float, bool]
"""What stands over a bar, where it begins and how long it is, of 100, and whether it is to be set off."""


def draw_fat_bars(
    bars: Sequence[FatBar], zero: float, width: int, height: int, *, ascii_only: bool = False
) -> Lines:
    """Draw bars under their words, as high as there is room.

    Examples
    --------
    >>> from tui.widgets.canvas import to_text
    >>> print(to_text(draw_fat_bars([("front 5 %", 0.0, 50.0, False)], 0.0, 11, 2, ascii_only=True)))
    front 5 %
    |#####
    """
    canvas = Canvas(width, height)
    if not bars or width < 2:
        return canvas.lines()
    room = max(2, height // len(bars))
    block, line = ("#", "|") if ascii_only else ("█", "│")
    column = round((width - 1) * zero / 100.0)
    for k, (words, left, length, danger) in enumerate(bars):
        top = k * room
        canvas.put(0, top, cut(plain(words), width), "words")
        first = round((width - 1) * left / 100.0)
        count = round((width - 1) * length / 100.0)
        for y in range(top + 1, min(top + max(2, room - 1), height)):
            canvas.put(first + (1 if left >= zero else 0), y, block * count, "danger" if danger else "bar")
            canvas.put(column, y, line, "zero")
    return canvas.lines()


class FatBars(Drawn):
    """Shows bars in the space there is."""

    COMPONENT_CLASSES: ClassVar[set[str]] = component_classes("fat-bars", "words", "bar", "danger", "zero")
    DEFAULT_CSS = """
    FatBars {
        width: 1fr;
        height: 1fr;
        & > .fat-bars--words { text-style: bold; }
        & > .fat-bars--bar { color: $text-primary; }
        & > .fat-bars--danger { color: $text-error; }
    }
    """

    bars: reactive[tuple[FatBar, ...]] = reactive(())
    """What is shown, from the top."""
    zero: reactive[float] = reactive(0.0)
    """Where the line of zero stands, of 100."""

    def watch_bars(self) -> None:
        """Draw the new bars."""
        self.redraw()

    def watch_zero(self) -> None:
        """Draw about the new line."""
        self.redraw()

    def drawing(self, width: int, height: int) -> Lines:
        """Draw for a size in cells."""
        return draw_fat_bars(self.bars, self.zero, width, height, ascii_only=self.ascii_only)
