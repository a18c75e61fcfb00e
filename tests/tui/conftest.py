"""The interface in a place of its own: nothing of the user's is read or written."""

import asyncio
import json
import shutil
import time
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.widgets import Input, TextArea

from tests.small_session import HEAD, SESSION, VEHICLE, Desk
from tests.terminal import PATIENCE
from tui.app.app import AxletrimApp
from tui.host.loading import load
from tui.widgets.typed_form import FormRow

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "vehicles" / "brindlow_hatch"
HERE = Path(__file__).parent
QUICK = set(HERE.joinpath("quick.txt").read_text(encoding="utf-8").splitlines())
STARTING = {"running", "opened", "snap_compare"}
"""Fixtures that start the application, which costs some seconds of processor time."""


@pytest.hookimpl(tryfirst=True)  # before marks choose
def pytest_collection_modifyitems(items):
    """Mark as thorough what starts the application, but for the first case of each that quick.txt names."""
    begun = set()
    for item in items:
        if HERE not in item.path.parents or not STARTING & set(getattr(item, "fixturenames", ())):
            continue
        name = f"{item.path.name}::{item.originalname}"
        if name in QUICK and name not in begun:
            begun.add(name)
        else:
            item.add_marker("thorough")


@pytest.fixture(autouse=True)
def steady_cursors(monkeypatch):
    """Keep cursors from blinking: a picture must not hang on the moment it is taken."""
    for field in (Input, TextArea):
        monkeypatch.setattr(field.cursor_blink, "_default", False)


@pytest.fixture(autouse=True)
def place_of_its_own(tmp_path_factory, monkeypatch):
    """Keep state, data and pictures of every test in folders of its own."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("XDG_STATE_HOME", str(home / "state"))
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "data"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.getbasetemp() / "cache"))
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.chdir(home)
    return home


class DayDesk(Desk):
    """A desk with a day of four runs on it, a stated scatter and a named place; files not given stay as they are."""

    vehicle, bare, head = VEHICLE, SESSION, HEAD
    stated = """\
[repeatability]
front = "7 N"
rear = "7 N"
drag = "4 N"
degrees_of_freedom = 20
"""
    places = """\
[[places]]
name = "fast left"
speed = "185 km/h"
"""
    runs = f"{HEAD}1,base,84,260,1150\n2,splitter,-140,275,1162\n3,base,80,262,1152\n4,wing,120,-480,1230\n"

    def __init__(self, folder):
        super().__init__(folder)
        self.write(vehicle=VEHICLE, session=self.bare + self.stated + self.places, runs=self.runs)

    def write(self, **texts):
        return self.replace(**texts)


@pytest.fixture
def desk(tmp_path):
    """A small session that may be bent."""
    return DayDesk(tmp_path)


@pytest.fixture
def demo(tmp_path):
    """A copy of the invented tunnel day."""
    return shutil.copytree(DEMO, tmp_path / "brindlow_hatch") / "tunnel_day"


@pytest.fixture(scope="session")
def day():
    """The invented tunnel day, read once."""
    return load(str(DEMO / "tunnel_day")).day


@pytest.fixture
def remember(place_of_its_own):
    """Write the remembered file: (path, title, car, whole days ago) for each session."""

    def write(*sessions, **others):
        recent = [
            {"path": str(path), "title": title, "car": car, "opened": time.time() - days * 86400 - 60}
            for path, title, car, days in sessions
        ]
        file = place_of_its_own / "state" / "axletrim" / "remembered.json"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps({"recent": recent, **others}), encoding="utf-8")

    return write


class Interface:
    """A running application: press, and look at state and screen."""

    def __init__(self, pilot):
        self.pilot, self.app = pilot, pilot.app

    @property
    def state(self):
        return self.app.state

    @property
    def screen(self):
        return type(self.app.screen).__name__

    @property
    def lines(self):
        strips = self.app.screen._compositor.render_strips()
        return ["".join(segment.text for segment in strip) for strip in strips]

    @property
    def text(self):
        """Everything on the screen, as words with single spaces."""
        return " ".join(" ".join(self.lines).split())

    @property
    def titles(self):
        """The line with the titles of the columns."""
        return next(line for line in self.lines if "configuration" in line and "│" in line)

    @property
    def labels(self):
        """The runs shown, from the top."""
        return [self.state.day.readings.labels[row] for row in self.state.rows]

    def find(self, selector):
        return self.app.screen.query_one(selector)

    async def settle(self):
        """Wait until nothing is under way or asked for, two looks running, and all of it is on the screen."""
        quiet = 0
        while quiet < 2:
            await self.pilot.pause()
            quiet = 0 if self.busy else quiet + 1
            while self.busy:
                await self.pilot.pause(0.005)

    async def until(self, met, doing=None):
        """Look again and again until something is so, on a loaded machine for minutes; between looks do something."""
        end = time.monotonic() + PATIENCE
        while not met():
            assert time.monotonic() < end, f"never so; {self.screen} shows: {self.text}"
            await asyncio.sleep(0.01)
            if doing is not None:
                await doing()

    @property
    def busy(self):
        """Whether a screen is being opened or anything is being worked out."""
        assert self.app._exception is None
        if self.app._exit:
            return False
        opening = not self.app.screen.is_mounted
        return opening or self.app.at_work > 0 or any(not worker.is_finished for worker in self.app.workers)

    async def press(self, *keys):
        """Press keys one after another; a screen that one of them opens is waited for."""
        for key in keys:
            before = self.app.screen
            await self.pilot.press(key)
            if self.app.screen is not before:
                await self.settle()
        await self.settle()

    async def type(self, words):
        await self.press(*words)

    async def type_line(self, words):
        """Put words into the line of a run at once, and wait until they were looked at."""
        self.find("#line").value = words
        while self.app.screen.typing.line != words or self.app.screen.looked_at is not self.app.screen.typing:
            await self.pilot.pause(0.02)
        await self.settle()

    def field(self, key):
        """Give the field of a form, by its key."""
        return next(row for row in self.app.screen.query(FormRow) if row.field.key == key).query_one(Input)

    def hint(self, key):
        """Give what stands in a form's field while it is empty, whole."""
        return next(row for row in self.app.screen.query(FormRow) if row.field.key == key).hint

    async def fill(self, **values):
        """Type into fields of a form by their keys, dots as two underscores."""
        for key, text in values.items():
            field = self.field(key.replace("__", "."))
            self.app.screen.set_focus(field)
            await self.pilot.pause()
            field.value = text
            await self.pilot.pause()
        await self.settle()

    async def look_for_changes(self):
        """Do what the clock does every second."""
        self.app.look_for_changes()
        await self.settle()


@pytest.fixture
def interface_of():
    """Give what presses and looks for an application that somebody else runs."""
    return Interface


@pytest.fixture
def running():
    """Start the interface on a session, and wait until its figures stand."""

    @asynccontextmanager
    async def start(session=None, size=(120, 40), **how):
        app = AxletrimApp(None if session is None else str(session), **how)
        async with app.run_test(size=size, notifications=True) as pilot:
            interface = Interface(pilot)
            await interface.settle()
            yield interface

    return start


@pytest.fixture
def opened(snap_compare):
    """Compare a picture of the interface: on a session, at a size, after some keys."""

    def compare(session, size, *keys, theme=None):
        app = AxletrimApp(None if session is None else str(session))

        async def prepare(pilot):
            interface = Interface(pilot)
            await interface.settle()
            if theme is not None:
                app.theme = theme
            await interface.press(*keys)

        return snap_compare(app, terminal_size=size, run_before=prepare)

    return compare
