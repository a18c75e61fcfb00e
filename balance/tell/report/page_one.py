"""Page one: what was found, what to do in which order, what it costs, what is dangerous, and how sure all of it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.day.range_seen import BEYOND_TESTS, highest_tested
from balance.decide.day.verdict import VerdictWord
from balance.model.channels import FRONT, REAR
from balance.tell.figures import interval, number, percent
from balance.tell.report.blocks import Beside, Block, Lines, Section, Words
from balance.tell.report.choice_words import chosen_words, why_none, why_not_nearest
from balance.tell.report.page_one_costs import cost_sentences, mount_sentences
from balance.tell.report.page_one_doubts import next_best_sentences, sure_sentences, verdicts_at_places
from balance.tell.report.page_one_steps import danger_sentences, do_sentence, start_name, steps_to_do
from balance.tell.report.pictures.added_load import recommended_picture
from balance.tell.runs.range_words import (
    customer_sentence,
    range_brief,
    range_mark,
    range_role,
    range_sentence,
)
from balance.tell.words import MUCH_AS_AT_REST

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.tell.report.report_data import ReportData

_NAMED = 4
"""Named speeds that are listed one by one."""


def page_one(report: ReportData) -> Section:
    """Put page one together; where nothing tested is fit to be recommended it says so and recommends nothing."""
    over = report.table.ranges[report.answer]
    blocks: tuple[Block, ...] = (
        Words(text=_opening(report), role="lead"),
        Words(text=_whose(report), role="soft"),
        Words(text=f"{range_mark(over)} {_verdict(report)}.", role=range_role(over)),
        Beside(
            picture=recommended_picture(report),
            lines=(
                ("Found", " ".join(_found(report))),
                ("Danger", " ".join(danger_sentences(report))),
                ("Do, one change at a time" if len(report.steps) > 1 else "Do", do_sentence(report)),
            ),
            steps=steps_to_do(report),
        ),
        Lines(
            lines=(
                ("You will feel", " ".join(_felt(report))),
                ("Costs", " ".join(cost_sentences(report))),
                (
                    f"Mounts at {report.show.speed(report.top_speed)}",
                    " ".join(mount_sentences(report)),
                ),
                ("How sure", " ".join(sure_sentences(report))),
                ("Why not the next", " ".join(next_best_sentences(report))),
            )
        ),
    )
    return Section(blocks, alone=True)


def _opening(report: ReportData) -> str:
    """Name what is recommended; or state that nothing is, and what is nearest."""
    name = report.fitted_words(report.answer)
    if report.recommends:
        return f"Recommended: {name}"
    if report.choices.answer:
        return f"Not recommended: {name}"
    return f"No recommendation: {why_none(report)}. Nearest: {name}"


def _whose(report: ReportData) -> str:
    """State which runs stand behind what is recommended or nearest, and who chose it."""
    words = report.runs_words(report.answer)
    runs = f"{words[:1].upper()}{words[1:]}"
    if not report.recommends:
        if report.choices.answer:
            return f"{runs}. Named by the engineer, but dangerous."
        return f"{runs}. {why_not_nearest(report)}".rstrip()
    same = ", the car as it started" if report.same else ""
    chose = "Engineer's choice." if report.choices.answer else chosen_words()
    return f"{runs}{same}. {chose} {_net_lift(report)}".rstrip()


def _net_lift(report: ReportData) -> str:
    """State plainly that the air still lifts an axle or the whole car; nothing where it does not."""
    n, row = report.table.handling.nominal, report.answer
    loads = {"front": float(n.front_downforce[row]), "rear": float(n.rear_downforce[row])}
    lifted = [axle for axle, load in loads.items() if load < 0.0]
    if not lifted:
        return ""
    total = float(n.downforce[row])
    axles = "both axles" if len(lifted) > 1 else f"the {lifted[0]} axle"
    whole = f": {report.show.quantity('force', -total)} of LIFT in all" if total < 0.0 else ""
    return f"The air still lifts {axles}{whole}."


def _verdict(report: ReportData) -> str:
    """State the verdict over the range; where it is in balance at every named speed, these are named."""
    over, show = report.table.ranges[report.answer], report.show
    judged = verdicts_at_places(report)
    named = ""
    if report.session.places and all(one.word is VerdictWord.IN_BALANCE for one in judged):
        speeds = [show.bare("speed", speed) for speed in report.place_speeds]
        several = f"{', '.join(speeds[:-1])} and {speeds[-1]}" if len(speeds) > 1 else speeds[0]
        named = f"{several} {show.unit('speed')}" if len(speeds) <= _NAMED else "every named speed"
    tested = BEYOND_TESTS * highest_tested(report.session)
    return range_sentence(
        over, report.session.vehicle, show, named=named, tested=tested, day=report.table.day, customer=True
    )


def _found(report: ReportData) -> Iterator[str]:
    """Return the loads of start and recommendation, the start's verdict, and the grip balance with its limits."""
    if not report.same:
        start = range_brief(report.table.ranges[report.baseline], report.show, between=True)
        yield f"{start_name(report)}: {_loads(report, report.baseline)}; {start}."
    yield f"{'Recommended' if report.recommends else 'Nearest'}: {_loads(report, report.answer)}."
    yield from _grip(report)


