"""Which configuration a day arrives at, in few words for screens: the report's recommendation, else the choice by rule."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from balance.decide.day.best_balanced import DRAG_WORTH
from balance.decide.day.verdict import VerdictWord
from balance.files.formats.report import BriefChoices, read_brief
from balance.model.errors import AxletrimError
from balance.tell.figures import Show
from balance.tell.report.choice_words import why_none
from balance.tell.report.report_data import ReportData
from balance.tell.runs.range_words import range_balance, range_mark, range_role, range_sentence
from balance.units.shown import SI

if TYPE_CHECKING:
    from balance.decide.day.assessment import Assessment
    from balance.decide.day.day import Day


class Recommended(NamedTuple):
    """The rows of start and recommendation, what the latter is called, who chose it, and whether it may be recommended.

    ``none`` states why nothing is, where that is so.
    """

    day: Day
    choices: BriefChoices
    start: int
    row: int
    name: str
    by_engineer: bool
    fit: bool
    none: str


def recommended(day: Day, before: Recommended | None = None) -> Recommended:
    """Find what a day arrives at; what was found before stands where neither the day nor the report has changed.

    A report whose file is at fault has chosen nothing, which is told where the report is put together.
    """
    try:
        choices = read_brief(day.session, Path(day.session.folder))
    except AxletrimError:
        choices = BriefChoices()
    if before is not None and before.day is day and before.choices == choices:
        return before
    report = ReportData(day=day, choices=choices, show=Show(SI))
    row = report.answer
    return Recommended(
        day=day,
        choices=choices,
        start=report.baseline,
        row=row,
        name=report.fitted_words(row),
        by_engineer=bool(choices.answer),
        fit=report.recommends,
        none="" if report.recommends else why_none(report),
    )


def recommended_line(
    found: Recommended, table: Assessment, show: Show, *, brief: bool = False
) -> tuple[str, str]:
    """State what a day arrives at and how it is balanced over the range, and how that is set off."""
    over = table.ranges[table.rows.index(found.row)]
    vehicle = found.day.session.vehicle
    verdict = range_balance(over, show) if brief else range_sentence(over, vehicle, show, day=found.day)
    verdict = f"{range_mark(over)} {verdict}"
    if found.fit:
        rule = "" if brief else f": most downforce less {DRAG_WORTH:g} × drag"
        said = "Recommended" if found.by_engineer else f"Best so far by rule{rule}"
        return f"{said}{': ' if found.by_engineer or brief else ' · '}{found.name} · {verdict}", range_role(
            over
        )
    if found.by_engineer:
        return f"NOT recommended, though the report names it: {found.name} · {verdict}", "danger"
    short = "none recommended" if over.word is VerdictWord.IN_BALANCE else "none in balance"
    none = short if brief else found.none
    return f"{none[0].upper()}{none[1:]} · nearest: {found.name} · {verdict}", range_role(over)
