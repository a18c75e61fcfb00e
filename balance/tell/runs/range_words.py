"""The verdict over all speeds of a car in words: the columns of a table, and the sentence that opens a card."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from balance.decide.day.verdict import VerdictWord
from balance.model.records import USUAL_FRONT_TOLERANCE
from balance.tell.figures import capital, interval, percent
from balance.tell.runs.differing_words import RUN_AGAIN, cause_words, mend_words
from balance.tell.words import CLASSES, MUCH_AS_AT_REST, REFIT_ASSUMED, short_class, wide_limit

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.decide.day.day import Day
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.model.records import Target, Vehicle
    from balance.tell.figures import Show

BEYOND = "†"
"""Stands behind what lies beyond the tested speeds."""


def range_mark(one: RangeVerdict) -> str:
    """Return the mark of a verdict over the range, so that no meaning hangs on colour."""
    if one.word is VerdictWord.OFF_THE_GROUND:
        return "▼" if one.unloaded == "rear" else "▲"
    if one.light and one.word is not VerdictWord.AT_THE_EDGE and not may_loosen(one):
        return "○"
    return CLASSES[VerdictWord.AT_THE_EDGE if may_loosen(one) else one.word].mark


def _ends_beyond(one: RangeVerdict) -> bool:
    """Return whether a car that is in balance as far as tested may leave it beyond."""
    return one.word is VerdictWord.IN_BALANCE and not one.stays and not one.light


def may_loosen(one: RangeVerdict) -> bool:
    """Return whether it may leave it at the dangerous side."""
    return _ends_beyond(one) and one.leaves_to is VerdictWord.FRONT_OVERPOWERS


def _perhaps(one: RangeVerdict) -> str:
    return f"perhaps {'MORE OVERSTEER' if may_loosen(one) else 'more understeer'}"


def range_role(one: RangeVerdict) -> str:
    """Return how a verdict over the range is set off: good, warn or danger."""
    if one.word is VerdictWord.IN_BALANCE:
        sure = (one.certain or one.awaited) and not one.refit_assumed and one.loosest is None
        return "good" if sure and not may_loosen(one) else "warn"  # no green where nobody can tell how sure
    danger = one.word is VerdictWord.OFF_THE_GROUND or (
        one.word is VerdictWord.FRONT_OVERPOWERS and one.loose_at_place
    )
    return "danger" if danger else "warn"


def range_short(one: RangeVerdict) -> str:
    """Put the verdict over the range in few characters, with its mark: what the car does in the end."""
    if one.word is VerdictWord.AT_THE_EDGE:
        text = "understeer?" if one.edge is VerdictWord.REAR_OVERPOWERS else "OVERSTEER?"
    elif one.word is VerdictWord.OFF_THE_GROUND:
        text = f"{str(one.unloaded).upper()} UNLOADED"
    else:
        text = "small load" if one.light else short_class(one.word)
    if one.front_limit is not None and one.word is not VerdictWord.OFF_THE_GROUND:
        text += f", {wide_limit(one.front_limit)}"  # how far the dangerous side was opened
    if one.word is VerdictWord.IN_BALANCE and (one.refit_assumed or not (one.certain or one.awaited)):
        text += "?"
    return f"{range_mark(one)} {text}{BEYOND if one.beyond_tested else ''}"


def range_then(one: RangeVerdict) -> str:
    """State what a car does beyond the speed that it is in balance to, to be read behind that speed in a table's row."""
    if not _ends_beyond(one):
        return range_short(one)
    return f"{range_mark(one)} {'OVERSTEER' if may_loosen(one) else 'understeer'}?{BEYOND}"


def range_class(one: RangeVerdict) -> str:
    """Name the class over the range as its column does, without mark and limits."""
    return range_short(replace(one, front_limit=None)).removesuffix(BEYOND).partition(" ")[2]


