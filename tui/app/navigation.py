"""Which page or question stands on the screen: screens do not know one another, they ask the application for the next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.screen import ModalScreen

from tui.features.chooser.chooser import Chooser
from tui.features.chooser.faults import Faults
from tui.features.runs.home import Home
from tui.host.host import Host

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from textual.screen import Screen

    from balance.files.day.open_day import OpenDay
    from balance.model.errors import AlreadyOpen, OutsideChange
    from tui.features.car_and_day.files_form import FilesForm
    from tui.host.typed_run import TypedRun


_PAGES = frozenset(
    {"runs", "parts", "scatter", "wing", "what_if", "compare", "brief", "plan", "track", "library", "join"}
)


class Pages(Host):
    """The part of the application that turns pages."""

    @property
    def forms(self) -> tuple[FilesForm, ...]:
        """The forms of cars and sessions that are open, also below a question."""
        from tui.features.car_and_day.files_form import FilesForm  # noqa: PLC0415 - after the first paint

        return tuple(screen for screen in self.screen_stack if isinstance(screen, FilesForm))

    @property
    def typed_in_forms(self) -> tuple[str, ...]:
        """The fields of open forms that hold something typed and not written."""
        return tuple(label for form in self.forms for label in form.changed)

    def keep_forms(self) -> None:
        """Keep what is typed into open forms."""
        for form in self.forms:
            form.keep()

    @property
    def unkept_forms(self) -> str:
        """Why what is typed into open forms is on no disk; nothing where it is."""
        return next(filter(None, [form.unkept for form in self.forms]), "")

    def action_runs(self) -> None:
        """Show the runs."""
        self._turn_to(None)

    def action_parts(self) -> None:
        """Show what each part did."""
        from tui.features.parts.parts import Parts  # noqa: PLC0415 - after the first paint

        self._turn_to(Parts)

    def action_scatter(self) -> None:
        """Show what the day can show."""
        from tui.features.repeatability.scatter import Scatter  # noqa: PLC0415 - after the first paint

        self._turn_to(Scatter)

    def action_wing(self) -> None:
        """Show what a setting should be."""
        from tui.features.trim.trim import Wing  # noqa: PLC0415 - after the first paint

        self._turn_to(Wing)

    def action_what_if(self) -> None:
        """Show what the car would be like if."""
        from tui.features.what_if.what_ifs import WhatIfs  # noqa: PLC0415 - after the first paint

        self._turn_to(WhatIfs)

    def action_compare(self) -> None:
        """Show two configurations side by side."""
        from tui.features.compare.compare import Compare  # noqa: PLC0415 - after the first paint

        self._turn_to(Compare)

    def action_brief(self) -> None:
        """Put the customer's page together."""
        from tui.features.report.report import Brief  # noqa: PLC0415 - after the first paint

        self._turn_to(Brief)

    def action_plan(self) -> None:
        """Show what to run next."""
        from tui.features.plan.plan import Plan  # noqa: PLC0415 - after the first paint

        self._turn_to(Plan, before_runs=True)

    def action_track(self) -> None:
        """Show what a change is worth on the customer's track."""
        from tui.features.track.track import Track  # noqa: PLC0415 - after the first paint

        self._turn_to(Track)

    def action_library(self) -> None:
        """Show what parts did on other cars."""
        from tui.features.library.library import LibraryPage  # noqa: PLC0415 - after the first paint

        self._turn_to(LibraryPage, before_runs=True)

    def action_join(self) -> None:
        """Show other days of this car beside the open one."""
        from tui.features.join.joined import JoinedPage  # noqa: PLC0415 - after the first paint

        self._turn_to(JoinedPage)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer no pages while it is being chosen of which day."""
        if action in _PAGES and any(isinstance(screen, Chooser) for screen in self.screen_stack):
            return False
        return super().check_action(action, parameters)

    def _turn_to(self, page: type[Screen[None]] | None, *, before_runs: bool = False) -> None:
        """Leave what stands over the runs and show another page; a question has to be answered first."""
        if type(self.screen) is page or any(
            isinstance(screen, Chooser | Faults | ModalScreen) for screen in self.screen_stack
        ):
            return
        if self.state.day is None and not (before_runs and self.state.session is not None):
            if self.state.session is not None and page is not None:
                self.notify("no run counts yet: a types the first one")
            return
        if self.forms:
            self.notify("a form is open: save it or leave it first")
            return
        if page is None or isinstance(self.screen, Home):
            while not isinstance(self.screen, Home):
                self.pop_screen()
            if page is not None:
                self.push_screen(page())
            return
        while not isinstance(self.screen_stack[-2], Home):
            self.pop_screen()
        self.switch_screen(page())  # in place of the page before: the runs below need not be drawn in between

    def show_entry(self, typing: TypedRun) -> None:
        """Let a run be typed, or one that is there be corrected."""
        from tui.features.entry.entry import Correct, Entry  # noqa: PLC0415 - only when asked

        self.push_screen(Entry(typing) if typing.edited is None else Correct(typing))

    def add_run(self) -> None:
        """Let a run be entered; what was half typed is gone on with."""
        from tui.features.runs.run_edits import add_run  # noqa: PLC0415 - only when asked

        add_run(self)

    def enter_planned(self, cells: Mapping[str, str]) -> None:
        """Let a planned run be entered."""
        from tui.features.runs.run_edits import enter_planned  # noqa: PLC0415 - only when asked

        enter_planned(self, cells)

    def correct_run(self, label: str) -> None:
        """Let a run be corrected."""
        from tui.features.runs.run_edits import correct  # noqa: PLC0415 - only when asked

        correct(self, label)

    def edit_car(self) -> None:
        """Let the car be corrected."""
        from tui.features.car_and_day.stated_edit import edit_car  # noqa: PLC0415 - only when asked

        edit_car(self)

    def edit_session(self) -> None:
        """Let the session be corrected."""
        from tui.features.car_and_day.stated_edit import edit_session  # noqa: PLC0415 - only when asked

        edit_session(self)

    def new_car(self, take: Callable[[str | None], None]) -> None:
        """Let a car be begun; gives its folder."""
        from tui.features.car_and_day.files_form import NewFile  # noqa: PLC0415 - only when asked
        from tui.features.car_and_day.new_car import NewCar  # noqa: PLC0415 - only when asked

        self.push_screen(NewFile(NewCar()), take)

    def new_session(self, car: str, today: str, take: Callable[[str | None], None]) -> None:
        """Let a session of a car be begun; gives its folder."""
        from tui.features.car_and_day.files_form import NewFile  # noqa: PLC0415 - only when asked
        from tui.features.car_and_day.new_session import NewSession  # noqa: PLC0415 - only when asked

        self.push_screen(NewFile(NewSession(car, today=today)), take)

    def ask_reading_only(self, other: AlreadyOpen) -> None:
        """Ask what to do with a session that another copy of the tool has."""
        from tui.features.car_and_day.day_questions import ask_reading_only  # noqa: PLC0415 - only when asked

        ask_reading_only(self, other)

    def ask_after_opening(self, day: OpenDay) -> None:
        """Ask about what the journal brought back, and what was half typed."""
        from tui.features.car_and_day.day_questions import ask_after_opening  # noqa: PLC0415 - only when asked

        ask_after_opening(self, day)

    def ask_conflict(self, change: OutsideChange) -> None:
        """Show two versions of the day side by side, unless they are shown already."""
        from tui.features.car_and_day.conflict import Conflict  # noqa: PLC0415 - only when asked

        if not any(isinstance(screen, Conflict) for screen in self.screen_stack):
            self.push_screen(Conflict(change))

    def show_part(self) -> None:
        """Show everything about the picked part."""
        from tui.features.runs.sheets import Part  # noqa: PLC0415 - only when asked

        self.push_screen(Part())

    def show_detail(self) -> None:
        """Show everything about the picked run."""
        from tui.features.runs.sheets import Detail  # noqa: PLC0415 - only when asked

        if self.state.assessment is not None and self.state.picked_row is not None:
            self.push_screen(Detail())

    def show_notes(self) -> None:
        """Show what was assumed and what is unlikely."""
        from tui.features.runs.sheets import Notes  # noqa: PLC0415 - only when asked

        if self.state.assessment is not None:
            self.push_screen(Notes())

    def ask_speed(self, take: Callable[[float | None], None]) -> None:
        """Let the speed shown be typed."""
        from tui.host.questions import AskSpeed  # noqa: PLC0415 - only when asked

        self.push_screen(AskSpeed(self.state), take)

    def show_lap(self) -> None:
        """Show everything about the lap of the picked configuration."""
        from tui.features.track.lap_sheet import LapSheet  # noqa: PLC0415 - only when asked

        if self.state.track.position is not None:
            self.push_screen(LapSheet())

    def show_compared(self) -> None:
        """Set what-ifs side by side."""
        from tui.features.what_if.compared import Compared  # noqa: PLC0415 - only when asked

        self.push_screen(Compared())

    def ask_baseline(self, run: str, take: Callable[[tuple[str | None] | None], None]) -> None:
        """Let a run be chosen to compare another one with."""
        from tui.features.parts.ask_baseline import AskBaseline  # noqa: PLC0415 - only when asked

        if self.state.table is not None:
            self.push_screen(AskBaseline(run, self.state.table), take)

    def pick(self, title: str, things: Iterable[tuple[str, str, str]], take: Callable[[str], object]) -> None:
        """Let one of many things be picked: value, words, and what stands behind them; left, nothing is done."""
        from tui.host.questions import Pick, keyed  # noqa: PLC0415 - only when asked

        def taken(value: str | None) -> None:
            if value is not None:
                take(value)

        self.push_screen(Pick(title, keyed(list(things))), taken)

    def action_explain(self) -> None:
        """Explain the present screen."""
        from tui.features.help.help import Help  # noqa: PLC0415 - only when asked

        if not isinstance(self.screen, Help):
            self.push_screen(Help(self.screen))
