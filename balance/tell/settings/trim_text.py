"""The answer to "what should the setting be?", in sentences."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.settings.trim import best_answer
from balance.model.channels import DRAG, FRONT, REAR, front_rear_drag
from balance.model.kinds import with_unit
from balance.tell.figures import behind_weight, of_hundred, percent
from balance.tell.runs.doubt_words import DOUBT_MARK, reading_doubts, scatter_doubts
from balance.tell.runs.range_words import range_sentence
from balance.tell.settings.setting_words import (
    STALL_WORDS,
    family_settings,
    range_words,
    seen_lines,
    setting_words,
)
from balance.tell.what_if.assumption_text import assumed_doubt, assumption_lines
from balance.tell.words import danger_words, percent_of, share_words, verdict_words

if TYPE_CHECKING:
    from balance.decide.car.car_state import CarState
    from balance.decide.settings.trim import Answer, TrimAnswer
    from balance.decide.settings.trim_question import TrimAnswers
    from balance.tell.figures import Show


def wing_headline(answers: TrimAnswers, show: Show) -> str:
    """Answer in one sentence."""
    answer = answers.answer
    family = answer.moved.response.family
    confidence = answer.moved.prepared.day.confidence
    aim = target_words(answer, show)
    assumed = assumed_doubt(answer.assumptions)
    best = best_answer(answer)
    if best is None:
        return f"no {family.setting} lies inside both the useful range and the limits of the series"
    over = over_range_words(best, answer, show)
    if best is not answer.closest:
        text = setting_words(best.value, best.low, best.high, family.unit, confidence)
        return f"{family.setting} {text} gives {aim}. {over}{assumed}"
    nearest = with_unit(f"{best.value:.4g}", family.unit)
    if not answer.solutions:
        why = f"no {family.setting} inside the useful range gives {aim}"
    else:
        there = with_unit(f"{answer.solutions[0].value:.4g}", family.unit)
        why = f"{family.setting} {there} would give {aim}, but is past a limit at a named speed"
    if best.outside:
        return f"{why}; no other is inside the limits at every named speed either, {nearest} is nearest. {over}{assumed}"
    return f"{why}; nearest is {nearest}. {over}{assumed}"


def trim_doubts(answers: TrimAnswers, show: Show) -> list[str]:
    """Name the doubted readings that an answer rests on: of its family, of its start, and of the day's repeats."""
    moved = answers.answer.moved
    day, labels = moved.prepared.day, moved.prepared.day.readings.labels
    own = {labels[moved.car.row], *moved.response.family.labels}
    said = dict.fromkeys((*scatter_doubts(day, show), *reading_doubts(day, show, of=own)))
    return [f"{DOUBT_MARK} {one}" for one in said]


def over_range_words(one: Answer, whole: TrimAnswer, show: Show) -> str:
    """Write what a setting means at every speed that the car sees."""
    return range_sentence(one.over_range, whole.before.vehicle, show, day=whole.moved.prepared.day)


def wing_lines(answers: TrimAnswers, show: Show) -> list[tuple[str, list[str]]]:
    """Write the whole answer."""
    answer = answers.answer
    moved = answer.moved
    family = moved.response.family
    run = moved.prepared.day.readings.runs[moved.car.row]
    at = f"{show.speed(answer.speed)}, {show.quantity('density', answer.air_density)}"
    sections = [
        (
            f"From run {run.label} {run.configuration}, {family.setting} {with_unit(f'{moved.start:g}', family.unit)}, changed as below",
            [f"before {family.setting} is moved: {line}" for line in car_lines(answer.before, show)[:1]]
            + car_lines(answer.before, show)[1:],
        )
    ]
    for k, one in enumerate(answer.solutions):
        sections.append(
            (f"Setting {k + 1} at {at}" if k else f"Setting at {at}", _answer_lines(one, answer, show))
        )
    if answer.closest is not None:
        lines = _answer_lines(answer.closest, answer, show)
        sections.append((f"Nearest at {at}", [*lines, *_missing(answer.closest, answer, show)]))
    seen = seen_lines(moved.prepared.day.readings.runs, family)
    sections.append(("Range", [range_words(moved.response), *seen, *_limits(answer)]))
    sections += [(_other_title(one), _other_lines(one, show)) for one in answers.alternatives]
    sections.append(("Assumptions", assumption_lines(answer.assumptions, show)))
    return sections


def target_words(answer: TrimAnswer, show: Show) -> str:
    """Write what is aimed at."""
    if answer.aim.kind == "balance_offset":
        offset = answer.aim.target
        return (
            "an aero balance equal to the front weight share"
            if offset == 0
            else f"an aero balance {behind_weight(offset)}"
        )
    driven = answer.before.vehicle.driven is not None
    what = "the lower of without and under power" if driven else "air loads alone: driven axle not stated"
    return f"a grip balance of {percent(answer.aim.target)} at {show.speed(answer.speed)} ({what})"


