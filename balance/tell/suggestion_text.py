"""A suggested setting for the screen: the answer in a sentence, what it means in four lines, then what it rests on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.tell.assumption_text import assumption_lines
from balance.tell.detail import Section
from balance.tell.figures import number
from balance.tell.hardware_text import hardware_brief, mount_words, tyre_words
from balance.tell.setting_words import range_words
from balance.tell.wing_text import car_lines, wing_headline
from balance.tell.words import CAUTIONS, verdict_mark, verdict_role, verdict_words

if TYPE_CHECKING:
    from balance.decide.suggestion import LeftAlone, Suggestion
    from balance.decide.trim import Answer, TrimAnswer
    from balance.tell.figures import Show


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestionCard:
    """What stands first: the answer, what it does, what warns, what the hardware has to stand; and the role of it all."""

    answer: str
    car: str
    verdict: str
    role: str
    warnings: tuple[str, ...]
    hardware: str


def suggestion_card(suggestion: Suggestion, show: Show) -> SuggestionCard:
    """Put the answer in the lines that stand first.

    Parameters
    ----------
    suggestion : Suggestion
        As worked out.
    show : Show
        System of units.

    Returns
    -------
    SuggestionCard
        Ready words.
    """
    whole, best = suggestion.answers.answer, suggestion.answer
    state = whole.before if best is None else best.state
    verdict = state.handling.verdicts[0]
    headline = wing_headline(suggestion.answers, show).replace("_", " ")
    now, then = float(whole.before.forces[2]), float(state.forces[2])
    cost = "" if best is None else f", {_drag_change(then - now, show)} than before it is moved"
    warnings = [] if best is None else _warnings(best, whole, show)
    if len(whole.solutions) > 1:
        warnings.append(f"{len(whole.solutions)} settings meet the target: all stand in the table")
    return SuggestionCard(
        answer=f"{headline[:1].upper()}{headline[1:]}.",
        car=f"{car_lines(state, show)[0]}{cost}",
        verdict=f"{verdict_mark(verdict)} {verdict_words(verdict)} at {show.speed(state.speed)}",
        role=verdict_role(verdict) if whole.solutions else "warn",
        warnings=tuple(warnings),
        hardware=hardware_brief([mount.load for mount in suggestion.mounts], suggestion.tyres, show),
    )


def _drag_change(change: float, show: Show) -> str:
    text = show.quantity("force", abs(change))
    return f"{text} {'more' if change >= 0.0 else 'less'} drag"


def _warnings(best: Answer, whole: TrimAnswer, show: Show) -> list[str]:
    """Say what is wrong with a setting, the most urgent first."""
    said = []
    if not whole.solutions:
        at = show.speed(whole.speed)
        missing = [
            f"{show.quantity('force', amount)} more downforce at the {axle} axle"
            for axle, amount in (("front", best.missing_front), ("rear", best.missing_rear))
            if amount is not None
        ]
        wanted = " or ".join(missing) or "more at one axle alone would not do"
        said.append(f"missing there at {at}: {wanted}")
    if best.possibly_stalled:
        said.append("possibly stalled: this step is stalled in 5 to 50 of 100 draws")
    if best.next_to_stall:
        said.append("next to the stall: leave one step in hand")
    if 0.0 < best.reached_share < 0.995:
        said.append(
            f"{number(100.0 * best.reached_share, 0)} of 100 draws meet the target inside the useful range"
        )
    return said


def suggestion_sections(suggestion: Suggestion, show: Show) -> tuple[Section, ...]:
    """Say what a suggestion rests on, and what has to be looked after.

    Parameters
    ----------
    suggestion : Suggestion
        As worked out.
    show : Show
        System of units.

    Returns
    -------
    tuple of Section
        Range, mounts and tyres, assumptions, cautions.
    """
    whole = suggestion.answers.answer
    top = whole.before.vehicle.top_speed
    hardware = [mount_words(one.run, one.load, show) for one in suggestion.mounts]
    if top is not None:
        hardware += tyre_words(suggestion.tyres, top, show)
    if not hardware:
        hardware = ["not known: the vehicle file states no top_speed, or no run was made without the part"]
    parts = (
        ("Range", [range_words(whole.moved.response)]),
        ("Mounts and tyres", hardware),
        ("Assumptions", assumption_lines(whole.assumptions, show)),
        ("Cautions", list(CAUTIONS)),
    )
    return tuple(
        Section(heading=heading, lines=tuple(("", f"· {line}") for line in lines)) for heading, lines in parts
    )


def left_alone_words(one: LeftAlone, setting: str, show: Show) -> str:
    """Name what one axle would need with the setting left alone.

    Parameters
    ----------
    one : LeftAlone
        What it would need.
    setting : str
        Name of the setting.
    show : Show
        System of units.

    Returns
    -------
    str
        ``wing angle as it is, 45 N less at the front (38 to 52)``.
    """
    less = one.change < 0.0
    text = f"{setting.replace('_', ' ')} as it is, {show.quantity('force', abs(one.change))} {'less' if less else 'more'}"
    text += f" at the {one.axle}"
    if math.isnan(one.low) or math.isnan(one.high):
        return text
    ends = sorted((abs(one.low), abs(one.high))) if one.low * one.high > 0.0 else (one.low, one.high)
    shown = ["beyond" if math.isinf(end) else show.bare("force", end) for end in ends]
    return f"{text} ({shown[0]} to {shown[1]})"
