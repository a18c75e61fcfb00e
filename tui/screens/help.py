"""Help on the present screen: its keys, its columns, the terms on it, all from the one vocabulary."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Footer, Static

from balance.glossary import terms
from balance.tell.glossary_text import entry_text
from tui.actions import APP, CLOSE, SCREENS, bindings

if TYPE_CHECKING:
    from textual.app import ComposeResult

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


class Help(ModalScreen[None]):
    """Explains the screen it was called from."""

    BINDINGS: ClassVar = bindings(CLOSE)

    def __init__(self, screen: str, state: State) -> None:
        super().__init__()
        self._screen, self._state = screen, state

    def compose(self) -> ComposeResult:
        """Lay out keys, columns and terms."""
        actions = [*SCREENS.get(self._screen, ()), *APP]
        width = max(len("ctrl+p"), *(len(action.shown_key or action.key) for action in actions))
        with VerticalScroll(classes="sheet"):
            yield Static("Keys", classes="heading")
            keys = [f"{(a.shown_key or a.key).ljust(width)}  {a.help}" for a in actions]
            yield Static("\n".join([*keys, f"{'ctrl+p'.ljust(width)}  every action by name"]), markup=False)
            if self._screen == "home" and self._state.table is not None:
                yield Static("Columns", classes="heading")
                known = terms()
                for column in self._state.table.columns:
                    term = known.get(column.term)
                    if term is not None:
                        unit = f" [{column.unit}]" if column.unit else ""
                        sign = "" if term.sign in ("", "none") else f" Sign: {term.sign}."
                        yield Static(
                            f"{column.title}{unit}: {term.short}{sign}", markup=False, classes="entry"
                        )
            yield Static("Terms", classes="heading")
            known = terms()
            for key in _TERMS:
                if key in known:
                    yield Static(entry_text(known[key]), markup=False, classes="entry")
            yield Static("'axletrim explain TERM' explains any other.", markup=False, classes="entry")
        yield Footer()

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)
