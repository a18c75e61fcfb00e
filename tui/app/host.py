"""What the application is to its screens, so that no screen knows the application itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import App
from textual.reactive import reactive

from tui.app.state import State

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from balance.model.errors import Fault
    from balance.model.records import Session
    from tui.app.open_day import Desk
    from tui.features.car_and_day.files_form import FilesForm
    from tui.features.entry.entry_typing import Typing


class Host(App[None]):
    """The application as a screen knows it: what it shows, the day that is open, and what a screen may ask for."""

    state: reactive[State] = reactive(State, init=False)
    at_work = 0
    """Pieces of work asked for and not answered yet."""

    if TYPE_CHECKING:
        desk: Desk
        parting: tuple[str, ...]

        @property
        def forms(self) -> tuple[FilesForm, ...]:
            """The forms of cars and sessions that are open, also below a question."""

        @property
        def typed_in_forms(self) -> tuple[str, ...]:
            """The fields of open forms that hold something typed and not written."""

        @property
        def unkept_forms(self) -> str:
            """Why what is typed into open forms is on no disk; nothing where it is."""

        def keep_forms(self) -> None:
            """Keep what is typed into open forms."""

        def action_runs(self) -> None:
            """Show the runs."""

        async def action_choose(self) -> None:
            """Let another session be chosen."""

        def opened(self, path: str | None) -> None:
            """Open what was chosen."""

        def set_speed(self, state: State) -> None:
            """Look at another speed."""

        def pick(
            self, title: str, things: Iterable[tuple[str, str, str]], take: Callable[[str | None], None]
        ) -> None:
            """Let one of many things be picked: value, words, and what stands behind them."""

        def ask_text(self, title: str, take: Callable[[str | None], None], *, value: str = "") -> None:
            """Let one text be typed."""

        def ask_speed(self, take: Callable[[float | None], None]) -> None:
            """Let the speed of interest be typed."""

        def ask_baseline(self, run: str, take: Callable[[tuple[str | None] | None], None]) -> None:
            """Let a run be chosen to compare another one with."""

        def show_entry(self, typing: Typing) -> None:
            """Let a run be typed, or one that is there be corrected."""

        def show_live(self) -> None:
            """Show the watched file."""

        def show_import(self) -> None:
            """Take in a table of somebody else's."""

        def show_part(self) -> None:
            """Show everything about the picked part."""

        def show_detail(self) -> None:
            """Show everything about the picked run."""

        def show_notes(self) -> None:
            """Show what was assumed and what is unlikely."""

        def show_compared(self) -> None:
            """Set what-ifs side by side."""

        def take_faults(self, faults: tuple[Fault, ...]) -> None:
            """Show what is wrong with the files."""

        def take_session(self, session: Session, path: str) -> None:
            """Take in a session that was changed."""

        def leave_faults(self) -> None:
            """Leave the screen of faults."""

        def reload(self) -> None:
            """Read the session again."""