def _loads(report: ReportData, row: int) -> str:
    """Return both axles' loads, the word for their direction before both where it is one, else behind each."""
    n, stds = report.table.handling.nominal, report.table.stds
    front, rear = (
        report.show.axle_load(float(load[row]), float(stds[axle, row]))
        for axle, load in ((FRONT, n.front_downforce), (REAR, n.rear_downforce))
    )
    word = front.rpartition(" ")[2]
    if rear.endswith(f" {word}"):
        return f"{word} {front.removesuffix(f' {word}')} front, {rear.removesuffix(f' {word}')} rear"
    return f"{front} front, {rear} rear"


def _grip(report: ReportData) -> Iterator[str]:
    verdict, target = report.table.handling.verdicts[report.answer], report.session.vehicle.target
    surplus = verdict.surplus
    if not abs(surplus) < 1.0:
        return
    known = verdict.low is not None and verdict.high is not None
    std = (verdict.high - verdict.low) / 4.0 if known else float("nan")  # type: ignore[operator]
    more, less = ("rear", "front") if surplus >= 0.0 else ("front", "rear")
    between = ""
    if verdict.low is not None and verdict.high is not None:
        ends = (verdict.low, verdict.high) if surplus >= 0.0 else (-verdict.high, -verdict.low)
        between = f" ({interval(*ends, std).removesuffix(' %')})"
    sides = (target.rear_tolerance, target.front_tolerance)
    own, other = sides if surplus >= 0.0 else sides[::-1]
    drive = " under power" if verdict.with_drive else ""
    yield (
        f"Compared with slow corners, the {more}{drive} has {percent(abs(surplus), std)} more grip than the {less}{between}."
    )
    yield f"Allowed: {_limit(own)} that way, {_limit(other)} the other."


def _limit(value: float) -> str:
    return f"{number(value * 100.0, 1).removesuffix('.0')} %"


def _felt(report: ReportData) -> Iterator[str]:
    """State what the driver feels: the verdict in the customer's form, and under power."""
    over, vehicle = report.table.ranges[report.answer], report.session.vehicle
    yield f"{customer_sentence(over, vehicle, report.show)}."
    if abs(report.table.handling.verdicts[report.answer].surplus) < MUCH_AS_AT_REST and not over.light:
        yield f"At {report.show.speed(report.speed)} it behaves much as in slow corners."
    if over.power_understeer is not None:
        tyres = "front tyres also drive" if vehicle.driven == "front" else "tyres also drive"
        yield f"Under power, more understeer from {report.show.speed(over.power_understeer)}: the {tyres}."
    if vehicle.driven is None:
        yield "Power is left out: which axle is driven was not stated. Under power the car may behave worse than this page says."
