"""Runs that differ in one numeric setting only: step by step, in order of running."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.fitted import NOT_FITTED, SAME_AGAIN
from balance.compare.ratios import cost_ratios
from balance.reduce.median import median
from balance.reduce.repeats import SPEED_TOLERANCE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.compare.contrasts import Changes
    from balance.compare.fitted import Fitted
    from balance.compare.increments import Increments
    from balance.compare.ratios import RatioSets
    from balance.reduce.readings import Readings


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SettingSweep:
    """One family: one block, all settings equal but one numeric setting, whatever the labels.

    Attributes
    ----------
    setting, unit : str
        Which setting, and the unit of its values.
    values : numpy.ndarray
        (settings,) tested values, rising, in ``unit``.
    runs : tuple of tuple of str
        Runs averaged at each value.
    order : tuple of str
        All runs of the family in the order of running.
    named_apart : bool
        Whether the runs' labels tell of more than the setting: what else they name is taken as doing nothing.
    loads : Changes
        (settings) the loads themselves; their intervals hold the scatter alone. [N]
    steps : Changes
        (settings - 1) from each value to the next higher one: marginal downforce and drag as differences. [N]
    ratios : RatioSets
        (settings - 1) marginal downforce per drag.
    """

    setting: str
    unit: str
    values: NDArray[np.float64]
    runs: tuple[tuple[str, ...], ...]
    order: tuple[str, ...]
    named_apart: bool
    loads: Changes
    steps: Changes
    ratios: RatioSets


def find_setting_sweeps(increments: Increments) -> tuple[SettingSweep, ...]:
    """Find the sweeps of a session.

    Parameters
    ----------
    increments : Increments
        The session's increments, for its readings, scatter and treatment of drift. [1]

    Returns
    -------
    tuple of SettingSweep
        One per family of two tested values or more, in the order of their first runs. [1]

    Notes
    -----
    Labels do not tell a family apart: settings do. At each value the runs are averaged; where a value was run at several
    speeds, those nearest to the family's middle speed.
    """
    families = sorted((rows, column) for column, rows in setting_families(increments.fitted))
    names = increments.fitted.names
    return tuple(_sweep(increments, names[column], column, rows) for rows, column in families)


def setting_families(fitted: Fitted) -> list[tuple[int, list[int]]]:
    """Gather the runs that differ in one numeric setting alone.

    Parameters
    ----------
    fitted : Fitted
        What was fitted in each run. [1]

    Returns
    -------
    list of tuple of (int, list of int)
        Place of the setting among ``fitted.names``, and the runs, of two values or more. [1]

    Notes
    -----
    One block and all settings equal but the one, whatever the labels.
    """
    numeric = [
        column
        for column in range(len(fitted.names))
        if all(s is None or s.numeric for s in fitted.values[column])
    ]
    return [(column, rows) for column in numeric for rows in _families(fitted, column)]


def _families(fitted: Fitted, column: int) -> list[list[int]]:
    """Gather runs that are alike in all but one setting, where that one has two values or more."""
    families: dict[tuple[object, ...], list[int]] = {}
    others = np.delete(fitted.codes, column, axis=1)
    for row in np.flatnonzero(fitted.codes[:, column] != NOT_FITTED).tolist():
        key = (int(fitted.blocks[row]), tuple(others[row].tolist()))
        families.setdefault(key, []).append(row)
    return [rows for rows in families.values() if np.unique(fitted.codes[rows, column]).size > 1]


def _sweep(increments: Increments, name: str, column: int, rows: list[int]) -> SettingSweep:
    """Compute one family."""
    readings, fitted = increments.readings, increments.fitted
    labels, codes = readings.labels, fitted.codes[:, column]
    settings = {code: fitted.values[column][code] for code in dict.fromkeys(codes[rows].tolist())}
    number = {code: float(s.value) for code, s in settings.items() if s is not None}
    by_value = sorted(number, key=number.__getitem__)
    middle = float(median(readings.speed[rows]))
    sets = [_nearest(readings, fitted, [r for r in rows if codes[r] == code], middle) for code in by_value]
    means = increments.fits.means(sets)
    steps = increments.contrast(means[1:] - means[:-1])
    first = settings[by_value[0]]
    return SettingSweep(
        setting=name,
        unit="" if first is None else first.unit,
        values=np.array([number[code] for code in by_value]),
        runs=tuple(tuple(labels[r] for r in some) for some in sets),
        order=tuple(labels[r] for r in rows),
        named_apart=len({_bare(readings.runs[r].configuration, name) for r in rows}) > 1,
        loads=increments.contrast(means),
        steps=steps,
        ratios=cost_ratios(steps),
    )


def _nearest(readings: Readings, fitted: Fitted, rows: Sequence[int], speed: float) -> tuple[int, ...]:
    """Pick the readings nearest to a speed, under whatever label."""
    nearest = min(rows, key=lambda row: (abs(float(readings.speed[row]) - speed), row))
    near = [
        row for row in rows if abs(readings.speed[row] / readings.speed[nearest] - 1.0) <= SPEED_TOLERANCE
    ]
    return tuple(sorted({one for row in near for one in fitted.sets[row]}))


def _bare(label: str, setting: str) -> frozenset[str]:
    """Strip numbers, the setting's own words, and words that name nothing fitted from a label."""
    words = {word for word in re.findall(r"[^\W_]+", label.casefold()) if not any(map(str.isdigit, word))}
    return frozenset(words - {*setting.casefold().split("_"), "deg", "mm"} - SAME_AGAIN)
