"""A table of somebody else's, understood on one page: what is open is asked, what is left out has its reason."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from functools import partial
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING, ClassVar

from balance.files.session_path import folder_name
from balance.files.tables.importing.plan import ImportOptions, ImportPlan, ImportStopped
from balance.model.errors import AxletrimError, InputError
from balance.tell.import_text import import_page
from balance.tell.table import EMPTY, Cell, Column
from tui.host.actions import Action, closing
from tui.host.import_answers import ask_answer, offered
from tui.host.page import Page, blanks
from tui.host.questions import AskText
from tui.widgets.key_footer import KeyFooter
from tui.widgets.line_table import LineTable
from tui.widgets.plain import pack
from tui.widgets.sheet import Sheet

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.app import ComposeResult

    from balance.files.tables.importing.plan import Question
    from balance.model.records import Session
    from tui.host.host import Host

_COLUMNS = (
    Column(key="text", title="to answer", width=30, flexible=True),
    Column(key="choices", title="one of", width=24, priority=2),
)
_NOTHING_OPEN = "nothing left to ask: F10 writes the day, F9 adds the runs to the open day"

IMPORT = (
    Action("answer", "enter", "answer", "answer the question under the cursor"),
    Action("same_as_last", "f3", "as last time", "answer as for the last file with these columns"),
    Action("write", "f10", "import", "write the day, once nothing is left to ask"),
    Action("columns", "f6", "columns", "say which column of the file is what", on_footer=False),
    Action("join", "f9", "into the day", "add the runs to the open day as one step", on_footer=False),
    Action("stop", "f8", "stop", "stop reading a long file; nothing is written", on_footer=False),
    closing("back", "go back; nothing is written"),
)


class Importing(Page[str | None]):
    """Questions above, the whole plan below; gives the folder of the session written."""

    ACTIONS: ClassVar = IMPORT

    def __init__(self, file: str, vehicle: str) -> None:
        super().__init__()
        self._file, self._vehicle = file, vehicle
        self._options = ImportOptions()
        self._plan: ImportPlan | None = None
        self._stop = Event()
        self._share = ""
        self._then: Callable[[ImportPlan, ImportOptions], None] | None = None
        self._mapped = False
        """Whether it was looked at whether columns have to be said first."""
        self._at_work = ""
        """What a thread is doing, or nothing."""

    def compose(self) -> ComposeResult:
        """Lay out head, questions and plan."""
        yield from blanks("head", "banner")
        yield LineTable(_COLUMNS, id="questions", empty=_NOTHING_OPEN)
        yield Sheet(id="plan")
        yield KeyFooter()

    def on_mount(self) -> None:
        """Begin to read."""
        self.query_one("#banner").display = False
        self.set_focus(self.query_one(LineTable))
        self._begin(self._options)

    def on_unmount(self) -> None:
        """Stop whatever is still being read."""
        self._stop.set()

    def on_resize(self) -> None:
        """Fold the page anew."""
        self._show()

    def _begin(self, options: ImportOptions) -> None:
        """Understand the file with some answers, in a thread that can be stopped."""
        self._stop.set()
        self._stop = Event()
        self._at_work = "reading …"
        self.run_worker(partial(self._understand, options, self._stop), thread=True)

    def _understand(self, options: ImportOptions, stop: Event) -> None:
        from balance.files.tables.importing.planning import plan_import  # noqa: PLC0415 - in the thread

        found: ImportPlan | AxletrimError
        try:
            found = plan_import(
                self._file, vehicle=self._vehicle, options=options, progress=self._progress, stop=stop
            )
        except AxletrimError as fault:
            found = fault
        if self.app.is_running:
            self.app.call_from_thread(self._take, options, found, stop)

    def _progress(self, share: float, words: str) -> None:
        """Show how far a thread has come."""
        said = f"{words}: {share:.0%}"
        if said != self._share:
            self._share = said
            self.app.call_from_thread(self._show)

    def _take(self, options: ImportOptions, found: ImportPlan | AxletrimError, stop: Event) -> None:
        """Take in a plan, unless another one is asked for by now."""
        if stop is not self._stop or not self.is_attached:
            return
        self._share = self._at_work = ""
        if isinstance(found, ImportPlan):
            self._options, self._plan = options, found
        elif isinstance(found, ImportStopped):
            self.notify("stopped; nothing was written")
        else:
            self._say(str(found))
        self._show()
        if not self._mapped and self._plan is not None:
            self._mapped = True
            self._map_first(self._plan)
        then, self._then = self._then, None
        if then is not None and self._plan is not None:
            then(self._plan, self._options)

    def _say(self, text: str) -> None:
        self.write_lines("#banner", self.folded(f"× {text}") if text else [])

    def _show(self) -> None:
        """Show the plan as far as it is known; a thread may still tell of it once the screen is left."""
        if not self.is_attached:
            return
        plan, width = self._plan, max(self.size.width - 4, 20)
        head = f"import {Path(self._file).name} · car: {Path(self._vehicle).parent.name}"
        if self._share:
            head += f" · {self._share} · F8 stops"
        elif plan is not None:
            runs, dropped = len(plan.rows), len(plan.dropped)
            head += f" · {runs} run{'s' * (runs != 1)}, {dropped} row{'s' * (dropped != 1)} left out"
            head += " · Enter answers" if plan.questions else ""
        self.write_lines("#head", pack(head, width))
        table = self.query_one(LineTable)
        questions = plan.questions if plan is not None else ()
        table.empty = self._at_work or _NOTHING_OPEN
        if plan is None and not self._at_work:
            table.empty = "nothing was read and nothing was written: esc goes back"
        table.styles.height = min(max(len(questions), 1) + 2, self.size.height // 3)
        table.set_source(len(questions), self._cell)
        self.query_one(Sheet).show(_page(plan, width) if plan is not None else [])

    def _cell(self, row: int, key: str) -> Cell:
        if self._plan is None or row >= len(self._plan.questions):
            return EMPTY
        question = self._plan.questions[row]
        return Cell(question.text if key == "text" else " | ".join(offered(self._plan, question)))

    def on_line_table_row_chosen(self) -> None:
        """Answer the question under the cursor."""
        self.action_answer()

    def action_answer(self) -> None:
        """Let one of the choices be picked, or an answer be typed."""
        plan, row = self._plan, self.query_one(LineTable).cursor
        if plan is None or row >= len(plan.questions):
            return
        question = plan.questions[row]

        def take(options: ImportOptions | None) -> None:
            if options is not None:
                self._say("")
                self._begin(options)

        hint = f"on the command line: {question.option}"
        ask_answer(self.app, question, self._options, take, choices=offered(plan, question), hint=hint)

    def action_same_as_last(self) -> None:
        """Answer as for the last file with these columns."""
        from balance.files.tables.importing.remembered import filled, recall  # noqa: PLC0415 - only when asked

        last = recall(self._plan.shape) if self._plan is not None and self._plan.shape else None
        if last is None:
            self.notify("no file with these columns was imported before")
            return
        self._begin(filled(self._options, last))

    def action_stop(self) -> None:
        """Stop reading or writing."""
        self._stop.set()

    def _map_first(self, plan: ImportPlan) -> None:
        """Begin with the page of the columns where one that every day has is not found."""
        from tui.features.importing.import_columns import ImportColumns  # noqa: PLC0415 - only when asked

        if ImportColumns(self.app, plan, self._options, self._read_again).missing():
            self.action_columns()

    def action_columns(self) -> None:
        """Ask which column of the file is what."""
        from tui.features.importing.import_columns import ImportColumns  # noqa: PLC0415 - only when asked
        from tui.host.mapping_page import MappingPage  # noqa: PLC0415 - only when asked

        if self._plan is not None and self._plan.columns and not self._at_work:
            MappingPage(self.app, ImportColumns(self.app, self._plan, self._options, self._read_again)).show()

    def _read_again(self, options: ImportOptions, then: Callable[[ImportPlan, ImportOptions], None]) -> None:
        """Understand the file with other answers, and go on with what comes of it."""
        self._then = then
        self._begin(options)

    def action_join(self) -> None:
        """Add the runs to the open day."""
        if self._plan is not None and not self._at_work:
            self._join(self._plan, ImportOptions())

    def _join(self, plan: ImportPlan, answers: ImportOptions) -> None:
        """Add the runs of a plan to the open day as one step of it, and ask first what is open about that."""
        from balance.files.tables.importing.into_a_day import join, open_for  # noqa: PLC0415 - only when asked

        day = self.app.open_day.ready()
        if day is None:
            return
        if open_for(plan) or not plan.rows:
            self.app.notify("first answer what is open")
            return
        try:
            joined = join(day.sheet, plan, answers)
        except AxletrimError as fault:
            self.app.notify(str(fault), severity="error", markup=False, timeout=10)
            return
        if joined.questions:
            self._ask_before_adding(plan, answers, joined.questions[0])
            return
        there = f"{len(joined.there)} of its runs are in the day already" if joined.there else ""
        left = (
            f"records without a column in the day are left out: {', '.join(joined.left)}"
            if joined.left
            else ""
        )
        if joined.sheet is not None and joined.added:
            runs = "1 run" if len(joined.added) == 1 else f"{len(joined.added)} runs"
            self.app.open_day.change(f"{runs} imported from {plan.source.name}", joined.sheet)
            self.dismiss(None)
            there = " · ".join(
                text for text in (f"{runs} added to the day; U takes them back", there, left) if text
            )
        self.app.notify(there, markup=False, timeout=10)

    def _ask_before_adding(self, plan: ImportPlan, answers: ImportOptions, question: Question) -> None:
        def take(options: ImportOptions | None) -> None:
            if options is not None:
                self._join(plan, options)

        ask_answer(self.app, question, answers, take, choices=question.choices, other="")

    def action_write(self) -> None:
        """Ask for the folder, and write the session."""
        plan = self._plan
        if plan is None or plan.questions:
            self.notify("first answer what is open")
            return
        if self._at_work:
            self.notify(f"{self._at_work} · F8 stops")
            return
        home = Path(self._vehicle).parent / (folder_name(Path(self._file).stem) or "imported")

        def check(text: str) -> None:
            if not text:
                raise InputError("found nothing, expected a folder")
            folder = Path(text).expanduser()
            with suppress(OSError):  # what may not be looked into is said when it is written
                if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
                    raise InputError(
                        f"{folder}: found something there already, expected an absent or empty folder"
                    )

        def take(text: str | None) -> None:
            if text is not None:
                self._write(plan, text)

        self.app.push_screen(
            AskText("Write the day into which folder?", value=str(home), hint="absent or empty", check=check),
            take,
        )

    def _write(self, plan: ImportPlan, folder: str) -> None:
        """Write the session in a thread that can be stopped."""
        self._stop = Event()
        self._at_work = "writing …"
        self.run_worker(partial(self._write_whole, plan, folder, self._stop), thread=True)

    def _write_whole(self, plan: ImportPlan, folder: str, stop: Event) -> None:
        from balance.files.tables.importing.writing import write_import  # noqa: PLC0415 - in the thread

        written: Session | AxletrimError
        try:
            written = write_import(plan, Path(folder).expanduser(), progress=self._progress, stop=stop)
        except AxletrimError as fault:
            written = fault
        if self.app.is_running:
            self.app.call_from_thread(self._take_written, plan, written)

    def _take_written(self, plan: ImportPlan, written: Session | AxletrimError) -> None:
        """Open what was written, or say why it was not."""
        self._share = self._at_work = ""
        if not self.is_attached:  # left, and not stopped in time
            if not isinstance(written, AxletrimError):
                self.app.notify(f"the day was written all the same: {written.folder}", markup=False)
            return
        if isinstance(written, ImportStopped):
            self.notify("stopped; nothing was written")
        elif isinstance(written, AxletrimError):
            self._say(str(written))
        else:
            from balance.files.tables.importing.remembered import remember  # noqa: PLC0415 - only when written

            self.app.open_day.saving.writer(lambda: remember(plan.shape, self._options))
            count = len(written.runs)
            self.app.notify(f"{count} runs imported; the file is kept beside them as it came", markup=False)
            self.dismiss(written.folder)
            return
        self._show()


def _page(plan: ImportPlan, width: int) -> list[tuple[str, str]]:
    """Return what is understood, assumed and left out; the questions stand in the table."""
    titles = ("Columns", "Understood", "Assumed", "Not stated", "Dropped")
    lines = import_page(replace(plan, questions=()), width).split("\n")[1:]
    return [(line, "heading" if line in titles else "") for line in lines if line]


def ask_import(app: Host) -> None:
    """Ask which file is to be imported for the car at hand, and open what becomes of it."""
    from tui.host.loading import files_of  # noqa: PLC0415 - only when asked

    if not app.state.path:
        return
    vehicle = str(files_of(app.state.path)[2].resolve())

    def check(text: str) -> None:
        if not text or not Path(text).expanduser().is_file():
            raise InputError("found no such file, expected a table as CSV, text or XLSX")

    def take(text: str | None) -> None:
        if text is not None:
            app.push_screen(Importing(str(Path(text).expanduser()), vehicle), app.opened)

    car = app.state.session.vehicle.name if app.state.session is not None else "this car"
    app.push_screen(
        AskText(f"Import which file, as a day of {car}?", hint="CSV, text or XLSX", check=check), take
    )
