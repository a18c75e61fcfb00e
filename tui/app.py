"""The application: one frozen state, the workers that fill it, and the screens that watch it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import App
from textual.reactive import reactive

from tui.actions import APP, bindings
from tui.remembered import recall, remember
from tui.screens.chooser import Chooser
from tui.screens.faults import Faults
from tui.screens.home import Home
from tui.state import State
from tui.themes import DARK, SUNLIGHT

if TYPE_CHECKING:
    from balance.decide.assessment import Assessment, Day
    from tui.loading import Loaded

POLL_SECONDS = 1.0
FIRST_SPEED = 160 / 3.6


class AxletrimApp(App[None]):
    """The interface: opens a session, keeps its figures current, and remembers how it was looked at."""

    TITLE = "axletrim"
    CSS_PATH = "styles/app.tcss"
    ENABLE_COMMAND_PALETTE = True
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012 - Textual declares it so
        (0, "-narrow"),
        (110, "-wide"),
    ]
    VERTICAL_BREAKPOINTS = [  # noqa: RUF012 - Textual declares it so
        (0, "-low"),
        (30, "-high"),
    ]
    BINDINGS: ClassVar = bindings(APP)

    state: reactive[State] = reactive(State, init=False)

    def __init__(self, session: str | None = None) -> None:
        super().__init__()
        self.remembered = recall()
        self._first = session
        self._stamps: tuple[tuple[str, int, int], ...] = ()
        self.register_theme(DARK)
        self.register_theme(SUNLIGHT)
        self.theme = self.remembered.theme if self.remembered.theme in self.available_themes else DARK.name
        self.set_reactive(AxletrimApp.state, State(units=self.remembered.units))

    def on_mount(self) -> None:
        """Open the session asked for, or let one be chosen."""
        self.push_screen(Home())
        if self._first is None:
            self.push_screen(Chooser(self.remembered.recent), self.opened)
        else:
            self.open(self._first)
        self.set_interval(POLL_SECONDS, self.look_for_changes)

    def opened(self, path: str | None) -> None:
        """Open what was chosen; leave where nothing was chosen and nothing is open."""
        if path is not None:
            self.open(path)
        elif self.state.day is None:
            self.exit()

    def open(self, path: str) -> None:
        """Read a session in a worker."""
        path = str(Path(path).resolve())
        self.run_worker(lambda: self._load(path), thread=True, exclusive=True, group="load")

    def _load(self, path: str) -> None:
        from tui.loading import load  # noqa: PLC0415 - after the first paint

        self.call_from_thread(self.take_in, load(path))

    def take_in(self, loaded: Loaded) -> None:
        """Show what was read, or what is wrong with it."""
        self._stamps = loaded.stamps
        if loaded.day is None:
            same = loaded.path == self.state.path
            if same:
                self.state = self.state.with_faults(loaded.faults)
            self.show_faults(loaded, last_good=same)
            return
        speed = None if loaded.path == self.state.path else self.remembered.speed_of(loaded.path)
        self.state = self.state.with_day(loaded.day, loaded.path, speed=speed)
        self.assess()
        self.keep()

    def show_faults(self, loaded: Loaded, *, last_good: bool) -> None:
        """Put the faults on the screen, in place of older ones."""
        if isinstance(self.screen, Faults):
            self.pop_screen()
        self.push_screen(Faults(loaded.path, loaded.faults, last_good=last_good), self.after_faults)

    def after_faults(self, again: bool | None) -> None:  # noqa: FBT001 - Textual hands over the screen's result
        """Read the files once more if asked; without any figures to go back to, choose another session."""
        if again:
            self.open(self.state.path or self._first or "")
        elif self.state.day is None:
            self.push_screen(Chooser(self.remembered.recent), self.opened)

    def assess(self) -> None:
        """Show values at once, and let their intervals follow from a worker."""
        day, speed = self.state.day, self.state.speed
        if day is None:
            return
        if len(day.readings.runs) <= 500:
            self.show_figures(self._assessed(day, speed, drawn=False), pending=True)
        self.run_worker(lambda: self._draw(day, speed), thread=True, exclusive=True, group="assess")

    @staticmethod
    def _assessed(day: Day, speed: float, *, drawn: bool) -> Assessment:
        from balance.decide.assessment import assess  # noqa: PLC0415 - after the first paint

        return assess(day, speed=speed, drawn=drawn)

    def _draw(self, day: Day, speed: float) -> None:
        figures = self._assessed(day, speed, drawn=True)
        self.call_from_thread(self.show_figures, figures, pending=False)

    def show_figures(self, figures: Assessment, *, pending: bool) -> None:
        """Take in figures; those of a speed or a day no longer shown are dropped."""
        self.state = self.state.with_assessment(figures, pending=pending)

    def look_for_changes(self) -> None:
        """Read the session again when one of its files was changed outside."""
        if not self.state.path or not self._stamps:
            return
        from tui.loading import stamps_of  # noqa: PLC0415 - after the first paint

        now = stamps_of(self.state.path)
        if now != self._stamps:
            self._stamps = now
            self.open(self.state.path)

    def set_speed(self, state: State) -> None:
        """Take a state at another speed and have it assessed."""
        if state.speed != self.state.speed:
            self.state = state
            self.assess()
            self.keep()

    def keep(self) -> None:
        """Remember units, theme, session and speed."""
        state = self.state
        self.remembered.units, self.remembered.theme = state.units, self.theme
        if state.day is not None:
            session = state.day.session
            self.remembered.note_opened(state.path, session.title, session.vehicle.name, state.speed)
        remember(self.remembered)

    def action_units(self) -> None:
        """Change the system of units."""
        self.state = self.state.with_other_units()
        self.keep()

    def action_choose(self) -> None:
        """Choose another session."""
        if not isinstance(self.screen, Chooser):
            self.push_screen(Chooser(self.remembered.recent), self.opened)

    def action_sunlight(self) -> None:
        """Change between dark and black on white."""
        self.theme = DARK.name if self.theme == SUNLIGHT.name else SUNLIGHT.name
        self.keep()

    def action_picture(self) -> None:
        """Save a picture of the screen."""
        from tui.pictures import save_picture  # noqa: PLC0415 - only when asked

        try:
            self.notify(f"picture saved: {save_picture(self)}")
        except OSError as fault:
            self.notify(f"picture not saved: {fault.strerror}", severity="error")

    def action_leave(self) -> None:
        """Leave."""
        self.exit()

    def action_explain(self) -> None:
        """Explain the present screen."""
        from tui.screens.help import Help  # noqa: PLC0415 - only when asked

        if not isinstance(self.screen, Help):
            self.push_screen(Help(type(self.screen).__name__.lower(), self.state))
