"""A suggested setting for the screen: the answer in a sentence, what it means in four lines, then what it rests on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.decide.day.verdict import VerdictWord
from balance.model.channels import DRAG
from balance.tell.figures import capital, of_hundred
from balance.tell.runs.detail import Section
from balance.tell.runs.range_words import range_role
from balance.tell.settings.setting_words import STALL_WORDS, range_words, seen_brief, seen_lines
from balance.tell.settings.trim_text import car_lines, wing_headline
from balance.tell.what_if.assumption_text import assumption_lines
from balance.tell.what_if.hardware_text import hardware_brief, mount_words, tyre_words
from balance.tell.words import CAUTIONS, verdict_mark, verdict_role, verdict_words

if TYPE_CHECKING:
    from balance.decide.settings.suggestion import LeftAlone, Suggestion
    from balance.decide.settings.trim import Answer, TrimAnswer
    from balance.tell.figures import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestionCard:
    """What stands first: the answer, what it does, what warns, what the hardware has to stand; and the role of it all.

    ``seen`` is what eyes saw at the settings tested.
    """

    answer: str
    car: str
    verdict: str
    role: str
    warnings: tuple[str, ...]
    hardware: str
    seen: str = ""


def suggestion_card(suggestion: Suggestion, show: Show) -> SuggestionCard:
    """Put the answer in the lines that stand first."""
    whole, best = suggestion.answers.answer, suggestion.answer
    state = whole.before if best is None else best.state
    verdict = state.handling.verdicts[0]
    headline = wing_headline(suggestion.answers, show).replace("_", " ")
    loads = car_lines(state, show)[0].removesuffix(f" at {show.speed(state.speed)}")
    if best is not None:
        more = float(state.forces[DRAG] - whole.before.forces[DRAG])
        amount = show.quantity("force", abs(more))
        way = "more" if more >= 0.0 else "less"
        same = best.value == whole.moved.start
        loads += ", as before" if same else f", {amount} {way} than before it is moved"
    warnings = []
    if verdict.word is not VerdictWord.FRONT_OVERPOWERS:
        warnings += [text.removeprefix("warning: ") for text in car_lines(state, show)[3:]]
    if verdict.by_drive:
        warnings.append("the verdict is that under power, not of the air load alone")
    warnings += [] if best is None else _warnings(best, whole, show)
    if len([one for one in whole.solutions if not one.outside]) > 1:
        warnings.append(
            f"{len([one for one in whole.solutions if not one.outside])} settings meet the target: all stand in the table"
        )
    line = f"{verdict_mark(verdict)} {verdict_words(verdict)} at {show.speed(state.speed)}"
    role = verdict_role(verdict)
    if best is not None:
        role = range_role(best.over_range) if best is not whole.closest else "warn"
        role = "danger" if range_role(best.over_range) == "danger" else role
    return SuggestionCard(
        answer=f"{capital(headline)}.",
        car=loads,
        verdict=line,
        role=role,
        warnings=tuple(warnings),
        hardware=hardware_brief([mount.load for mount in suggestion.mounts], suggestion.tyres, show),
        seen=seen_brief(whole.moved.prepared.day.readings.runs, whole.moved.response.family),
    )


def _warnings(best: Answer, whole: TrimAnswer, show: Show) -> list[str]:
    """State what is wrong with a setting, the most urgent first."""
    said = []
    if best is whole.closest:
        at = show.speed(whole.speed)
        missing = [
            f"{show.quantity('force', amount)} more downforce at the {axle} axle"
            for axle, amount in (("front", best.missing_front), ("rear", best.missing_rear))
            if amount is not None
        ]
        wanted = " or ".join(missing) or "more at one axle alone would not do"
        said.append(f"short by, at {at}: {wanted}")
    said += [f"this setting {STALL_WORDS[stall]}" for stall in best.stall]
    if 0.0 < best.reached_share < 0.995:
        said.append(f"{of_hundred(best.reached_share)} draws meet the target inside the useful range")
    return said


def suggestion_sections(suggestion: Suggestion, show: Show) -> tuple[Section, ...]:
    """State what a suggestion rests on, and what has to be looked after."""
    whole = suggestion.answers.answer
    top = whole.before.vehicle.top_speed
    moved = whole.moved
    seen = seen_lines(moved.prepared.day.readings.runs, moved.response.family)
    hardware = [mount_words(one.run, one.load, show) for one in suggestion.mounts]
    if top is not None:
        hardware += tyre_words(suggestion.tyres, top, show)
    if not hardware:
        hardware = ["not known: the vehicle file states no top_speed, or no run was made without the part"]
    parts = (
        ("Range", [range_words(whole.moved.response), *seen]),
        ("Mounts and tyres", hardware),
        ("Assumptions", assumption_lines(whole.assumptions, show)),
        ("Cautions", list(CAUTIONS)),
    )
    return tuple(
        Section(heading=heading, lines=tuple(("", f"· {line}") for line in lines)) for heading, lines in parts
    )


def left_alone_words(one: LeftAlone, show: Show) -> str:
    """Name what one axle would need with the setting left alone."""
    sign = "+" if one.change > 0.0 else ""
    return f"leave it, {one.axle} {sign}{show.quantity('force', one.change)}"


def left_alone_range(one: LeftAlone, show: Show) -> str:
    """Write the interval of what one axle would need."""
    if math.isnan(one.low) or math.isnan(one.high):
        return "met, drag apart"
    ends = ["beyond" if math.isinf(end) else show.bare("force", end) for end in (one.low, one.high)]
    return f"met, drag apart ({ends[0]} to {ends[1]})"
