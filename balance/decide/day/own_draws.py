"""Draws of what has an uncertainty of its own: a stated change, a placed mass or force, a setting, a place, a mounting, a library."""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.reduce.draws import SharedDraws


class Source(IntEnum):
    """What draws belong to, so that no two share a stream."""

    CHANGE = 0
    MASS = 1
    FORCE = 2
    SETTING = 3
    PLACE = 4
    MOUNTING = 5
    LIBRARY = 6


_OWN = 0  # seeds (0, ...) belong to what has its own; runs have (1 + row,)


def own_normals(shared: SharedDraws, source: Source, number: int, figures: int) -> NDArray[np.float64]:
    """Draw standard normal numbers for one thing that was stated.

    Parameters
    ----------
    shared : SharedDraws
        Seed and number of draws. [1]
    source : Source
        What it is. [1]
    number : int
        Its place in its list, from 0. [1]
    figures : int
        How many figures it has. [1]

    Returns
    -------
    numpy.ndarray
        (figures, draws), the same for the same place in the list. [1]

    Notes
    -----
    A stream for each, so that one more leaves the others as they are.

    References
    ----------
    JCGM 101:2008, 6.4.7.
    """
    key = (_OWN, number) if source is Source.CHANGE else (_OWN, int(source), number)
    stream = np.random.default_rng(np.random.SeedSequence(shared.seed, spawn_key=key))
    return stream.standard_normal((figures, shared.count))
