"""What is unlikely in a run that is being entered, by itself and beside its like: sign, order of magnitude, slope, settings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.day import reduce_day
from balance.decide.doubts.expected import expected, family_of, noise_force
from balance.decide.doubts.plausibility import Doubt, doubts
from balance.model.channels import AXLES, CHANNELS, DRAG
from balance.model.errors import UnknownName
from balance.reduce.median import median

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.day.day import Day
    from balance.decide.doubts.expected import Expected
    from balance.model.records import Session

SIGN_SLACK = 0.3
TEN_SLACK = 0.3
MOST_OF_AXLE = 3.0
DRAG_OF_USUAL = (0.5, 2.0)
STEEPEST_OF_FAMILY = 2.0
STEEPEST_PER_DEGREE = 0.15
FEWEST_SETTINGS = 3
RANGES_OUTSIDE = 2.0
_DEGREES = ("deg", "degree", "degrees", "°")


def entry_doubts(session: Session, label: str) -> tuple[Doubt, ...]:
    """Look at one run against the day it belongs to.

    They warn, they refuse nothing; a void run has none. Besides what `doubts` finds in a whole day: an axle
    that reads as `expected` from runs of the same parts, but with its sign turned, to within 30 %; an axle
    above 3 times the largest of the others, or ten times or a tenth of what is expected, to within 30 %, or a
    drag area below half or above twice their median; an axle whose area changes with one setting more than
    twice as steeply as its family does, or by more than 0.15 m^2 a degree; a setting that lies more than
    twice the day's range of it outside that range. All but the last beyond 4 standard deviations of a
    difference of two readings. What the runs before expect is `balance.decide.plan.judged_reading`'s to tell.
    """
    labels = tuple(run.label for run in session.runs)
    if label not in labels:
        raise UnknownName("run", label, labels)
    if session.runs[labels.index(label)].status == "void":
        return ()
    day = reduce_day(session, draws=100)
    row = day.readings.index(label)
    usual = _of_same_parts(day, row)
    known = tuple(doubt for doubt in doubts(day) if doubt.run == label)
    signs = {doubt.axle for doubt in known if doubt.kind in ("sign", "turned")}
    own = tuple(_of_sign(day, row, usual)) if usual is not None else ()
    own = tuple(doubt for doubt in own if doubt.axle not in signs)
    reversed_sign = signs | {doubt.axle for doubt in own}
    scaled = any(doubt.kind == "scaled alike" for doubt in known)
    slopes = tuple(doubt for doubt in _of_slope(day, row) if not scaled and doubt.axle not in reversed_sign)
    large = tuple(_of_magnitude(day, row))
    told = reversed_sign | {doubt.axle for doubt in large}
    shifted = tuple(_of_digits(day, row, usual)) if usual is not None else ()
    shifted = tuple(doubt for doubt in shifted if doubt.axle not in told)
    told |= {doubt.axle for doubt in shifted}
    known = tuple(doubt for doubt in known if doubt.kind != "apart" or doubt.axle not in told)
    return (*known, *own, *large, *shifted, *slopes, *_of_settings(day, row))


def _of_same_parts(day: Day, row: int) -> Expected | None:
    """Return what is expected, where it comes from runs with the same parts on: only such tell of a sign or a digit."""
    usual = expected(day, row)
    if usual is None:
        return None
    runs = day.readings.runs
    return usual if runs[usual.why.rows[0]].settings.keys() == runs[row].settings.keys() else None


def _of_sign(day: Day, row: int, usual: Expected) -> Iterator[Doubt]:
    readings, near = day.readings, usual.why.rows[0]
    for k, axle in enumerate(CHANNELS[AXLES]):
        mine, mean = readings.areas[row, k], usual.mean[k]
        if abs(mine + mean) < SIGN_SLACK * abs(mean) and abs(mean) > 10.0 * usual.std[k]:
            yield Doubt(kind="sign", run=readings.labels[row], other=readings.labels[near], axle=axle)


def _of_settings(day: Day, row: int) -> Iterator[Doubt]:
    """Find settings far outside what the day has."""
    runs = day.readings.runs
    for name, setting in runs[row].settings.items():
        if not setting.numeric:
            continue
        there = {
            float(run.settings[name].value)
            for other, run in enumerate(runs)
            if other != row and name in run.settings and run.settings[name].numeric
        }
        if len(there) < FEWEST_SETTINGS:
            continue
        low, high, here = min(there), max(there), float(setting.value)
        room = RANGES_OUTSIDE * (high - low)
        if not low - room <= here <= high + room:
            values = {"value": here, "low": low, "high": high}
            yield Doubt(kind="setting", run=runs[row].label, setting=name, unit=setting.unit, values=values)


def _of_magnitude(day: Day, row: int) -> Iterator[Doubt]:
    """Find figures of another order than the day's: a digit too many or too few."""
    readings = day.readings
    others = np.delete(readings.areas, row, axis=0)
    if not len(others):
        return
    pressure = float(readings.force_pressure[row])
    slack = 4.0 * np.sqrt(2.0) * noise_force(day) / pressure
    mine = readings.areas[row]
    for k, axle in enumerate(CHANNELS[AXLES]):
        usual = float(np.max(np.abs(others[:, AXLES])))
        if abs(mine[k]) > MOST_OF_AXLE * usual + slack:
            yield Doubt(
                kind="magnitude",
                run=readings.labels[row],
                axle=axle,
                values={"force": float(mine[k]) * pressure, "usual": usual * pressure},
            )
    usual = float(median(others[:, DRAG]))
    low, high = sorted((DRAG_OF_USUAL[0] * usual, DRAG_OF_USUAL[1] * usual))
    if not low - slack <= mine[DRAG] <= high + slack:
        yield Doubt(
            kind="magnitude",
            run=readings.labels[row],
            axle="drag",
            values={"force": float(mine[DRAG]) * pressure, "usual": usual * pressure},
        )


