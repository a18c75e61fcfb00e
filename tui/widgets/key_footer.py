"""The footer: the keys of the screen in one line, as many as have room; those of the pages and of help always."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.text import Text
from textual.widget import Widget

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from textual.events import Click
    from textual.screen import Screen

_ALWAYS = ("pages",)
"""Groups that keep their place however narrow the screen is; so does help, at the right end."""
_WIDE_GAP, _GAP = 2, 1
"""Cells between two keys: where there is room for all, and else."""


class Offered(NamedTuple):
    """A key or a group of neighbours on the footer: what is shown of it, its word, and the keys with their widths."""

    shown: str
    word: str
    keys: tuple[tuple[str, int], ...]
    group: str = ""

    @property
    def width(self) -> int:
        """Cells that it takes."""
        return len(self.shown) + 1 + len(self.word)


def shown_keys(keys: Sequence[str]) -> str:
    """State the keys of a group: a row of digits by its ends.

    Examples
    --------
    >>> shown_keys(["1", "2", "3"]), shown_keys(["8", "9", "0"]), shown_keys(["+", "-", "p"]), shown_keys(["f2", "f3"])
    ('1-3', '8-0', '+-p', 'f2 f3')
    """
    digits = "1234567890"
    if len(keys) > 1 and "".join(keys) in digits:
        return f"{keys[0]}-{keys[-1]}"
    return ("" if all(len(key) == 1 for key in keys) else " ").join(keys)


def fitting(offered: Sequence[Offered], width: int) -> tuple[list[Offered], int]:
    """Choose what has room in a line, and the gap between: what comes first stays, and the pages do.

    Examples
    --------
    >>> add, edit = Offered("a", "add", ()), Offered("e", "edit", ())
    >>> pages = Offered("1-7", "pages", (), "pages")
    >>> [one.word for one in fitting([add, edit, pages], 17)[0]]
    ['add', 'pages']
    """
    for gap in (_WIDE_GAP, _GAP):
        if sum(one.width + gap for one in offered) - gap <= width:
            return list(offered), gap
    room = width - sum(one.width + _GAP for one in offered if one.group in _ALWAYS)
    kept = []
    for one in offered:
        if one.group not in _ALWAYS:
            room -= one.width + _GAP
            if room < -_GAP:
                room = -width  # what comes later is of less use: none of it takes the place
                continue
        kept.append(one)
    return kept, _GAP


class KeyFooter(Widget, can_focus=False):
    """Lists the keys of the screen; a click on one is that key."""

    ALLOW_SELECT = False
    COMPONENT_CLASSES: ClassVar[set[str]] = {"key-footer--key", "key-footer--word"}
    DEFAULT_CSS = """
KeyFooter { dock: bottom; height: 1; background: $footer-background; }
KeyFooter .key-footer--key { color: $footer-key-foreground; text-style: bold; }
KeyFooter .key-footer--word { color: $footer-description-foreground; }
"""

    def on_mount(self) -> None:
        """Follow what can be done on the screen."""
        self._clicks: list[tuple[int, int, str]] = []
        self.screen.bindings_updated_signal.subscribe(self, self._changed)

    def _changed(self, screen: Screen[object]) -> None:
        if screen is self.screen:
            self.refresh()

    def _offered(self) -> Iterable[Offered]:
        active = [one.binding for one in self.screen.active_bindings.values() if one.binding.show]
        firsts = list({binding.action: binding for binding in reversed(active)}.values())[::-1]
        for group, members in groupby(firsts, key=lambda binding: binding.group):
            several = list(members)
            if group is None or len(several) == 1:
                for binding in several:
                    shown = self.app.get_key_display(binding)
                    yield Offered(shown, binding.description, ((binding.key, len(shown)),))
                continue
            names = [self.app.get_key_display(binding) for binding in several]
            shown = shown_keys(names)
            whole = sum(map(len, names)) == len(shown)  # of a row of digits the ends alone can be clicked
            ends = ((several[0].key, 1), ("", 1), (several[-1].key, 1))
            keys = tuple((one.key, len(name)) for one, name in zip(several, names, strict=True))
            yield Offered(shown, group.description, keys if whole else ends, group.description)

    def render(self) -> Text:
        """Draw the line."""
        offered = list(self._offered())
        last = [one for one in offered if one.word == "help"][:1]  # one key for it is enough
        at_end = sum(one.width + 1 for one in last)
        kept, gap = fitting([one for one in offered if one.word != "help"], self.size.width - 1 - at_end)
        key_style = self.get_component_rich_style("key-footer--key")
        word_style = self.get_component_rich_style("key-footer--word")
        line, self._clicks = Text(" ", no_wrap=True, end=""), []
        for one in [*kept, *last]:
            if one in last:
                line.append(" " * (self.size.width - at_end - len(line)))
            self._remember(one, len(line))
            line.append(one.shown, key_style)
            line.append(f" {one.word}{' ' * gap}", word_style)
        return line

    def _remember(self, one: Offered, start: int) -> None:
        """Keep where each key stands; the word belongs to the last one."""
        at = start
        for position, (key, width) in enumerate(one.keys):
            is_last = position == len(one.keys) - 1
            end = start + one.width if is_last else at + width
            self._clicks.append((at, end, key))
            at = end

    def on_click(self, event: Click) -> None:
        """Press the key that was clicked."""
        for start, end, key in self._clicks:
            if start <= event.x < end and key:
                self.app.simulate_key(key)
                return
