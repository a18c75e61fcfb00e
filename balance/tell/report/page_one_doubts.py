"""Page one: how sure the recommendation is, what would overturn it, and why not the next best."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.day.best_balanced import DRAG_WORTH, lead
from balance.decide.day.largest_gains import largest_gains
from balance.decide.day.overturned import overturned
from balance.decide.day.verdict import VerdictWord
from balance.model.channels import TOTAL
from balance.reduce.air import dynamic_pressure
from balance.tell.figures import of_hundred
from balance.tell.parts.change_text import amount_words
from balance.tell.runs.beyond_repeats import beyond_repeats
from balance.tell.runs.overturn_words import ON_A_CARD, overturn_clause
from balance.tell.runs.range_words import range_and_beyond
from balance.tell.words import REFIT_ASSUMED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.day.best_balanced import Lead
    from balance.decide.day.verdict import Verdict
    from balance.tell.report.report_data import ReportData

_SUREST = 0.999
"""A share of draws above this is never called all of them: a verdict rests on more than scatter."""
_TURNS = {
    VerdictWord.IN_BALANCE: "in balance",
    VerdictWord.REAR_OVERPOWERS: "more understeer",
    VerdictWord.FRONT_OVERPOWERS: "MORE OVERSTEER",
    VerdictWord.OFF_THE_GROUND: "an axle unloaded",
}
"""What a car turns to."""


def sure_sentences(report: ReportData) -> Iterator[str]:
    """Return the share of draws in balance, what would overturn the verdict, and what no repeat shows."""
    yield from _shares(report)
    if report.recommends:  # of another it would be a way to talk it into balance
        yield from _overturned(report)
    beyond = beyond_repeats(report.table, report.answer, report.show).partition(";")[0].removesuffix(".")
    if beyond:
        yield f"{beyond.replace(':', '')}."  # the first alone, the largest; a draw varies what else is assumed


def verdicts_at_places(report: ReportData) -> tuple[Verdict, ...]:
    """Judge the recommendation at every named place; at the speed shown where none is named."""
    places = report.session.places
    if not places:
        return (report.table.handling.verdicts[report.answer],)
    speeds = tuple(dict.fromkeys(place.speed for place in places))
    return tuple(report.at(report.answer, speeds).handling.verdicts)


def _shares(report: ReportData) -> Iterator[str]:
    verdicts = verdicts_at_places(report)
    shares = [one.shares[VerdictWord.IN_BALANCE] for one in verdicts if one.shares is not None]
    if len(shares) < len(verdicts):
        yield "Not known: no run was repeated and no repeatability is stated."
        return
    at = "at every named speed" if len(verdicts) > 1 else f"at {report.show.speed(report.speed)}"
    share = of_hundred(min(*shares, _SUREST)).removesuffix(" of").replace("more than", "over")
    alone = (
        "On air loads alone, in" if report.table.ranges[report.answer].power_understeer is not None else "In"
    )
    yield f"{alone} balance {at} in {share} of draws{_or_more(share, len(verdicts))}."
    if report.table.ranges[report.answer].refit_assumed:
        yield f"{REFIT_ASSUMED[:1].upper()}{REFIT_ASSUMED[1:]}."


def _or_more(share: str, speeds: int) -> str:
    """State that the share is that of the worst of several speeds."""
    return " or more" if speeds > 1 and not share.startswith(("over", "less")) else ""


def _overturned(report: ReportData) -> Iterator[str]:
    """Name the two changes nearest to their usual doubt, and the nearest towards the dangerous side."""
    table, row = report.table, report.answer
    found = overturned(table, [row])[0]
    if not found:
        return
    gains = largest_gains(report.day, table.rows[row])
    pressure = float(dynamic_pressure(table.speed, table.air_density))

    def clause(k: int) -> str:
        return overturn_clause(found[k], gains, pressure, table.speed, report.show)

    place, first = found[0].place, found[0].to
    nearest = [k for k, one in enumerate(found) if one.to is first][:ON_A_CARD]
    said = f"{_TURNS[first]} if {', or '.join(clause(k) for k in nearest)}"
    yield f"At {report.show.speed(place.speed)}, {said}." if place else f"{_upper(said)}."
    loose = next((k for k, one in enumerate(found) if one.to is VerdictWord.FRONT_OVERPOWERS), None)
    if loose is not None and loose not in nearest:
        yield f"{_upper(_TURNS[VerdictWord.FRONT_OVERPOWERS])} if {clause(loose).removesuffix(' than measured')}."


def _upper(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def next_best_sentences(report: ReportData) -> Iterator[str]:
    """Return the next best, a safer one, and the one with most downforce: load against that arrived at, and verdict."""
    safer = report.safer
    rows = [row for row in (report.next_best, safer, _most_load(report)) if row is not None]
    if not rows:
        yield "Nothing else was tested."
    for count, row in enumerate(dict.fromkeys(rows)):
        said = _beside(report, row, compared=count == 0)
        yield f"Safer, {said}" if row == safer else _upper(said)


def _most_load(report: ReportData) -> int | None:
    """Find the configuration with most downforce besides that arrived at, where it has more."""
    load = report.table.handling.nominal.downforce
    rows = [row for row in report.day.rows.configurations if report.run(row).status != "suspect"]
    best = max(rows, key=lambda row: load[row], default=None)
    return None if best in (None, report.answer, report.baseline) else best


def _beside(report: ReportData, row: int, *, compared: bool) -> str:
    """State what another configuration has, beside that arrived at where wanted, and what its verdict is."""
    show, load = report.show, report.table.handling.nominal.downforce
    name = report.differing_words(row, report.answer)
    other, own = show.axle_load(float(load[row])), show.quantity("force", abs(float(load[report.answer])))
    own += " LIFT" if load[report.answer] < 0.0 else ""
    verdict = range_and_beyond(report.table.ranges[row], show).removesuffix("?")
    beside = f", not {own}" if compared else ""
    other = other if compared else other.removesuffix(" downforce")
    return f"{name}: {other}{beside}; {verdict}{_reason(report, row)}."


def _reason(report: ReportData, row: int) -> str:
    """State by which step of the rule of choice a configuration stands back, where its verdict is no reason."""
    if report.table.ranges[row].word is not VerdictWord.IN_BALANCE:
        return ""
    if report.run(row).status == "suspect":
        return ", but its reading is suspect"
    found, show = lead(report.day, report.answer, row), report.show
    if found.by_share:
        where = "the worst named speed" if report.session.places else "the tested speed"
        own, other = (of_hundred(min(share, _SUREST)) for share in found.shares)
        return f", but in {other.removesuffix(' of')} of draws at {where}, not {own.removesuffix(' of')}"
    if found.worth < 0.0 and not report.choices.answer:
        return ", but it gains no downforce over the start, or loses some at an axle"
    pressure = float(dynamic_pressure(report.speed, report.table.air_density))
    drag, worth = (show.quantity("force", abs(area) * pressure) for area in (found.drag, found.worth))
    loaded = _load_between(report, row, found)
    dragging = f"{drag} {'more' if found.drag < 0.0 else 'less'} drag"
    joined, behind = (", but", "behind") if found.worth >= 0.0 else (", with", "ahead")
    return f"{joined} {loaded} and {dragging}: {worth} {behind}, drag counting {DRAG_WORTH:g} times"


def _load_between(report: ReportData, row: int, found: Lead) -> str:
    """State how much less or more downforce another configuration has, with its interval, marked where it is within noise."""
    show, rows = report.show, report.day.rows
    deed = f"{'less' if found.downforce > 0.0 else 'more'} downforce"
    weights = rows.weighted([report.answer]) - rows.weighted([row])
    change = report.parts.increments.contrast(weights).of(0, TOTAL)
    if not math.isfinite(change.std):
        pressure = float(dynamic_pressure(report.speed, report.table.air_density))
        return f"{show.quantity('force', abs(found.downforce) * pressure)} {deed}"
    amount, _, between = amount_words(change, show).partition(" (")
    return f"{'' if change.resolved else '~'}{amount} {deed} ({between}"
