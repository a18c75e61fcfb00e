"""Where a curve meets an aim: every place of the nominal curve, and the same place in every draw."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import AXLES, DRAG, FRONT, REAR, front_rear_drag

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.compare.monotone_cubic import MonotoneCubic
    from balance.decide.settings.aims import Aim

    Array = NDArray[np.float64]

_FINE, _COARSE = 48, 4  # parts of each step between tested settings that are looked at for a change of sign
_HALVINGS = 70
_NEWTON = 40
_SETTLED = 1e-12  # of the width of a step


def all_roots(
    aim: Aim, curve: MonotoneCubic, offset: Array, domain: tuple[float, float]
) -> tuple[tuple[float, bool], ...]:
    """Find every setting at which the nominal car meets the aim.

    Parameters
    ----------
    aim : Aim
        What is to be met. [1]
    curve : MonotoneCubic
        (3, settings) areas over the setting. [1]
    offset : numpy.ndarray
        (3,) areas to be added to the curve. [m^2]
    domain : tuple of float
        Lowest and highest setting that may be used. [1]

    Returns
    -------
    tuple of (float, bool)
        Settings by rising value, each with whether the miss rises through 0 there. [1]

    Notes
    -----
    Each step between tested settings is looked at in 48 parts for a change of sign, which is then halved to the last
    digit. Of the two ends of the last bracket the one nearer to the aim is given.

    References
    ----------
    Common practice, no source.
    """

    def miss(points: Array) -> Array:
        areas = curve(points) + offset[:, None]
        return aim.miss(*front_rear_drag(areas))

    grid = _grid(curve.knots, domain, _FINE)
    values = miss(grid)
    found = [(float(x), bool(_rises_at(values, k))) for k, x in enumerate(grid) if values[k] == 0.0]
    crosses = np.flatnonzero(values[:-1] * values[1:] < 0.0)
    low, high = grid[crosses], grid[crosses + 1]
    rises = values[crosses + 1] > 0.0
    for _ in range(_HALVINGS if crosses.size else 0):
        middle = (low + high) / 2.0
        above = (miss(middle) > 0.0) == rises
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    if crosses.size:
        nearer = np.abs(miss(low)) <= np.abs(miss(high))
        found += zip(np.where(nearer, low, high).tolist(), rises.tolist(), strict=True)
    return tuple(sorted(found))


def drawn_roots(
    aim: Aim,
    curve: MonotoneCubic,
    offset: Array,
    domain: tuple[float, float],
    *,
    near: float,
    rises: bool,
) -> Array:
    """Find in every draw the setting that answers to a nominal one.

    Parameters
    ----------
    aim : Aim
        What is to be met, as the draws see it. [1]
    curve : MonotoneCubic
        (3, draws, settings) areas over the setting. [1]
    offset : numpy.ndarray
        (3, draws) areas to be added to the curve. [m^2]
    domain : tuple of float
        Lowest and highest setting that is looked at. [1]
    near : float
        The nominal setting. [1]
    rises : bool
        Whether the nominal miss rises through 0 there. [1]

    Returns
    -------
    numpy.ndarray
        (draws,) settings; infinite, with the sign of the end it runs to, where a draw does not meet the aim. [1]

    Notes
    -----
    Of the places where a draw's miss crosses 0 the same way, the nearest to the nominal one. A draw without any counts
    as beyond the end that its miss at the nominal setting points to. Newton's method inside a bracket.

    References
    ----------
    JCGM 101:2008 for the draws.
    """
    grid = _grid(curve.knots, domain, _COARSE)
    at = int(np.argmin(np.abs(grid - near)))
    of_values, of_slopes = curve.weights_at(grid)
    front, rear, drag = (
        (curve.values[k] @ of_values + curve.slopes[k] @ of_slopes + offset[k][:, None]).T
        for k in (FRONT, REAR, DRAG)
    )
    miss = aim.miss(front, rear, drag).T  # exponents along the draws
    if not rises:
        miss = -miss
    result = np.where(miss[:, at] <= 0.0, np.inf, -np.inf)
    if grid.size == 1:
        return result
    crossing = (miss[:, :-1] <= 0.0) & (miss[:, 1:] > 0.0)
    middle = (grid[:-1] + grid[1:]) / 2.0
    chosen = np.argmin(np.where(crossing, np.abs(middle - near), np.inf), axis=1)
    met = crossing.any(axis=1)
    draws = np.flatnonzero(met)
    if draws.size:
        result[draws] = _refined(aim, curve, offset, draws, grid, chosen[draws], 1.0 if rises else -1.0)
    return result


def _refined(
    aim: Aim,
    curve: MonotoneCubic,
    offset: Array,
    draws: NDArray[np.int_],
    grid: Array,
    cell: NDArray[np.int_],
    sign: float,
) -> Array:
    """Close in on the crossing in one cell of the grid for each draw."""
    knots = curve.knots
    left = np.clip(np.searchsorted(knots, grid[cell], side="right") - 1, 0, knots.size - 2)
    width = knots[left + 1] - knots[left]
    cubics = [_cubic(curve, k, draws, left, width) for k in (FRONT, REAR, DRAG)]
    for cubic, channel in zip(cubics, (FRONT, REAR, DRAG), strict=True):
        cubic[0] = cubic[0] + offset[channel][draws]
    aimed = aim.of(draws)
    low, high = (grid[cell] - knots[left]) / width, (grid[cell + 1] - knots[left]) / width
    t = (low + high) / 2.0
    for _ in range(_NEWTON):
        front, rear, drag = (((c[3] * t + c[2]) * t + c[1]) * t + c[0] for c in cubics)
        miss = sign * aimed.miss(front, rear, drag)
        below = miss <= 0.0
        low, high = np.where(below, t, low), np.where(below, high, t)
        by_front, by_rear = aimed.slopes(front, rear)
        d_front, d_rear = ((3.0 * c[3] * t + 2.0 * c[2]) * t + c[1] for c in cubics[AXLES])
        with np.errstate(divide="ignore", invalid="ignore"):
            moved = t - miss / (sign * (by_front * d_front + by_rear * d_rear))
        inside = (moved >= low) & (moved <= high)
        moved = np.where(inside, moved, (low + high) / 2.0)
        step = np.abs(moved - t)
        t = moved
        if np.all(step <= _SETTLED):
            break
    return np.asarray(knots[left] + t * width)


def _cubic(
    curve: MonotoneCubic, channel: int, draws: NDArray[np.int_], left: NDArray[np.int_], width: Array
) -> list[Array]:
    """Return the four coefficients of each draw's cubic in its step."""
    values, slopes = curve.values[channel], curve.slopes[channel]
    start, rise = values[draws, left], values[draws, left + 1] - values[draws, left]
    first, last = width * slopes[draws, left], width * slopes[draws, left + 1]
    return [start, first, 3.0 * rise - 2.0 * first - last, first + last - 2.0 * rise]


def _grid(knots: Array, domain: tuple[float, float], parts: int) -> Array:
    """Lay points over the domain, tested settings among them, each step in equal parts."""
    low, high = domain
    marks = np.unique(np.concatenate([[low], knots[(knots > low) & (knots < high)], [high]]))
    if marks.size == 1:
        return marks
    shares = np.arange(parts) / parts
    points = marks[:-1, None] + shares * np.diff(marks)[:, None]
    return np.append(points.ravel(), marks[-1])


def _rises_at(values: Array, k: int) -> bool:
    """Return whether values rise around a position."""
    return bool(values[min(k + 1, values.size - 1)] > values[max(k - 1, 0)])
