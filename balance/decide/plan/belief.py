"""What readings say of configurations that were not run: the posterior of an additive Gaussian process."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.prior import Prior

_SMALL = 32
"""Rows up to which a matrix is inverted in one go."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadingNoise:
    """How far a new reading may lie from what is true of its configuration, as areas, (3,) variances.

    Attributes
    ----------
    fit, reading : numpy.ndarray
        Variance that fitting brings, shared by the readings of a fit, and that of a reading about its fit. [m⁴]
    degrees : float
        Degrees of freedom of both together, infinite where assumed. [1]
    assumed : tuple of str
        What of it was assumed: "scatter", "refit", or nothing.
    """

    fit: NDArray[np.float64]
    reading: NDArray[np.float64]
    degrees: float = float("inf")
    assumed: tuple[str, ...] = ()

    def of_mean(self, fits: int, readings: int) -> NDArray[np.float64]:
        """Return the variance of the mean of several fits with as many readings each, (3,) [m⁴]."""
        return np.asarray(self.fit / fits + self.reading / (fits * readings))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Belief:
    """What is believed of any configuration, given readings. Channels are independent: front, rear, drag.

    Attributes
    ----------
    prior : Prior
        What was believed before.
    read : tuple of Configuration
        What was fitted in each reading.
    noise : ReadingNoise
        Of a new reading.
    """

    prior: Prior
    read: tuple[Configuration, ...]
    noise: ReadingNoise
    _whiten: NDArray[np.float64] = field(repr=False)
    _weights: NDArray[np.float64] = field(repr=False)

    def mean(self, some: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return the expected loads, (configurations, 3) [m²]."""
        cross = self.prior.covariance(self.read, some)
        return np.asarray(self.prior.mean(some) + np.einsum("cra,cr->ac", cross, self._weights))

    def covariance(
        self, some: Sequence[Configuration], others: Sequence[Configuration] | None = None
    ) -> NDArray[np.float64]:
        """Return the covariance of what is true of configurations, (3, some, others) [m⁴]."""
        left = self._whitened(some)
        right = left if others is None else self._whitened(others)
        known = self.prior.covariance(some, some if others is None else others)
        return np.asarray(known - left.transpose(0, 2, 1) @ right)

    def std(self, some: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return the standard deviation of what is true of configurations, (configurations, 3) [m²]."""
        variance = self.prior.variance(some) - np.sum(np.square(self._whitened(some)), axis=1)
        return np.asarray(np.sqrt(np.maximum(variance.T, 0.0)))

    def _whitened(self, some: Sequence[Configuration]) -> NDArray[np.float64]:
        return np.asarray(self._whiten @ self.prior.covariance(self.read, some))


def believe(
    prior: Prior,
    read: Sequence[Configuration],
    areas: NDArray[np.float64],
    noise_covariance: NDArray[np.float64],
    noise: ReadingNoise,
) -> Belief:
    """Work out what readings leave to believe.

    Parameters
    ----------
    prior : Prior
        What was believed before. [1]
    read : sequence of Configuration
        What was fitted in each reading. [1]
    areas : numpy.ndarray
        (readings, 3) front downforce, rear downforce and drag over dynamic pressure. [m^2]
    noise_covariance : numpy.ndarray
        (3, readings, readings) covariance of what readings have besides the loads: fits, readings, drift, blocks. [m^4]
    noise : ReadingNoise
        Of a new reading. [1]

    Returns
    -------
    Belief
        Mean and covariance of any configuration. [1]

    Notes
    -----
    One Cholesky factor L of ``K + N`` a channel: mean ``m + k' L^-T L^-1 (y - m)``, covariance
    ``k** - (L^-1 k)' (L^-1 k)``.

    References
    ----------
    C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), algorithm 2.1.
    """
    mean, covariance = prior.of_readings(read)
    whiten = _inverted(np.asarray(np.linalg.cholesky(covariance + noise_covariance)))
    return Belief(
        prior=prior,
        read=tuple(read),
        noise=noise,
        _whiten=read_only(whiten),
        _weights=read_only(np.einsum("csr,cst,tc->cr", whiten, whiten, areas - mean, optimize=True)),
    )


def _inverted(lower: NDArray[np.float64]) -> NDArray[np.float64]:
    """Invert lower triangles half by half, at an eighth of what a general solution costs."""
    count = lower.shape[-1]
    if count <= _SMALL:
        return np.asarray(np.linalg.inv(lower))
    half = count // 2
    found = np.zeros_like(lower)
    found[:, :half, :half] = _inverted(lower[:, :half, :half])
    found[:, half:, half:] = _inverted(lower[:, half:, half:])
    found[:, half:, :half] = -found[:, half:, half:] @ lower[:, half:, :half] @ found[:, :half, :half]
    return found
