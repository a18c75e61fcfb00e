"""What a day is judged by: every reading, and the mean of every configuration that was read more than once."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from balance.reduce.readings import read_only
from balance.reduce.repeats import configurations, repeat_sets

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.reduce.readings import Readings


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """Rows of a table: first each reading by itself, in running order, then the means, in that of their first reading.

    Attributes
    ----------
    members : tuple of tuple of int
        For each row, the readings that it is the mean of.
    weights : tuple of numpy.ndarray
        For each row, the weights of its members, with a sum of 1. [1]
    standing : tuple of int
        For each reading, the row that stands for its configuration: the mean, or the one reading itself.
    """

    members: tuple[tuple[int, ...], ...]
    weights: tuple[NDArray[np.float64], ...]
    standing: tuple[int, ...]

    @property
    def readings(self) -> int:
        """Number of readings, and of the rows that are one reading each."""
        return len(self.standing)

    @property
    def singles(self) -> tuple[int, ...]:
        """The rows that are one reading each."""
        return tuple(range(self.readings))

    @property
    def every(self) -> tuple[int, ...]:
        """All rows, the means behind the readings."""
        return tuple(range(len(self.members)))

    @property
    def configurations(self) -> tuple[int, ...]:
        """The rows that stand for configurations, each once, in the order of their first reading."""
        return tuple(dict.fromkeys(self.standing))

    def over(self, rows: Sequence[int]) -> tuple[list[int], NDArray[np.float64]]:
        """Write some rows as weights over the readings that they need.

        Parameters
        ----------
        rows : sequence of int
            Which rows. [1]

        Returns
        -------
        readings : list of int
            Which readings they need, each once.
        weights : numpy.ndarray
            (rows, readings) weights over those. [1]
        """
        needed = sorted({one for row in rows for one in self.members[row]})
        place = {one: k for k, one in enumerate(needed)}
        weights = np.zeros((len(rows), len(needed)))
        for k, row in enumerate(rows):
            weights[k, [place[one] for one in self.members[row]]] = self.weights[row]
        return needed, weights


def judged_rows(readings: Readings) -> Rows:
    """Find the rows of a day.

    Parameters
    ----------
    readings : Readings
        The session's readings. [1]

    Returns
    -------
    Rows
        Each reading, and each configuration with several good readings at one speed. [1]

    Notes
    -----
    A configuration is the plain mean over its fits of the mean of each fit's readings: one fit is an untouched stint,
    readings that follow one another in one block. Readings marked suspect stay out unless there are no others. Of
    readings at speeds more than 2 % apart, the speed with most readings counts, the first of equals; the others test
    the scaling and stand by themselves.

    References
    ----------
    Common practice, no source.
    """
    count = len(readings.runs)
    members: list[tuple[int, ...]] = [(row,) for row in range(count)]
    weights: list[NDArray[np.float64]] = [read_only(np.ones(1)) for _ in range(count)]
    standing = list(range(count))
    at_one_speed = {row: one.rows for one in repeat_sets(readings) for row in one.rows}
    for group in configurations(readings.runs):
        clusters = dict.fromkeys(at_one_speed[row] for row in group)
        most = max(clusters, key=len)
        good = tuple(row for row in most if readings.runs[row].status != "suspect") or most
        row = good[0]
        if len(good) > 1:
            row = len(members)
            members.append(good)
            weights.append(read_only(_plain_mean_of_fits(stints(readings, good))))
        for one in group:
            standing[one] = row
    return Rows(members=tuple(members), weights=tuple(weights), standing=tuple(standing))


def stints(readings: Readings, rows: Sequence[int]) -> list[tuple[int, ...]]:
    """Split readings of one configuration into untouched stints.

    Parameters
    ----------
    readings : Readings
        The session's readings. [1]
    rows : sequence of int
        Readings of one configuration, in running order. [1]

    Returns
    -------
    list of tuple of int
        Readings between which no other reading of the day stands, and the block does not change. [1]

    Notes
    -----
    What was fitted once stays as it was fitted until the car is changed.

    References
    ----------
    Common practice, no source.
    """
    begun = 0

    def stint(k: int) -> int:
        nonlocal begun
        row, before = rows[k], rows[k - 1] if k else None
        if before is not None and (
            row - before > 1 or readings.runs[row].block != readings.runs[before].block
        ):
            begun = k
        return begun

    return [tuple(rows[k] for k in part) for _, part in groupby(range(len(rows)), key=stint)]


def _plain_mean_of_fits(fits: Sequence[tuple[int, ...]]) -> NDArray[np.float64]:
    """Give the weights of the readings, fit by fit."""
    return np.concatenate([np.full(len(fit), 1.0 / (len(fits) * len(fit))) for fit in fits])
