"""An import that joins the open day: what is open is asked, then its runs are one step of the day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.tables.importing.plan import ImportOptions
from balance.model.errors import AxletrimError
from tui.host.import_answers import answered
from tui.host.questions import Pick, keyed

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.files.tables.importing.plan import ImportPlan, Question
    from tui.host.host import Host

_WORDS = {
    "suffix": "tell them apart: 12 (2)",
    "number": "number all of them on from the last run of the day",
}


def join_day(
    app: Host, plan: ImportPlan, done: Callable[[], object], options: ImportOptions | None = None
) -> None:
    """Add the runs of an import to the open day, and ask first what is open about that."""
    from balance.files.tables.importing.into_a_day import join, open_for  # noqa: PLC0415 - only when asked

    day, answers = app.desk.ready(), options or ImportOptions()
    if day is None:
        return
    if open_for(plan) or not plan.rows:
        app.notify("first answer what is open")
        return
    try:
        joined = join(day.sheet, plan, answers)
    except AxletrimError as fault:
        app.notify(str(fault), severity="error", markup=False, timeout=10)
        return
    if joined.questions:
        _ask(
            app, joined.questions[0], lambda text: _go_on(app, plan, done, answers, joined.questions[0], text)
        )
        return
    there = f"{len(joined.there)} of its runs are in the day already" if joined.there else ""
    left = (
        f"records without a column in the day are left out: {', '.join(joined.left)}" if joined.left else ""
    )
    if joined.sheet is not None and joined.added:
        runs = "1 run" if len(joined.added) == 1 else f"{len(joined.added)} runs"
        app.desk.change(f"{runs} imported from {plan.source.name}", joined.sheet)
        done()
        there = " · ".join(
            text for text in (f"{runs} added to the day; U takes them back", there, left) if text
        )
    app.notify(there, markup=False, timeout=10)


def _go_on(
    app: Host,
    plan: ImportPlan,
    done: Callable[[], object],
    options: ImportOptions,
    question: Question,
    text: str,
) -> None:
    join_day(app, plan, done, answered(options, question, text))


def _ask(app: Host, question: Question, then: Callable[[str], None]) -> None:
    def take(text: str | None) -> None:
        if text is not None:
            then(text)

    listed = keyed([(text, _WORDS.get(text, text), "") for text in question.choices])
    app.push_screen(Pick(question.text, listed), take)
