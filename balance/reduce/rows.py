"""What a day is judged by: every reading, and the mean of every configuration that was read more than once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.reduce.fits import Fits


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

    @property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """The readings of each configuration, in the order of their first reading."""
        found: dict[int, list[int]] = {}
        for reading, row in enumerate(self.standing):
            found.setdefault(row, []).append(reading)
        return tuple(map(tuple, found.values()))

    def beside(self, reading: int) -> tuple[int, ...]:
        """Return the readings that stand under the same row as one, itself among them."""
        own = self.standing[reading]
        return tuple(k for k, row in enumerate(self.standing) if row == own)

    def weighted(self, rows: Sequence[int]) -> NDArray[np.float64]:
        """Write some rows as weights over the readings, (rows, readings)."""
        weights = np.zeros((len(rows), self.readings))
        for own, row in zip(weights, rows, strict=True):
            own[list(self.members[row])] = self.weights[row]
        return weights


def judged_rows(fits: Fits) -> Rows:
    """Find the rows of a day.

    Parameters
    ----------
    fits : Fits
        The day's readings by fit. [1]

    Returns
    -------
    Rows
        Each reading, and each configuration of a block with several good readings at one speed. [1]

    Notes
    -----
    A configuration is the plain mean over its fits of the mean of each fit's readings, in one block: absolute loads of two
    blocks are two rows. Readings that enter no mean stand under their configuration's row. As of
    `balance.reduce.fits.fits_of_session`.
    """
    count = len(fits.readings.runs)
    members: list[tuple[int, ...]] = [(row,) for row in range(count)]
    weights: list[NDArray[np.float64]] = [read_only(np.ones(1)) for _ in range(count)]
    row_of: dict[tuple[int, int], int] = {}
    for fit in np.flatnonzero(fits.counts).tolist():
        first = fits.fits[fit][0]
        key = (int(fits.groups[first]), int(fits.blocks[first]))
        if key in row_of:
            continue
        own = fits.sets[first]
        row_of[key] = own[0] if len(own) == 1 else len(members)
        if len(own) > 1:
            members.append(own)
            weights.append(read_only(fits.mean_of(own)))
    keys = zip(fits.groups.tolist(), fits.blocks.tolist(), strict=True)
    standing = [row_of.get(key, row) for row, key in enumerate(keys)]
    return Rows(members=tuple(members), weights=tuple(weights), standing=tuple(standing))
