"""The footer of a screen: its keys on one line, drawn as one widget, and help at its right end where there are many."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.segment import Segment
from rich.style import Style
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

    from textual.binding import ActiveBinding
    from textual.events import MouseDown, MouseMove, MouseScrollDown, MouseScrollUp
    from textual.screen import Screen

_EDGE = "▏"
_NOTCH = 4
"""Cells by which a turn of the wheel moves keys that have no room."""


class _Piece(NamedTuple):
    """A piece of the line: its words, the role of their style, and the key that it is of."""

    text: str
    role: str
    of: ActiveBinding | None


class SteadyFooter(Widget):
    """Lists the keys of the screen on one line.

    It is one widget: with one for each key, as Textual has it, styles and places of the keys alone took a third of the
    time in which a screen opens.
    """

    ALLOW_SELECT: ClassVar[bool] = False
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "footer--key",
        "footer--words",
        "footer--edge",
        "footer--pointed",
    }
    DEFAULT_CSS = """
    SteadyFooter {
        dock: bottom;
        height: 1;
        color: $footer-foreground;
        background: $footer-background;
        .footer--key { color: $footer-key-foreground; background: $footer-key-background; text-style: bold; }
        .footer--words { color: $footer-description-foreground; background: $footer-description-background; }
        .footer--edge { color: $foreground 20%; }
        .footer--pointed { background: $block-hover-background; }
    }
    """
    HELP_AT_END: ClassVar[bool] = False

    compact: reactive[bool] = reactive(False)
    """Leave less room between the keys."""
    pointed: reactive[str] = reactive("")
    """The key under the pointer."""
    moved: reactive[int] = reactive(0)
    """Cells by which the line was moved to the left, where it is longer than the screen is wide."""

    def __init__(self, *, compact: bool = False, palette: bool = False) -> None:
        super().__init__()
        self._palette = palette
        """Whether the key of the palette stands at the right end."""
        self.set_reactive(SteadyFooter.compact, compact)

    def on_mount(self) -> None:
        """Follow what can be done."""
        self.screen.bindings_updated_signal.subscribe(self, self._bindings_changed)

    def on_unmount(self) -> None:
        """Follow it no longer."""
        self.screen.bindings_updated_signal.unsubscribe(self)

    def _bindings_changed(self, screen: Screen[Any]) -> None:
        if screen.app.app_focus:
            self.refresh()

    def render_line(self, y: int) -> Strip:  # noqa: ARG002 - there is one line
        """Return the keys."""
        left, end = self._line()
        style, width = self._blank, self.size.width
        room = max(width - sum(len(one.text) for one in end), 0)
        keys = Strip([self._segment(one) for one in left]).crop(self.moved, self.moved + room)
        kept = keys.adjust_cell_length(room, style)
        return Strip([*kept, *(self._segment(one) for one in end)]).adjust_cell_length(width, style)

    @property
    def _blank(self) -> Style:
        return Style(bgcolor=self.rich_style.bgcolor)

    def _segment(self, piece: _Piece) -> Segment:
        style = self.get_component_rich_style(f"footer--{piece.role}") if piece.role else self._blank
        if piece.of is not None:
            if not piece.of.enabled:
                style += Style(dim=True)
            if piece.of.binding.key == self.pointed and piece.role in ("key", "words"):
                style += Style(bgcolor=self.get_component_rich_style("footer--pointed").bgcolor)
        return Segment(piece.text, style)

    def _line(self) -> tuple[list[_Piece], list[_Piece]]:
        """Lay out the keys, and what stands at the right end."""
        found: dict[str, ActiveBinding] = {}
        for one in self.screen.active_bindings.values():
            if one.binding.show:
                found.setdefault(one.binding.action, one)
        last: list[_Piece] = []
        if self.HELP_AT_END and "explain" in found:
            room = "  " if self.compact else " "
            last = [*self._key(found.pop("explain"), compact=self.compact), _Piece(room, "", None)]
        elif self._palette and (palette := self.screen.active_bindings.get(self.app.COMMAND_PALETTE_BINDING)):
            last = [*self._key(palette, compact=True), _Piece("" if self.compact else " ", "", None)]
        left: list[_Piece] = []
        for group, some in groupby(found.values(), lambda one: one.binding.group):
            keys = list(some)
            if group is None or len(keys) == 1:
                for one in keys:
                    left += self._key(one, compact=self.compact)
                    left += [_Piece(" ", "", None)] if self.compact else []
                continue
            left.append(_Piece(" ", "", None))
            left += [_Piece(self.app.get_key_display(one.binding), "key", one) for one in keys]
            left += [_Piece(" ", "", None), _Piece(group.description, "words", None), _Piece(" ", "", None)]
        return left, [_Piece(_EDGE, "edge", None), *last] if last else []

    def _key(self, one: ActiveBinding, *, compact: bool) -> Iterator[_Piece]:
        shown, words = self.app.get_key_display(one.binding), one.binding.description
        if not words:
            yield _Piece(shown, "key", one)
        elif compact:
            yield _Piece(shown, "key", one)
            yield _Piece(f" {words}", "words", one)
        else:
            yield _Piece(f" {shown} ", "key", one)
            yield _Piece(f"{words} ", "words", one)

    def _at(self, column: int) -> ActiveBinding | None:
        """Find the key at a column of the screen."""
        left, end = self._line()
        start = self.size.width - sum(len(one.text) for one in end)
        pieces, at = (end, column - start) if column >= start else (left, column + self.moved)
        for piece in pieces:
            if 0 <= at < len(piece.text):
                return piece.of
            at -= len(piece.text)
        return None

    def on_mouse_down(self, event: MouseDown) -> None:
        """Do what the key does."""
        pressed = self._at(event.x)
        if pressed is None:
            return
        if pressed.enabled:
            self.app.simulate_key(pressed.binding.key)
        else:
            self.app.bell()

    def on_mouse_move(self, event: MouseMove) -> None:
        """Show which key is pointed at, and say what it does."""
        one = self._at(event.x)
        self.pointed = "" if one is None else one.binding.key
        self.tooltip = None if one is None else one.tooltip or one.binding.description
        self.styles.pointer = "default" if one is None else "pointer"

    def on_leave(self) -> None:
        """Point at no key."""
        self.pointed = ""

    def on_mouse_scroll_down(self, event: MouseScrollDown) -> None:
        """Move to keys that have no room."""
        self._move(_NOTCH)
        event.stop()

    def on_mouse_scroll_up(self, event: MouseScrollUp) -> None:
        """Move back."""
        self._move(-_NOTCH)
        event.stop()

    def _move(self, cells: int) -> None:
        left, end = self._line()
        room = self.size.width - sum(len(one.text) for one in end)
        self.moved = max(0, min(self.moved + cells, sum(len(one.text) for one in left) - room))


class KeyFooter(SteadyFooter):
    """Lists the keys of the screen, with the key that explains them all at the right end."""

    HELP_AT_END: ClassVar[bool] = True