def car_lines(state: CarState, show: Show) -> list[str]:
    """Write a car at its speed: loads, balance, surplus, verdict."""
    front, rear, drag = (float(v) for v in front_rear_drag(state.forces))
    stds = [float(v) for v in state.stds]
    handling, at = state.handling, show.speed(state.speed)
    loads = f"front {show.uncertain_load(front, stds[FRONT])}; rear {show.uncertain_load(rear, stds[REAR])}"
    share, std = float(handling.aero_balance.value[0]), float(handling.aero_balance.std[0])
    balance = f"aero balance {percent(share, std)}, {behind_weight(float(handling.balance_offset[0]), std)}"
    if not math.isfinite(share):
        balance = f"{share_words(front, rear)}: no aero balance"
    verdict, driven = handling.verdicts[0], handling.grip_surplus_driven
    grip = f"grip balance {percent_of(handling.grip_surplus)}"
    if verdict.with_drive and driven is not None:
        grip += f" from air loads alone, {percent_of(driven)} under power, which the verdict is made from"
    lines = [
        f"{loads}; drag {show.uncertain('force', drag, stds[DRAG])} at {at}",
        f"{balance}; {grip}",
        f"at {at}: {verdict_words(verdict)}"
        + ("; that is under power, not of the air load alone" if verdict.by_drive else ""),
    ]
    return lines + ([danger_words(verdict)] if verdict.dangerous else [])


def _answer_lines(one: Answer, whole: TrimAnswer, show: Show) -> list[str]:
    family = whole.moved.response.family
    confidence = whole.moved.prepared.day.confidence
    lines = [f"{family.setting} {setting_words(one.value, one.low, one.high, family.unit, confidence)}"]
    if 0.0 < one.reached_share < 0.995:
        lines.append(f"{of_hundred(one.reached_share)} draws meet the target inside the useful range")
    lines += [f"this setting {STALL_WORDS[stall]}" for stall in one.stall]
    lines += car_lines(one.state, show)
    lines.append(f"at all speeds: {over_range_words(one, whole, show)}")
    for k, hole in enumerate(one.holes):
        grip = hole.state.handling.grip_surplus
        text = f"hole {hole.name} ({with_unit(f'{hole.value:g}', family.unit)}): grip balance {percent(float(grip.value[0]), float(grip.std[0]))}"
        share = float(hole.state.handling.balance_offset[0])
        where = f", aero balance {behind_weight(share)}" if math.isfinite(share) else ""
        drag = (
            f", drag {show.uncertain('force', float(hole.state.forces[DRAG]), float(hole.state.stds[DRAG]))}"
        )
        safe = ", more grip at the rear" if k == 0 and len(one.holes) > 1 else ""
        lines.append(
            f"{text}{where}{drag} at {show.speed(whole.speed)}: {verdict_words(hole.state.handling.verdicts[0])}{safe}"
        )
    return lines


def _missing(one: Answer, whole: TrimAnswer, show: Show) -> list[str]:
    at = show.speed(whole.speed)
    lines = [
        f"short by, there: {show.quantity('force', amount)} more downforce at the {axle} axle at {at}, drag apart"
        for axle, amount in (("front", one.missing_front), ("rear", one.missing_rear))
        if amount is not None
    ]
    return lines or ["more downforce at one axle alone would not meet the target there"]


def _limits(answer: TrimAnswer) -> list[str]:
    adjuster = answer.adjuster
    if adjuster is None or (adjuster.low is None and adjuster.high is None):
        return []
    ends = [
        f"{word} {with_unit(f'{end:g}', adjuster.unit)}"
        for word, end in (("not below", adjuster.low), ("not above", adjuster.high))
        if end is not None
    ]
    return [f"limits of the series: {', '.join(ends)}, confirmed by {adjuster.confirmed_by}"]


def _other_title(answer: TrimAnswer) -> str:
    fitted = [
        f"without {name}" if held is None else f"with {name} {held.text}"
        for name, held in family_settings(answer).items()
    ]
    return f"Or {', '.join(fitted)} (runs {', '.join(answer.moved.response.family.labels)})"


def _other_lines(answer: TrimAnswer, show: Show) -> list[str]:
    lines = [line for one in answer.solutions for line in _answer_lines(one, answer, show)]
    if best_answer(answer) is None:
        return ["nothing inside both the useful range and the limits of the series"]
    if answer.closest is None:
        return lines
    why = "past a limit at a named speed; nearest inside:" if lines else "no solution; nearest:"
    return [*lines, why, *_answer_lines(answer.closest, answer, show)]
