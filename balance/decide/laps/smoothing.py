"""Smoothing along the line of a track: a local quadratic over a stated length, never over time."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]


def _quadratic_weights(points: int) -> Array:
    """Give the weights that a local quadratic puts on evenly spaced points, odd in number, for its middle.

    Least squares of ``a + b x + c x^2``, read at ``x = 0``: A. Savitzky, M. J. E. Golay, Analytical Chemistry 36 (1964)
    1627-1639, table I.

    Examples
    --------
    >>> (_quadratic_weights(5) * 35).round(9).tolist()
    [-3.0, 12.0, 17.0, 12.0, -3.0]
    """
    if points < 3 or points % 2 == 0:
        raise DomainError(f"points of a local quadratic: found {points}, expected an odd number of 3 or more")
    half = points // 2
    x = np.arange(-half, half + 1) / half
    design = np.stack([np.ones(points), x, x * x], axis=1)
    return np.asarray(np.linalg.pinv(design)[0])


def smoothed(values: Array, step: float, length: float, *, closed: bool) -> Array:
    """Smooth values along a line by a local quadratic.

    Parameters
    ----------
    values : numpy.ndarray
        (..., n) at even steps, in any unit. [1]
    step : float
        From one to the next. [m]
    length : float
        Over which the quadratic is laid. [m]
    closed : bool
        Whether the last is followed by the first. [1]

    Returns
    -------
    numpy.ndarray
        (..., n) in the same unit. [1]

    Notes
    -----
    At the ends of an open line the last values are held. A corner's curvature is kept where it changes no faster
    than a quadratic over the length; what is shorter is flattened.

    References
    ----------
    A. Savitzky, M. J. E. Golay, Analytical Chemistry 36 (1964) 1627-1639.
    """
    half = max(round(length / step / 2.0), 1)
    count = values.shape[-1]
    half = min(half, max((count - 1) // 2, 1))
    weights = _quadratic_weights(2 * half + 1)
    ends = [(0, 0)] * (values.ndim - 1) + [(half, half)]
    padded = np.pad(values, ends, mode="wrap" if closed else "edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1, axis=-1)
    return np.asarray(windows @ weights)
