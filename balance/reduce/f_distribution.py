"""How often the ratio of two independent variance estimates stays below a value."""

from __future__ import annotations

import math

import numpy as np

_POINTS = 2001


def f_share_below(ratio: float, degrees: float, other_degrees: float) -> float:
    """Give the share of an F distribution that lies below a ratio of variances.

    Parameters
    ----------
    ratio : float
        Ratio of the two variances, 0 or more. [1]
    degrees : float
        Degrees of freedom of the variance above, 1 or more. [1]
    other_degrees : float
        Degrees of freedom of the variance below, 1 or more. [1]

    Returns
    -------
    float
        Share, 0 to 1. [1]

    Notes
    -----
    The regularised incomplete beta function with ``t = sin^2``, whose integrand has no pole for one degree of
    freedom or more, by Simpson's rule; good to 1e-6. Written out because the library that has it takes longer
    to load than a whole session takes to read.

    References
    ----------
    M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions (1964), 26.6.2 and 26.5.1.

    Examples
    --------
    >>> round(f_share_below(1.0, 5.0, 5.0), 7)
    0.5
    """
    a, b = degrees / 2.0, other_degrees / 2.0
    end = math.atan(math.sqrt(degrees * ratio / other_degrees))
    place = np.linspace(0.0, 1.0, _POINTS)
    angle = end * place**3  # denser toward 0, where a fractional power bends
    simpson = np.ones(_POINTS)
    simpson[1:-1:2], simpson[2:-1:2] = 4.0, 2.0
    log_beta = math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
    with np.errstate(divide="ignore", invalid="ignore"):
        powers = _power(np.sin(angle), 2.0 * a - 1.0) + _power(np.cos(angle), 2.0 * b - 1.0) - log_beta
    area = float(simpson @ (np.exp(powers) * 3.0 * place**2)) * end / (_POINTS - 1) / 3.0
    return min(max(2.0 * area, 0.0), 1.0)


def _power(base: np.ndarray, exponent: float) -> np.ndarray:
    """Take the logarithm of a power; 0 to the power of 0 is 1."""
    return np.zeros_like(base) if exponent == 0.0 else exponent * np.log(base)
