"""What fits differ by besides their configuration, and what is left of their readings without it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only

if TYPE_CHECKING:
    from numpy.typing import NDArray

_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitDesign:
    """Least squares on fit means: one mean a configuration, a constant a block, a slope for each drift.

    Attributes
    ----------
    configuration : numpy.ndarray
        (fits,) position of each fit's configuration. [1]
    share : numpy.ndarray
        (fits,) one over the number of fits of its configuration. [1]
    solver : numpy.ndarray
        (columns, fits) weights of the blocks' constants and the slopes over the fits. [1]
    told : numpy.ndarray
        (columns, columns) projection on what the fits can tell of them. [1]
    explained : numpy.ndarray
        (fits, rank) orthonormal, what the columns explain within configurations. [1]
    """

    configuration: NDArray[np.int_]
    share: NDArray[np.float64]
    solver: NDArray[np.float64]
    told: NDArray[np.float64]
    explained: NDArray[np.float64]

    @property
    def degrees_of_freedom(self) -> int:
        """Fits less everything that was fitted."""
        fits, rank = self.explained.shape
        return int(fits - len(set(self.configuration.tolist())) - rank)

    @property
    def leftover(self) -> NDArray[np.float64]:
        """Share of each fit's own error that is left in its residual, (fits,)."""
        return np.asarray(1.0 - self.share - np.square(self.explained).sum(axis=1))

    def residuals(self, means: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return what the design leaves of fit means, (fits, channels)."""
        own = _less_own_mean(self.configuration, means)
        return np.asarray(own - self.explained @ (self.explained.T @ own))

    def weights(self, combination: NDArray[np.float64]) -> NDArray[np.float64] | None:
        """Return the weights over fits of a combination of constants and slopes; nothing where the fits cannot tell it."""
        if np.linalg.norm(combination - self.told @ combination) > 1e-6 * np.linalg.norm(combination):
            return None
        return np.asarray(combination @ self.solver)


def fit_design(configuration: NDArray[np.int_], columns: NDArray[np.float64]) -> FitDesign:
    """Solve the design once, for all channels.

    Parameters
    ----------
    configuration : numpy.ndarray
        (fits,) which configuration each fit is of. [1]
    columns : numpy.ndarray
        (fits, columns) what else they differ by. [1]

    Returns
    -------
    FitDesign
        Weights, residuals and degrees of freedom. [1]

    Notes
    -----
    The configurations' means are taken out first, so that only the few other columns are decomposed; a day of
    thousands of runs takes no time. Columns that the fits cannot tell apart count once.

    References
    ----------
    N. R. Draper, H. Smith, Applied Regression Analysis, analysis of covariance (from memory).
    """
    _, position = np.unique(configuration, return_inverse=True)
    own = _less_own_mean(position, columns)
    length = np.linalg.norm(own, axis=0)
    scale = np.where(length > _NOTHING, length, 1.0)
    left, sizes, right = np.linalg.svd(own / scale, full_matrices=False)
    independent = sizes > 1e-8
    left, sizes, right = left[:, independent], sizes[independent], right[independent]
    solver = ((right.T / sizes) @ left.T) / scale[:, None]
    seen = np.linalg.qr((right * scale).T)[0] if independent.any() else np.zeros((columns.shape[1], 0))
    return FitDesign(
        configuration=position,
        share=read_only(1.0 / np.bincount(position)[position]),
        solver=read_only(solver),
        told=read_only(seen @ seen.T),
        explained=read_only(left),
    )


def _less_own_mean(position: NDArray[np.int_], values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Subtract from each fit the mean over the fits of its configuration."""
    if not values.size:
        return values
    sums = np.zeros((int(position.max()) + 1, values.shape[1]))
    np.add.at(sums, position, values)
    return np.asarray(values - (sums / np.bincount(position)[:, None])[position])
