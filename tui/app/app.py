"""The application: one frozen state, the workers that fill it, and the screens that watch it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import get_system_commands_provider
from textual.events import Key, Paste

from balance.model.errors import SaveError
from tui.app.keys import Keys
from tui.app.navigation import Pages
from tui.app.themes import DARK, SUNLIGHT
from tui.features.chooser.chooser import Chooser
from tui.features.chooser.faults import Faults
from tui.features.runs.home import Home
from tui.host.actions import APP, bindings
from tui.host.open_day import Desk
from tui.host.remembered import recall, remember
from tui.host.state import State
from tui.host.workers import Latest, begin

if TYPE_CHECKING:
    from collections.abc import Iterable
    from concurrent.futures import Future

    from textual import events
    from textual.app import SystemCommand
    from textual.command import Provider
    from textual.screen import Screen

    from balance.decide.day.assessment import Assessment
    from balance.model.errors import Fault
    from balance.model.records import Session
    from tui.host.loading import Loaded

POLL_SECONDS = 1.0
PATIENCE = 0.08
"""Seconds for which the first picture waits for its figures."""
AT_ONCE = 500
"""Runs up to which values are worked out before the next picture, without their intervals."""


def read(path: str) -> Loaded:
    """Read a session, in a thread."""
    from tui.host.loading import load  # noqa: PLC0415 - not for the chooser

    return load(str(Path(path).resolve()))


def action_commands() -> type[Provider]:
    """Give the palette's list of actions, loaded when it is first asked for."""
    from tui.app.palette import ActionCommands  # noqa: PLC0415 - only when asked

    return ActionCommands


