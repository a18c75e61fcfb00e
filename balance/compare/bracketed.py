"""Where a run stands between two baselines, by the clock or in the order of running."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.model.records import Run

_CLOCK = re.compile(r"\s*(\d{1,2})[:.h](\d{2})(?:[:.](\d{2}))?\s*([ap])?\.?m?\b", re.IGNORECASE)


class Between(NamedTuple):
    """Share of the second baseline in what stands for a run, 0 to 1, and what it goes by."""

    share: float
    by: Literal["time", "order"]


def share_between(
    runs: Sequence[Run], first: Sequence[int], run: Sequence[int], second: Sequence[int]
) -> Between | None:
    """Find how far between two baselines a run was made.

    Parameters
    ----------
    runs : sequence of Run
        All runs of the day, void ones too, in running order. [1]
    first, run, second : sequence of int
        Positions of the readings of the fit before, of the run's own fit, and of the fit after. [1]

    Returns
    -------
    Between or None
        Nothing where the run does not stand between the two. [1]

    Notes
    -----
    By the clock where every reading has a time of day that does not run backward, else by the places in the running
    order. A fit stands at the mean of its readings.

    References
    ----------
    Common practice, no source; the weighing cycle A-B-A is the case half way (OIML R111-1, annex C, from memory).
    """
    order = [sum(rows) / len(rows) for rows in (first, run, second)]
    if not order[0] < order[1] < order[2]:
        return None
    clocks = [[_minutes(runs[row].time) for row in rows] for rows in (first, run, second)]
    places, by = order, "order"
    if all(minutes is not None for fit in clocks for minutes in fit):
        times = [sum(m for m in fit if m is not None) / len(fit) for fit in clocks]
        if times[0] <= times[1] <= times[2] and times[0] < times[2]:
            places, by = times, "time"
    share = (places[1] - places[0]) / (places[2] - places[0])
    return Between(share, "time" if by == "time" else "order")


def _minutes(text: str) -> float | None:
    """Read a time of day in minutes after midnight; nothing where it is none."""
    found = _CLOCK.match(text)
    if found is None:
        return None
    hours, minutes, seconds = (int(part or 0) for part in found.groups()[:3])
    half = (found[4] or "").casefold()
    if half:
        hours = hours % 12 + (12 if half == "p" else 0) if 1 <= hours <= 12 else 24
    return None if hours > 23 or minutes > 59 else 60.0 * hours + minutes + seconds / 60.0
