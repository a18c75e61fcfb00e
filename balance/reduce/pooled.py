"""The scatter of one reading, pooled from repeats over a session."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.reduce.readings import read_only

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.reduce.readings import Readings
    from balance.reduce.repeats import RepeatSet

CORRELATION_NEEDS = 4.0
"""Degrees of freedom below which channels are taken as independent."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pooled:
    """Scatter pooled from repeats: front, rear, drag, total. (4,) standard deviations of one reading [N]."""

    deviation: NDArray[np.float64]
    degrees_of_freedom: float
    correlation: NDArray[np.float64]


def pool_repeats(readings: Readings, sets: Sequence[RepeatSet]) -> Pooled | None:
    """Pool the scatter of repeats over a session.

    Parameters
    ----------
    readings : Readings
        The session's readings. [1]
    sets : sequence of RepeatSet
        Which of them repeat one another. [1]

    Returns
    -------
    Pooled or None
        Standard deviations of one reading [N]; nothing when no run was repeated. [1]

    Notes
    -----
    A set's mean is the area coefficient that fits its forces best, ``sum(q F) / sum(q^2)``; a residual is
    the area residual times its own dynamic pressure; the pooled variance is the sum of squared residuals over the
    sum of (runs - 1). Total downforce is a quantity of its own, with its own scatter.

    References
    ----------
    ASTM E691, "Standard practice for conducting an interlaboratory study", repeatability standard deviation.
    """
    residuals: list[NDArray[np.float64]] = []
    degrees = 0
    for repeats in sets:
        rows = list(repeats.rows)
        if len(rows) < 2:
            continue
        weight = readings.force_pressure[rows] ** 2
        areas = readings.areas[rows]
        mean = weight @ areas / weight.sum()
        residuals.append((areas - mean) * readings.force_pressure[rows, None])
        degrees += len(rows) - 1
    return pool_residuals(readings, np.vstack(residuals), degrees) if degrees else None


def pool_residuals(readings: Readings, force: NDArray[np.float64], degrees: int) -> Pooled:
    """Pool residuals into the scatter of one reading.

    Parameters
    ----------
    readings : Readings
        The session's readings, for the rounding of their figures. [1]
    force : numpy.ndarray
        (residuals, 3) of front downforce, rear downforce and drag. [N]
    degrees : int
        Degrees of freedom that the residuals have, above 0. [1]

    Returns
    -------
    Pooled
        Standard deviations of one reading [N], never below the scatter of rounding. [1]

    Notes
    -----
    The pooled variance is the sum of squared residuals over their degrees of freedom. Channels are taken as
    independent below 4 degrees of freedom.

    References
    ----------
    ASTM E691, "Standard practice for conducting an interlaboratory study", repeatability standard deviation.
    """
    force = np.column_stack([force, force[:, 0] + force[:, 1]])
    covariance = force.T @ force / degrees
    deviation = np.sqrt(np.diag(covariance))
    rounding = np.median(readings.resolution * readings.force_pressure[:, None], axis=0) / np.sqrt(3.0)
    floor = np.append(rounding, np.hypot(rounding[0], rounding[1]))
    correlation = np.eye(3)
    if degrees >= CORRELATION_NEEDS and np.all(deviation[:3] > floor[:3]):
        correlation = covariance[:3, :3] / np.outer(deviation[:3], deviation[:3])
    return Pooled(
        deviation=read_only(np.maximum(deviation, floor)),
        degrees_of_freedom=float(degrees),
        correlation=read_only(correlation),
    )
