"""Readings that stand out from the others of their configuration."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.compare.student import student_factor
from balance.model.channels import CHANNELS, FRONT, MEASURED, REAR
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.decide.day.day import Day
    from balance.model.records import Session, Status

OUTSIDE = 0.99
"""Share of right readings that stand out at no channel."""
_LEAST = 0.99
"""Standard uncertainties of the whole day from which a reading is looked at: one of two alike lies at 1, however far off."""
_NORMAL = 2.93
"""Standard uncertainties that 1 % over three channels takes with a scatter that is well known.

Student's quantile at v degrees is at least z + (z^3 + z) / 4v of the normal's z, the first terms of its expansion in 1/v:
M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions (1964), 26.7.5 (from memory).
"""
_MANY = 30.0
"""Degrees of freedom from which one reading hardly moves the scatter of its day."""
_PAIR = 2


class StandsOut(NamedTuple):
    """A channel of a reading that stands out: 0 front, 1 rear, 2 drag; its area and that of the others' mean [m²]."""

    channel: int
    area: float
    others: float


@lru_cache(maxsize=4)
def standing_out(day: Day) -> Mapping[int, tuple[StandsOut, ...]]:
    """Find the readings that stand out from the others of their configuration.

    Those alone that stand out, by reading: where it lies beyond 99 %, over its three channels together, of
    where one more reading is expected from the others of its configuration and the scatter of the day's
    repeats without it: the interval of one future reading (W. Q. Meeker, G. J. Hahn, L. A. Escobar,
    Statistical Intervals, 2017, 4.8, from memory; Bonferroni's inequality for the three channels). Nothing
    where the others leave the scatter unknown. With 30 degrees of freedom the scatter of all stands for it.
    """
    found: dict[int, tuple[StandsOut, ...]] = {}
    repeated = [rows for rows in day.configurations if len(rows) > 1]
    near = frozenset(row for rows in repeated for row in rows)
    many = bool(np.all(day.repeatability.degrees_of_freedom[MEASURED] >= _MANY))
    for own in day.rows.members:
        for reading in own if len(own) > 1 else ():
            others = [other for other in own if other != reading]
            if _far(day, reading, others):
                channels = _against_others(day, reading, others, near, many=many)
                if channels:
                    found[reading] = channels
    return found


class Differing(NamedTuple):
    """Good readings by which the day's repeats differ so much.

    ``stand_out``: they lie outside 99 %. ``one_of``: nobody can tell which of them is off.
    """

    readings: tuple[int, ...]
    stand_out: bool
    one_of: bool = False


def differing_most(day: Day) -> Differing:
    """Find the readings to look at first where the repeats of a day differ too much.

    The good readings that stand out; where those of a configuration all do, that it is one of them. Where
    none does, the one that lies farthest from the mean of its others in front or rear; of two alike it is one
    of them. Nothing where nothing was repeated. With few repeats the interval of one more reading is so wide
    that a wrong one seldom stands out.
    """
    runs, areas = day.readings.runs, day.readings.areas
    repeated = [
        good for own in day.configurations if (good := [r for r in own if runs[r].status == "good"])[1:]
    ]
    found = standing_out(day)
    off = [[row for row in good if row in found] for good in repeated]
    known = [row for good, own in zip(repeated, off, strict=True) if own != good for row in own]
    if known:
        return Differing(readings=tuple(sorted(known)), stand_out=True)
    if unknown := [own for own in off if own]:
        return Differing(readings=tuple(unknown[0]), stand_out=True, one_of=True)
    most = 0.0
    farthest: tuple[int, ...] = ()
    for good in repeated:
        read = areas[good][:, [FRONT, REAR]]
        others = (read.sum(axis=0) - read) / (len(good) - 1)
        away = np.abs(read - others).max(axis=1)
        if away.max() > most:
            most = float(away.max())
            farthest = tuple(good) if len(good) == _PAIR else (good[int(away.argmax())],)
    return Differing(readings=farthest, stand_out=False, one_of=len(farthest) == _PAIR)


def _far(day: Day, reading: int, others: list[int]) -> bool:
    """Return whether a reading is far enough from the others to be looked at more closely."""
    weights = np.zeros(len(day.readings.runs))
    weights[others] = -day.fits.mean_of(others)
    weights[reading] = 1.0
    std = np.sqrt(day.fits.variance(weights[None])[0][0, MEASURED])
    return bool(np.any(np.abs(weights @ day.readings.areas) > _LEAST * std))


def _against_others(
    day: Day, reading: int, others: Sequence[int], near: frozenset[int], *, many: bool
) -> tuple[StandsOut, ...]:
    """Hold a reading against the interval of one more reading, from the day's repeats without it."""
    labels, fits, rows = day.readings.labels, day.fits, list(others)
    if not many:
        rest = _repeats_without(day, reading, near)
        fits = fits_of_session(rest, reduce_session(rest))
        rows = [fits.readings.labels.index(labels[other]) for other in others]
    weights = np.zeros(len(fits.readings.runs))
    weights[rows] = fits.mean_of(rows)
    variance = fits.variance(weights[None])[0][0, MEASURED]
    one = fits.repeatability.deviation[MEASURED] / day.readings.force_pressure[reading]
    std = np.hypot(one, np.sqrt(variance))
    mine, mean = day.readings.areas[reading], weights @ fits.readings.areas
    degrees = fits.repeatability.degrees_of_freedom[MEASURED]
    least = _NORMAL + (_NORMAL**3 + _NORMAL) / (4.0 * degrees)
    if not np.any(np.abs(mine - mean) > least * std):  # quantiles cost more to load than the rest of a table
        return ()
    allowed = student_factor(degrees, 1.0 - (1.0 - OUTSIDE) / len(CHANNELS)) * std
    return tuple(
        StandsOut(channel=k, area=float(mine[k]), others=float(mean[k]))
        for k in range(len(CHANNELS))
        if abs(mine[k] - mean[k]) > allowed[k]
    )


def _repeats_without(day: Day, reading: int, near: frozenset[int]) -> Session:
    """Return the day's repeats with one reading out of means and scatter.

    What stood between two of them stays, one run of it: without it a car that was fitted again would look untouched.
    """
    runs = day.readings.runs
    out: Status = "void" if runs[reading].status == "suspect" else "suspect"
    return replace(
        day.session,
        runs=tuple(
            replace(run, status=out) if row == reading else run
            for row, run in enumerate(runs)
            if row in near or row + 1 in near
        ),
    )
