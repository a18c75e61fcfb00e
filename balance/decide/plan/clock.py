"""The plan of the day on the clock: in which order, when, and what falls off the end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from balance.decide.plan.change_times import ChangeTimes, time_now, times_of_day
from balance.decide.plan.configuration import Configuration, configuration
from balance.decide.plan.part_contrasts import (
    Detectable,
    DriftShared,
    drift_shared,
    part_contrasts,
    smallest_detectable_parts,
)
from balance.decide.plan.run_order import Changes, cheapest_order, protected_order
from balance.model.plans import LABEL

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.plan.day_belief import DayBelief
    from balance.model.plans import DayPlan, Hours

PROTECTED_MORE = 2
"""Changes, of average time, that protection against drift may cost; assumed, no source. [1]"""


class Job(NamedTuple):
    """A run that is to be made."""

    configuration: Configuration
    label: str = ""
    must: bool = False


class Slot(NamedTuple):
    """A stretch of the day: a run, the baseline or a break, from ``start`` to ``end`` after midnight [s].

    ``change`` is the time of the changes before the reading, ``changes`` their number. A break has no configuration.
    """

    kind: Literal["run", "baseline", "break"]
    configuration: Configuration | None
    label: str
    must: bool
    start: float
    change: float
    end: float
    changes: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Schedule:
    """An order of runs on the clock, times in seconds.

    ``time`` is that of all changes and readings, breaks left out, ``change_time`` of the changes alone, ``changes`` how
    many settings are changed; ``end`` is when the last run is over, after midnight. ``shared`` says how far each part
    shares its contrast with a linear drift, runs already made in the block counted.
    """

    slots: tuple[Slot, ...]
    time: float
    change_time: float
    changes: int
    end: float
    shared: tuple[DriftShared, ...]

    @property
    def fitted(self) -> tuple[Configuration, ...]:
        """What is fitted in its runs, baselines among them."""
        return tuple(slot.configuration for slot in self.slots if slot.configuration is not None)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlannedOrder:
    """The remaining wanted runs in order.

    ``cheapest`` takes the least time of changes, ``protected`` is disturbed least by a drift at few more changes;
    ``typed`` holds all of them, whether or not the hours allow it, ``dropped`` what falls off the end of the other two.
    ``detectable`` says how small a part the whole day can show, runs already made counted.
    """

    cheapest: Schedule
    protected: Schedule
    typed: Schedule
    dropped: tuple[Job, ...]
    detectable: tuple[Detectable, ...]
    times: ChangeTimes


class _Stand(NamedTuple):
    """Where the day stands: what is fitted, what was run in this block, and when it is."""

    present: Configuration
    start: Configuration
    block: tuple[Configuration, ...]
    since: int
    begun: bool
    now: float
    hours: Hours | None
    every: int | None
    times: ChangeTimes


def planned_order(stand: DayBelief, plan: DayPlan, *, now: float | None = None) -> PlannedOrder:
    """Put the remaining wanted runs in order and on the clock.

    A wanted run is made when all settings agree; the label need not. Where the hours do not hold all, the run whose
    absence saves most goes first, those that must be made last of all. Baselines are run as asked: first, after so many
    runs, after a break, and last.
    """
    made = {one.put(LABEL, None) for one in stand.fitted} | set(stand.fitted)
    wanted = [Job(configuration(one.settings), one.configuration, one.must) for one in plan.wanted]
    jobs = [
        one
        for k, one in enumerate(wanted)
        if one.configuration not in made and one.configuration not in [w.configuration for w in wanted[:k]]
    ]
    times = times_of_day(stand, plan, [one.configuration for one in jobs])
    here = _where(stand, plan, times, now)
    typed = _scheduled(here, jobs)
    kept, dropped = _that_fit(here, jobs)
    changes = _changes(here, kept)
    cheapest = cheapest_order(changes)
    orders = (kept, [kept[k] for k in cheapest.order])  # breaks bring baselines that no order knows of
    first = min((_scheduled(here, one) for one in orders[::-1]), key=lambda one: one.change_time)
    protected = _protected(here, kept, changes, cheapest.time, first)
    runs = [*stand.fitted, *first.fitted]
    return PlannedOrder(
        cheapest=first,
        protected=protected,
        typed=typed,
        dropped=tuple(dropped),
        detectable=smallest_detectable_parts(runs, stand.start, stand.belief.noise, stand.stated_degrees),
        times=times,
    )


def _where(stand: DayBelief, plan: DayPlan, times: ChangeTimes, now: float | None) -> _Stand:
    fitted = stand.fitted
    return _Stand(
        present=stand.present,
        start=stand.start,
        block=stand.block,
        since=next((k for k, one in enumerate(reversed(fitted)) if one == stand.start), len(fitted)),
        begun=bool(fitted),
        now=time_now(stand, plan, times, now),
        hours=plan.hours,
        every=plan.baseline_every,
        times=times,
    )


def _scheduled(here: _Stand, jobs: Sequence[Job]) -> Schedule:
    """Put runs on the clock in the order given; what would not be over when a break begins waits until after it."""
    slots: list[Slot] = []
    clock, present, since = here.now, here.present, here.since
    breaks = sorted(here.hours.breaks) if here.hours else []
    breaks = [one for one in breaks if one[1] > clock]

    def put(kind: Literal["run", "baseline"], one: Configuration, label: str, *, must: bool) -> None:
        nonlocal clock, present, since
        change = here.times.between(present, one)
        lasts = change + here.times.reading
        if breaks and clock + lasts > breaks[0][0]:
            begun, ended = breaks.pop(0)
            slots.append(Slot("break", None, "", False, max(begun, clock), 0.0, ended, 0))
            clock = max(clock, ended)
            if here.every is not None and kind == "run":
                put("baseline", here.start, "", must=False)
            put(kind, one, label, must=must)
            return
        slots.append(Slot(kind, one, label, must, clock, change, clock + lasts, len(present.changed(one))))
        clock, present = clock + lasts, one
        since = 0 if one == here.start else since + 1

    if here.every is not None and not here.begun and jobs:
        put("baseline", here.start, "", must=False)
    for job in jobs:
        if here.every is not None and since >= here.every and job.configuration != here.start:
            put("baseline", here.start, "", must=False)
        put("run", job.configuration, job.label, must=job.must)
    if here.every is not None and jobs and present != here.start:
        put("baseline", here.start, "", must=False)
    runs = [slot for slot in slots if slot.configuration is not None]
    every = [*here.block, *(one for slot in slots if (one := slot.configuration) is not None)]
    return Schedule(
        slots=tuple(slots),
        time=sum(slot.end - slot.start for slot in runs),
        change_time=sum(slot.change for slot in runs),
        changes=sum(slot.changes for slot in runs),
        end=slots[-1].end if slots else here.now,
        shared=drift_shared(part_contrasts(every, here.start)),
    )


def _changes(here: _Stand, jobs: Sequence[Job]) -> Changes:
    """Write what changes take, with the baseline where it comes by count."""
    some = [job.configuration for job in jobs]
    times = here.times
    via = np.zeros(len(some), bool)
    if here.every is not None:
        count = here.since
        for place in range(len(some)):
            if (place == 0 and not here.begun) or count >= here.every:
                via[place], count = True, 0
            count += 1
    to_baseline, (from_baseline,) = times.table(some, [here.start])[:, 0], times.table([here.start], some)
    (first,) = times.table([here.present], some)
    if some and via[0]:
        first = times.between(here.present, here.start) + from_baseline
    return Changes(
        opening=first,
        legs=np.where(via[:, None, None], to_baseline[:, None] + from_baseline, times.table(some, some)),
        closing=to_baseline if here.every is not None else np.zeros(len(some)),
    )


def _that_fit(here: _Stand, jobs: Sequence[Job]) -> tuple[list[Job], list[Job]]:
    """Keep the runs that the hours hold: the one whose absence saves most goes first, what must be made last."""
    kept, dropped = list(jobs), []
    end = here.hours.end if here.hours else np.inf
    while kept:
        order = cheapest_order(_changes(here, kept)).order
        whole = _scheduled(here, [kept[k] for k in order])
        if whole.end <= end:
            break
        free = [k for k in range(len(kept)) if not kept[k].must] or list(range(len(kept)))
        ends = [_scheduled(here, [kept[o] for o in order if o != k]).end for k in free]
        gone = max(free[i] for i in range(len(free)) if ends[i] <= min(ends) + 1e-6)
        dropped.append(kept.pop(gone))
    return kept, dropped[::-1]


def _protected(
    here: _Stand, kept: Sequence[Job], changes: Changes, least: float, first: Schedule
) -> Schedule:
    """Order the runs so that a drift disturbs the parts least, for a few changes more."""
    kinds = [slot.kind for slot in first.slots if slot.kind != "break"]
    spots = [k for k, kind in enumerate(kinds) if kind == "run"]
    if len(spots) < 2 or not first.changes:
        return first
    contrasts = part_contrasts([*here.block, *first.fitted], here.start)
    if not contrasts:
        return first
    weights = np.array([one.weights / np.linalg.norm(one.weights) for one in contrasts])
    count = weights.shape[1]
    away = np.arange(count) - (count - 1) / 2.0
    away /= np.linalg.norm(away)
    at = np.array(spots) + len(here.block)
    place = {first.fitted[spot]: column for spot, column in zip(spots, at.tolist(), strict=True)}
    columns = [place[job.configuration] for job in kept]
    others = np.setdiff1d(np.arange(count), at)
    mean_change = first.change_time / first.changes
    tour = protected_order(
        changes,
        weights[:, columns],
        away[at],
        weights[:, others] @ away[others],
        allowed=least + PROTECTED_MORE * mean_change,
    )
    found = _scheduled(here, [kept[k] for k in tour.order])
    if here.hours and found.end > here.hours.end >= first.end:
        return first
    return found