def balance_to(one: RangeVerdict, show: Show) -> str:
    """Write the highest speed up to which a car is in balance; "top" where that is every speed it sees."""
    if one.stays:
        return "top"
    beyond = one.in_balance_to >= one.tested
    return show.bare("speed", one.in_balance_to) + (BEYOND if beyond else "")


def range_balance(one: RangeVerdict, show: Show) -> str:
    """State how far a car is in balance where it is at all, else what it does instead."""
    if one.stays and one.word is VerdictWord.IN_BALANCE:
        return "in balance to top speed"
    if may_loosen(one):
        return f"{_perhaps(one)} from {balance_to(one, show)} {show.unit('speed')}"
    harmless = one.word in (VerdictWord.IN_BALANCE, VerdictWord.REAR_OVERPOWERS) or (
        one.edge is VerdictWord.REAR_OVERPOWERS
    )
    if harmless:
        return f"in balance to {balance_to(one, show)} {show.unit('speed')}"
    return range_brief(one, show)


def range_phrase(one: RangeVerdict, show: Show) -> str:
    """Put the verdict over the range in a few words for the middle of a sentence: the class, and how far it is in balance."""
    far = "as far as tested, to" if one.word is VerdictWord.IN_BALANCE else "in balance to"
    to = "" if one.stays else f" ({far} {balance_to(one, show)} {show.unit('speed')})"
    return f"{range_short(one)}{to}"


def range_sentence(
    one: RangeVerdict,
    vehicle: Vehicle,
    show: Show,
    *,
    named: str = "",
    tested: float = math.nan,
    day: Day | None = None,
    customer: bool = False,
) -> str:
    """State what a car does over all speeds that it sees, in a sentence without its full stop.

    ``named`` are the named speeds, where it is in balance at all of them; ``tested`` is how far the tests reach [m/s];
    ``day`` is what tells why nobody can tell, and names the run to correct first; not to a ``customer``, who corrects none.
    """
    target = vehicle.target
    beyond = ", beyond the tested range" if one.beyond_tested else ""
    said = _at_named_speeds(one, vehicle, show, named, tested) or _said(one, vehicle, show, beyond)
    if one.word is VerdictWord.CANNOT_TELL:
        mend = RUN_AGAIN if day is None or customer else mend_words(day)
        said = f"Cannot tell: {cause_words(day)}. {capital(mend)}"
    if target.front_widened:
        said += f", oversteer limit widened to {wide_limit(target.front_tolerance)}"
    if one.loosest is not None:
        said += (
            f"; warning: front {percent(-one.loosest)} more grip, the usual oversteer limit is {percent(USUAL_FRONT_TOLERANCE)}"
            f"{' (more oversteer than in slow corners)' if one.loosest <= -MUCH_AS_AT_REST else ''}"
        )
    if one.refit_assumed:
        said += f"; {REFIT_ASSUMED}"
    return said if one.certain or one.awaited else f"{said}; cannot tell how sure"


def _at_named_speeds(one: RangeVerdict, vehicle: Vehicle, show: Show, named: str, tested: float) -> str:
    """State that a car is in balance at the named speeds, and what comes after them; nothing where that is not all."""
    if not named or one.light:
        return ""
    at = f"In balance at {named}"
    far = "top speed, " if vehicle.top_speed == one.end else ""
    if one.word is VerdictWord.AT_THE_EDGE and one.edge is VerdictWord.REAR_OVERPOWERS:
        return f"{at}; at the understeer limit at {far if one.at == one.end else ''}{show.speed(one.at)}"
    if one.word is not VerdictWord.IN_BALANCE:
        return ""
    if one.stays:
        return f"{at}, and up to {far}{show.speed(one.end)}"
    return f"{at}, and to the tests' reach, {show.speed(tested)}; beyond, {_perhaps(one)}"


