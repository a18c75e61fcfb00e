"""Which run is worth its minutes next, what it could change, and when nothing is worth any."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from balance.compare.student import student_factor
from balance.decide.plan.candidates import Candidate, candidates
from balance.decide.plan.change_times import ChangeTimes, time_now, times_of_day
from balance.decide.plan.configuration import Configuration, configuration, distinct
from balance.decide.plan.expected_reading import ExpectedReading, expected_readings
from balance.decide.plan.merit import Merit, merit_of_day
from balance.decide.plan.parts_to_know import Known, PartToKnow, known_parts, lack_after, parts_to_know
from balance.decide.plan.worth import (
    Alternatives,
    log_bounds,
    merits_after,
    moved_by_reading,
    share_best,
    weigh,
    worth_by_points,
)
from balance.model.channels import CHANNELS
from balance.model.errors import InputError
from balance.model.plans import LABEL, Know

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.day_belief import DayBelief
    from balance.model.plans import DayPlan, Hours, Value

VALUED = 20
"""Candidates of which the worth is worked out at points; of the others the bound stands."""
ALTERNATIVES = 40
"""Untested configurations of the most merit, beside the neighbours, that could be the best."""
PLANS = ((1, 1), (1, 2), (1, 4), (1, 8), (2, 1), (4, 1))
"""Fits, and readings of each fit, that a candidate is valued for."""
ENOUGH_SHARE = 0.02
"""Share of the merit gained over the start below which nothing more counts; assumed, no source. [1]"""
ENOUGH_OF_NOISE = 0.25
"""The same of the least significant difference of two readings; assumed, no source. [1]"""
_AXIS = np.linspace(-4.0, 4.0, 41)


class Need(NamedTuple):
    """A change that a run needs from the car as it stands, and its time [s]; a value of None is not fitted."""

    setting: str
    before: Value | None
    after: Value | None
    time: float


class Takes(NamedTuple):
    """What a reading would have to show for another choice.

    ``channel`` is its place, as of `balance.model.channels`; ``change`` is against what is believed of the best [m²], and
    ``more`` whether the reading has to be above it. The other channels read as expected.
    """

    channel: int
    change: float
    more: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NextRun:
    """A run that could be made next.

    ``kind`` says why it is thought of, as of `Candidate`; ``would_become`` is the configuration that is then best most
    often, ``takes`` what the reading would have to show for another choice, ``needs`` the changes from the car as it
    stands. It is to be fitted ``fits`` times and read ``readings`` times each.
    """

    configuration: Configuration
    label: str  # what the plan calls it, where it is wanted
    kind: str
    must: bool  # whatever it is worth
    fits: int
    readings: int
    time: float  # of the changes and the readings [s]
    worth: float  # expected gain of the day's choice, in `NextRuns.unit`
    by_points: bool  # whether that is worked out at points; else it is a bound from below
    changes_choice: float  # share of the points after which another one is the best by more than what counts
    would_become: Configuration | None
    takes: Takes | None
    needs: tuple[Need, ...]
    expected: ExpectedReading

    @property
    def worth_rate(self) -> float:
        """Worth over the time that it takes, in the unit of worth a second."""
        return self.worth / self.time


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NextRuns:
    """The runs that could be made next, the best for its time first, and where the day stands.

    Worth and merit are newtons at the reference speed, seconds a lap, or squares of newtons (to know). ``notes`` say
    what was assumed: "scatter" and "refit" of the noise, "labels" where labels alone tell configurations apart, so that
    no unions are made of them, and ``minutes of`` a reading or a setting.
    """

    unit: Literal["N", "s", "N2"]
    best: Configuration  # that was run
    share: float | None  # how likely it is the best of what could be run; nothing where the aim is to know
    merit: float | None  # that is expected of it
    start_merit: float | None
    enough: float  # worth below which nothing counts
    time_left: float | None  # of the hired hours, breaks taken off; nothing where they are not stated [s]
    stop: bool  # nothing is worth more than what counts, or no time is left for anything
    verify: tuple[Configuration, ...]  # where to stop: the best of all and the start, to be run back to back
    runs: tuple[NextRun, ...]  # all that the time allows
    times: ChangeTimes
    belief: DayBelief
    notes: tuple[str, ...]


class _Valued(NamedTuple):
    """Worth of each candidate for each of its plans, and what is said of it."""

    worth: NDArray[np.float64]  # (candidates, plans)
    by_points: NDArray[np.bool_]  # (candidates,)
    changes: NDArray[np.float64]  # (candidates, plans)
    would: Mapping[tuple[int, int], Configuration]
    takes: Mapping[tuple[int, int], Takes]


def next_runs(
    stand: DayBelief, plan: DayPlan, *, merit: Merit | None = None, now: float | None = None
) -> NextRuns:
    """Rank what could be run next by what it is worth for its time.

    Each candidate is valued for 1, 2, 4 and 8 readings of one fit and for 2 and 4 fits, as far as the time goes, and
    stands for the best of these by worth over time; of equals the shortest. What is believed only guides: it is
    expected, never measured.
    """
    aim = plan.aim
    if merit is None:
        if not isinstance(aim, Know) and aim.track is not None:
            raise InputError(
                f"plan: found the aim of a lap of '{aim.track}', for which loads are not valued here, expected an aim in "
                "loads; write choose = { drag_worth = 5.0 }"
            )
        merit = merit_of_day(stand.session, drag_worth=None if isinstance(aim, Know) else aim.drag_worth)
    belief = stand.belief
    wanted = [(configuration(one.settings), one.must) for one in plan.wanted]
    labels = {configuration(one.settings): one.configuration for one in plan.wanted}
    tried = distinct([*stand.tried, stand.start])
    run = weigh(belief, merit, tried)
    best = run.configurations[run.best]

    def expected_merit(some: Sequence[Configuration]) -> NDArray[np.float64]:
        return weigh(belief, merit, some).merit

    found = candidates(
        tried, stand.start, best, wanted, expected_merit, adjusters=stand.session.vehicle.adjusters
    )
    present = stand.present
    times = times_of_day(stand, plan, [one.configuration for one in found])
    left = time_left(plan.hours, time_now(stand, plan, times, now))
    spent = _times(present, found, times)
    allowed = spent <= (np.inf if left is None else left)
    if isinstance(aim, Know):
        parts = parts_to_know([*tried, *(one for one, _ in wanted)], stand.start)
        known = known_parts(belief, parts, aim, merit.dynamic_pressure)
        valued, enough = _value_to_know(stand, found, parts, known, merit.dynamic_pressure)
        share = merit_now = merit_start = None
    else:
        whole = distinct([*tried, *(one.configuration for one in found)])
        every = weigh(belief, merit, whole, run=set(tried))
        start_at = every.configurations.index(stand.start)
        merit_now, merit_start = float(run.merit[run.best]), float(every.merit[start_at])
        enough = plan.enough if plan.enough is not None else _enough(merit, stand, merit_now - merit_start)
        shown = weigh(belief, merit, _could_be_run(every, tried, found))
        share = float(share_best(belief, merit, shown)[shown.configurations.index(best)])
        valued = _value_to_choose(stand, merit, every, found, spent, allowed, enough)
    runs = _ranked(stand, found, labels, present, times, spent, allowed, valued)
    stop = not any(np.any(valued.worth[k][allowed[k]] > enough) for k in range(len(found)))
    return NextRuns(
        unit="N2" if isinstance(aim, Know) else merit.unit,
        best=best,
        share=share,
        merit=merit_now,
        start_merit=merit_start,
        enough=enough,
        time_left=left,
        stop=stop,
        verify=(best, stand.start) if stop and best != stand.start else (),
        runs=runs,
        times=times,
        belief=stand,
        notes=(
            *belief.noise.assumed,
            *(["labels"] if any(LABEL in one.names for one in tried) else []),
            *(f"minutes of {name}" for name in times.assumed),
        ),
    )


def time_left(hours: Hours | None, now: float) -> float | None:
    """State how much of the hired hours is left, in seconds.

    None is left once they are over.

    Examples
    --------
    >>> from balance.model.plans import Hours
    >>> time_left(Hours(start=32400.0, end=61200.0, breaks=((45000.0, 47700.0),)), 43200.0)
    15300.0
    """
    if hours is None:
        return None
    left = hours.end - now
    for begun, ended in hours.breaks:
        left -= max(0.0, min(ended, hours.end) - max(begun, now))
    return max(0.0, left)


def _times(present: Configuration, found: Sequence[Candidate], times: ChangeTimes) -> NDArray[np.float64]:
    """Return the time of each candidate's plans, (candidates, plans) [s]: a refit is the change undone and made again."""
    change = times.table([present], [one.configuration for one in found])[0]
    least = min(times.fits.values(), default=times.reading)
    refit = 2.0 * np.where(change > 0.0, change, least)
    fits, readings = np.array(PLANS, float).T
    return np.asarray(change[:, None] + refit[:, None] * (fits - 1.0) + times.reading * fits * readings)


