"""How long a reading and a change of the car take: stated, learnt from the day's own times, or assumed."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.plan.configuration import names_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.day_belief import DayBelief
    from balance.model.plans import DayPlan

READING = 300.0
"""Time of a reading where nothing is stated or learnt; assumed, no source. [s]"""
FIT_OR_TAKE_OFF = 600.0
"""Time of fitting a part or taking it off; assumed, no source. [s]"""
VALUE_TO_VALUE = 300.0
"""Time of bringing a setting from one value to another; assumed, no source. [s]"""
_STATED_COUNTS = 3.0
"""Changes seen that a stated or assumed time counts as much as."""
_LONGEST = 3.0
"""Times what is believed beyond which something else went on between two runs."""
_CLOCK = re.compile(r"\b([01]?\d|2[0-3])[:.h]([0-5]\d)(?:[:.]([0-5]\d))?\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeTimes:
    """Times of a reading and of changes [s].

    ``moves`` and ``fits`` hold, by the name of a setting, the time from value to value and that of fitting or taking off;
    settings that they do not name take the assumed ones. ``assumed`` names what nobody stated and nothing showed.
    """

    reading: float = READING
    moves: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    fits: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    learnt: bool = False
    assumed: tuple[str, ...] = ()

    def of_setting(self, name: str, before: object, after: object) -> float:
        """Return the time that one setting takes from one value to another, nothing being not fitted [s]."""
        if before == after:
            return 0.0
        if before is None or after is None:
            return self.fits.get(name, FIT_OR_TAKE_OFF)
        return self.moves.get(name, VALUE_TO_VALUE)

    def between(self, one: Configuration, other: Configuration) -> float:
        """Return the time that the change of one configuration into another takes, one part after the other [s]."""
        return sum(self.of_setting(name, one.value(name), other.value(name)) for name in one.changed(other))

    def table(self, some: Sequence[Configuration], others: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return the times of the changes of each into each, (some, others) [s]."""
        return np.array([[self.between(one, other) for other in others] for one in some], float).reshape(
            len(some), len(others)
        )


def stated_times(plan: DayPlan, names: Sequence[str]) -> ChangeTimes:
    """Take the times that a plan states.

    A setting's own name is its time from value to value. The first word of its name is that of fitting it or taking it
    off; where only the setting's own is stated, that stands for both.
    """
    moves: dict[str, float] = {}
    fits: dict[str, float] = {}
    assumed = [] if plan.reading is not None else ["reading"]
    for name in names:
        stem = name.partition("_")[0]
        own = plan.changes.get(name)
        on = plan.changes.get(stem) if stem != name else None
        if own is None and on is None:
            assumed.append(name)
        moves[name] = own if own is not None else VALUE_TO_VALUE if on is None else min(on, VALUE_TO_VALUE)
        fits[name] = on if on is not None else own if own is not None else FIT_OR_TAKE_OFF
    return ChangeTimes(
        reading=READING if plan.reading is None else plan.reading,
        moves=MappingProxyType(moves),
        fits=MappingProxyType(fits),
        assumed=tuple(assumed),
    )


def times_of_day(stand: DayBelief, plan: DayPlan, others: Sequence[Configuration] = ()) -> ChangeTimes:
    """Learn the times of a reading and of changes from the times at which runs were made.

    From run to run the clock moves by one reading and the changes between. Least squares, in which what is stated or
    assumed counts as much as three changes seen. A gap across a break, backwards, or of more than three times what is
    believed is left out: something else went on.
    """
    fitted = stand.fitted
    names = names_of((*fitted, *others))
    stated = stated_times(plan, names)
    breaks = plan.hours.breaks if plan.hours else ()
    place = {label: row for row, label in enumerate(stand.labels)}
    seen = [
        (clock, place.get(run.label))
        for run in stand.session.runs
        if (clock := clock_time(run.time)) is not None
    ]
    kinds = ["reading", *(("fit", name) for name in names), *(("move", name) for name in names)]
    believed = [stated.reading, *stated.fits.values(), *stated.moves.values()]
    rows, gaps = [], []
    for (begun, one), (ended, other) in pairwise(seen):
        gap = ended - begun
        if one is None or other is None or any(begun < off and on < ended for on, off in breaks):
            continue
        row = np.zeros(len(kinds))
        row[0] = 1.0
        for name in fitted[one].changed(fitted[other]):
            both = fitted[one].value(name) is not None and fitted[other].value(name) is not None
            row[kinds.index(("move" if both else "fit", name))] = 1.0
        if 0.0 < gap <= _LONGEST * float(row @ believed):
            rows.append(row)
            gaps.append(gap)
    if not rows:
        return stated
    design, prior = np.array(rows), np.array(believed)
    normal = design.T @ design + _STATED_COUNTS * np.eye(len(kinds))
    found = prior + np.linalg.solve(normal, design.T @ (np.array(gaps) - design @ prior))
    found = np.maximum(found, 0.1 * prior)
    times = dict(zip(kinds, found.tolist(), strict=True))
    shown = {kind for kind, count in zip(kinds, design.sum(axis=0), strict=True) if count}
    return ChangeTimes(
        reading=times["reading"],
        moves=MappingProxyType({name: times["move", name] for name in names}),
        fits=MappingProxyType({name: times["fit", name] for name in names}),
        learnt=True,
        assumed=tuple(
            name
            for name in stated.assumed
            if name not in shown and not {("move", name), ("fit", name)} & shown
        ),
    )


def time_now(stand: DayBelief, plan: DayPlan, times: ChangeTimes, now: float | None = None) -> float:
    """State what time of day it is, in seconds after midnight, never before the hired hours begin.

    Where it is not known, one reading after the last run that has a time began.
    """
    begins = plan.hours.start if plan.hours else 0.0
    if now is None:
        made = set(stand.labels)
        clocks = [
            clock
            for run in stand.session.runs
            if run.label in made and (clock := clock_time(run.time)) is not None
        ]
        now = clocks[-1] + times.reading if clocks else begins
    return max(now, begins)


def clock_time(text: str) -> float | None:
    """Read the time of day out of what was typed as a run's time, in seconds after midnight.

    Hours and minutes of 24 hours, seconds where they are given.

    Examples
    --------
    >>> clock_time("09:20"), clock_time("2026-05-14 13:05:30"), clock_time("after lunch")
    (33600.0, 47130.0, None)
    """
    match = _CLOCK.search(text)
    if match is None:
        return None
    hours, minutes, seconds = (int(part or 0) for part in match.groups())
    return 3600.0 * hours + 60.0 * minutes + seconds
