"""The speed shown by keys: the actions, and the screens' part in them."""

from __future__ import annotations

from tui.host.actions import Action
from tui.host.page import OverRuns
from tui.widgets.plain import plain

STEPS = (
    Action(
        "faster", "plus,equals_sign", "faster", "raise the speed shown by 5", shown_key="+", group="speed"
    ),
    Action("slower", "minus", "slower", "lower the speed shown by 5", shown_key="-", group="speed"),
)
TYPED = Action(
    "type_speed",
    "v",
    "type the speed",
    "enter the speed shown, with its unit or in the one shown",
    group="speed",
)
PLACE = Action("place", "p", "named", "go to the next named speed", group="speed")


class AtASpeed(OverRuns):
    """A page whose figures stand at the speed shown."""

    def action_faster(self) -> None:
        """Raise the speed shown."""
        self.app.set_speed(self.app.state.stepped(+1))

    def action_slower(self) -> None:
        """Lower the speed shown."""
        self.app.set_speed(self.app.state.stepped(-1))

    def action_type_speed(self) -> None:
        """Ask for the speed shown."""

        def take(speed: float | None) -> None:
            if speed is not None:
                self.app.set_speed(self.app.state.with_speed(speed))

        self.app.ask_speed(take)

    def action_place(self) -> None:
        """Go to the speed of the next named speed."""
        state = self.app.state
        if not state.places:
            self.notify("no speeds are named in session.toml")
            return
        moved = state.at_next_place()
        self.app.set_speed(moved)
        names = [place.name for place in state.places if place.speed == moved.speed]
        self.notify(f"{plain(' and '.join(names))}: {state.show.speed(moved.speed)}", markup=False, timeout=2)
