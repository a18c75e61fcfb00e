"""What all screens have in common: they know the application, fold their words, and are left by a key."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from tui.host.actions import Action, bindings
from tui.widgets.plain import pack

if TYPE_CHECKING:
    from collections.abc import Awaitable, Iterator, Sequence

    from tui.host.host import Host

R = TypeVar("R")


class Acting(Screen[R]):
    """A screen whose keys are those of what can be done on it."""

    app: Host
    ACTIONS: ClassVar[tuple[Action, ...]] = ()

    def __init_subclass__(cls, **options: Any) -> None:
        """Make the bindings of the actions before Textual gathers them."""
        if "ACTIONS" in vars(cls):
            cls.BINDINGS = bindings(cls.ACTIONS)
        super().__init_subclass__(**options)


class Page(Acting[R]):
    """A screen as wide as the terminal."""

    @property
    def line_width(self) -> int:
        """How many cells a line of words has."""
        return max(self.size.width - 2, 20)

    def folded(self, text: str) -> list[str]:
        """Break a text between its clauses into lines that have room."""
        return pack(text, self.line_width)

    def write_verdict(self, part: str, lines: Sequence[str], role: str) -> None:
        """Write a verdict with its role."""
        self.write_lines(part, lines)
        self.query_one(part).set_classes(f"verdict {role}")

    def write_lines(self, part: str, lines: Sequence[str]) -> None:
        """Write lines into a part of the page; without any it takes no room."""
        widget = self.query_one(part, Static)
        widget.update("\n".join(lines))
        widget.display = bool(lines)

    def action_close(self) -> Awaitable[None] | None:
        """Go back."""
        self.dismiss(None)
        return None


def blanks(*names: str) -> Iterator[Static]:
    """Lay out parts of a page that words are written into later, by their names."""
    return (Static("", id=name, markup=False) for name in names)


class OverRuns(Page[None]):
    """A page in place of the runs, which leads back to them."""

    def action_close(self) -> Awaitable[None] | None:
        """Go back to the runs."""
        self.app.action_runs()
        return None


class Question(ModalScreen[R], Acting[R]):
    """A question over the page, which may be left without an answer."""

    def action_close(self) -> None:
        """Give no answer."""
        self.dismiss(None)