def _enough(merit: Merit, stand: DayBelief, gained: float) -> float:
    """Return what counts as a gain, where nobody said: a share of what was gained, and of what two readings can tell."""
    noise = stand.belief.noise
    one = float(np.sqrt(float(np.square(merit.weights) @ noise.of_mean(1, 1))))
    degrees = noise.degrees if np.isfinite(noise.degrees) else 1e6
    least = float(student_factor(degrees)) * np.sqrt(2.0) * one
    return max(ENOUGH_SHARE * max(gained, 0.0), ENOUGH_OF_NOISE * float(least))


def _could_be_run(
    every: Alternatives, tried: Sequence[Configuration], found: Sequence[Candidate]
) -> tuple[Configuration, ...]:
    """Pick what could be the best: all that was run, the neighbours and the wanted, and the best of the rest."""
    near = {one.configuration for one in found if one.kind != "union"}
    rest = [k for k, one in enumerate(every.configurations) if one not in near and one not in tried]
    order = sorted(rest, key=lambda k: (-round(float(every.merit[k]), 9), every.configurations[k].key))
    return distinct([*tried, *near, *(every.configurations[k] for k in order[:ALTERNATIVES])])


def _value_to_choose(
    stand: DayBelief,
    merit: Merit,
    every: Alternatives,
    found: Sequence[Candidate],
    spent: NDArray[np.float64],
    allowed: NDArray[np.bool_],
    enough: float,
) -> _Valued:
    """Bound every candidate, and work out those at points whose bound is best for its time."""
    belief = stand.belief
    runs = [one.configuration for one in found]
    place = {one: k for k, one in enumerate(every.configurations)}
    tried = np.array(sorted(place[one] for one in {*stand.tried, stand.start}))
    of_runs = np.array([place[one] for one in runs])
    covariance, own = moved_by_reading(belief, every, runs)
    stds = [np.sqrt(own + belief.noise.of_mean(*plan)[:, None]) for plan in PLANS]
    moved = [covariance / std[..., None] for std in stds]
    bounds = np.column_stack([log_bounds(every, tried, of_runs, one) for one in moved])
    rate = np.where(allowed, bounds - np.log(spent), -np.inf).max(axis=1)
    order = sorted(range(len(runs)), key=lambda k: (-round(float(rate[k]), 9), runs[k].key))
    worth = np.exp(bounds)
    changes, would, takes = np.zeros(worth.shape), {}, {}
    by_points = np.zeros(len(runs), bool)
    for k in order[:VALUED]:
        by_points[k] = True
        rows = np.union1d(tried, of_runs[k])
        some = every.among(rows)
        for p in range(len(PLANS)):
            if allowed[k, p]:
                one = worth_by_points(some, merit, moved[p][:, k, rows], enough=enough)
                worth[k, p] = max(worth[k, p], one.worth)
                changes[k, p] = one.changes_choice
                if one.would_become is not None:
                    would[k, p] = some.configurations[one.would_become]
        p = int(np.argmax(np.where(allowed[k], worth[k] / spent[k], -1.0)))
        mean, std = every.mean[of_runs[k]], stds[p][:, k]
        taken = _what_it_takes(some, merit, moved[p][:, k, rows], mean, std)
        if taken is not None:
            takes[k, p] = taken
    return _Valued(worth, by_points, changes, would, takes)


