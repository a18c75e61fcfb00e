"""The fixed points at which a reading's three channels are looked at."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only

if TYPE_CHECKING:
    from numpy.typing import NDArray

POINTS = 256
"""How many: 128 miss the worth by 4 % on average and up to 10 % where it is large, 256 by 0.4 % and up to 4 %."""
_BITS = 30
_FIRST = ((0, 0, ()), (1, 0, (1,)), (2, 1, (1, 3)))
"""Degree, coefficients and first direction numbers of each dimension; the first is that of van der Corput."""


@cache
def normal_points() -> NDArray[np.float64]:
    """Return points that fill three dimensions evenly, as standard normals.

    Returns
    -------
    numpy.ndarray
        (256, 3) of mean 0 and covariance 1. [1]

    Notes
    -----
    Points of Sobol, moved by half a cell so that none is at 0, through the inverse of the normal distribution; then made
    to have exactly the covariance of standard normals, which few points miss by some hundredths.

    References
    ----------
    S. Joe, F. Y. Kuo, "Constructing Sobol sequences with better two-dimensional projections", SIAM Journal on Scientific
    Computing 30 (2008).
    """
    from scipy.special import ndtri  # noqa: PLC0415 - scipy costs more to load than the rest of the plan

    points = np.asarray(ndtri(_sobol_points(POINTS) + 0.5 / POINTS))
    factor = np.linalg.cholesky(points.T @ points / POINTS)
    return read_only(np.linalg.solve(factor, points.T).T.copy())


def _sobol_points(count: int) -> NDArray[np.float64]:
    """Return the first points of Sobol's sequence in three dimensions, (count, 3), in the order of Gray's code.

    Direction numbers of Joe's and Kuo's file new-joe-kuo-6.

    Examples
    --------
    >>> _sobol_points(4).tolist()
    [[0.0, 0.0, 0.0], [0.5, 0.5, 0.5], [0.75, 0.25, 0.25], [0.25, 0.75, 0.75]]
    """
    gray = np.arange(count) ^ np.arange(count) >> 1
    values = np.zeros((count, len(_FIRST)), dtype=np.int64)
    for dimension, (degree, coefficients, first) in enumerate(_FIRST):
        numbers = list(first) if degree else [1] * _BITS
        while len(numbers) < _BITS:
            k = len(numbers)
            new = numbers[k - degree] ^ (numbers[k - degree] << degree)
            for j in range(1, degree):
                if coefficients >> (degree - 1 - j) & 1:
                    new ^= numbers[k - j] << j
            numbers.append(new)
        for k, number in enumerate(numbers):
            values[:, dimension] ^= np.where(gray >> k & 1, number << (_BITS - 1 - k), 0)
    return values / 2.0**_BITS
