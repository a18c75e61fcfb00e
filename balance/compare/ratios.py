"""What a part's downforce costs in drag: the case in words, the ratio where there is one, and its confidence set."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.student import student_factor
from balance.model.channels import DRAG, TOTAL

if TYPE_CHECKING:
    from typing import Literal

    from numpy.typing import ArrayLike, NDArray

    from balance.compare.contrasts import Changes


class RatioCase(StrEnum):
    """Which way downforce and drag went; only the first two have a ratio."""

    MORE_FOR_MORE = "more downforce for more drag"
    LESS_FOR_LESS = "less downforce for less drag"
    MORE_AND_LESS = "more downforce and less drag"
    LESS_AND_MORE = "less downforce and more drag"
    UNCHANGED = "no change in one of the two"


class RatioKind(StrEnum):
    """The shape of a confidence set of a ratio; none where the scatter is unknown."""

    BOUNDED = "bounded"
    OUTSIDE = "outside"
    WHOLE_LINE = "whole line"
    NONE = "none"


CASES, KINDS = tuple(RatioCase), tuple(RatioKind)
_BOUNDED, _OUTSIDE, _WHOLE_LINE, _NONE = range(len(KINDS))


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRatio:
    """Downforce per drag of a part, gained per unit of drag or given up per unit saved.

    ``value`` is there only where the set is bounded and the case has a ratio. ``low`` and ``high`` are the ends of
    a bounded set, or of the gap that a set of kind "outside" leaves out (infinite: no end on that side).
    ``limits_from`` says whether the day's scatter or mere rounding of the figures made the set.
    """

    value: float | None
    kind: RatioKind
    low: float | None
    high: float | None
    case: RatioCase
    limits_from: Literal["scatter", "rounding"] = "scatter"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RatioSets:
    """Confidence sets of many ratios; arrays of one shape. ``kind`` indexes ``KINDS``, ``case`` ``CASES``."""

    value: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    kind: NDArray[np.int_]
    case: NDArray[np.int_]
    limits_from: Literal["scatter", "rounding"] = "scatter"

    def __getitem__(self, row: int) -> CostRatio:
        kind = KINDS[self.kind[row]]
        closed = kind in (RatioKind.BOUNDED, RatioKind.OUTSIDE)
        return CostRatio(
            value=None if np.isnan(self.value[row]) else float(self.value[row]),
            kind=kind,
            low=float(self.low[row]) if closed else None,
            high=float(self.high[row]) if closed else None,
            case=CASES[self.case[row]],
            limits_from=self.limits_from,
        )


def fieller(
    numerator: ArrayLike,
    denominator: ArrayLike,
    numerator_variance: ArrayLike,
    denominator_variance: ArrayLike,
    covariance: ArrayLike,
    quantile: ArrayLike,
) -> tuple[NDArray[np.int_], NDArray[np.float64], NDArray[np.float64]]:
    """Find the confidence set of a ratio of two uncertain numbers.

    Parameters
    ----------
    numerator, denominator : array_like
        What stands above, and below. [1]
    numerator_variance, denominator_variance : array_like
        Variance of each; not a number where unknown. [1]
    covariance : array_like
        Covariance of the two. [1]
    quantile : array_like
        Two-sided quantile of Student's t. [1]

    Returns
    -------
    tuple of numpy.ndarray
        Kind (index into ``KINDS``), low and high: ends of a bounded set, or of the gap that an "outside" set leaves
        out, infinite where the gap has no end on that side; not a number otherwise. [1]

    Notes
    -----
    All ratios r with ``(x - r y)^2 <= t^2 (Vx - 2 r C + r^2 Vy)``. Exact for a common scale of the two; with scales
    estimated apart it is conservative at few degrees of freedom.

    References
    ----------
    E. C. Fieller, "Some problems in interval estimation", Journal of the Royal Statistical Society B 16 (1954)
    175-185 (from memory).

    Examples
    --------
    >>> kind, low, high = fieller(100.0, 20.0, 25.0, 4.0, 0.0, 2.0)
    >>> KINDS[int(kind)].value, round(float(low), 2), round(float(high), 2)
    ('bounded', 4.05, 6.37)
    """
    x, y, vx, vy, c, t = (
        np.asarray(v, float)
        for v in (numerator, denominator, numerator_variance, denominator_variance, covariance, quantile)
    )
    square = t * t
    a = np.asarray(y * y - square * vy)
    b = x * y - square * c
    e = x * x - square * vx
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        root = np.sqrt(np.maximum(b * b - a * e, 0.0))
        # the larger root first, the other through the product of the two, so that nothing cancels
        far = b + np.copysign(root, b)
        one = np.where(a == 0.0, np.copysign(np.inf, b), far / a)
        two = np.where(far == 0.0, np.where(a == 0.0, -one, 0.0), e / far)
    crossing = b * b - a * e > 0.0
    lone = (a == 0.0) & ((b != 0.0) | (e > 0.0))
    kind = np.where(a > 0.0, _BOUNDED, np.where((a < 0.0) & crossing | lone, _OUTSIDE, _WHOLE_LINE))
    kind = np.where(np.isfinite(a) & np.isfinite(b) & np.isfinite(e), kind, _NONE)
    # a half line: the gap lies on the side that b points away from
    sides = [kind >= _WHOLE_LINE, lone & (b > 0.0), lone & (b < 0.0)]
    low = np.select(sides, [np.nan, -np.inf, two], np.fmin(one, two))
    high = np.select(sides, [np.nan, two, np.inf], np.fmax(one, two))
    return kind, low, high


def ratio_case(downforce: ArrayLike, drag: ArrayLike) -> NDArray[np.int_]:
    """Return which way downforce and drag went.

    Parameters
    ----------
    downforce, drag : array_like
        Changes. [N]

    Returns
    -------
    numpy.ndarray
        Index into ``CASES``, from the signs alone. [1]

    Notes
    -----
    A ratio has a meaning only where both rise or both fall.

    Examples
    --------
    >>> CASES[int(ratio_case(-14.0, -21.0))].value
    'less downforce for less drag'
    """
    more, less = np.asarray(downforce, float) > 0.0, np.asarray(downforce, float) < 0.0
    up, down = np.asarray(drag, float) > 0.0, np.asarray(drag, float) < 0.0
    return np.select([more & up, less & down, more & down, less & up], [0, 1, 2, 3], 4)


def cost_ratios(changes: Changes) -> RatioSets:
    """Compute downforce per drag of contrasts, with its confidence set.

    Parameters
    ----------
    changes : Changes
        Contrasts of front and rear downforce, drag and total downforce. [1]

    Returns
    -------
    RatioSets
        One per contrast; of kind "none" where the scatter is unknown. [1]

    Notes
    -----
    Fieller's set with the correlation of downforce and drag where it is known, else 0, and the fewer of the two
    degrees of freedom. As of `fieller`.
    """
    x, y = changes.change[:, TOTAL], changes.change[:, DRAG]
    sx, sy = changes.std[:, TOTAL], changes.std[:, DRAG]
    degrees = np.minimum(changes.degrees[:, TOTAL], changes.degrees[:, DRAG])
    quantile = student_factor(degrees, changes.confidence)
    kind, low, high = fieller(x, y, sx * sx, sy * sy, changes.correlations * sx * sy, quantile)
    return _with_value(x, y, kind, low, high, "scatter")


def rounded_ratios(
    downforce: ArrayLike, drag: ArrayLike, downforce_resolution: ArrayLike, drag_resolution: ArrayLike
) -> RatioSets:
    """Compute downforce per drag of figures typed from a table, with what rounding leaves open.

    Parameters
    ----------
    downforce, drag : array_like
        Changes, in one unit. [1]
    downforce_resolution, drag_resolution : array_like
        The most that rounding can have done to each change: half of the last digit of each figure it was made from,
        added. [1]

    Returns
    -------
    RatioSets
        One per pair, bounded where the change of drag cannot be a rounding of zero. [1]

    Notes
    -----
    The extremes of ``(x ± rx) / (y ± ry)``: limits, not a confidence interval. Scatter has no part in it.

    References
    ----------
    R. E. Moore, Interval Analysis (1966), division of intervals (from memory).

    Examples
    --------
    Drag coefficient 0.35 to 0.39, rear lift coefficient -0.03 to -0.14, each rounded to 0.01:

    >>> ratio = rounded_ratios([0.14 - 0.03], [0.39 - 0.35], [0.01], [0.01])[0]
    >>> round(ratio.value, 2), round(ratio.low, 2), round(ratio.high, 2)
    (2.75, 2.0, 4.0)
    """
    x, y, rx, ry = np.broadcast_arrays(
        *(
            np.atleast_1d(np.asarray(v, float))
            for v in (downforce, drag, downforce_resolution, drag_resolution)
        )
    )
    bounded, clear = np.abs(y) > ry, np.abs(x) > rx
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        corners = np.stack([(x + i * rx) / (y + j * ry) for i in (-1.0, 1.0) for j in (-1.0, 1.0)])
    low, high = corners.min(axis=0), corners.max(axis=0)
    # y may be of either sign: the gap around zero reaches to the nearest quotient on each side
    with np.errstate(invalid="ignore"):
        gap_low = np.where(corners < 0.0, corners, -np.inf).max(axis=0)
        gap_high = np.where(corners > 0.0, corners, np.inf).min(axis=0)
    kind = np.where(bounded, _BOUNDED, np.where(clear, _OUTSIDE, _WHOLE_LINE))
    low = np.select([bounded, clear], [low, gap_low], np.nan)
    high = np.select([bounded, clear], [high, gap_high], np.nan)
    return _with_value(x, y, kind, low, high, "rounding")


def _with_value(
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    kind: NDArray[np.int_],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    limits_from: Literal["scatter", "rounding"],
) -> RatioSets:
    """Add the ratio where the set is bounded and the case has one."""
    case = ratio_case(x, y)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        value = np.where((kind == _BOUNDED) & (case < 2), x / y, np.nan)
    return RatioSets(value=value, low=low, high=high, kind=kind, case=case, limits_from=limits_from)
