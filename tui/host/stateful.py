"""An application that shows one state, as the day that is open knows it; `Host` is the whole of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.reactive import reactive

from tui.host.state import State

if TYPE_CHECKING:
    from textual.screen import Screen

    from balance.files.day.open_day import OpenDay
    from balance.model.errors import AlreadyOpen, Fault, OutsideChange
    from balance.model.records import Session


class StatefulApp(App[None]):
    """What is shown, what is being worked out, and what an open day asks of the screens."""

    state: reactive[State] = reactive(State, init=False)
    at_work = 0
    """Pieces of work asked for and not answered yet."""

    if TYPE_CHECKING:
        parting: tuple[str, ...]

        @property
        def forms(self) -> tuple[Screen[Any], ...]:
            """The forms of cars and sessions that are open, also below a question."""

        def keep_forms(self) -> None:
            """Keep what is typed into open forms."""

        def take_session(self, session: Session, path: str) -> None:
            """Take in a session that was changed."""

        def take_faults(self, faults: tuple[Fault, ...]) -> None:
            """Show what is wrong with the files."""

        def leave_faults(self) -> None:
            """Leave the screen of faults."""

        def ask_reading_only(self, other: AlreadyOpen) -> None:
            """Ask what to do with a session that another copy of the tool has."""

        def ask_after_opening(self, day: OpenDay) -> None:
            """Ask about what the journal brought back, and what was half typed."""

        def ask_conflict(self, change: OutsideChange) -> None:
            """Show two versions of the day side by side."""