def _what_it_takes(
    shown: Alternatives,
    merit: Merit,
    moved: NDArray[np.float64],
    mean: NDArray[np.float64],
    std: NDArray[np.float64],
) -> Takes | None:
    """Find the channel, and how far it has to read from what is expected, for another to be the best."""
    points = np.asarray(np.kron(np.eye(len(CHANNELS)), _AXIS[:, None]))  # along one channel after the other
    rows, after = merits_after(shown, merit, moved, points)
    here = int(np.flatnonzero(rows == shown.best)[0])
    if rows.size < 2:
        return None
    others = np.delete(after, here, axis=1).max(axis=1)
    lead = (after[:, here] - others).reshape(len(CHANNELS), _AXIS.size)
    found: list[tuple[float, int, float]] = []
    for channel in range(len(CHANNELS)):
        for side in (-1.0, 1.0):
            outward = np.argsort(side * _AXIS)[_AXIS.size // 2 :]
            z, ahead = side * _AXIS[outward], lead[channel, outward]
            lost = np.flatnonzero(ahead < 0.0)
            if lost.size and lost[0] > 0:
                k = int(lost[0])
                at = z[k - 1] + (z[k] - z[k - 1]) * ahead[k - 1] / (ahead[k - 1] - ahead[k])
                found.append((float(at), channel, side))
    if not found:
        return None
    away, channel, side = min(found)
    threshold = mean[channel] + side * away * float(std[channel])
    return Takes(channel, float(threshold - shown.mean[shown.best, channel]), side > 0.0)


def _value_to_know(
    stand: DayBelief,
    found: Sequence[Candidate],
    parts: Sequence[PartToKnow],
    known: Known,
    dynamic_pressure: float,
) -> tuple[_Valued, float]:
    """Value candidates by how far they narrow what is known too badly, in squares of newtons."""
    runs, belief = [one.configuration for one in found], stand.belief
    after = [lack_after(belief, parts, known, runs, belief.noise.of_mean(*plan)) for plan in PLANS]
    worth = np.maximum(0.0, known.lack - np.column_stack(after)) * dynamic_pressure**2
    valued = _Valued(worth, np.ones(len(runs), bool), np.zeros(worth.shape), {}, {})
    return valued, ENOUGH_SHARE * known.lack * dynamic_pressure**2


def _ranked(
    stand: DayBelief,
    found: Sequence[Candidate],
    labels: Mapping[Configuration, str],
    present: Configuration,
    times: ChangeTimes,
    spent: NDArray[np.float64],
    allowed: NDArray[np.bool_],
    valued: _Valued,
) -> tuple[NextRun, ...]:
    """Put the candidates in order, each with the plan that is worth most for its time."""
    shown = expected_readings(stand, [one.configuration for one in found])
    made = []
    for k, one in enumerate(found):
        if not np.any(allowed[k]):
            continue
        rate = np.where(allowed[k], valued.worth[k] / spent[k], -1.0)
        p = int(np.flatnonzero(rate >= rate.max() * (1.0 - 1e-9))[0])
        made.append(
            NextRun(
                configuration=one.configuration,
                label=labels.get(one.configuration, ""),
                kind=one.kind,
                must=one.must,
                fits=PLANS[p][0],
                readings=PLANS[p][1],
                time=float(spent[k, p]),
                worth=float(valued.worth[k, p]),
                by_points=bool(valued.by_points[k]),
                changes_choice=float(valued.changes[k, p]),
                would_become=valued.would.get((k, p)),
                takes=valued.takes.get((k, p)),
                needs=needs_of(present, one.configuration, times),
                expected=shown[k],
            )
        )
    return tuple(sorted(made, key=lambda run: (-round(run.worth_rate, 12), run.time, run.configuration.key)))


def needs_of(present: Configuration, wanted: Configuration, times: ChangeTimes) -> tuple[Need, ...]:
    """List the changes that a run needs from the car as it stands.

    Their times add: one part after the other.
    """
    changes = [(name, present.value(name), wanted.value(name)) for name in present.changed(wanted)]
    return tuple(Need(*change, times.of_setting(*change)) for change in changes)
