"""Which column of a watched file is which of the session: asked column by column, and never guessed silently."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.header.file_column import FileColumn
from balance.files.tables.importing.plan import ImportOptions, Question
from balance.model.errors import AxletrimError
from tui.features.watch.decimal_question import ask_decimal
from tui.host.import_answers import ask_answer
from tui.host.live_file import column_words
from tui.host.mapping_page import FileColumns, MappingPage
from tui.host.questions import Choice

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.files.day.run_sheet import RunSheet
    from balance.files.formats.runs_header import ColumnPlan
    from tui.host.host import Host
    from tui.host.live_file import LiveFile

_DECIMAL, _ASKED = "\tdecimal", "\tasked"
"""Answers that no header and no name of a column can be, for they hold a tab."""
_HOW = ("Pick one, and say which column of the file it is. Rows become runs once this list is left.",)


def ask_columns(app: Host, cursor: str = "") -> None:
    """List the columns of the session that the watched file has not by their own headers, and ask about one."""
    live, day = app.open_day.live, app.open_day.ready()
    if live is None or day is None:
        return
    if not live.header:
        app.notify(f"{live.name} has no header yet", severity="warning", markup=False)
        return
    live.map_columns(under_way=True)
    MappingPage(app, WatchedColumns(app, live, day.sheet)).show(cursor)


def columns_to_say(app: Host) -> bool:
    """Return whether rows of the watched file wait, and columns that they lack seem to be in it under other words."""
    live, day = app.open_day.live, app.open_day.day
    if live is None or day is None or not live.waiting:
        return False
    return bool(WatchedColumns(app, live, day.sheet).suggested())


class WatchedColumns(FileColumns):
    """The columns of a session in the file that it watches."""

    def __init__(self, app: Host, live: LiveFile, sheet: RunSheet) -> None:
        self._app, self._live = app, live
        self._plans = _plans(live, sheet)

    def _plan(self, name: str) -> ColumnPlan:
        return next(plan for plan in self._plans if plan.name == name)

    @property
    def title(self) -> str:
        """What stands above the list."""
        if self._plans:
            return f"Columns of the day that are not in {self._live.name} by their own header"
        return f"{self._live.name} has every column of the day by its own name and unit"

    @property
    def lines(self) -> tuple[str, ...]:
        """What is to be known."""
        return _HOW if self._plans else ()

    def wanted(self) -> list[tuple[str, str, str]]:
        """Return the columns that the file has not by their own headers."""
        return [(plan.name, plan.header, _state(self._live, plan)) for plan in self._plans]

    def suggested(self) -> list[tuple[str, str]]:
        """Return those of which nothing is said, with what they seem to be."""
        unsaid = (plan for plan in self._plans if plan.name not in self._live.called)
        return [(plan.name, near[0]) for plan in unsaid if (near := _near(self._live, plan))]

    def more(self) -> list[Choice]:
        """Return the decimal mark, and what the file as a whole leaves open."""
        decimal = Choice(",", "decimal mark", more=self._live.mark_words, value=_DECIMAL)
        asked = [Choice("?", one.text, value=_ASKED) for one in self._live.questions[:1]]
        return [decimal, *asked]

    def question(self, name: str) -> str:
        """Return the question for a header."""
        return f"Which column of {self._live.name} is {self._plan(name).header}?"

    def headers(self, name: str) -> list[tuple[str, str]]:
        """Return the headers that are no column yet, those likely first."""
        from balance.files.tables.header.mapping import likely  # noqa: PLC0415 - only when asked

        live = self._live
        used = _used(live)
        free = [text for text in live.header if text and text not in used]
        if (now := self.chosen(name)) in live.header and now:
            free.insert(0, now)
        near = likely(self._plan(name), free)

        def more(header: str) -> str:
            figures = live.figures(header)
            words = ["perhaps"] if header in near else []
            return " · ".join([*words, *([f"last: {figures[-1]}"] if figures else [])])

        return [(text, more(text)) for text in (*near, *(text for text in free if text not in near))]

    def chosen(self, name: str) -> str:
        """Return the header that was said."""
        now = self._live.called.get(name)
        return now.header if now else ""

    def settle(self, name: str, header: str, then: Callable[[], None] | None = None) -> None:
        """Take a header for a column."""
        _settle(self._app, self._live, self._plan(name), header, ImportOptions(), then)

    def leave_out(self, name: str) -> None:
        """Take it that the file has no such column."""
        _keep(self._app, self._live, self._plan(name), None)

    def say(self, value: str) -> None:
        """Ask for the decimal mark, or for what the file leaves open."""
        if value == _DECIMAL:
            ask_decimal(self._app, lambda: ask_columns(self._app, _DECIMAL))
        elif self._live.questions:
            _answer(self._app, self._live, self._live.questions[0])

    def left(self) -> None:
        """Try the rows with what was said."""
        if self._app.open_day.live is self._live:
            self._live.map_columns(under_way=False)


def _ask_again(app: Host, name: str) -> None:
    """Ask once more which header a column has."""
    live, day = app.open_day.live, app.open_day.ready()
    if live is not None and day is not None:
        MappingPage(app, WatchedColumns(app, live, day.sheet)).ask(name)


def _answer(app: Host, live: LiveFile, question: Question) -> None:
    """Ask what the file as a whole leaves open, in the words of an import."""

    def take(options: ImportOptions | None) -> None:
        if options is not None and app.open_day.live is live:
            live.answer(options)
        ask_columns(app)

    ask_answer(app, question, live.answers, take, choices=question.choices)


def _plans(live: LiveFile, sheet: RunSheet) -> tuple[ColumnPlan, ...]:
    """List the columns to ask about; a speed that only the file has would be a new one of the day."""
    from balance.files.tables.header.mapping import (  # noqa: PLC0415 - only when asked
        columns_asked,
        speed_header,
        unsaid_speed,
    )

    plans = columns_asked(sheet, live.header, live.called)
    speed = unsaid_speed(sheet, live.header, live.called)
    if not speed or "speed" in sheet.names("condition"):
        return plans
    return (*plans, sheet.with_columns([speed_header(speed)]).plan("speed"))


def _near(live: LiveFile, plan: ColumnPlan) -> tuple[str, ...]:
    """List the headers that seem to be a column, of those that are none yet."""
    from balance.files.tables.header.mapping import likely  # noqa: PLC0415 - only when asked

    used = _used(live)
    return likely(plan, [text for text in live.header if text not in used])


def _state(live: LiveFile, plan: ColumnPlan) -> str:
    """State what is known of a column."""
    column = live.called.get(plan.name)
    if column is not None:
        return column_words(plan, column) if column.header else "said to be in none of them"
    near = _near(live, plan)
    need = "NEEDED" if plan.role == "reading" else "not found"
    return f"{need}: '{near[0]}' perhaps" if near else need


def _used(live: LiveFile) -> set[str]:
    """Return the headers that are a column of the session already."""
    from balance.files.tables.header.mapping import columns_found  # noqa: PLC0415 - only when asked

    return set(columns_found(live.day.sheet, live.header, live.called))


def _settle(
    app: Host,
    live: LiveFile,
    plan: ColumnPlan,
    header: str,
    options: ImportOptions,
    then: Callable[[], None] | None = None,
) -> None:
    """Ask for unit and sign where the header does not say them, keep the column, and go on."""
    from balance.files.tables.header.mapping import column_of  # noqa: PLC0415 - only when asked

    table = live.table
    if table is None:
        return
    try:
        found = column_of(plan, header, table, live.figures(header), options)
    except AxletrimError as fault:
        app.notify(str(fault), severity="error", markup=False, timeout=10)
        _ask_again(app, plan.name)
        return
    if not isinstance(found, Question):
        _keep(app, live, plan, found, then)
        return

    def take(answered: ImportOptions | None) -> None:
        if answered is None:
            _ask_again(app, plan.name)
        else:
            _settle(app, live, plan, header, answered, then)

    title = f"{plan.header}: {found.text}"
    other = "another unit, to be typed" if found.field == "units" else ""
    ask_answer(app, found, options, take, choices=found.choices, title=title, other=other)


def _keep(
    app: Host,
    live: LiveFile,
    plan: ColumnPlan,
    column: FileColumn | None,
    then: Callable[[], None] | None = None,
) -> None:
    """Keep what was said, and go on with the next column that is needed."""
    called = {name: known for name, known in live.called.items() if name != plan.name}
    day = live.day
    if column is not None:
        if plan.name not in [one.name for one in day.sheet.plans]:
            live.open_day.change(f"column {plan.header} added", day.sheet.with_columns([plan.header]))
            if plan.name not in [one.name for one in day.sheet.plans]:  # why not, was said
                ask_columns(app, plan.name)
                return
        called[plan.name] = column
    elif plan.name == "speed":
        called[plan.name] = FileColumn(header="")  # said: none of them is the speed of the runs
    live.call(called)
    if app.open_day.live is not live:
        return
    if then is not None:
        then()
        return
    rest = [one for one in day.sheet.force_columns if one.name not in called]
    last = plan.name if isinstance(live.mark, str) else _DECIMAL
    ask_columns(app, next((one.name for one in rest), last))