def _said(one: RangeVerdict, vehicle: Vehicle, show: Show, beyond: str) -> str:  # noqa: PLR0911 - one class a line
    end = f"{'top speed, ' if vehicle.top_speed == one.end else ''}{show.speed(one.end)}"
    if one.word is VerdictWord.OFF_THE_GROUND:
        return f"{str(one.unloaded).capitalize()} axle unloaded from {show.speed(one.at)}: the air lifts its whole weight{beyond}"
    if one.word in (VerdictWord.FRONT_OVERPOWERS, VerdictWord.REAR_OVERPOWERS):
        return _overpowered(one, vehicle.target, show, beyond)
    if one.word is VerdictWord.AT_THE_EDGE:
        if one.edge is VerdictWord.REAR_OVERPOWERS:
            return f"In balance to {show.speed(one.in_balance_to)}, at the understeer limit at {show.speed(one.at)}"
        return f"At the oversteer limit at {show.speed(one.at)}: {limit_words(one, vehicle.target)}{beyond}"
    if one.light:
        return f"Small load: the air adds less than 1 % to either axle up to {end}"
    if one.stays:
        return f"In balance to {end}"
    return f"In balance as far as tested; beyond, {_perhaps(one)} from {show.speed(one.in_balance_to)}"


def range_brief(one: RangeVerdict, show: Show, *, between: bool = False, whole: bool = False) -> str:  # noqa: PLR0911 - one class a line
    """Put the class over the range and where it begins in a few words, to stand behind a colon.

    ``between`` adds the interval of that speed, ``whole`` that the car is compared with itself in slow corners.
    """
    if one.word is VerdictWord.OFF_THE_GROUND:
        return f"{str(one.unloaded).upper()} UNLOADED from {show.speed(one.at)}"
    if one.word is VerdictWord.AT_THE_EDGE:
        if one.edge is VerdictWord.REAR_OVERPOWERS:
            return f"in balance to {show.speed(one.in_balance_to)}, then at the understeer limit"
        return f"at the OVERSTEER limit at {show.speed(one.at)}"
    if one.word in (VerdictWord.FRONT_OVERPOWERS, VerdictWord.REAR_OVERPOWERS):
        side = "understeer" if one.word is VerdictWord.REAR_OVERPOWERS else "OVERSTEER"
        where = _from(one, show, between=between)
        if abs(one.surplus) < MUCH_AS_AT_REST:
            return f"past the {side} limit {where}"
        more = "more" if side.islower() else "MORE"
        return f"{more} {side} {'than in slow corners ' if whole else ''}{where}"
    if one.loosest is not None:
        return f"OVERSTEER, front {percent(-one.loosest)} more grip at {show.speed(one.at)}"
    return range_class(one)


def range_and_beyond(one: RangeVerdict, show: Show) -> str:
    """Put the class over the range in a few words, and that the car may turn dangerous beyond the tests where it may."""
    said = range_brief(one, show)
    beyond = may_loosen(one) and one.loosest is None
    return f"{said} to {show.speed(one.in_balance_to)}, then {_perhaps(one)}" if beyond else said


def customer_sentence(one: RangeVerdict, vehicle: Vehicle, show: Show) -> str:  # noqa: PLR0911 - one class a line
    """State to the car's owner what a verdict means on the road, in a sentence without its full stop."""
    if one.word is VerdictWord.OFF_THE_GROUND:
        if one.unloaded == "rear":
            return f"DANGEROUS: the rear leaves the road at {show.speed(one.at)}"
        return f"DANGEROUS: steering is lost at {show.speed(one.at)}"
    if one.word is VerdictWord.CANNOT_TELL:
        return "Not enough readings to say"
    if one.word is VerdictWord.AT_THE_EDGE:
        if one.edge is VerdictWord.FRONT_OVERPOWERS:
            return f"May become unstable from {show.speed(_first_doubt(one))}: treat as dangerous"
        far = "at top speed" if vehicle.top_speed == one.at else f"at {show.speed(one.at)}"
        return f"In balance to {show.speed(one.in_balance_to)}; may run wide {far}"
    if one.loosest is not None and one.loosest <= -MUCH_AS_AT_REST:
        return f"DANGEROUS at {show.speed(one.at)}: the rear lets go earlier than in slow corners"
    if one.word is VerdictWord.IN_BALANCE:
        return _felt_in_balance(one, vehicle, show)
    return _felt_past_a_limit(one, show)


