"""Two configurations side by side: which ones were asked for, and what was worked out of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from balance.decide.parts.two_configurations import compare_two
from balance.model.errors import AxletrimError
from balance.tell.report.recommended import recommended

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.decide.parts.parts import Parts


class TwoAsked(NamedTuple):
    """What figures of two configurations hang on; without a pair, that which the page opens on."""

    day: Day
    speed: float
    correct_drift: bool
    pair: tuple[str, str] | None


class TwoFound(NamedTuple):
    """The comparison, its runs from left to right, and how they were come by; a fault in words where there is none."""

    asked: TwoAsked
    pair: tuple[str, str] | None
    why: str
    parts: Parts | None = None
    row: int = 0
    fault: str = ""


def compare_asked(asked: TwoAsked) -> TwoFound:
    """Work out two configurations: for a worker thread."""
    pair, why = (asked.pair, "") if asked.pair is not None else opening_pair(asked.day)
    if pair is None:
        return TwoFound(asked, None, why, fault="the day has one configuration: nothing to compare")
    try:
        parts, row = compare_two(asked.day, *pair, speed=asked.speed, correct_drift=asked.correct_drift)
    except AxletrimError as fault:
        return TwoFound(asked, pair, why, fault=str(fault))
    return TwoFound(asked, pair, why, parts, row)


def opening_pair(day: Day) -> tuple[tuple[str, str] | None, str]:
    """Choose what is compared where nobody has: the recommendation, else the choice by rule, against the start."""
    found = recommended(day)
    others = [row for row in day.rows.configurations if row != found.start]
    if not others:
        return None, ""
    start = label_of(day, found.start)
    if found.row == found.start:
        return (start, label_of(day, others[0])), "start, and the next configuration"
    why = "recommended" if found.by_engineer else "chosen by rule: no recommendation is written"
    return (start, label_of(day, found.row)), f"left: start · right: {why}"


def label_of(day: Day, row: int) -> str:
    """Return the label of the first reading of a row."""
    return day.readings.labels[day.rows.members[row][0]]
