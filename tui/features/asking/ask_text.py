"""A field for one text: a reason, a name, a folder."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from balance.model.errors import AxletrimError
from tui.app.actions import CLOSE, bindings
from tui.widgets.plain import plain, plain_lines

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import ComposeResult
    from textual.suggester import Suggester


class AskText(ModalScreen[str | None]):
    """Gives the text typed, once it is what is expected; what is wrong with it stands below it."""

    BINDINGS: ClassVar = bindings(CLOSE)

    def __init__(
        self,
        title: str,
        *,
        value: str = "",
        hint: str = "",
        check: Callable[[str], object] | None = None,
        suggester: Suggester | None = None,
    ) -> None:
        super().__init__()
        self._title, self._value, self._hint, self._check = title, value, hint, check
        self._suggester = suggester

    def compose(self) -> ComposeResult:
        """Lay out title, field and hint."""
        with Vertical(classes="question wide"):
            yield Static(plain(self._title), classes="heading", markup=False)
            yield Input(self._value, id="text", suggester=self._suggester, select_on_focus=bool(self._value))
            yield Static(plain_lines(self._hint), id="wrong", markup=False)
            yield Static("Enter takes it · esc leaves", classes="hint", markup=False)

    def on_mount(self) -> None:
        """Begin in the field."""
        self.set_focus(self.query_one(Input))

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Give the text, or say what is wrong with it."""
        text = message.value.strip()
        wrong = self.query_one("#wrong", Static)
        if self._check is not None:
            try:
                self._check(text)
            except AxletrimError as fault:
                wrong.update(f"✖ {plain_lines(str(fault))}")
                wrong.set_classes("danger")
                return
        self.dismiss(text)

    def action_close(self) -> None:
        """Give nothing."""
        self.dismiss(None)
