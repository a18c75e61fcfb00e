"""Which run is compared with which: stated, chosen, or proposed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from balance.compare.fitted import NOT_FITTED, proposed_baselines, what_was_fitted
from balance.model.errors import InputError, UnknownName, quoted
from balance.reduce.clock_time import minutes_of
from balance.reduce.repeats import SPEED_TOLERANCE

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.compare.fitted import Fitted
    from balance.model.records import Run, Session
    from balance.reduce.fits import Fits


class Between(NamedTuple):
    """Share of the second baseline in what stands for a run, 0 to 1, and what it goes by."""

    share: float
    by: Literal["time", "order"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A run and its baseline, as positions among the used runs; ``runs`` and ``baseline_runs`` are averaged.

    ``second`` is the later of two baselines around the run, ``between`` where it stands between them; each of the three
    is then its own fit. ``mirrors`` is the run whose pair is this one turned round; ``bare`` says that the run is a baseline: what it is compared with has more on.
    """

    run: int
    baseline: int
    runs: tuple[int, ...]
    baseline_runs: tuple[int, ...]
    differs: tuple[str, ...]
    proposed: bool
    second: int | None = None
    between: Between | None = None
    mirrors: int | None = None
    bare: bool = False
    notes: tuple[str, ...] = ()

    @property
    def shows_part(self) -> bool:
        """Whether it shows what something did: no repeat, no other pair turned round, no baseline."""
        return bool(self.differs) and self.mirrors is None and not self.bare

    @property
    def later(self) -> bool:
        """Whether the baseline was proposed and was run after the run's configuration."""
        return self.proposed and min(self.baseline_runs) > min(self.runs)


def pair_runs(session: Session, fits: Fits, chosen: Mapping[str, str]) -> tuple[tuple[Pair, ...], Fitted]:
    """Assign every run its baseline, where it has one.

    Parameters
    ----------
    session : Session
        The session, void runs included. [1]
    fits : Fits
        Its readings by fit. [1]
    chosen : mapping of str to str
        Baselines for runs that state none. [1]

    Returns
    -------
    tuple of (tuple of Pair, Fitted)
        Pairs in running order, and what was fitted in each run. [1]

    Raises
    ------
    UnknownName
        If a chosen run or baseline is not among the runs that count.
    InputError
        If a run is chosen as its own baseline.

    Notes
    -----
    A stated baseline that is void is not used; the next source stands in, which is said.
    """
    readings = fits.readings
    position = {label: k for k, label in enumerate(readings.labels)}
    for chosen_run, chosen_baseline in chosen.items():
        for label in (chosen_run, chosen_baseline):
            if label not in position:
                raise UnknownName("run", label, position)
        if chosen_run == chosen_baseline:
            raise InputError(
                f"baseline of run {quoted(chosen_run)}: found the run itself, expected another run"
            )
    void = {run.label for run in session.runs if run.status == "void"}
    fitted = what_was_fitted(fits)
    proposals = proposed_baselines(fitted, readings.speed)
    pairs = []
    for k, run in enumerate(readings.runs):
        stated = [one for one in (run.baseline, run.second_baseline) if one is not None]
        notes = tuple(f"stated baseline {quoted(one)} is void and not used" for one in stated if one in void)
        named = [one for one in stated if one in position] or [*filter(None, [chosen.get(run.label)])]
        baselines = [position[one] for one in named] or [int(proposals[k])]
        baseline = baselines[0]
        if baseline < 0:
            continue
        apart = "" if len(baselines) == 1 else _not_alike(fits, fitted, *baselines[:2])
        if apart:
            first, second = (readings.labels[one] for one in baselines[:2])
            notes += (f"runs {first} and {second} {apart}: compared with the first alone",)
            baselines = baselines[:1]
        same = fitted.cars[k] == fitted.cars[baseline]
        if any(fitted.blocks[k] != fitted.blocks[one] for one in baselines):
            notes += ("run and baseline are of different blocks, compared through what was run in both",)
        pair = Pair(
            run=k,
            baseline=baseline,
            runs=(k,) if same else fitted.sets[k],
            baseline_runs=(baseline,) if same else fitted.sets[baseline],
            differs=() if same else fitted.differs(k, baseline),
            proposed=not named,
            notes=notes,
        )
        pairs.append(pair if len(baselines) == 1 else _around(pair, baselines[1], session, fits))
    return _mark_what_is_no_part(pairs, fitted), fitted


