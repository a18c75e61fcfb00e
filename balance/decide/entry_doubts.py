"""What is unlikely in a run that is being entered: sign, order of magnitude, slope against its family."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day import reduce_day
from balance.decide.plausibility import Doubt, doubts, noise_force
from balance.errors import UnknownName

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.day import Day
    from balance.records import Run, Session

AXLES = ("front", "rear")
SIGN_SLACK = 0.3
MOST_OF_AXLE = 3.0
DRAG_OF_USUAL = (0.5, 2.0)
STEEPEST_OF_FAMILY = 2.0
STEEPEST_PER_DEGREE = 0.15
_DEGREES = ("deg", "degree", "degrees", "°")


def entry_doubts(session: Session, label: str) -> tuple[Doubt, ...]:
    """Look at one run against the day it belongs to.

    Parameters
    ----------
    session : Session
        The day with the run in it, saved or not. [1]
    label : str
        The run. [1]

    Returns
    -------
    tuple of Doubt
        What is possible but unlikely in it; nothing for a void run. They warn, they refuse nothing. [1]

    Raises
    ------
    UnknownName
        If there is no such run.

    Notes
    -----
    Besides what `doubts` finds in a whole day: an axle that reads as in the nearest run of the same parts with its sign
    turned, to within 30 %; an axle above 3 times the largest of the others, or a drag area below half or above twice their
    median; an axle whose area changes with one setting more than twice as steeply as its family does, or by
    more than 0.15 m^2 a degree. All beyond 4 standard deviations of a difference of two readings.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    A run just typed, before it is saved::

        entry_doubts(day.preview(sheet.appended(entry.cells)), "12")
    """
    labels = tuple(run.label for run in session.runs)
    if label not in labels:
        raise UnknownName("run", label, labels)
    if session.runs[labels.index(label)].status == "void":
        return ()
    day = reduce_day(session, draws=100)
    known = tuple(doubt for doubt in doubts(day) if doubt.run == label)
    row = day.readings.index(label)
    signs = {doubt.axle for doubt in known if doubt.kind == "sign"}
    own = tuple(doubt for doubt in _of_sign(day, row) if doubt.axle not in signs)
    turned = signs | {doubt.axle for doubt in own}
    slopes = tuple(doubt for doubt in _of_slope(day, row) if doubt.axle not in turned)
    return (*known, *own, *_of_magnitude(day, row), *slopes)


def _of_sign(day: Day, row: int) -> Iterator[Doubt]:
    near = _nearest(day, row)
    if near is None:
        return
    readings = day.readings
    mine, other = readings.areas[row], readings.areas[near]
    noise = noise_force(day) / float(readings.force_pressure[row])
    for k, axle in enumerate(AXLES):
        opposite = abs(mine[k] + other[k]) < SIGN_SLACK * abs(other[k])
        if opposite and abs(other[k]) > 10.0 * noise:
            yield Doubt(kind="sign", run=readings.labels[row], other=readings.labels[near], axle=axle)


def _of_magnitude(day: Day, row: int) -> Iterator[Doubt]:
    """Find figures of another order than the day's: a digit too many or too few."""
    readings = day.readings
    others = np.delete(readings.areas, row, axis=0)
    if not len(others):
        return
    pressure = float(readings.force_pressure[row])
    slack = 4.0 * np.sqrt(2.0) * noise_force(day) / pressure
    mine = readings.areas[row]
    for k, axle in enumerate(AXLES):
        usual = float(np.max(np.abs(others[:, :2])))
        if abs(mine[k]) > MOST_OF_AXLE * usual + slack:
            yield Doubt(
                kind="magnitude",
                run=readings.labels[row],
                axle=axle,
                values={"force": float(mine[k]) * pressure, "usual": usual * pressure},
            )
    usual = float(np.median(others[:, 2]))
    low, high = sorted((DRAG_OF_USUAL[0] * usual, DRAG_OF_USUAL[1] * usual))
    if not low - slack <= mine[2] <= high + slack:
        yield Doubt(
            kind="magnitude",
            run=readings.labels[row],
            axle="drag",
            values={"force": float(mine[2]) * pressure, "usual": usual * pressure},
        )


def _of_slope(day: Day, row: int) -> Iterator[Doubt]:
    """Find axles that answer a setting more steeply than the family of that setting does."""
    readings = day.readings
    run = readings.runs[row]
    pressure = float(readings.force_pressure[row])
    slack = 4.0 * np.sqrt(2.0) * noise_force(day) / pressure
    for name, setting in run.settings.items():
        family = _family(day, row, name)
        if not setting.numeric or not family:
            continue
        here = float(setting.value)
        at = np.array(sorted(family))
        areas = np.array([readings.areas[family[x], :2].mean(axis=0) for x in at])
        near = int(np.argmin(np.abs(at - here)))
        step = abs(here - at[near])
        slopes = np.abs(readings.areas[row, :2] - areas[near]) / step
        steepest = np.full(2, STEEPEST_PER_DEGREE if setting.unit in _DEGREES else np.inf)
        if len(at) > 2:
            of_family = np.max(np.abs(np.diff(areas, axis=0)) / np.diff(at)[:, None], axis=0)
            steepest = np.minimum(steepest, STEEPEST_OF_FAMILY * of_family)
        for k, axle in enumerate(AXLES):
            if slopes[k] > steepest[k] + slack / step:
                yield Doubt(
                    kind="slope",
                    run=run.label,
                    other=readings.labels[family[float(at[near])][0]],
                    axle=axle,
                    setting=name,
                    unit=setting.unit,
                    values={"slope": float(slopes[k]) * pressure, "usual": float(steepest[k]) * pressure},
                )


def _family(day: Day, row: int, name: str) -> dict[float, list[int]]:
    """Gather the other runs that differ in one setting alone, by its value."""
    runs = day.readings.runs
    family: dict[float, list[int]] = {}
    here = runs[row].settings[name].value
    for other, run in enumerate(runs):
        there = run.settings.get(name)
        if other == row or there is None or not there.numeric or there.value == here:
            continue
        if run.status == "good" and run.block == runs[row].block and _but(run, name) == _but(runs[row], name):
            family.setdefault(float(there.value), []).append(other)
    return family


def _but(run: Run, name: str) -> object:
    return run.configuration, {key: setting.value for key, setting in run.settings.items() if key != name}


def _nearest(day: Day, row: int) -> int | None:
    """Find the run with the same parts on that differs in fewest figures; of several the latest before this one."""
    runs = day.readings.runs
    mine = set(_fitted(runs[row]))
    best: tuple[int, int] | None = None
    for other, run in enumerate(runs):
        if other == row or run.status != "good" or run.settings.keys() != runs[row].settings.keys():
            continue
        apart = len(mine ^ set(_fitted(run)))
        away = row - other if other < row else len(runs) + other - row
        if best is None or (apart, away) < best[:2]:
            best, found = (apart, away), other
    return None if best is None else found


def _fitted(run: Run) -> tuple[object, ...]:
    return run.configuration, *((name, setting.value) for name, setting in run.settings.items())