def _of_digits(day: Day, row: int, usual: Expected) -> Iterator[Doubt]:
    """Find axles that read ten times what is expected, or a tenth of it."""
    readings, near = day.readings, usual.why.rows[0]
    pressure = float(readings.force_pressure[row])
    for k, axle in enumerate(CHANNELS[AXLES]):
        mine, mean = float(readings.areas[row, k]), float(usual.mean[k])
        small, large = sorted((mine, mean), key=abs)
        clear = abs(large - small) > 4.0 * np.sqrt(2.0) * usual.std[k]
        if clear and abs(large / 10.0 - small) < TEN_SLACK * abs(large) / 10.0:
            values = {"force": mine * pressure, "usual": float(readings.areas[near, k]) * pressure}
            yield Doubt(
                kind="digits",
                run=readings.labels[row],
                other=readings.labels[near],
                axle=axle,
                values=values,
            )


def _of_slope(day: Day, row: int) -> Iterator[Doubt]:
    """Find axles that answer a setting more steeply than the family of that setting does."""
    readings = day.readings
    run = readings.runs[row]
    pressure = float(readings.force_pressure[row])
    slack = 4.0 * np.sqrt(2.0) * noise_force(day) / pressure
    for name, setting in run.settings.items():
        family = family_of(day, row, name) if setting.numeric else {}
        if not family:
            continue
        here = float(setting.value)
        at = np.array(sorted(family))
        areas = np.array([readings.areas[family[x], AXLES].mean(axis=0) for x in at])
        near = int(np.argmin(np.abs(at - here)))
        step = abs(here - at[near])
        slopes = np.abs(readings.areas[row, AXLES] - areas[near]) / step
        steepest = np.full_like(slopes, STEEPEST_PER_DEGREE if setting.unit in _DEGREES else np.inf)
        if len(at) > 2:
            of_family = np.max(np.abs(np.diff(areas, axis=0)) / np.diff(at)[:, None], axis=0)
            steepest = np.minimum(steepest, STEEPEST_OF_FAMILY * of_family)
        for k, axle in enumerate(CHANNELS[AXLES]):
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
