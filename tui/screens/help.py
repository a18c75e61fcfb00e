"""Help on the present screen: its keys, its columns, the terms on it, all from the one vocabulary."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.screen import Screen
from textual.widgets import Footer

from balance.glossary import terms
from balance.tell.glossary_text import entry_text
from tui.actions import APP, CLOSE, SCREENS, bindings
from tui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.app import ComposeResult

    from balance.tell.run_table import TableColumn
    from tui.app import AxletrimApp
    from tui.state import State

_TERMS = (
    "aero_balance",
    "balance_offset",
    "front_added_load",
    "grip_surplus",
    "neutral_steer_shift",
    "tolerance",
    "onset_speed",
)


class Help(Screen[None]):
    """Explains the screen it was called from."""

    BINDINGS: ClassVar = bindings(CLOSE)
    app: AxletrimApp

    def __init__(self, screen: str) -> None:
        super().__init__()
        self._screen = screen

    def compose(self) -> ComposeResult:
        """Lay out an empty sheet."""
        yield Sheet(classes="sheet")
        yield Footer()

    def on_mount(self) -> None:
        """Watch the state, of which the units are explained."""
        self.query_one(Sheet).focus()
        self.watch(self.app, "state", self.show_state)

    def show_state(self, state: State) -> None:
        """Fill the sheet: keys, columns, terms."""
        lines = [("Keys", "heading"), *((text, "") for text in self._keys())]
        if self._screen == "home" and state.table is not None:
            lines += [("Columns", "heading"), *((text, "") for text in _columns(state.table.columns))]
        known = terms()
        lines.append(("Terms", "heading"))
        for key in _TERMS:
            name, _, rest = entry_text(known[key]).partition("\n")
            lines += [(name, "strong"), (f"{rest}\n", "")]
        lines.append(("'axletrim explain TERM' explains any other.", ""))
        self.query_one(Sheet).show(lines)

    def _keys(self) -> list[str]:
        actions = [*SCREENS.get(self._screen, ()), *APP]
        keys = [(action.shown_key or action.key, action.help) for action in actions]
        keys += [("ctrl+p", "every action by name"), ("ctrl+q", "leave, from anywhere")]
        width = max(len(key) for key, _ in keys)
        return [f"{key.ljust(width)}  {words}" for key, words in keys]

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)


def _columns(columns: Iterable[TableColumn]) -> list[str]:
    """Say what each column holds, with unit and sign; settings are explained once."""
    known, said = terms(), []
    for column in columns:
        term = known.get(column.term)
        if term is None:
            continue
        title = "settings" if column.term == "setting" else column.title
        unit = f" [{column.unit}]" if column.unit and column.term != "setting" else ""
        sign = "" if term.sign in ("", "none") else f" Sign: {term.sign}."
        text = f"{title}{unit}: {term.short}{sign}"
        if text not in said:
            said.append(text)
    return said
