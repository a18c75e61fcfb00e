"""What readings say of configurations that were not run: the posterior of an additive Gaussian process."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import CHANNELS
from balance.reduce.readings import read_only

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.prior import Prior


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
    _told: NDArray[np.float64] = field(repr=False)

    def mean(self, some: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return the expected loads, (configurations, 3) [m²]."""
        found = self.prior.mean(some)
        if self.read:
            cross = self.prior.covariance(self.read, some)
            found = found + np.einsum("cra,cr->ac", self._whiten @ cross, self._told)
        return np.asarray(found)

    def covariance(
        self, some: Sequence[Configuration], others: Sequence[Configuration] | None = None
    ) -> NDArray[np.float64]:
        """Return the covariance of what is true of configurations, (3, some, others) [m⁴]."""
        others = some if others is None else others
        found = self.prior.covariance(some, others)
        if self.read:
            left = self._whiten @ self.prior.covariance(self.read, some)
            right = left if others is some else self._whiten @ self.prior.covariance(self.read, others)
            found = found - left.transpose(0, 2, 1) @ right
        return np.asarray(found)

    def std(self, some: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return the standard deviation of what is true of configurations, (configurations, 3) [m²]."""
        found = self.prior.variance(some)
        if self.read:
            left = self._whiten @ self.prior.covariance(self.read, some)
            found = np.asarray(found - np.sum(np.square(left), axis=1))
        return np.asarray(np.sqrt(np.maximum(found.T, 0.0)))

    def effect(self, name: str, some: Sequence[Configuration]) -> NDArray[np.float64]:
        """Return what one setting's own term is believed to do beyond its prior mean, (configurations, 3) [m²]."""
        if not self.read:
            return np.zeros((len(some), len(CHANNELS)))
        cross = self.prior.main_covariance(name, self.read, some)
        return np.asarray(np.einsum("cra,cr->ac", self._whiten @ cross, self._told))


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
    count = len(read)
    if not count:
        nothing = np.zeros((len(CHANNELS), 0, 0))
        return Belief(prior=prior, read=(), noise=noise, _whiten=nothing, _told=np.zeros((len(CHANNELS), 0)))
    factor = np.linalg.cholesky(prior.covariance(read, read) + noise_covariance)
    whiten = np.linalg.solve(factor, np.broadcast_to(np.eye(count), (len(CHANNELS), count, count)))
    told = np.einsum("crs,sc->cr", whiten, areas - prior.mean(read))
    return Belief(
        prior=prior,
        read=tuple(read),
        noise=noise,
        _whiten=read_only(whiten),
        _told=read_only(told),
    )
