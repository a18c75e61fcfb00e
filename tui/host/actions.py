"""What a person can do on a screen: each thing with its key, its words on the footer, and what help says of it.

Each screen lists its own in ``ACTIONS``; its bindings, its help and the palette are made of that.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from textual.binding import Binding

if TYPE_CHECKING:
    from collections.abc import Iterable

    from textual.binding import BindingType
    from textual.screen import Screen


class Action(NamedTuple):
    """One thing a person can do: ``id`` names the method ``action_<id>``; key and words as in Textual's own `Binding`."""

    id: str
    key: str
    label: str
    help: str
    on_footer: bool = True
    shown_key: str = ""
    group: str = ""
    """Word that stands once on the footer for neighbours of the same group."""

    def binding(self) -> Binding:
        """Make the binding of the key."""
        return Binding(
            self.key,
            self.id,
            self.label,
            show=self.on_footer,
            key_display=self.shown_key or None,
            tooltip=self.help,
            group=Binding.Group(self.group, compact=True) if self.group else None,
        )


def closing(label: str, help_words: str, *, on_footer: bool = True) -> Action:
    """Make the action that leaves a screen."""
    return Action("close", "escape", label, help_words, shown_key="esc", on_footer=on_footer)


CLOSE = (closing("back", "go back"),)
HELP = Action("app.explain", "f1", "help", "explain this screen, also while something is typed")


def bindings(actions: Iterable[Action]) -> list[BindingType]:
    """Make the bindings of some actions."""
    return [action.binding() for action in actions]


def actions_of(screen: Screen[Any]) -> tuple[Action, ...]:
    """List the actions of a screen."""
    actions: tuple[Action, ...] = getattr(screen, "ACTIONS", ())
    return actions