class AxletrimApp(Pages):
    """The interface: opens a session, keeps its figures current, and remembers how it was looked at."""

    TITLE = "axletrim"
    CSS_PATH = "app.tcss"
    ENABLE_COMMAND_PALETTE = True
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012 - Textual declares it so
        (0, "-narrow"),
        (110, "-wide"),
    ]
    VERTICAL_BREAKPOINTS = [  # noqa: RUF012 - Textual declares it so
        (0, "-low"),
        (30, "-high"),
    ]
    COMMANDS: ClassVar = {get_system_commands_provider, action_commands}
    BINDINGS: ClassVar = bindings(APP)

    def __init__(self, session: str | None = None) -> None:
        super().__init__()
        self.remembered = recall()
        self._first = None if session is None else begin(partial(read, session))
        self._loads = Latest(self, self.take_in)
        self._draws = Latest(self, self._take_drawn)
        self.desk = Desk(self)
        self._keys = Keys(self, super().on_event, lambda: self.desk.opening)
        self.parting: tuple[str, ...] = ()
        """What is to be said once the screen is gone: what could not be saved, what was written again."""
        self._ask_again = False
        """Whether a session that another copy had is to be opened for work, should it be free by now."""
        self._shown: Loaded | None = None
        self._watched: Loaded | None = None
        """The session whose files are looked at; another than the one shown while its faults are on the screen."""
        self.register_theme(DARK)
        self.register_theme(SUNLIGHT)
        known = self.remembered.theme in (DARK.name, SUNLIGHT.name)
        self.theme = self.remembered.theme if known else DARK.name
        self.set_reactive(AxletrimApp.state, State(units=self.remembered.units or "si"))

    async def on_event(self, event: events.Event) -> None:
        """Have keys act in the order they were pressed."""
        if isinstance(event, Key | Paste) and not event.is_forwarded:
            await self._keys.take(event)
        else:
            await super().on_event(event)

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Leave of Textual's own commands the panel of keys; our palette has words for the rest."""
        return (command for command in super().get_system_commands(screen) if command.title == "Keys")

    def on_mount(self) -> None:
        """Open the session asked for, or let one be chosen."""
        self.push_screen(Home())
        if self._first is None:
            self.push_screen(Chooser(self.remembered.recent), self.opened)
        else:
            self._take_first(self._first)
        self.set_interval(POLL_SECONDS, self.look_for_changes)

    def _take_first(self, first: Future[Loaded]) -> None:
        """Let the first picture hold the figures where they come soon, else show it without them."""
        try:
            loaded = first.result(timeout=PATIENCE)
        except TimeoutError:
            self._loads.ask(first.result)
        else:
            self.take_in(loaded)

    def opened(self, path: str | None) -> None:
        """Open what was chosen; leave where nothing was chosen and nothing is open."""
        if path is not None:
            while self.forms:  # of the session that was open; what was typed in them was asked about
                self.pop_screen()
            self._ask_again = bool(self.state.work.reading)
            self.open(path)
        elif self.state.session is None:
            self.exit()

    def open(self, path: str) -> None:
        """Read a session in a worker."""
        self._loads.ask(partial(read, path))

    def take_in(self, loaded: Loaded) -> None:
        """Show what was read, or what is wrong with it."""
        self._watched = loaded
        self.leave_faults()
        if loaded.day is None and loaded.blank is None:
            same = loaded.path == self.state.path
            if same:
                self.state = self.state.with_faults(loaded.faults)
            faults = Faults(loaded.path, loaded.faults, last_good=same)
            self.push_screen(faults, lambda again: self.after_faults(loaded.path, again=bool(again)))
            if not (Path(loaded.path) / "runs.csv").exists() and self.desk.path != loaded.path:
                self.desk.open(loaded.path)  # the journal may have the table that is gone
            return
        self._shown = loaded
        if self.state.path not in ("", loaded.path):
            self._leave_pages()
        self._take_units(loaded)
        speed = None if loaded.path == self.state.path else self.remembered.speed_of(loaded.path)
        if loaded.blank is not None:
            self.state = self.state.with_blank(loaded.blank, loaded.path, speed=speed)
        if loaded.day is not None:
            self.state = self.state.with_day(loaded.day, loaded.path, speed=speed, unlikely=loaded.unlikely)
            self.assess()
        self.keep()
        if self.desk.path != loaded.path or self._ask_again:
            self._ask_again = False
            self.desk.open(loaded.path)

    def _leave_pages(self) -> None:
        """Go back to the runs: no page may show the figures of the day before."""
        while any(isinstance(screen, Home) for screen in self.screen_stack[:-1]):
            self.pop_screen()

    def _take_units(self, loaded: Loaded) -> None:
        """Show a session in the units in which it was written down, unless somebody has chosen others."""
        session, before = loaded.blank if loaded.day is None else loaded.day.session, self.state.session
        known = before is not None and loaded.path == self.state.path and bool(before.columns)
        if session is not None and not self.remembered.units and not known:
            from balance.units.shown import name_of, system_of  # noqa: PLC0415 - after the first paint

            written = [column.unit for column in session.columns.values()]
            units = name_of(system_of([session.shown_force] if session.shown_force else written))
            self.state = replace(self.state, units=units)

    def take_session(self, session: Session, path: str) -> None:
        """Show a session as it stands on the desk; its figures are worked out in a worker."""
        from tui.host.loading import Loaded, files_of, reduced, stamps_of  # noqa: PLC0415 - after the first paint

        files = files_of(path)
        stamps = stamps_of(files)
        self._watched = Loaded(path=path, files=files, stamps=stamps)
        self._loads.ask(lambda: reduced(session, path, files, stamps))

    def take_faults(self, faults: tuple[Fault, ...]) -> None:
        """Show what is wrong with the files of the session on the desk."""
        if self._watched is not None:
            self.take_in(replace(self._watched, day=None, blank=None, faults=faults))

    def leave_faults(self) -> None:
        """Take older faults, and what stands above them, off the screen."""
        while any(isinstance(screen, Faults) for screen in self.screen_stack):
            self.pop_screen()

    def after_faults(self, path: str, *, again: bool) -> None:
        """Read the files once more if asked; without any figures to go back to, choose another session."""
        if again:
            self.open(path)
        elif self.state.session is None:
            self.push_screen(Chooser(self.remembered.recent), self.opened)
        elif path != self.state.path:
            self._watched = self._shown

    def reload(self) -> None:
        """Read the session's files once more; one that was open for reading only is asked for anew."""
        if self.state.path and not self.desk.changed_outside(self.state.path):
            self._ask_again = bool(self.state.work.reading)
            self.open(self.state.path)

    def assess(self) -> None:
        """Show values at once, and let their intervals follow from a worker."""
        day, speed = self.state.day, self.state.speed
        if day is None:
            return
        from balance.decide.day.assessment import assess  # noqa: PLC0415 - after the first paint

        every = day.rows.every
        if len(every) <= AT_ONCE:
            nominal = assess(day, speed=speed, drawn=False, rows=every)
            self.state = self.state.with_assessment(nominal, pending=True)
        self._draws.ask(lambda: assess(day, speed=speed, rows=every))

    def _take_drawn(self, figures: Assessment) -> None:
        """Take in figures with their intervals; those of a speed or a day no longer shown are dropped."""
        self.state = self.state.with_assessment(figures, pending=False)

    def look_for_changes(self) -> None:
        """Read the session again when one of its files was changed outside."""
        self.desk.tick()
        if self._watched is None:
            return
        from tui.host.loading import stamps_of  # noqa: PLC0415 - after the first paint

        now = stamps_of(self._watched.files)
        if now != self._watched.stamps:
            self._watched = replace(self._watched, stamps=now)
            if not self.desk.changed_outside(self._watched.path):
                self.open(self._watched.path)

    def set_speed(self, state: State) -> None:
        """Take a state at another speed and have it assessed."""
        if state.speed != self.state.speed:
            self.state = state
            self.assess()
            self.keep()

    def keep(self) -> None:
        """Remember units, theme, session and speed."""
        state = self.state
        self.remembered.theme = self.theme
        if (session := state.session) is not None:
            self.remembered.note_opened(state.path, session.title, session.vehicle.name, state.speed)
        remember(self.remembered)

    def action_units(self) -> None:
        """Change the system of units."""
        self.state = self.state.with_other_units()
        self.remembered.units = self.state.units
        self.keep()

    async def action_choose(self) -> None:
        """Choose another session; what is not saved is asked about first."""
        from tui.features.car_and_day.day_questions import ask_to_leave  # noqa: PLC0415 - only when asked

        if not any(isinstance(screen, Chooser) for screen in self.screen_stack):
            await ask_to_leave(self, lambda: self.push_screen(Chooser(self.remembered.recent), self.opened))

    def action_sunlight(self) -> None:
        """Change between dark and black on white."""
        self.theme = DARK.name if self.theme == SUNLIGHT.name else SUNLIGHT.name
        self.keep()

    async def action_picture(self) -> None:
        """Save a picture of the screen."""
        from tui.app.pictures import picture, save_picture  # noqa: PLC0415 - only when asked

        drawing = picture(self)
        try:
            path = await self.desk.saving.write(lambda: save_picture(drawing))
            self.notify(f"picture saved: {path}", markup=False)
        except SaveError as fault:
            self.notify(f"picture not saved: {fault}", severity="error", markup=False)

    async def action_leave(self) -> None:
        """Leave; what is not saved is asked about first."""
        from tui.features.car_and_day.day_questions import ask_to_leave  # noqa: PLC0415 - only when asked

        await ask_to_leave(self, self.exit)

    async def action_quit(self) -> None:
        """Leave as any other key does that leaves."""
        await self.action_leave()

    def on_unmount(self) -> None:
        """Give the session free."""
        self.desk.close()
        self.desk.saving.writer.end()

    def action_undo(self) -> None:
        """Take the last step of the day back."""
        self.desk.undo()

    def action_redo(self) -> None:
        """Do again what was taken back last."""
        self.desk.redo()

    def action_save_again(self) -> None:
        """Bring to the disk what is not there yet."""
        self.desk.save_again()

    def show_live(self) -> None:
        """Show the rows of the watched file, or ask which file to watch."""
        from tui.features.watch.watched_file import Live, ask_file  # noqa: PLC0415 - only when asked

        if self.desk.live is None:
            ask_file(self)
        else:
            self.push_screen(Live())

    def show_import(self) -> None:
        """Ask which table to import."""
        from tui.features.importing.importing import ask_import  # noqa: PLC0415 - only when asked

        ask_import(self)