def _felt_in_balance(one: RangeVerdict, vehicle: Vehicle, show: Show) -> str:
    """State that nothing is felt, and up to which speed: every one reached where a top speed is stated."""
    end = show.speed(one.end)
    if one.light:
        return f"Up to {end} the air changes neither axle's load by 1 % of its weight: it behaves much as in slow corners"
    if one.stays:
        reached = "at every speed you reach" if vehicle.top_speed == one.end else f"up to {end}"
        return f"In balance {reached}"
    what = "become unstable beyond: treat as dangerous" if may_loosen(one) else "run wide beyond"
    return f"In balance to {show.speed(one.in_balance_to)}; may {what}"


def _felt_past_a_limit(one: RangeVerdict, show: Show) -> str:
    start = _from(one, show, between=False)
    if one.word is VerdictWord.FRONT_OVERPOWERS:
        return f"DANGEROUS {start}: the rear lets go earlier than in slow corners"
    start = capital(start)
    if abs(one.surplus) < MUCH_AS_AT_REST:
        return f"{start} it behaves much as in slow corners, past the understeer limit"
    return f"{start} it runs wide more than in slow corners"


def _first_doubt(one: RangeVerdict) -> float:
    """Return the lowest speed at which the interval reaches over the limit."""
    return min(one.in_balance_to, one.at)


def _overpowered(one: RangeVerdict, target: Target, show: Show, beyond: str) -> str:
    """State from which speed an axle is overpowered; what the driver feels follows the surplus, not the limits."""
    front, alike = one.word is VerdictWord.FRONT_OVERPOWERS, abs(one.surplus) < MUCH_AS_AT_REST
    if alike:
        far = f": {limit_words(one, target)}{beyond}" if front else ""
        return f"Past the {'over' if front else 'under'}steer limit {_from(one, show)}, much as in slow corners{far}"
    if front:
        return f"MORE OVERSTEER than in slow corners {_from(one, show)}: dangerous{beyond}"
    return f"More understeer than in slow corners {_from(one, show)}"


def _from(one: RangeVerdict, show: Show, *, between: bool = True) -> str:
    """State from which speed the limit is passed, with its interval."""
    leaves = one.leaves if math.isfinite(one.leaves) else one.in_balance_to
    if not math.isfinite(leaves) or one.leaves_to is not one.word:  # it leaves at the other side first
        return f"at {show.speed(one.at)}"
    if not between or one.leaves_low is None or one.leaves_high is None:
        return f"from {show.speed(leaves)}"
    high = show.bare("speed", one.leaves_high) if math.isfinite(one.leaves_high) else "never"
    return f"from {show.speed(leaves)} ({show.bare('speed', one.leaves_low)} to {high})"


def beyond_words(ranges: Sequence[RangeVerdict], tested: float, show: Show) -> Iterator[str]:
    """Explain the mark of what lies beyond the tests, where it stands beside any of some verdicts."""
    if any(BEYOND in range_short(one) or BEYOND in balance_to(one, show) for one in ranges):
        yield f"{BEYOND} beyond {show.speed(tested)}, as far as the tests reach"


def limit_words(one: RangeVerdict, target: Target) -> str:
    """State by how much the front is over the rear where that is worst, beside the limit of that side."""
    if not math.isfinite(one.high - one.low):
        return f"limit {percent(target.front_tolerance)}"
    return f"front {interval(-one.high, -one.low, (one.high - one.low) / 4.0)} more grip, limit {percent(target.front_tolerance)}"


def range_line(one: RangeVerdict, show: Show) -> str:
    """State which speeds were looked at, and what drive adds."""
    drive = "under power too" if one.with_drive else "air loads alone"
    said = f"Judged {show.bare('speed', one.start)} to {show.speed(one.end)}, {drive}"
    if one.power_understeer is not None:
        said += f". More understeer under power from {show.speed(one.power_understeer)}"
    return said
