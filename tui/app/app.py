"""The application: one frozen state, the workers that fill it, and the screens that watch it."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import get_system_commands_provider
from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.events import Key, Paste
from textual.theme import Theme

from balance.model.errors import SaveError
from tui.app.keys import Keys
from tui.app.navigation import Pages
from tui.app.terminal_gone import end_without_terminal
from tui.features.chooser.chooser import Chooser
from tui.features.chooser.faults import Faults
from tui.features.runs.home import Home
from tui.host.actions import Action, actions_of, bindings
from tui.host.open_day import DayOnScreen
from tui.host.remembered import recall, remember
from tui.host.state import State
from tui.host.workers import Latest, begin, once_shown

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterable, Iterator
    from concurrent.futures import Future

    from textual import events
    from textual.app import App, SystemCommand
    from textual.screen import Screen

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.day import Day
    from balance.decide.plan.judged_reading import JudgedReading
    from balance.model.errors import Fault
    from balance.model.records import Session
    from balance.tell.report.recommended import Recommended
    from tui.host.loading import Loaded

DARK = Theme(
    name="axletrim-dark",
    primary="#7fb4d8",
    secondary="#a8c7a0",
    accent="#e0b060",
    foreground="#e6e6e6",
    background="#14181c",
    surface="#1b2127",
    panel="#252d35",
    success="#7fc97f",
    warning="#e8b84a",
    error="#ff8378",
    dark=True,
)
SUNLIGHT = Theme(
    name="axletrim-sunlight",
    primary="#003a70",
    secondary="#1f4d1a",
    accent="#5a3d00",
    foreground="#000000",
    background="#ffffff",
    surface="#ffffff",
    panel="#e4e4e4",
    success="#00501a",
    warning="#5a3d00",
    error="#8e0000",
    dark=False,
)
_REMOTE_FONT = re.compile(r',\s*url\("https?://[^"]*"\) format\("[^"]*"\)')
POLL_SECONDS = 1.0
PATIENCE = 0.08
"""Seconds for which the first picture waits for its figures."""
AT_ONCE = 500
"""Runs up to which values are worked out before the next picture, without their intervals."""

APP = (
    Action(
        "runs",
        "1",
        "configurations",
        "every configuration of the day, its loads and its verdict",
        group="pages",
    ),
    Action("parts", "2", "parts", "what each part did, and whether it is significant", group="pages"),
    Action(
        "scatter",
        "3",
        "repeatability",
        "repeatability, repeats, drift, and what they can detect",
        group="pages",
    ),
    Action(
        "wing",
        "4",
        "trim",
        "the setting that meets a target, after a change or as the car stands",
        group="pages",
    ),
    Action(
        "what_if",
        "5",
        "what-if",
        "a car that was not measured: other parts, loads, weights, air or speed",
        group="pages",
    ),
    Action(
        "compare",
        "6",
        "compare",
        "any two configurations side by side in large type; it opens on the recommendation against the start",
        group="pages",
    ),
    Action(
        "brief",
        "7,B",
        "report",
        "the customer's report: recommendation, parts, your own words, and writing it",
        shown_key="7",
        group="pages",
    ),
    Action(
        "plan",
        "8",
        "plan",
        "which run is worth its minutes next, what it should read, the order and the clock",
        group="pages",
    ),
    Action(
        "track",
        "9",
        "track",
        "what configurations and parts are worth in seconds a lap of the customer's track",
        group="pages",
    ),
    Action(
        "library",
        "0",
        "library",
        "what each part did on other cars, and how far the next car may differ",
        group="pages",
    ),
    Action("units", "u", "units", "change the units everywhere: SI, US customary, SI with kgf"),
    Action("explain", "question_mark", "help", "explain this screen: keys, columns, terms", shown_key="?"),
    Action("choose", "o", "open", "open another day", on_footer=False),
    Action(
        "join",
        "J",
        "join days",
        "other days of this car beside the open one: how far they lie apart, and parts compared across them",
        on_footer=False,
    ),
    Action("sunlight", "t", "theme", "change between dark and black on white for sunlight", on_footer=False),
    Action("picture", "w", "picture", "save a picture of this screen (SVG)", on_footer=False),
    Action(
        "undo",
        "U,ctrl+z",
        "undo",
        "take the last step of the day back, over restarts as well",
        on_footer=False,
    ),
    Action("redo", "R,ctrl+y", "redo", "do again what was taken back last", on_footer=False),
    Action(
        "save_again",
        "f5",
        "save again",
        "save once more, after a full or read-only disk was mended",
        on_footer=False,
    ),
    Action("leave", "q", "quit", "leave", on_footer=False),
)


def read(path: str) -> Loaded:
    """Read a session, in a thread."""
    from tui.host.loading import load  # noqa: PLC0415 - not for the chooser

    return load(str(Path(path).resolve()))


def judged_again(day: Day) -> tuple[Day, tuple[JudgedReading, ...]]:
    """Hold every reading of a day against what is expected of it, in a thread."""
    from balance.decide.plan.entry_guard import far_readings  # noqa: PLC0415 - after the first paint
    from tui.host.expected_lines import plan_of  # noqa: PLC0415 - after the first paint

    return day, far_readings(day.session, plan_of(day.session))


class ActionCommands(Provider):
    """Offers each action with its help and its key."""

    def _commands(self) -> Iterator[tuple[str, str, Callable[[], Awaitable[None]]]]:
        for owner, actions in ((self.screen, actions_of(self.screen)), (self.app, APP)):
            for action in actions:
                words = f"{action.label}: {action.help}"
                yield words, f"key {action.shown_key or action.key}", partial(self._run, owner, action.id)

    async def _run(self, owner: object, action: str) -> None:
        await (self.app if owner is self.app else self.screen).run_action(action)

    async def discover(self) -> Hits:
        """Offer everything while nothing is typed."""
        for words, key, run in self._commands():
            yield DiscoveryHit(words, run, help=key)

    async def search(self, query: str) -> Hits:
        """Offer what fits the words typed."""
        matcher = self.matcher(query)
        for words, key, run in self._commands():
            if (score := matcher.match(words)) > 0:
                yield Hit(score, matcher.highlight(words), run, help=key)


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
    COMMANDS: ClassVar = {get_system_commands_provider, ActionCommands}
    ACTIONS: ClassVar = APP
    BINDINGS: ClassVar = bindings(ACTIONS)

    def __init__(
        self,
        session: str | None = None,
        *,
        at_rest: Callable[[], object] | None = None,
        looking: bool = False,
    ) -> None:
        super().__init__()
        self._at_rest = at_rest
        """Called once the first picture stands, and once its first intervals do."""
        self.remembered = recall()
        self._first = None if session is None else begin(partial(read, session))
        self._loads = Latest(self, self.take_in)
        self._draws = Latest(self, self._take_drawn)
        self._recommends = Latest(self, self._take_recommended)
        self._judges = Latest(self, self._take_judged)
        self._judged: Day | None = None
        """The day whose readings were held against what is expected of them."""
        self.open_day = DayOnScreen(self, looking=looking)
        self._keys = Keys(self, super().on_event, lambda: self.open_day.opening or self.open_day.looks_at_run)
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
        self.set_reactive(AxletrimApp.theme, self.remembered.theme if known else DARK.name)
        # told once styles were read, Textual would read and apply all of them again
        self.stylesheet.set_variables(self.get_css_variables())
        self.set_reactive(AxletrimApp.state, State(units=self.remembered.units or "si"))

    @property
    def pressed_at(self) -> float:
        """When the key was pressed that is acted upon."""
        return self._keys.pressed_at

    async def on_event(self, event: events.Event) -> None:
        """Have keys act in the order they were pressed."""
        if isinstance(event, Key | Paste) and not event.is_forwarded:
            await self._keys.take(event)
        else:
            await super().on_event(event)

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Leave of Textual's own commands the panel of keys; our palette has words for the rest."""
        return (command for command in super().get_system_commands(screen) if command.title == "Keys")

    def get_default_screen(self) -> Screen[Any]:
        """Start on the runs: a blank screen below them would be laid out and styled for nothing."""
        return Home()

    def on_mount(self) -> None:
        """Open the session asked for, or let one be chosen."""
        if self._first is None:
            self.push_screen(Chooser(self.remembered.recent), self.opened)
        else:
            self._take_first(self._first)
        self.set_interval(POLL_SECONDS, self.look_for_changes)
        end_without_terminal(self._keep_all)
        if self._at_rest is not None:
            once_shown(self, self._at_rest)

    def _keep_all(self) -> None:
        """Put on the disk what was typed, and give the day free."""
        self.open_day.flush()
        self.open_day.close()

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
            if not (Path(loaded.path) / "runs.csv").exists() and self.open_day.path != loaded.path:
                self.open_day.open(loaded.path)  # the journal may have the table that is gone
            return
        self._shown = loaded
        if self.state.path not in ("", loaded.path):
            self._leave_pages()
        self._take_units(loaded)
        speed = None if loaded.path == self.state.path else self.remembered.speed_of(loaded.path)
        if loaded.blank is not None:
            self.state = self.state.with_blank(loaded.blank, loaded.path, speed=speed)
        if loaded.day is not None and loaded.day is self.state.day:
            self.state = self.state.with_faults(())
        elif loaded.day is not None:
            self.state = self.state.with_day(loaded.day, loaded.path, speed=speed, unlikely=loaded.unlikely)
            self.assess()
        self.keep()
        if self.open_day.path != loaded.path or self._ask_again:
            self._ask_again = False
            self.open_day.open(loaded.path)

    def _leave_pages(self) -> None:
        """Go back to the runs: no page may show the figures of the day before."""
        while any(isinstance(screen, Home) for screen in self.screen_stack[:-1]):
            self.pop_screen()

    def _take_units(self, loaded: Loaded) -> None:
        """Show a session in the units in which it was written down, unless somebody has chosen others."""
        session, before = loaded.blank if loaded.day is None else loaded.day.session, self.state.session
        known = before is not None and loaded.path == self.state.path and bool(before.columns)
        if session is not None and not self.remembered.units and not known:
            from balance.tell.figures import show_of  # noqa: PLC0415 - after the first paint
            from balance.units.shown import name_of  # noqa: PLC0415 - after the first paint

            self.state = replace(self.state, units=name_of(show_of(session).system))

    def take_session(self, session: Session, path: str) -> None:
        """Show a session as it is being worked on; its figures are worked out in a worker."""
        from tui.host.loading import Loaded, files_of, reduced, stamps_of  # noqa: PLC0415 - after the first paint

        files = files_of(path)
        stamps = stamps_of(files)
        self._watched = Loaded(path=path, files=files, stamps=stamps)
        shown = self._shown
        self._loads.ask(lambda: reduced(session, path, files, stamps, shown))

    def take_faults(self, faults: tuple[Fault, ...]) -> None:
        """Show what is wrong with the files of the session that is open."""
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
        if self.state.path and not self.open_day.changed_outside(self.state.path):
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
        if self._at_rest is not None:
            once_shown(self, self._at_rest)
            self._at_rest = None
        self.find_recommended()
        if figures.day is not self._judged and figures.day is self.state.day:
            self._judged = figures.day
            self._judges.ask(partial(judged_again, figures.day))

    def _take_judged(self, found: tuple[Day, tuple[JudgedReading, ...]]) -> None:
        self.state = self.state.with_far(*found)

    def find_recommended(self) -> None:
        """Have it worked out what the day arrives at; where neither it nor the report has changed, that stands."""
        day, before = self.state.day, self.state.recommended
        if day is None or self.state.pending:
            return
        from balance.tell.report.recommended import recommended  # noqa: PLC0415 - after the first paint

        self._recommends.ask(lambda: recommended(day, before))

    def _take_recommended(self, found: Recommended) -> None:
        self.state = self.state.with_recommended(found)

    def look_for_changes(self) -> None:
        """Read the session again when one of its files was changed outside."""
        self.open_day.tick()
        if self._watched is None:
            return
        from tui.host.loading import stamps_of  # noqa: PLC0415 - after the first paint

        now = stamps_of(self._watched.files)
        if now != self._watched.stamps:
            self._watched = replace(self._watched, stamps=now)
            if not self.open_day.changed_outside(self._watched.path):
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

    def turn_to_day(self, path: str) -> None:
        """Open another day; what is not saved is asked about first."""
        from tui.features.car_and_day.day_questions import ask_to_leave  # noqa: PLC0415 - only when asked

        if path == self.state.path:
            self.action_runs()
        else:
            self.call_later(partial(ask_to_leave, self, lambda: self.opened(path)))

    def action_sunlight(self) -> None:
        """Change between dark and black on white."""
        self.theme = DARK.name if self.theme == SUNLIGHT.name else SUNLIGHT.name
        self.keep()

    async def action_picture(self) -> None:
        """Save a picture of the screen."""
        drawing = picture(self)
        try:
            path = await self.open_day.saving.write(lambda: save_picture(drawing))
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
        self.open_day.close()
        self.open_day.saving.writer.end()

    def action_undo(self) -> None:
        """Take the last step of the day back."""
        self.open_day.undo()

    def action_redo(self) -> None:
        """Do again what was taken back last."""
        self.open_day.redo()

    def action_save_again(self) -> None:
        """Bring to the disk what is not there yet."""
        self.open_day.save_again()

    def show_live(self) -> None:
        """Show the rows of the watched file, or ask which file to watch."""
        from tui.features.watch.watched_file import Live, ask_file  # noqa: PLC0415 - only when asked

        if self.open_day.live is None:
            ask_file(self)
        else:
            self.push_screen(Live())

    def show_import(self) -> None:
        """Ask which table to import."""
        from tui.features.importing.importing import ask_import  # noqa: PLC0415 - only when asked

        ask_import(self)


def picture(app: App[None]) -> str:
    """Draw what is on the screen as SVG that needs no network: fonts are those of the reader's machine."""
    return _REMOTE_FONT.sub("", app.export_screenshot(title="axletrim"))


def save_picture(drawing: str) -> Path:
    """Save a picture where the program was started, or in the user's data folder."""
    from balance.files.day.durable import write_atomically  # noqa: PLC0415 - only when a picture is saved

    name = f"axletrim_{datetime.now().astimezone():%Y-%m-%d_%H%M%S}.svg"
    try:
        path = Path.cwd() / name
        write_atomically(path, drawing.encode())
    except (OSError, SaveError):  # the folder may be gone, or closed
        from platformdirs import user_data_path  # noqa: PLC0415 - only where the first place fails

        path = user_data_path("axletrim") / name
        with suppress(OSError):  # said by what follows
            path.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(path, drawing.encode())
    return path
