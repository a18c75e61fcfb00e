"""What a reading is worth that moves all alternatives along one line: the exact knowledge gradient."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_ROOT_TWO_PI = 2.5066282746310002
_FAR = -10.0
"""Below this the unit loss is taken in logarithms by the ratio of Mills."""


def expected_gain(intercepts: ArrayLike, slopes: ArrayLike, log: bool = False) -> float:  # noqa: FBT001, FBT002 - public
    """Find what one reading is worth to a choice among alternatives.

    Parameters
    ----------
    intercepts : array_like
        (alternatives,) what each is believed to be worth now, in any one unit. [1]
    slopes : array_like
        (alternatives,) how far each moves for one standard deviation of the reading, in the same unit. [1]
    log : bool, optional
        Whether to give the natural logarithm, which tells the tiniest apart; minus infinity for nothing. [1]

    Returns
    -------
    float
        ``E max(a + b Z) - max a``, Z standard normal: 0 or more, in the unit of the intercepts. [1]

    Raises
    ------
    DomainError
        If there is no alternative, the two are of different length, or a figure is not finite.

    Notes
    -----
    The upper envelope of the lines ``a_i + b_i z`` changes from line to line at ``c_i``; the gain is the sum of
    ``(b_{i+1} - b_i) f(-|c_i|)`` with the unit normal loss ``f(z) = z Phi(z) + phi(z)``, summed in logarithms.

    References
    ----------
    P. Frazier, W. Powell, S. Dayanik, "The knowledge-gradient policy for correlated normal beliefs", INFORMS Journal on
    Computing 21 (2009), algorithm 1 and equation (14).

    Examples
    --------
    >>> round(expected_gain([0.0, 0.0], [0.0, 5.0]), 10)
    1.994711402
    >>> round(expected_gain([2.0, 1.0, 0.0], [0.0, 1.0, 3.0]), 12)
    0.453358941473
    """
    a, b = (np.atleast_1d(np.asarray(one, float)) for one in (intercepts, slopes))
    if a.ndim != 1 or a.shape != b.shape or not a.size:
        raise DomainError(
            f"expected gain: found {a.size} intercepts and {b.size} slopes, expected as many of either, at least one"
        )
    if not (np.all(np.isfinite(a)) and np.all(np.isfinite(b))):
        raise DomainError("expected gain: found a figure that is not finite, expected finite ones")
    lines, changes = _upper_envelope(a, b)
    if len(lines) < 2:
        return float("-inf") if log else 0.0
    terms = np.log(np.diff(b[lines])) + log_unit_loss(-np.abs(changes))
    largest = float(terms.max())
    if largest == -np.inf:
        return float("-inf") if log else 0.0
    total = largest + float(np.log(np.sum(np.exp(terms - largest))))
    return total if log else float(np.exp(total))


def _upper_envelope(
    intercepts: NDArray[np.float64], slopes: NDArray[np.float64]
) -> tuple[list[int], NDArray[np.float64]]:
    """Find which of several lines are uppermost anywhere, from left to right, and where each gives way to the next.

    Sorted by slope, of equal slopes the highest alone; a line that would give way before it takes over is left out.
    """
    order = np.lexsort((intercepts, slopes)).tolist()
    kept: list[int] = []
    changes: list[float] = []
    for line in order:
        if kept and slopes[kept[-1]] == slopes[line]:
            kept.pop()
            if changes:
                changes.pop()
        while kept:
            crossing = float((intercepts[kept[-1]] - intercepts[line]) / (slopes[line] - slopes[kept[-1]]))
            if not changes or crossing > changes[-1]:
                changes.append(crossing)
                break
            kept.pop()
            changes.pop()
        kept.append(line)
    return kept, np.array(changes, float)


def log_unit_loss(z: ArrayLike) -> NDArray[np.float64]:
    """Find the logarithm of the unit normal loss.

    Parameters
    ----------
    z : array_like
        Standard deviations, 0 or less where much is lost. [1]

    Returns
    -------
    numpy.ndarray
        ``ln(z Phi(z) + phi(z))``. [1]

    Notes
    -----
    Below -10 by the ratio of Mills r: ``ln phi(z) + ln(1 + z r)``, with the series ``1 - 3/z^2 + 15/z^4 - ...`` of
    ``z^2 (1 + z r)``.

    References
    ----------
    M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, 26.2.12 (from memory).

    Examples
    --------
    >>> np.exp(log_unit_loss([0.0, -1.0, -2.0])).round(6).tolist()
    [0.398942, 0.083315, 0.008491]
    """
    from scipy.special import ndtr  # noqa: PLC0415 - scipy costs more to load than the rest of the plan

    z = np.asarray(z, float)
    near = np.maximum(z, _FAR)
    density = np.exp(-0.5 * np.square(near)) / _ROOT_TWO_PI
    loss = np.log(np.maximum(near * ndtr(near) + density, 1e-300))
    far = np.minimum(z, _FAR)
    inverse = 1.0 / np.square(far)
    series = 1.0 - inverse * (3.0 - inverse * (15.0 - inverse * (105.0 - inverse * 945.0)))
    with np.errstate(over="ignore"):
        tail = -0.5 * np.square(far) - np.log(_ROOT_TWO_PI) + np.log(inverse) + np.log(series)
    return np.asarray(np.where(z > _FAR, loss, tail))


def unit_loss(z: NDArray[np.float64]) -> NDArray[np.float64]:
    """Find the unit normal loss.

    Parameters
    ----------
    z : numpy.ndarray
        Standard deviations. [1]

    Returns
    -------
    numpy.ndarray
        ``z Phi(z) + phi(z)``, never below 0 nor below z. [1]

    Notes
    -----
    The mean of what a standard normal lies above -z.

    References
    ----------
    H. Raiffa, R. Schlaifer, Applied Statistical Decision Theory (1961), from memory.
    """
    from scipy.special import ndtr  # noqa: PLC0415 - scipy costs more to load than the rest of the plan

    loss = z * ndtr(z) + np.exp(-0.5 * np.square(z)) / _ROOT_TWO_PI
    return np.asarray(np.maximum(loss, np.maximum(z, 0.0)))
