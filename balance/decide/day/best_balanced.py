"""Which configuration a report should arrive at where nobody has said: safe first, then balance, then load for drag."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.compare.contrasts import contrast_changes
from balance.decide.day.assessment import assess
from balance.decide.day.verdict import VerdictWord
from balance.model.channels import AXLES, front_rear_drag

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from numpy.typing import NDArray

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.day import Day
    from balance.decide.day.verdict import Verdict

DRAG_WORTH = 5.0
"""Newtons of downforce that one newton of drag must bring to be worth it; a typical value, no source. [1]"""
_AS_GOOD = 0.05
"""Shares of draws in balance this near to the largest count as equal."""


class Choice(NamedTuple):
    """A row of the day, and whether it has what was looked for: load at both axles, and no danger in the range.

    ``balanced`` tells whether it is in balance, nominally, at every named place, at the tested speed where none is named.
    """

    row: int
    loaded: bool
    safe: bool
    balanced: bool


def best_balanced(day: Day, start: int, *, without: Collection[int] = ()) -> Choice:
    """Choose a configuration.

    Configurations marked suspect stand back. Among those that gain downforce over the start and lose none at
    either axle by more than noise, or lift at neither; of these, those whose front overpowers the rear nowhere in the range; of these the
    largest share of draws in balance at the worst of the named places, the tested speed where none is named;
    of those within 5 points of it the most downforce less 5 times drag. A step that would leave nothing is
    passed over. Rows ``without`` are not to be chosen, for the next best; never all of them.
    """
    rows = list(day.rows.configurations)
    at = _at_places(day, rows)
    table = at[0]
    front, rear, drag = front_rear_drag(day.areas(rows))
    begun = rows.index(start)
    gains = (front + rear > front[begun] + rear[begun]) & ~_loses_at_an_axle(day, rows, start)
    presses = (front >= 0.0) & (rear >= 0.0)
    open_to_choice = np.array([row not in without for row in rows])
    good = np.array([run.status != "suspect" for run in table.runs])
    safe = np.array([not one.dangerous for one in table.ranges])
    share = _least_share(at)
    kept = open_to_choice
    for wanted in (good, gains | presses, safe):
        kept = kept & wanted if np.any(kept & wanted) else kept
    kept &= share >= share[kept].max() - _AS_GOOD
    worth = np.where(kept, front + rear - DRAG_WORTH * drag, -np.inf)
    best = int(np.argmax(worth))
    balanced = all(one.handling.verdicts[best].nominal is VerdictWord.IN_BALANCE for one in at)
    return Choice(rows[best], bool(gains[best] or presses[best]), bool(safe[best]), balanced)


def _loses_at_an_axle(day: Day, rows: Sequence[int], start: int) -> NDArray[np.bool_]:
    """Find the rows that lose downforce against the start at an axle by more than noise; any loss, or none gained, where it is unknown."""
    areas = day.areas(rows) - day.areas([start])
    weights = day.rows.weighted(rows) - day.rows.weighted([start])
    high = contrast_changes(weights, day.fits, dynamic_pressure=1.0, confidence=day.confidence).high.T[AXLES]
    return np.asarray(np.any(np.where(np.isfinite(high), high < 0.0, areas[AXLES] <= 0.0), axis=0))


class Lead(NamedTuple):
    """By how much one configuration leads another under the rule of choice.

    ``shares`` are those of draws in balance at the worst named place, of the one and of the other [1]; ``by_share`` tells
    whether they are so far apart that they decide. ``downforce``, ``drag`` and ``worth`` are the one less the other [m²].
    """

    shares: tuple[float, float]
    by_share: bool
    downforce: float
    drag: float
    worth: float


def lead(day: Day, row: int, other: int) -> Lead:
    """Compare two configurations by the last two steps of the rule of choice.

    As of `best_balanced`: the share of draws in balance decides where it is more than 5 points apart, else
    the downforce less 5 times the drag.
    """
    share = _least_share(_at_places(day, [row, other]))
    front, rear, drag = front_rear_drag(day.areas([row, other]))
    downforce, more = float(front[0] + rear[0] - front[1] - rear[1]), float(drag[0] - drag[1])
    return Lead(
        shares=(float(share[0]), float(share[1])),
        by_share=bool(share[1] < share[0] - _AS_GOOD),
        downforce=downforce,
        drag=more,
        worth=downforce - DRAG_WORTH * more,
    )


def _at_places(day: Day, rows: Sequence[int]) -> list[Assessment]:
    """Judge rows at every named place, at the tested speed where none is named."""
    speeds = [place.speed for place in day.session.places] or [day.session.facility.speed]
    return [assess(day, speed=speed, rows=rows) for speed in dict.fromkeys(speeds)]


def _least_share(at: Sequence[Assessment]) -> NDArray[np.float64]:
    return np.asarray(np.min([_in_balance(one.handling.verdicts) for one in at], axis=0))


def _in_balance(verdicts: Iterable[Verdict]) -> Sequence[float]:
    """Give the share of draws in balance; of an uncertain verdict all or nothing."""
    return [
        float(one.word is VerdictWord.IN_BALANCE)
        if one.shares is None
        else one.shares[VerdictWord.IN_BALANCE]
        for one in verdicts
    ]


def nearest_to_balance(table: Assessment) -> int:
    """Find the configuration that keeps its balance to the highest speed.

    One that is not suspect before one that is; then one without more oversteer than in slow corners anywhere
    before one with it; then the higher speed up to which the whole interval is within the limits; then the
    earlier run.
    """

    def rank(row: int) -> tuple[bool, bool, float]:
        over = table.ranges[row]
        return (
            table.runs[row].status != "suspect",
            not over.dangerous,
            float(np.nan_to_num(over.in_balance_to)),
        )

    return max(table.day.rows.configurations, key=rank)
