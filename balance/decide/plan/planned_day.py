"""A day and its plan together: what is believed, what could be run next, the order, and what is dangerous in it."""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from balance.decide.day.assessment import assess
from balance.decide.day.verdict import VerdictWord
from balance.decide.plan.change_times import time_now
from balance.decide.plan.clock import PlannedOrder, planned_order
from balance.decide.plan.configuration import Configuration, configuration, configurations_of_day, distinct
from balance.decide.plan.day_belief import DayBelief, belief_before, belief_of_day
from balance.decide.plan.merit import merit_of_day
from balance.decide.plan.next_run import NextRuns, next_runs
from balance.decide.plan.part_contrasts import Detectable, smallest_detectable_parts
from balance.decide.plan.track_merit import merit_on_track
from balance.model.errors import DomainError, InputError
from balance.model.tracks import Track

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.decide.day.day import Day
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.model.plans import DayPlan
    from balance.model.records import Session

MORE_BASELINES = 3
"""Baselines more, by which it is shown what repeats would buy; no source. [1]"""


class Danger(NamedTuple):
    """How far a configuration is on the dangerous side.

    ``verdict`` is what was found where it was run; else ``surplus`` is the grip balance that is expected of it at the
    facility's speed, past the oversteer limit [1].
    """

    verdict: RangeVerdict | None
    surplus: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlannedDay:
    """A day with its plan, as it stands.

    ``stand``, ``found`` and ``order`` are nothing where sizes cannot be judged or nothing can be ranked: ``why_not``
    states the reason. ``dangers`` are of the configurations that are shown, ``names`` what those that were run are called
    in the day; ``best_verdict`` is that of the best so far over the range of speeds. ``more`` is how small a part could
    be shown with three more baselines, ``made`` whether each wanted run is made, ``now`` seconds after midnight.
    """

    session: Session
    plan: DayPlan
    stand: DayBelief | None
    found: NextRuns | None
    order: PlannedOrder | None
    why_not: str
    now: float
    dangers: Mapping[Configuration, Danger] = field(default_factory=lambda: MappingProxyType({}))
    names: Mapping[Configuration, str] = field(default_factory=lambda: MappingProxyType({}))
    best_verdict: RangeVerdict | None = None
    more: tuple[Detectable, ...] = ()
    made: tuple[bool, ...] = ()

    @property
    def start(self) -> Configuration | None:
        """The baseline, where anything is known of it."""
        return None if self.stand is None else self.stand.start


def plan_day(
    session: Session,
    day: Day | None,
    plan: DayPlan,
    *,
    now: float | None = None,
    track: Track | str | None = None,
) -> PlannedDay:
    """Work out where a day stands against its plan.

    What cannot be worked out is missing, and the reason stands in its place.
    """
    try:
        stand = belief_before(session, plan) if day is None else belief_of_day(day, plan)
    except InputError as fault:
        hours = plan.hours
        return PlannedDay(
            session=session,
            plan=plan,
            stand=None,
            found=None,
            order=None,
            why_not=str(fault),
            now=now if now is not None else hours.start if hours else 0.0,
            made=(False,) * len(plan.wanted),
        )
    found, why_not = None, ""
    try:
        merit = merit_on_track(stand, track) if isinstance(track, Track) else None
        found = next_runs(stand, plan, merit=merit, now=now)
    except (InputError, DomainError) as fault:
        why_not = track if isinstance(track, str) else str(fault)
    order = planned_order(stand, plan, now=now)
    shown = [*order.cheapest.fitted, *order.protected.fitted]
    if found is not None:
        shown += [found.best, *(one.configuration for one in found.runs)]
    made = {one.key for one in stand.fitted}
    return PlannedDay(
        session=session,
        plan=plan,
        stand=stand,
        found=found,
        order=order,
        why_not=why_not,
        now=time_now(stand, plan, order.times, now),
        dangers=MappingProxyType(dangers(stand, day, distinct(shown))),
        names=MappingProxyType({} if day is None else names_of_day(day)),
        best_verdict=None
        if day is None or found is None
        else ranges_of_run(day, [found.best]).get(found.best),
        more=_with_more_baselines(stand, order),
        made=tuple(configuration(one.settings).key in made for one in plan.wanted),
    )


def dangers(stand: DayBelief, day: Day | None, some: Sequence[Configuration]) -> dict[Configuration, Danger]:
    """Find which configurations are on the dangerous side: the front overpowers the rear, or the rear is unloaded.

    What was run is judged by its verdict over the range of speeds. What was not is judged by the mean that is expected,
    at the facility's speed.
    """
    found: dict[Configuration, Danger] = {}
    run: set[Configuration] = set()
    if day is not None:
        for one, verdict in ranges_of_run(day, some).items():
            run.add(one)
            if verdict.word is VerdictWord.FRONT_OVERPOWERS or verdict.unloaded == "rear":
                found[one] = Danger(verdict, verdict.surplus)
    others = [one for one in some if one not in run]
    if others:
        merit = merit_of_day(stand.session)
        surplus = merit.linearised(stand.belief.mean(others)).surplus
        found |= {
            one: Danger(None, float(value))
            for one, value in zip(others, surplus, strict=True)
            if value < merit.low
        }
    return found


def ranges_of_run(day: Day, some: Sequence[Configuration]) -> dict[Configuration, RangeVerdict]:
    """Judge configurations that were run over the range of speeds.

    Of readings of one configuration their mean is judged.
    """
    wanted = set(some)
    rows = {
        one: day.rows.standing[row]
        for row, one in reversed(list(enumerate(configurations_of_day(day))))
        if one in wanted
    }
    if not rows:
        return {}
    ranges = assess(day, speed=day.session.facility.speed, rows=list(rows.values())).ranges
    return dict(zip(rows, ranges, strict=True))


def names_of_day(day: Day) -> dict[Configuration, str]:
    """Return what the day calls each configuration.

    In running order.
    """
    named: dict[Configuration, str] = {}
    for one, run in zip(configurations_of_day(day), day.readings.runs, strict=True):
        named.setdefault(one, run.configuration)
    return named


def _with_more_baselines(stand: DayBelief, order: PlannedOrder) -> tuple[Detectable, ...]:
    """Return how small a part the day could show with baselines between its runs, each fitted anew."""
    runs = [*stand.fitted, *order.cheapest.fitted]
    for _ in range(MORE_BASELINES):
        places = [
            k
            for k in range(len(stand.fitted) + 1, len(runs) + 1)
            if runs[k - 1] != stand.start and (k == len(runs) or runs[k] != stand.start)
        ]
        if not places:
            break
        last = max((k for k, one in enumerate(runs) if one == stand.start), default=0)
        runs.insert(max(places, key=lambda k: abs(k - last)), stand.start)
    return smallest_detectable_parts(runs, stand.start, stand.belief.noise, stand.stated_degrees)
