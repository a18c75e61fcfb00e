"""Verdicts in words: the one place where their sentences are made."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.day.verdict import VerdictWord
from balance.model.records import USUAL_FRONT_TOLERANCE
from balance.tell.figures import Show, interval, number, of_hundred, percent

if TYPE_CHECKING:
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
CAUTION_LINE = (
    "Estimates of air loads in steady running: one change at a time, straight line first, rising speed, closed course. "
    "Oversteer at high speed is the dangerous side. Have mounts sized for top speed; check tyre ratings and series rules. "
    "Local rules and qualified people stand above this."
)
"""The same where there is room for a line or two."""

MUCH_AS_AT_REST = 0.01
"""Grip surplus below which a driver is told that the car behaves as in slow corners."""
_MARKS = {
    VerdictWord.IN_BALANCE: "●",
    VerdictWord.REAR_OVERPOWERS: "▲",
    VerdictWord.FRONT_OVERPOWERS: "▼",
    VerdictWord.AT_THE_EDGE: "◐",
    VerdictWord.CANNOT_TELL: "?",
    VerdictWord.OFF_THE_GROUND: "✖",
}
_ROLES = {
    VerdictWord.IN_BALANCE: "good",
    VerdictWord.REAR_OVERPOWERS: "warn",
    VerdictWord.FRONT_OVERPOWERS: "danger",
    VerdictWord.AT_THE_EDGE: "warn",
    VerdictWord.CANNOT_TELL: "muted",
    VerdictWord.OFF_THE_GROUND: "danger",
}


REFIT_ASSUMED = "refit scatter assumed"
"""What is said of every interval and verdict of a day on which nothing was fitted twice."""


def verdict_mark(verdict: Verdict) -> str:
    """Return the mark that stands before a verdict, so that no meaning hangs on colour."""
    return _MARKS[verdict.word]


def verdict_role(verdict: Verdict) -> str:
    """State how a verdict is to be set off: good, warn, danger or muted."""
    role = _ROLES[verdict.word]
    return "warn" if role == "good" and verdict.refit_assumed else role


def verdict_words(verdict: Verdict) -> str:
    """Write a verdict in a few words for a table whose head names the speed."""
    word = verdict.word
    if word is VerdictWord.OFF_THE_GROUND:
        return "AXLE OFF THE GROUND"
    if word is VerdictWord.CANNOT_TELL:
        return _qualified("cannot tell: run the baseline again", verdict)
    if word is VerdictWord.AT_THE_EDGE:
        side = "rear" if verdict.edge is VerdictWord.REAR_OVERPOWERS else "front"
        return _qualified(f"at the {side}'s edge ({_range(verdict)})", verdict)
    if verdict.light:
        text = "too little load to matter"
    elif word is VerdictWord.IN_BALANCE:
        text = "in balance"
    elif word is VerdictWord.REAR_OVERPOWERS:
        text = f"rear overpowers front ({_felt(verdict, 'pushes at speed')})"
    else:
        text = f"FRONT OVERPOWERS REAR ({_felt(verdict, 'loose at speed')})"
    return _qualified(text, verdict)


def _felt(verdict: Verdict, felt: str) -> str:
    """Put what the driver feels in a bracket: that follows the surplus, however narrow the band."""
    return "much as in slow corners" if abs(verdict.surplus) < MUCH_AS_AT_REST else felt


def _qualified(text: str, verdict: Verdict) -> str:
    """Add to a verdict how wide its dangerous side was made, and that nobody can tell how sure it is."""
    if verdict.front_limit is not None:
        text += f", front limit widened to {wide_limit(verdict.front_limit)}"
    return text if verdict.certain or verdict.awaited else f"{text}; cannot tell how sure"


def verdict_short(verdict: Verdict) -> str:
    """Write a verdict in at most 24 characters, for a narrow table."""
    word = verdict.word
    if word is VerdictWord.OFF_THE_GROUND:
        return "AXLE OFF THE GROUND"
    if word is VerdictWord.CANNOT_TELL:
        text = "cannot tell"
    elif word is VerdictWord.AT_THE_EDGE:
        text = "at the rear's edge" if verdict.edge is VerdictWord.REAR_OVERPOWERS else "at the front's edge"
    elif verdict.light:
        text = "too little load"
    elif word is VerdictWord.IN_BALANCE:
        text = "in balance"
    else:
        rear = word is VerdictWord.REAR_OVERPOWERS
        text = "rear over front" if rear else "FRONT OVER REAR"
        if verdict.front_limit is None and abs(verdict.surplus) >= MUCH_AS_AT_REST:
            text += " (pushes)" if rear else " (loose)"
    return text if verdict.front_limit is None else f"{text}, {wide_limit(verdict.front_limit)}"


def headline(verdict: Verdict, speed: float, show: Show) -> str:
    """Open a card: the verdict with its speed and what the driver feels."""
    at = show.speed(speed)
    word = verdict.word
    if word is VerdictWord.OFF_THE_GROUND:
        return f"AXLE OFF THE GROUND at {at}"
    if word is VerdictWord.CANNOT_TELL:
        return _qualified(f"Cannot tell at {at}: run the baseline again", verdict)
    if word is VerdictWord.AT_THE_EDGE:
        side = "rear over front" if verdict.edge is VerdictWord.REAR_OVERPOWERS else "front over rear"
        return _qualified(f"At the edge of the band at {at}, {side}", verdict)
    if verdict.light:
        text = f"Too little load to matter at {at}"
    elif word is VerdictWord.IN_BALANCE:
        text = f"In balance at {at}"
    elif word is VerdictWord.REAR_OVERPOWERS:
        text = f"Rear overpowers front at {at} ({_felt(verdict, 'pushes at speed')})"
    else:
        text = f"FRONT OVERPOWERS REAR at {at} ({_felt(verdict, 'loose at speed, dangerous')})"
    return _qualified(text, verdict)


def grip_words(verdict: Verdict, target: Target, at: str = "") -> str:
    """State how much more grip the air leaves one axle with, with its interval and the band."""
    amount = percent(abs(verdict.surplus), _std(verdict))
    gains, loses = ("rear", "front") if verdict.surplus >= 0 else ("front", "rear")
    cause = "the air and the drive against drag leave" if verdict.with_drive else "the air leaves"
    between = f" ({_range(verdict, mirrored=verdict.surplus < 0)})" if verdict.low is not None else ""
    return (
        f"{f'At {at}, compared' if at else 'Compared'} with rest, {cause} the {gains} with {amount} more grip than the {loses}{between}; "
        f"up to {percent(target.rear_tolerance if verdict.surplus >= 0 else target.front_tolerance)} is allowed on "
        "that side."
    )


def explanation(verdict: Verdict, speed: float, target: Target, show: Show) -> str:
    """State why, in a sentence or two that a driver can follow."""
    at = show.speed(speed)
    word = verdict.word
    if word is VerdictWord.OFF_THE_GROUND:
        return f"At {at} the lift of an axle is more than the weight on it. No figure of balance means anything there."
    grip = grip_words(verdict, target, at)
    if word is VerdictWord.CANNOT_TELL:
        return f"{grip} The scatter of the day reaches over both edges of the band."
    if word is VerdictWord.AT_THE_EDGE:
        return f"{grip} The scatter of the day reaches over that edge."
    if word is VerdictWord.IN_BALANCE:
        return f"{grip} {feel_words(verdict)}"
    felt = feel_words(verdict)
    return f"At {at} t{felt[1:]} {grip_words(verdict, target)}"


def feel_words(verdict: Verdict) -> str:
    """State what the driver feels: this follows the surplus, never the band."""
    if abs(verdict.surplus) < MUCH_AS_AT_REST:
        return "The car behaves much as in slow corners."
    return f"The car will {'push more' if verdict.surplus > 0.0 else 'be looser at the rear'} than in slow corners."


def wide_limit(limit: float) -> str:
    """Write how far the dangerous side of the band was opened, with no more digits than it has."""
    return f"{limit * 100.0:.4g} %"


def ground_words(ground: GroundLevel) -> str:
    """Warn that the height at which drag is reacted alone puts a car in its class."""
    return (
        f"warning: with drag reacted at ground level the grip surplus would be {percent(ground.at_ground)} in place of "
        f"{percent(ground.surplus)}: {ground.word_at_ground}, not {ground.word}; is the height right?"
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
    beyond = (
        "" if verdict.front_limit is None else f" by more than the usual {percent(USUAL_FRONT_TOLERANCE)}"
    )
    if verdict.loose is None:
        return f"warning: the front is over the rear by {percent(-verdict.surplus)}, the usual limit is {percent(USUAL_FRONT_TOLERANCE)} (loose at speed)"
    return f"warning: front overpowers rear{beyond} in {of_hundred(verdict.loose)} draws (loose at speed)"


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
        f"{verdict.nominal}: in {of_hundred(verdict.probability)} draws of this day's scatter and the "
        "assumed exponents; floor, tyres and set-up are not in it"
    )


def band_words(target: Target) -> str:
    """Write the tolerance band as it is judged."""
    return f"{percent(-target.front_tolerance)} to {percent(target.rear_tolerance)}"


def share_words(front_downforce: float, rear_downforce: float) -> str:
    """State why there is no front share."""
    lifting = [name for name, force in (("front", front_downforce), ("rear", rear_downforce)) if force < 0]
    if lifting:
        return f"LIFT at {'both' if len(lifting) == 2 else lifting[0]}, no share"
    return "too small, no share"


def onset_words(
    speed: float, verdict: VerdictWord, *, tested: float, top_speed: float | None, show: Show
) -> str:
    """State from which speed an edge of the band is passed, and whether that was tested or can be reached."""
    side = (
        "the rear overpowers the front"
        if verdict is VerdictWord.REAR_OVERPOWERS
        else "THE FRONT OVERPOWERS THE REAR"
    )
    if not math.isfinite(speed):
        return "stays inside the band at any speed"
    beyond = []
    if top_speed is not None and speed > top_speed:
        beyond.append("beyond top speed")
    if speed > 1.22 * tested:
        beyond.append("beyond what was tested")
    return f"{side} from {show.speed(speed)}" + (f" ({', '.join(beyond)})" if beyond else "")


def _std(verdict: Verdict) -> float:
    """Estimate the standard uncertainty that chooses the digits, from the interval."""
    if verdict.low is None or verdict.high is None or not math.isfinite(verdict.high - verdict.low):
        return math.nan
    return (verdict.high - verdict.low) / 4.0


def _range(verdict: Verdict, *, mirrored: bool = False) -> str:
    """Write the interval of the surplus that was judged, rear over front; turned, of the front over the rear."""
    if verdict.low is None or verdict.high is None:
        return ""
    low, high = (-verdict.high, -verdict.low) if mirrored else (verdict.low, verdict.high)
    return interval(low, high, _std(verdict))
