"""Which column of a watched file is which of the session: asked column by column, and never guessed silently."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.errors import AxletrimError
from balance.files.foreign.file_column import FileColumn
from balance.files.foreign.plan import ImportOptions, Question
from tui.asking.ask_text import AskText
from tui.asking.pick import Choice, Pick, keyed
from tui.column_words import column_words
from tui.decimal_question import ask_decimal, mark_words
from tui.import_answers import answered

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.files.run_sheet import RunSheet
    from balance.files.runs_header import ColumnPlan
    from tui.app import AxletrimApp
    from tui.live_file import LiveFile

_NONE, _OTHER, _DECIMAL, _ALL, _ASKED = "\tnone", "\tother", "\tdecimal", "\tall", "\tasked"
"""Answers that no header, no name of a column and no unit can be, for they hold no tab."""


def ask_columns(app: AxletrimApp, cursor: str = "") -> None:
    """List the columns of the session that the watched file has not by their own headers, and ask about one.

    Parameters
    ----------
    app : App
        The application.
    cursor : str
        The column that was asked about last, by its name.
    """
    live, day = app.desk.live, app.desk.ready()
    if live is None or day is None:
        return
    if not live.header:
        app.notify(f"{live.name} has no header yet", severity="warning", markup=False)
        return
    live.map_columns(under_way=True)
    plans = _plans(live, day.sheet)
    suggested = [
        (plan, near[0]) for plan in plans if plan.name not in live.called and (near := _near(live, plan))
    ]

    questions = live.questions

    def take(name: str | None) -> None:
        if name == _ASKED:
            _answer(app, live, questions[0])
        elif name == _DECIMAL:
            ask_decimal(app, lambda: ask_columns(app, _DECIMAL))
        elif name == _ALL:
            _take_all(app, live, suggested)
        elif name is not None:
            _ask_header(app, live, next(plan for plan in plans if plan.name == name))
        elif app.desk.live is live:
            live.map_columns(under_way=False)

    title = f"{live.name} has every column of the session by its own name and unit"
    if plans:
        title = f"Columns of the session that are not in {live.name} by their own header"
    decimal = Choice(key=",", words="decimal mark", more=mark_words(live), value=_DECIMAL)
    every = Choice(key="=", words="take all suggestions", more=f"{len(suggested)} of them", value=_ALL)
    app.push_screen(
        Pick(
            title,
            (
                *keyed([(plan.name, plan.header, _state(live, plan)) for plan in plans]),
                *([every] if suggested else []),
                decimal,
                *([Choice(key="?", words=questions[0].text, value=_ASKED)] if questions else []),
            ),
            lines=_HOW if plans else (),
            start=cursor,
        ),
        take,
    )


_HOW = ("Pick one, and say which column of the file it is. Rows become runs once this list is left.",)


def _answer(app: AxletrimApp, live: LiveFile, question: Question) -> None:
    """Ask what the file as a whole leaves open, in the words of an import."""

    def take(text: str | None) -> None:
        if text == _OTHER:
            app.push_screen(
                AskText(question.text, check=lambda typed: answered(live.answers, question, typed)), take
            )
            return
        if text is not None and app.desk.live is live:
            live.answer(answered(live.answers, question, text))
        ask_columns(app)

    listed = keyed([(text, _MEANT.get(text, text), "") for text in question.choices], taken="o")
    other = Choice(key="o", words="another answer, to be typed", value=_OTHER)
    app.push_screen(Pick(question.text, (*listed, other)), take)


def _plans(live: LiveFile, sheet: RunSheet) -> tuple[ColumnPlan, ...]:
    """List the columns to ask about; a speed that only the file has would be a new one of the day."""
    from balance.files.foreign.mapping import (  # noqa: PLC0415 - only when asked
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
    from balance.files.foreign.mapping import likely  # noqa: PLC0415 - only when asked

    used = _used(live)
    return likely(plan, [text for text in live.header if text not in used])


def _state(live: LiveFile, plan: ColumnPlan) -> str:
    """Say what is known of a column."""
    column = live.called.get(plan.name)
    if column is not None:
        return column_words(plan, column) if column.header else "said to be in none of them"
    near = _near(live, plan)
    need = "NEEDED" if plan.role == "reading" else "not found"
    return f"{need}: '{near[0]}' perhaps" if near else need


def _take_all(app: AxletrimApp, live: LiveFile, suggested: list[tuple[ColumnPlan, str]]) -> None:
    """Take what was suggested for each column that is not said yet, and ask what is open about one after another."""
    used: set[str] = set()
    rest = []
    for plan, header in suggested:  # no column of the file is two of the session
        if header not in used:
            used.add(header)
            rest.append((plan, header))

    def go_on() -> None:
        if not rest:
            ask_columns(app)
            return
        plan, header = rest.pop(0)
        _settle(app, live, plan, header, ImportOptions(), go_on)

    go_on()


def _used(live: LiveFile) -> set[str]:
    """Give the headers that are a column of the session already."""
    from balance.files.foreign.mapping import columns_found  # noqa: PLC0415 - only when asked

    day = live.desk.day
    return set() if day is None else set(columns_found(day.sheet, live.header, live.called))


def _ask_header(app: AxletrimApp, live: LiveFile, plan: ColumnPlan) -> None:
    """Ask which column of the file it is, those likely first."""
    from balance.files.foreign.mapping import likely  # noqa: PLC0415 - only when asked

    now = live.called.get(plan.name)
    free = [text for text in live.header if text and text not in _used(live)]
    if now is not None and now.header in live.header:
        free.insert(0, now.header)
    near = likely(plan, free)
    ordered = [*near, *(text for text in free if text not in near)]

    def more(header: str) -> str:
        figures = live.figures(header)
        words = ["perhaps"] if header in near else []
        return " · ".join([*words, *([f"last: {figures[-1]}"] if figures else [])])

    choices = keyed([(text, text, more(text)) for text in ordered], taken="n")
    none = Choice(key="n", words="none of them", value=_NONE)

    def take(header: str | None) -> None:
        if header is None:
            ask_columns(app, plan.name)
        elif header == _NONE:
            _keep(app, live, plan, None)
        else:
            _settle(app, live, plan, header, ImportOptions())

    app.push_screen(
        Pick(
            f"Which column of {live.name} is {plan.header}?",
            (*choices, none),
            start=now.header if now else "",
        ),
        take,
    )


def _settle(
    app: AxletrimApp,
    live: LiveFile,
    plan: ColumnPlan,
    header: str,
    options: ImportOptions,
    then: Callable[[], None] | None = None,
) -> None:
    """Ask for unit and sign where the header does not say them, keep the column, and go on."""
    from balance.files.foreign.mapping import column_of  # noqa: PLC0415 - only when asked

    table = live.table
    if table is None:
        return
    try:
        found = column_of(plan, header, table, live.figures(header), options)
    except AxletrimError as fault:
        app.notify(str(fault), severity="error", markup=False, timeout=10)
        _ask_header(app, live, plan)
        return
    if not isinstance(found, Question):
        _keep(app, live, plan, found, then)
        return
    question = found

    def answer(text: str | None) -> None:
        if text is None:
            _ask_header(app, live, plan)
        elif text == _OTHER:
            app.push_screen(
                AskText(question.text, check=lambda typed: answered(options, question, typed)), answer
            )
        else:
            _settle(app, live, plan, header, answered(options, question, text), then)

    listed = keyed([(text, _MEANT.get(text, text), "") for text in question.choices], taken="o")
    other = (
        (Choice(key="o", words="another unit, to be typed", value=_OTHER),)
        if question.field == "units"
        else ()
    )
    app.push_screen(Pick(f"{plan.header}: {question.text}", (*listed, *other)), answer)


_MEANT = {
    "up": "up: lift is positive",
    "down": "down: downforce is positive",
    "rearward": "rearward: drag is positive",
    "forward": "forward: thrust is positive",
}


def _keep(
    app: AxletrimApp,
    live: LiveFile,
    plan: ColumnPlan,
    column: FileColumn | None,
    then: Callable[[], None] | None = None,
) -> None:
    """Keep what was said, and go on with the next column that is needed."""
    called = {name: known for name, known in live.called.items() if name != plan.name}
    day = live.desk.day
    if column is not None:
        if day is not None and plan.name not in [one.name for one in day.sheet.plans]:
            live.desk.change(f"column {plan.header} added", day.sheet.with_columns([plan.header]))
            if plan.name not in [one.name for one in day.sheet.plans]:  # why not, was said
                ask_columns(app, plan.name)
                return
        called[plan.name] = column
    elif plan.name == "speed":
        called[plan.name] = FileColumn(header="")  # said: none of them is the speed of the runs
    live.call(called)
    day = live.desk.day
    if day is None or app.desk.live is not live:
        return
    if then is not None:
        then()
        return
    rest = [one for one in day.sheet.force_columns if one.name not in called]
    last = plan.name if isinstance(live.mark, str) else _DECIMAL
    ask_columns(app, next((one.name for one in rest), last))
