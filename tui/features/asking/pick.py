"""A short list to pick from, by a key of its own, by the arrows, or by the mouse."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from tui.app.actions import CLOSE, bindings
from tui.widgets.plain import plain, plain_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult
    from textual.events import Key


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing to pick: its key, its words, what stands muted behind them, and what is given back."""

    key: str
    words: str
    more: str = ""
    value: str = ""


class Pick(ModalScreen[str | None]):
    """Gives the value of what was picked, its key where it has none; nothing where left."""

    BINDINGS: ClassVar = bindings(CLOSE)

    def __init__(
        self, title: str, choices: Sequence[Choice], *, lines: Sequence[str] = (), start: str = ""
    ) -> None:
        super().__init__()
        self._title, self._choices, self._lines = title, tuple(choices), tuple(lines)
        self._start = start

    def compose(self) -> ComposeResult:
        """Lay out title, what is to be known, and the list."""
        with Vertical(classes="question wide"):
            yield Static(plain(self._title), classes="heading", markup=False)
            if self._lines:
                yield Static(plain_lines("\n".join(self._lines)), classes="told", markup=False)
            width = max((len(choice.key) for choice in self._choices), default=0)
            yield OptionList(*(Option(_prompt(choice, width)) for choice in self._choices))
            yield Static("a key, or ↑ ↓ and Enter · esc leaves", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Let keys reach the list."""
        listed = self.query_one(OptionList)
        values = [choice.value for choice in self._choices]
        if self._start in values:
            listed.highlighted = values.index(self._start)
        self.set_focus(listed)

    def take_key(self, key: Key) -> bool:
        """Take the key of a choice."""
        pressed = key.character or key.key
        for choice in self._choices:
            if choice.key == pressed:
                self._give(choice)
                return True
        return False

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Take the choice under the cursor."""
        self._give(self._choices[message.option_index])

    def _give(self, choice: Choice) -> None:
        self.dismiss(choice.value or choice.key)

    def action_close(self) -> None:
        """Pick nothing."""
        self.dismiss(None)


def _prompt(choice: Choice, width: int) -> Content:
    more = f"  {plain(choice.more)}" if choice.more else ""
    return Content.assemble((choice.key.ljust(width), "bold"), "  ", plain(choice.words), (more, "italic"))


def keyed(words: Sequence[tuple[str, str, str]], taken: str = "") -> tuple[Choice, ...]:
    """Give each of many things a key of its own: digits first, then letters."""
    keys = iter([key for key in "123456789acdefghijklmnopqrstuvwxyz" if key not in taken])
    return tuple(
        Choice(key=next(keys, ""), words=name, more=more, value=value) for value, name, more in words
    )
