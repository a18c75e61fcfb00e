"""A compared column as readings: its values in place of the channels, as read or brought to one dynamic pressure."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only
from balance.model.kinds import KINDS
from balance.reduce.median import median
from balance.reduce.repeats import SPEED_TOLERANCE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.model.records import ComparedColumn
    from balance.reduce.readings import Readings

MOST_APART = (1.0 + SPEED_TOLERANCE) ** 2
"""Ratio of dynamic pressures up to which values are compared as read: that of speeds at which runs are repeats."""
NO_DIFFERENCE = 10.0
"""Pressure over dynamic pressure from which no flow makes it: the strongest suction on a wing is some six times, the
air itself above sixteen times up to 100 m/s. Common practice, no source."""


def column_readings(readings: Readings, rows: Sequence[int], column: ComparedColumn) -> Readings:
    """Put the values of a compared column in place of the channels.

    Parameters
    ----------
    readings : Readings
        The session's readings. [1]
    rows : sequence of int
        Those of them that have a value of the column. [1]
    column : ComparedColumn
        The column. [1]

    Returns
    -------
    Readings
        Of those runs alone. ``areas`` are the values over ``force_pressure``, which is 1 where they are compared as
        read. [1]

    Notes
    -----
    A column that scales is divided by the dynamic pressure of each reading where the largest is more than 1.02 squared
    times the least; that is what repeats may differ by. Anything else is compared as read, whatever the speeds, and so
    are pressures of which the middle one is more than 10 times the dynamic pressure: those are absolute.

    References
    ----------
    Common practice, no source.
    """
    some = list(rows)
    pressure = readings.dynamic_pressure[some]
    runs = tuple(readings.runs[row] for row in some)
    held = [run.recorded[column.name] for run in runs]
    values = np.array([[float(one.value)] for one in held]).reshape(-1, 1)
    if some and column.scales and column.si_unit == KINDS["pressure"].si:
        share = np.abs(values[:, 0]) * column.factor / pressure
        if median(share) > NO_DIFFERENCE:
            column = replace(column, scales=False, absolute=True)
    scaled = bool(column.scales and some and pressure.max() > MOST_APART * pressure.min())
    by = pressure if scaled else np.ones(len(some))
    half_digit = np.array([[one.resolution] for one in held]).reshape(-1, 1)
    return replace(
        readings,
        runs=runs,
        areas=read_only(values / by[:, None]),
        speed=read_only(readings.speed[some]),
        air_density=read_only(readings.air_density[some]),
        dynamic_pressure=read_only(pressure),
        force_pressure=read_only(by),
        density_source=tuple(readings.density_source[row] for row in some),
        resolution=read_only(half_digit / by[:, None]),
        column=column,
    )
