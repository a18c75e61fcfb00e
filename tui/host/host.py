"""What the application is to its screens, so that no screen knows the application itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from tui.host.stateful import StatefulApp

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from tui.host.actions import Action
    from tui.host.open_day import DayOnScreen
    from tui.host.state import State
    from tui.host.typed_run import TypedRun


class Host(StatefulApp):
    """The application as a screen knows it: what it shows, the day that is open, and what a screen may ask for."""

    def copy_text(self, what: str, text: str) -> None:
        """Copy a text, and say what was copied."""
        self.copy_to_clipboard(text)
        self.notify(f"{what} copied as text")

    if TYPE_CHECKING:
        ACTIONS: ClassVar[tuple[Action, ...]]
        open_day: DayOnScreen

        @property
        def pressed_at(self) -> float:
            """When the key was pressed that is acted upon."""

        @property
        def typed_in_forms(self) -> tuple[str, ...]:
            """The fields of open forms that hold something typed and not written."""

        @property
        def unkept_forms(self) -> str:
            """Why what is typed into open forms is on no disk; nothing where it is."""

        def action_runs(self) -> None:
            """Show the runs."""

        async def action_choose(self) -> None:
            """Let another session be chosen."""

        def opened(self, path: str | None) -> None:
            """Open what was chosen."""

        def find_recommended(self) -> None:
            """Have it worked out what the day arrives at, should the report have changed."""

        def set_speed(self, state: State) -> None:
            """Look at another speed."""

        def pick(
            self, title: str, things: Iterable[tuple[str, str, str]], take: Callable[[str], object]
        ) -> None:
            """Let one of many things be picked: value, words, and what stands behind them; left, nothing is done."""

        def ask_speed(self, take: Callable[[float | None], None]) -> None:
            """Let the speed shown be typed."""

        def ask_baseline(self, run: str, take: Callable[[tuple[str | None] | None], None]) -> None:
            """Let a run be chosen to compare another one with."""

        def show_entry(self, typing: TypedRun) -> None:
            """Let a run be typed, or one that is there be corrected."""

        def add_run(self) -> None:
            """Let a run be entered; what was half typed is gone on with."""

        def enter_planned(self, cells: Mapping[str, str]) -> None:
            """Let a planned run be entered: what is to be fitted stands in its fields, the figures are typed."""

        def correct_run(self, label: str) -> None:
            """Let a run be corrected."""

        def edit_car(self) -> None:
            """Let the car be corrected."""

        def edit_session(self) -> None:
            """Let the session be corrected."""

        def new_car(self, take: Callable[[str | None], None]) -> None:
            """Let a car be begun; gives its folder."""

        def new_session(self, car: str, today: str, take: Callable[[str | None], None]) -> None:
            """Let a session of a car be begun; gives its folder."""

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

        def show_lap(self) -> None:
            """Show everything about the lap of the picked configuration."""

        def turn_to_day(self, path: str) -> None:
            """Open another day; what is not saved is asked about first."""

        def show_compared(self) -> None:
            """Set what-ifs side by side."""

        def reload(self) -> None:
            """Read the session again."""
