"""Verdicts in words: the one place where their sentences are made."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from balance.decide.day.verdict import VerdictWord
from balance.model.records import USUAL_FRONT_TOLERANCE
from balance.tell.figures import Show, capital, interval, number, of_hundred, percent

if TYPE_CHECKING:
    from balance.decide.day.estimate import Estimate
    from balance.decide.day.ground_level import GroundLevel
    from balance.decide.day.verdict import Verdict
    from balance.model.records import Target

CAUTIONS = (
    "Estimates from readings of one day: air loads only, a car in steady running on a smooth road.",
    "Braking, lifting off, yaw, crests, ride height and tyre temperature are not in these figures.",
    "Oversteer at high speed is the dangerous side: start with the rear heavy, bring the front in by steps.",
    "One change at a time, straight line first, rising speed, closed course, trained driver.",
    "Mounts carry the load of top speed, which grows with its square: have them sized by somebody qualified.",
    "Check tyre load and speed ratings at the loaded corner, spring travel, cooling, and the rules of the series.",
    "Local rules and qualified people stand above anything written here.",
)
"""Stand on every screen and page that suggests a change."""
CAUTIONS_OF_DAYS = (CAUTIONS[0].replace("of one day", "of several days"), *CAUTIONS[1:])
"""The same where days are joined."""
CAUTION_LINE = (
    "Estimates of air loads in steady running: one change at a time, straight line first, rising speed, closed course. "
    "Oversteer at high speed is the dangerous side. Have mounts sized for top speed; check tyre ratings and series rules. "
    "Local rules and qualified people stand above this."
)
"""The same where there is room for a line or two."""
CAUTION_SHORT = "Estimates. One change at a time, speed in steps; oversteer is the dangerous side"
"""The same in one line, beside where the rest can be read."""

MUCH_AS_AT_REST = 0.01
"""Grip balance below which a driver is told that the car behaves as in slow corners."""


class ClassWords(NamedTuple):
    """A class of verdicts: its mark, its role, what it is in the middle of a sentence, and what a car in it turns to."""

    mark: str
    role: str
    said: str
    turns: str


CLASSES = {
    VerdictWord.IN_BALANCE: ClassWords("●", "good", "in balance", "in balance"),
    VerdictWord.REAR_OVERPOWERS: ClassWords("▲", "warn", "past the understeer limit", "more understeer"),
    VerdictWord.FRONT_OVERPOWERS: ClassWords("▼", "danger", "past the oversteer limit", "MORE OVERSTEER"),
    VerdictWord.AT_THE_EDGE: ClassWords("◐", "warn", "at a limit", "at a limit"),
    VerdictWord.CANNOT_TELL: ClassWords("?", "muted", "cannot tell", "cannot tell"),
    VerdictWord.OFF_THE_GROUND: ClassWords("▼", "danger", "axle unloaded", "an axle unloaded"),
}
"""The words of each class, the one place where they stand."""
REFIT_ASSUMED = "refitting assumed"
"""Stands with every interval and verdict of a day on which nothing was fitted twice."""


def verdict_mark(verdict: Verdict) -> str:
    """Return the mark that stands before a verdict, so that no meaning hangs on colour."""
    return "○" if verdict.light and verdict.word is VerdictWord.IN_BALANCE else CLASSES[verdict.word].mark


def verdict_role(verdict: Verdict) -> str:
    """Return how a verdict is set off: good, warn, danger or muted."""
    role = CLASSES[verdict.word].role
    return "warn" if role == "good" and verdict.refit_assumed else role


def verdict_words(verdict: Verdict) -> str:
    """Write a verdict in a few words for a table whose head names the speed."""
    word = verdict.word
    if word is VerdictWord.OFF_THE_GROUND:
        return "AXLE UNLOADED"
    if word is VerdictWord.CANNOT_TELL:
        return _qualified("cannot tell", verdict)
    if word is VerdictWord.AT_THE_EDGE:
        return _qualified(f"at the {_side(verdict)} limit ({surplus_range(verdict)})", verdict)
    return _qualified(_class(verdict), verdict)


def _class(verdict: Verdict) -> str:
    """Put a verdict that is past a limit or inside both in words: what the driver feels follows the figure, not the limit."""
    if verdict.light:
        return "small load"
    if verdict.word is VerdictWord.IN_BALANCE:
        return CLASSES[verdict.word].said
    if abs(verdict.surplus) < MUCH_AS_AT_REST:
        return f"{CLASSES[verdict.word].said}, much as in slow corners"
    front = verdict.word is VerdictWord.FRONT_OVERPOWERS
    return f"{'MORE OVERSTEER' if front else 'more understeer'} than in slow corners"


def _side(verdict: Verdict) -> str:
    return "understeer" if verdict.edge is VerdictWord.REAR_OVERPOWERS else "oversteer"


def _qualified(text: str, verdict: Verdict) -> str:
    """Add to a verdict how wide its dangerous side was made, and that nobody can tell how sure it is."""
    if verdict.front_limit is not None:
        text += f", oversteer limit widened to {wide_limit(verdict.front_limit)}"
    return text if verdict.certain or verdict.awaited else f"{text}; cannot tell how sure"


def verdict_short(verdict: Verdict) -> str:
    """Put a verdict in at most 14 characters, for a narrow table; a widened limit stands behind it."""
    word = verdict.word
    if word is VerdictWord.OFF_THE_GROUND:
        return "AXLE UNLOADED"
    if word is VerdictWord.AT_THE_EDGE:
        text = "understeer?" if verdict.edge is VerdictWord.REAR_OVERPOWERS else "OVERSTEER?"
    else:
        small = verdict.light and word is VerdictWord.IN_BALANCE
        text = "small load" if small else short_class(word)
    return text if verdict.front_limit is None else f"{text}, {wide_limit(verdict.front_limit)}"


def short_class(word: VerdictWord) -> str:
    """Name a class in a column: of more understeer or oversteer than in slow corners the side alone."""
    return CLASSES[word].turns.removeprefix("more ").removeprefix("MORE ")


def headline(verdict: Verdict, speed: float, show: Show) -> str:
    """Open a card: the verdict with its speed."""
    at = show.speed(speed)
    if verdict.word is VerdictWord.OFF_THE_GROUND:
        return f"AXLE UNLOADED at {at}: dangerous"
    if verdict.word is VerdictWord.CANNOT_TELL:
        text = "cannot tell"
    elif verdict.word is VerdictWord.AT_THE_EDGE:
        text = f"at the {_side(verdict)} limit"
    else:
        text = _class(verdict)
    return _qualified(f"{capital(text)} at {at}{': dangerous' * text.startswith('MORE')}", verdict)


def grip_words(verdict: Verdict, target: Target, at: str = "") -> str:
    """Write how much more grip the air leaves one axle with, with its interval and the limit of that side."""
    amount = percent(abs(verdict.surplus), surplus_std(verdict))
    gains, loses = ("rear", "front") if verdict.surplus >= 0 else ("front", "rear")
    powered = "under power " if verdict.with_drive else ""
    between = f" ({surplus_range(verdict, mirrored=verdict.surplus < 0)})" if verdict.low is not None else ""
    return (
        f"{f'At {at}, compared' if at else 'Compared'} with slow corners, {powered}the {gains} has {amount} more grip "
        f"than the {loses}{between}; "
        f"up to {percent(target.rear_tolerance if verdict.surplus >= 0 else target.front_tolerance)} is allowed "
        "there."
    )


def explanation(verdict: Verdict, speed: float, target: Target, show: Show) -> str:
    """Give the reason of a verdict in a sentence or two that a driver can follow."""
    at = show.speed(speed)
    word = verdict.word
    if word is VerdictWord.OFF_THE_GROUND:
        return (
            f"At {at} the air lifts the whole weight of an axle. No figure of balance means anything there."
        )
    grip = grip_words(verdict, target, at)
    if word is VerdictWord.CANNOT_TELL:
        return f"{grip} The interval reaches past both limits: repeats differ too much."
    if word is VerdictWord.AT_THE_EDGE:
        return f"{grip} The interval reaches past that limit."
    if word is VerdictWord.IN_BALANCE:
        return f"{grip} {feel_words(verdict)}"
    felt = feel_words(verdict)
    return f"At {at} t{felt[1:]} {grip_words(verdict, target)}"


def feel_words(verdict: Verdict) -> str:
    """State what the driver feels: this follows the grip balance, never the limits."""
    if abs(verdict.surplus) < MUCH_AS_AT_REST:
        return "The car behaves much as in slow corners."
    return f"The car has more {'under' if verdict.surplus > 0.0 else 'over'}steer than in slow corners."


def wide_limit(limit: float) -> str:
    """Write how far the dangerous side of the band was opened, with no more digits than it has."""
    return f"{limit * 100.0:.4g} %"


def ground_words(ground: GroundLevel) -> str:
    """Warn that the height at which drag is reacted alone puts a car in its class."""
    return (
        f"warning: with drag reacted at ground level the grip balance would be {percent(ground.at_ground)} in place of "
        f"{percent(ground.surplus)}: {CLASSES[ground.word_at_ground].said}, not {CLASSES[ground.word].said}; is the height right?"
    )


def margin_words(margin: float) -> str:
    """Caution of a static margin below 0 at rest."""
    return (
        f"static margin of {percent(margin)} at rest: this car diverges above some speed even without air; tyre data are "
        "needed to say which"
    )


def margin_caution(margin: float | None) -> str:
    """Write that caution as a sentence, where the margin was stated and is below 0; else nothing."""
    return f"Caution: {margin_words(margin)}." if margin is not None and margin < 0.0 else ""


def danger_words(verdict: Verdict) -> str:
    """Warn of a front over the rear: in how many draws, or by how much where the scatter is unknown."""
    usual = "" if verdict.front_limit is None else f"usual {percent(USUAL_FRONT_TOLERANCE)} "
    if verdict.loose is None:
        return f"warning: the front has {percent(-verdict.surplus)} more grip; the usual oversteer limit is {percent(USUAL_FRONT_TOLERANCE)}"
    return f"warning: past the {usual}oversteer limit in {of_hundred(verdict.loose)} draws"


def percent_of(estimate: Estimate, place: int = 0) -> str:
    """Write a share of a run, or of one car, with its interval where there is one."""
    value, std = float(estimate.value[place]), float(estimate.std[place])
    between = interval(float(estimate.low[place]), float(estimate.high[place]), std)
    return f"{percent(value, std)}{f' ({between})' if between else ''}"


def target_words(verdict: Verdict, target: Target) -> str:
    """State how far the grip surplus is from what is aimed at; the target moves advice, never the verdict."""
    aim = percent(target.grip_surplus)
    away = verdict.surplus - target.grip_surplus
    if not math.isfinite(away):
        return aim
    amount = number(abs(away) * 100.0, 1)
    if not amount.strip("0."):
        return f"{aim}: on target"
    return f"{aim}: {'past target' if away > 0 else 'short of target'} by {amount} points"


def probability_words(verdict: Verdict) -> str:
    """State in how many draws the nominal class came out, and what is not in them."""
    if verdict.awaited:
        return "How sure: being worked out …"
    if verdict.probability is None:
        return "How sure: cannot tell. No repeats and no stated repeatability: run the baseline again."
    return (
        f"{CLASSES[verdict.nominal].said}: in {of_hundred(verdict.probability)} draws of this day's readings and "
        "the assumed exponents; floor, tyres and set-up are not in it"
    )


def band_words(target: Target) -> str:
    """Write the tolerance band as it is judged."""
    return f"{percent(-target.front_tolerance)} to {percent(target.rear_tolerance)}"


def share_words(front_downforce: float, rear_downforce: float) -> str:
    """State why there is no aero balance."""
    lifting = [name for name, force in (("front", front_downforce), ("rear", rear_downforce)) if force < 0]
    if lifting:
        return f"LIFT at {'both axles' if len(lifting) == 2 else lifting[0]}"
    return "too small"


def onset_words(
    speed: float, verdict: VerdictWord, *, tested: float, top_speed: float | None, show: Show
) -> str:
    """State from which speed an edge of the band is passed, and whether that was tested or can be reached."""
    if not math.isfinite(speed):
        return "inside the limits at any speed"
    side = CLASSES[verdict].said if verdict is VerdictWord.REAR_OVERPOWERS else "PAST THE OVERSTEER LIMIT"
    beyond = []
    if top_speed is not None and speed > top_speed:
        beyond.append("beyond top speed")
    if speed > 1.22 * tested:
        beyond.append("beyond the tested range")
    return f"{side} from {show.speed(speed)}" + (f" ({', '.join(beyond)})" if beyond else "")


def surplus_std(verdict: Verdict) -> float:
    """Estimate the standard uncertainty that chooses the digits, from the interval."""
    if verdict.low is None or verdict.high is None or not math.isfinite(verdict.high - verdict.low):
        return math.nan
    return (verdict.high - verdict.low) / 4.0


def surplus_range(verdict: Verdict, *, mirrored: bool = False) -> str:
    """Write the interval of the surplus that was judged, rear over front; turned, of the front over the rear."""
    if verdict.low is None or verdict.high is None:
        return ""
    low, high = (-verdict.high, -verdict.low) if mirrored else (verdict.low, verdict.high)
    return interval(low, high, surplus_std(verdict))
