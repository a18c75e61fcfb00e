"""Curves through tested points that never overshoot them, for many curves at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MonotoneCubic:
    """Piecewise cubics over common knots. ``values`` and ``slopes`` are (..., knots): a curve for every draw."""

    knots: NDArray[np.float64]
    values: NDArray[np.float64]
    slopes: NDArray[np.float64]

    def weights_at(self, at: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return the weights of values and of slopes at some points, (knots, points) each; no extrapolation."""
        points = np.atleast_1d(np.asarray(at, float))
        low, high = self.knots[0], self.knots[-1]
        if not np.all((points >= low) & (points <= high)):
            raise DomainError(
                f"setting: found {points[0]:g}, expected from {low:g} to {high:g}, which was tested"
            )
        left = np.clip(np.searchsorted(self.knots, points, side="right") - 1, 0, self.knots.size - 2)
        width = self.knots[left + 1] - self.knots[left]
        t = (points - self.knots[left]) / width
        back = 1.0 - t
        of_values, of_slopes = np.zeros((2, self.knots.size, points.size))
        column = np.arange(points.size)
        of_values[left, column] = back**2 * (1.0 + 2.0 * t)
        of_values[left + 1, column] = t**2 * (1.0 + 2.0 * back)
        of_slopes[left, column] = back**2 * t * width
        of_slopes[left + 1, column] = -(t**2) * back * width
        return of_values, of_slopes

    def __call__(self, at: ArrayLike) -> NDArray[np.float64]:
        """Return the curves at some points, (..., points)."""
        of_values, of_slopes = self.weights_at(at)
        return np.asarray(self.values @ of_values + self.slopes @ of_slopes)


def monotone_cubic(knots: ArrayLike, values: ArrayLike) -> MonotoneCubic:
    """Lay a shape-preserving curve through tested points, for many curves at once.

    Parameters
    ----------
    knots : array_like
        (knots,) tested settings, rising, two or more. [1]
    values : array_like
        (..., knots) what was found there, in their own unit. [1]

    Returns
    -------
    MonotoneCubic
        One curve for every leading entry. [1]

    Raises
    ------
    DomainError
        If there are fewer than two knots, or they do not rise.

    Notes
    -----
    Hermite cubics whose slope at a knot is a weighted harmonic mean of the slopes beside it, 0 where those differ in
    sign: a step that falls, falls all the way, and the curve passes exactly through every point.

    References
    ----------
    F. N. Fritsch, J. Butland, "A method for constructing local monotone piecewise cubic interpolants", SIAM Journal
    on Scientific and Statistical Computing 5 (1984) 300-304 (from memory); ends by the three-point formula.

    Examples
    --------
    >>> curve = monotone_cubic([0.0, 1.0, 2.0], [0.0, 1.0, 0.0])
    >>> curve([0.0, 0.5, 1.0]).tolist()
    [0.0, 0.75, 1.0]
    """
    x, y = np.asarray(knots, float), np.asarray(values, float)
    if x.ndim != 1 or x.size < 2 or not np.all(np.diff(x) > 0.0):
        raise DomainError(f"settings: found {x.tolist()}, expected two or more that rise")
    width = np.diff(x)
    secant = np.diff(y, axis=-1) / width
    slopes = np.empty(np.broadcast_shapes(y.shape, x.shape))
    if x.size == 2:
        slopes[...] = secant
        return MonotoneCubic(knots=x, values=y, slopes=slopes)
    before, after = secant[..., :-1], secant[..., 1:]
    heavy, light = 2.0 * width[1:] + width[:-1], width[1:] + 2.0 * width[:-1]
    alike = before * after > 0.0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        mean = (heavy + light) / (heavy / before + light / after)
    slopes[..., 1:-1] = np.where(alike, mean, 0.0)
    slopes[..., 0] = _end(width[0], width[1], secant[..., 0], secant[..., 1])
    slopes[..., -1] = _end(width[-1], width[-2], secant[..., -1], secant[..., -2])
    return MonotoneCubic(knots=x, values=y, slopes=slopes)


def _end(
    width: float, next_width: float, secant: NDArray[np.float64], next_secant: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the slope at an end: three-point, kept to the sign of its own step and to three times its slope."""
    slope = ((2.0 * width + next_width) * secant - width * next_secant) / (width + next_width)
    slope = np.where(slope * secant <= 0.0, 0.0, slope)
    steep = (secant * next_secant < 0.0) & (np.abs(slope) > 3.0 * np.abs(secant))
    return np.where(steep, 3.0 * secant, slope)
