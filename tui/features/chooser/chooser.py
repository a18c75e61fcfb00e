"""The chooser: sessions opened lately, newest first, the invented demo, or any folder."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.containers import Vertical
from textual.widgets import Input, Static

from balance.tell.figures import age_words
from balance.tell.table import Cell
from tui.host.actions import CLOSE, Action
from tui.host.page import Page
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import Column, LineTable

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.app import ComposeResult

    from tui.host.remembered import Recent

_COLUMNS = (
    Column(key="title", title="day", width=20, flexible=True, priority=0),
    Column(key="car", title="car", width=26, priority=2),
    Column(key="age", title="opened", width=14, priority=1),
    Column(key="folder", title="folder", width=28, priority=3),
)

CHOOSER = (
    Action("type_path", "f4", "type a path", "type the folder of a day", shown_key="f4"),
    Action("new_session", "f2", "new day", "begin a new day of a car"),
    Action("new_car", "f3", "new car", "begin a new car, and a first day of it"),
    *CLOSE,
)


class Chooser(Page[str | None]):
    """Gives the path of the session chosen."""

    ACTIONS: ClassVar = CHOOSER

    def __init__(self, recent: Sequence[Recent]) -> None:
        super().__init__()
        there = [entry for entry in recent if (Path(entry.path) / "session.toml").exists()]
        self._recent = sorted(there, key=lambda entry: -entry.opened)

    def compose(self) -> ComposeResult:
        """Lay out the list and the field for a path."""
        with Vertical(classes="sheet"):
            yield Static("Open a day", classes="heading")
            yield LineTable(_COLUMNS, id="recent")
            yield Static("", id="unsaved", markup=False)
            yield Input(placeholder="or type the folder of a day and press Enter", id="path")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Fill the list, newest first; the demo stands last."""
        table = self.query_one(LineTable)
        table.set_source(len(self._recent) + 1, self._cell)
        self.set_focus(table)
        from balance.files.day.day_journal import waiting_journals  # noqa: PLC0415 - only when shown

        kept = [
            f"! '{one.steps[-1]}' of {one.title or 'a day'} is typed and not saved: open its folder, wherever it is now"
            for one in waiting_journals()
        ]
        self.write_lines("#unsaved", kept)

    def _cell(self, row: int, key: str) -> Cell:
        if row == len(self._recent):
            texts = {
                "title": "invented demo day",
                "car": "an invented hatchback",
                "age": "",
                "folder": "a copy of your own",
            }
            return Cell(texts[key], "muted")
        entry = self._recent[row]
        texts = {
            "title": entry.title or Path(entry.path).name,
            "car": entry.car,
            "age": age_words(time.time() - entry.opened) if entry.opened > 0 else "",
            "folder": f"{Path(entry.path).parent.name}/{Path(entry.path).name}",
        }
        return Cell(texts[key])

    def on_line_table_row_chosen(self, message: LineTable.RowChosen) -> None:
        """Open the row chosen."""
        if message.index < len(self._recent):
            self.dismiss(self._recent[message.index].path)
            return
        from balance.model.errors import InputError  # noqa: PLC0415 - only when asked
        from tui.host.demo import demo_session  # noqa: PLC0415 - only when asked

        try:
            self.dismiss(str(demo_session()))
        except InputError as fault:
            self.notify(str(fault), severity="error", markup=False)

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Open the path typed, if a session is there."""
        from balance.files.session_path import session_folder  # noqa: PLC0415 - only when asked
        from balance.model.errors import InputError  # noqa: PLC0415 - only when asked

        try:
            self.dismiss(str(session_folder(Path(message.value.strip()).expanduser())))
        except InputError as fault:
            self.notify(str(fault), severity="error", markup=False, timeout=8)

    def action_new_car(self) -> None:
        """Begin a new car, and then a session of it."""
        self.app.new_car(lambda car: None if car is None else self._new_session(car))

    def action_new_session(self) -> None:
        """Begin a new session of the car seen last, else of the first one here."""
        from balance.files.formats.new_files import VEHICLE_FILE  # noqa: PLC0415 - only when asked
        from tui.host.demo import is_demo  # noqa: PLC0415 - only when asked

        here = Path.cwd()
        cars = [Path(entry.path).parent for entry in self._recent if not is_demo(Path(entry.path).parent)]
        cars += [here, *sorted(file.parent for file in here.glob(f"*/{VEHICLE_FILE}"))]
        car = next((str(car) for car in cars if (car / VEHICLE_FILE).exists()), "")
        self._new_session(car)

    def _new_session(self, car: str) -> None:
        def take(folder: str | None) -> None:
            if folder is not None:
                self.dismiss(folder)

        self.app.new_session(car, time.strftime("%Y-%m-%d"), take)

    def action_type_path(self) -> None:
        """Go to the field for a path."""
        self.set_focus(self.query_one(Input))  # at once, so that a path pasted reaches it whole
