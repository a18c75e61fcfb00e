"""Why a configuration was arrived at where nobody named one, or why none is recommended: one wording for page and screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.day.best_balanced import DRAG_WORTH

if TYPE_CHECKING:
    from balance.tell.report.report_data import ReportData


def judged_at(report: ReportData) -> str:
    """Name the speeds at which balance is asked for: those named, the tested one where none is."""
    return "every named speed" if report.session.places else "the tested speed"


def chosen_words() -> str:
    """State beside a recommendation by which aim it was chosen, that nobody stated it, and how another is stated."""
    return f"Chosen for downforce less {DRAG_WORTH:g} times drag, assumed; the engineer can name another."


def why_none(report: ReportData) -> str:
    """State what nothing tested has, where none is recommended, as the middle of a sentence."""
    which = "nothing tested that gains downforce" if report.chosen.loaded else "nothing tested"
    balance = f" and in balance at {judged_at(report)}" if report.chosen.safe else ""
    return f"{which} is free of danger{balance}"


def why_not_nearest(report: ReportData) -> str:
    """State why what is nearest is not recommended, where its verdict is no reason; nothing where it is."""
    if report.chosen.safe or not report.chosen.loaded or report.table.ranges[report.answer].dangerous:
        return ""
    if report.run(report.answer).status == "suspect":
        return "Free of danger, but its reading is suspect."
    if report.same:
        return "The car as it started, free of danger."
    return "Free of danger, but it gains no downforce, or loses some at an axle."


def rule_words(report: ReportData) -> str:
    """State by which rule a configuration was arrived at, where the engineer named none."""
    of = (
        ["gain downforce and lose none beyond noise at either axle (or lift at neither)"]
        if report.chosen.loaded
        else []
    )
    of += ["have no speed with more oversteer than in slow corners"] if report.chosen.safe else []
    which = f"of the configurations that {' and '.join(of)}, " if of else ""
    where = "the named speeds" if report.session.places else "the tested speed"
    said = (
        f"How it was chosen: {which}the one with the largest share of draws in balance at {where}; of those alike, "
        f"the one with the most downforce less {DRAG_WORTH:g} times its drag."
    )
    if report.recommends:
        return said
    why = why_none(report)
    last = " Do not drive this one fast as it stands." if report.table.ranges[report.answer].dangerous else ""
    return f"{said} {why[0].upper()}{why[1:]}; shown is what keeps its balance to the highest speed.{last}"
