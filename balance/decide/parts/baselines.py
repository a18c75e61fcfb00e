"""A day with other baselines than its files state."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from balance.model.baseline_names import named_baselines
from balance.model.errors import InputError, UnknownName, quoted
from balance.reduce.repeats import configurations

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.decide.day.day import Day
    from balance.model.records import Run, Session


def with_baselines(day: Day, baselines: Mapping[str, str]) -> Day:
    """Compare some runs with other baselines than the files state.

    By label of the run the label of its baseline, or of two around it ("3 and 9"). Unlike a baseline that is
    only proposed, one named here stands above what the file states; runs that are not named keep theirs.
    """
    labels = day.readings.labels
    chosen: dict[str, tuple[str, str | None]] = {}
    for run, baseline in baselines.items():
        named = named_baselines(baseline, labels)
        for label in (run, *named):
            if label not in labels:
                raise UnknownName("run", label, labels)
        if run in named or not 1 <= len(set(named)) == len(named) <= 2:
            raise InputError(
                f"baseline of run {quoted(run)}: found {'the run itself' if run in named else quoted(baseline)}, "
                'expected another run, or one before and one after it such as "3 and 9"'
            )
        first, *second = sorted(named, key=labels.index)
        chosen[run] = first, second[0] if second else None
    if not baselines:
        return day
    runs = tuple(
        replace(run, baseline=own[0], second_baseline=own[1])
        if (own := chosen.get(run.label)) is not None
        else run
        for run in day.session.runs
    )
    return _with_runs(day, runs)


def against(day: Day, baseline: str) -> Day:
    """Compare every run with one and the same baseline.

    The baseline's own is left to be proposed: its increment mirrors another one and is left out of every
    ranking.
    """
    labels = day.readings.labels
    if baseline not in labels:
        raise UnknownName("run", baseline, labels)
    others = with_baselines(day, {label: baseline for label in labels if label != baseline})
    runs = tuple(
        replace(run, baseline=None, second_baseline=None) if run.label == baseline else run
        for run in others.session.runs
    )
    return _with_runs(others, runs)


def _with_runs(day: Day, runs: tuple[Run, ...]) -> Day:
    """Return the same day with runs that name other baselines."""
    session = replace(day.session, runs=runs)
    fits = replace(day.fits, readings=replace(day.readings, runs=session.used))
    return replace(day, session=session, fits=fits)


def runs_since_baseline(session: Session, label: str) -> tuple[str, ...]:
    """Name the runs that a fault found in one run may have spoilt as well.

    In running order, void runs left out: those after the last good run of the day's baseline, up to and with
    the run itself. The day's baseline is the configuration of its first run that counts. What was right when
    the baseline was run can only have gone wrong since.
    """
    labels = tuple(run.label for run in session.runs)
    if label not in labels:
        raise UnknownName("run", label, labels)
    last = labels.index(label)
    runs = tuple(run for run in session.runs[: last + 1] if run.status != "void" or run.label == label)
    baseline = configurations(runs)[0]
    good = [place for place in baseline if runs[place].status == "good" and runs[place].label != label]
    first = max(good) + 1 if good else 0
    return tuple(run.label for run in runs[first:])
