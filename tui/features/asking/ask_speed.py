"""A field for the speed of interest."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from tui.app.actions import CLOSE, bindings
from tui.app.state import FASTEST
from tui.widgets.plain import plain, plain_lines

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from tui.app.state import State


class AskSpeed(ModalScreen[float | None]):
    """Gives the speed typed in m/s; a bare number is in the unit shown."""

    BINDINGS: ClassVar = bindings(CLOSE)

    def __init__(self, state: State) -> None:
        super().__init__()
        self._state = state

    def compose(self) -> ComposeResult:
        """Lay out the question."""
        unit = self._state.show.unit("speed")
        places = ", ".join(f"{plain(p.name)} {self._state.show.speed(p.speed)}" for p in self._state.places)
        with Vertical(classes="question"):
            yield Static(f"Speed of interest, in {unit} or with its unit", classes="heading", markup=False)
            yield Input(self._state.show.bare("speed", self._state.speed), id="speed")
            yield Static(places, id="wrong", markup=False)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Read the speed, or say what is wrong with it."""
        from balance.model.errors import UnitError  # noqa: PLC0415 - only when typed
        from balance.units.stated import parse_chosen  # noqa: PLC0415 - the unit library, only when typed

        text = message.value.strip()
        bare = text.replace(".", "", 1).isdigit()
        try:
            speed = parse_chosen(f"{text} {self._state.show.unit('speed')}" if bare else text, "speed")
        except UnitError as fault:
            self.query_one("#wrong", Static).update(plain_lines(str(fault)))
            return
        if not 0 < speed <= FASTEST:
            self.query_one("#wrong", Static).update(
                plain(f"found {text}, expected a speed above 0, at most {self._state.show.speed(FASTEST)}")
            )
            return
        self.dismiss(speed)

    def action_close(self) -> None:
        """Leave the speed as it is."""
        self.dismiss(None)