def _around(pair: Pair, second: int, session: Session, fits: Fits) -> Pair:
    """Compare a run with what lies between two baselines, each of the three as it was fitted that once."""
    own, first, last = (fits.fits[fits.fit_of[row]] for row in (pair.run, pair.baseline, second))
    place = {run.label: k for k, run in enumerate(session.runs)}
    labels = fits.readings.labels
    between = share_between(
        session.runs, *([place[labels[row]] for row in rows] for rows in (first, own, last))
    )
    if between is None:
        note = f"it does not stand between runs {labels[pair.baseline]} and {labels[second]}: compared with the first"
        return replace(pair, notes=(*pair.notes, note))
    return replace(pair, runs=own, baseline_runs=(*first, *last), second=second, between=between)


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
    clocks = [[minutes_of(runs[row].time) for row in rows] for rows in (first, run, second)]
    places, by = order, "order"
    if all(minutes is not None for fit in clocks for minutes in fit):
        times = [sum(m for m in fit if m is not None) / len(fit) for fit in clocks]
        if times[0] <= times[1] <= times[2] and times[0] < times[2]:
            places, by = times, "time"
    share = (places[1] - places[0]) / (places[2] - places[0])
    return Between(share, "time" if by == "time" else "order")


def _not_alike(fits: Fits, fitted: Fitted, first: int, second: int) -> str:
    """State why nothing lies between two baselines; nothing where they are one car at one speed."""
    if fitted.cars[first] != fitted.cars[second]:
        return "are different configurations"
    if fitted.blocks[first] != fitted.blocks[second]:
        return "are of different blocks"
    speeds = fits.readings.speed[[first, second]]
    if abs(speeds[0] - speeds[1]) > SPEED_TOLERANCE * speeds.max():
        return "were made at different speeds"
    return ""


def _mark_what_is_no_part(pairs: list[Pair], fitted: Fitted) -> tuple[Pair, ...]:
    """Mark pairs that are another one turned round, and runs that are nothing but a baseline."""

    def sides(pair: Pair) -> tuple[int, int, int]:
        return int(fitted.blocks[pair.run]), int(fitted.cars[pair.run]), int(fitted.cars[pair.baseline])

    def standing(pair: Pair) -> tuple[bool, int, bool]:
        """Order the two directions of a comparison: stated before proposed, on before off, an earlier baseline."""
        stated = not pair.proposed and not _came_back(pair, fitted)
        return stated, _parts_more(pair, fitted), not pair.later

    best: dict[tuple[int, int, int], Pair] = {}
    for pair in pairs:
        if pair.differs:
            key = sides(pair)
            if key not in best or standing(pair) > standing(best[key]):
                best[key] = pair
    baselines = {(block, baseline) for block, _, baseline in best}
    marked = []
    for pair in pairs:
        block, run, baseline = sides(pair)
        twin = best.get((block, baseline, run)) if pair.differs else None
        if twin and standing(twin) > standing(pair):
            marked.append(replace(pair, mirrors=twin.run))
        elif _parts_more(pair, fitted) < 0 and (
            pair.later or ((block, run) in baselines and _came_back(pair, fitted))
        ):
            marked.append(replace(pair, bare=True))
        else:
            marked.append(pair)
    return tuple(marked)


def _came_back(pair: Pair, fitted: Fitted) -> bool:
    """Return whether the run's car was run in the block before the baseline was, too: A, B, A."""
    alike = (fitted.cars == fitted.cars[pair.run]) & (fitted.blocks == fitted.blocks[pair.run])
    return pair.baseline < pair.run and bool(alike[: pair.baseline].any())


def _parts_more(pair: Pair, fitted: Fitted) -> int:
    """Count how many parts more the run has on than its baseline; negative where it has fewer."""
    run, baseline = (fitted.codes[row] != NOT_FITTED for row in (pair.run, pair.baseline))
    return int(np.sum(run & ~baseline)) - int(np.sum(baseline & ~run))
