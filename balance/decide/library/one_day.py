"""A part that was compared several times on one day: one effect for each of its sizes, with its covariance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.plan.prior import PAIR_SHARE
from balance.model.arrays import read_only
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from collections.abc import Collection, Hashable, Sequence

    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[np.float64]

_SMALLEST = 1e-12
"""Share of the largest variance below which a direction has none."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayEffects:
    """What a part did on one day, once for each of its sizes.

    Attributes
    ----------
    sizes : tuple
        The sizes as they first come.
    effects : numpy.ndarray
        (sizes, channels) what each did. [m²]
    covariance : numpy.ndarray
        (sizes, sizes, channels, channels) of those, not a number where the scatter is unknown. [m⁴]
    weights : numpy.ndarray
        (sizes, comparisons) of each comparison in the effect of a size: 1 in all, 0 for those of another size. [1]
    """

    sizes: tuple[Hashable, ...]
    effects: Array
    covariance: Array
    weights: Array


def one_effect_per_size(
    sizes: Sequence[Hashable],
    effects: ArrayLike,
    covariance: ArrayLike,
    differing: Sequence[Collection[Hashable]],
) -> DayEffects:
    """Combine the comparisons of one part on one day into one effect for each of its sizes.

    Parameters
    ----------
    sizes : sequence of hashable
        (comparisons,) the size of the part in each. [1]
    effects : array_like
        (comparisons, channels) what it did in each. [m^2]
    covariance : array_like
        (comparisons, comparisons, channels, channels) of all of them; not a number where unknown. [m^4]
    differing : sequence of collection of hashable
        (comparisons,) the settings, each with its value, in which the rest of the car differs from that for which the
        effect is stated; those with the same setting and value share what it does to the part. [1]

    Returns
    -------
    DayEffects
        One effect for each size, with the covariance of all. [m^2]

    Raises
    ------
    DomainError
        If there is no comparison, the shapes do not belong together, or an effect is not finite.

    Notes
    -----
    Generalised least squares over the comparisons of a size: weights ``w`` with ``sum(w) = 1`` and the least ``w' V w``, V
    summed over the channels, so that one set of weights serves them all and front and rear still make the total. What
    another setting does to the part has a standard deviation of 15 % of the plain mean of the part's effect of that size,
    once for each setting that differs, and is another for each size. A covariance that is singular, as that of three comparisons among three means, is
    taken as it is. Where no channel's scatter is known, plain means.

    References
    ----------
    A. C. Aitken, "On least squares and linear combination of observations", Proceedings of the Royal Society of Edinburgh
    55 (1936) 42-48; C. R. Rao, "Unified theory of linear estimation", Sankhya A 33 (1971) 371-394, for a singular one
    (from memory); the 15 % as `balance.decide.plan.prior.PAIR_SHARE`, assumed, no source.

    Examples
    --------
    Two comparisons against one baseline reading; the second with the wing at another angle:

    >>> shared = [[[[8.0]], [[4.0]]], [[[4.0]], [[8.0]]]]
    >>> found = one_effect_per_size(["25 mm", "25 mm"], [[84.0], [76.0]], shared, [(), [("wing_angle", 8.0)]])
    >>> found.weights.round(3).tolist(), found.effects.round(1).tolist()
    ([[0.974, 0.026]], [[83.8]])
    """
    y, v = np.array(effects, float), np.array(covariance, float)
    count = len(sizes)
    if y.ndim != 2 or len(y) != count or not count or len(differing) != count:
        raise DomainError(
            f"effects of a day: found {count} sizes, effects of shape {y.shape} and {len(differing)} conditions, "
            "expected as many of each, at least one"
        )
    if v.shape != (count, count, y.shape[1], y.shape[1]):
        raise DomainError(
            f"effects of a day: found a covariance of shape {v.shape}, expected that of {count} comparisons"
        )
    if not np.all(np.isfinite(y)):
        raise DomainError("effects of a day: found one that is not finite, expected finite ones")
    names = tuple(dict.fromkeys(sizes))
    own = np.array([[one == name for name in names] for one in sizes], bool)
    plain = own.T / own.sum(axis=0)[:, None]
    channels = np.arange(y.shape[1])
    of_one_size = own @ own.T
    v[:, :, channels, channels] += (
        _interaction_covariance(own @ plain @ y, differing) * of_one_size[:, :, None]
    )
    by_channel = v[:, :, channels, channels]
    known = np.all(np.isfinite(by_channel), axis=(0, 1))
    weights = plain
    if known.any():
        summed = by_channel[:, :, known].sum(axis=2)
        for row, inside in zip(weights, own.T, strict=True):
            row[inside] = _best_weights(summed[np.ix_(inside, inside)])
    return DayEffects(
        sizes=names,
        effects=read_only(weights @ y),
        covariance=read_only(np.einsum("si,tj,ijab->stab", weights, weights, v)),
        weights=read_only(weights),
    )


def _interaction_covariance(effects: Array, differing: Sequence[Collection[Hashable]]) -> Array:
    """Find how uncertain effects are for what other settings do to them, (comparisons, comparisons, channels).

    ``(0.15)^2 e_i e_j n_ij``, n the number of differing settings that two comparisons have in common: each is a factor of
    its own on the effect, the same in both.
    """
    sets = [frozenset(one) for one in differing]
    common = np.array([[len(one & other) for other in sets] for one in sets], float)
    return np.asarray(PAIR_SHARE**2 * common[:, :, None] * effects[:, None] * effects[None])


def _best_weights(covariance: Array) -> Array:
    """Find the weights of a mean of the least variance, (comparisons,)."""
    largest = float(np.max(np.diagonal(covariance)))
    count = len(covariance)
    system = np.ones((count + 1, count + 1))
    system[:count, :count] = covariance / largest if largest > 0.0 else 0.0
    system[count, count] = 0.0
    wanted = np.append(np.zeros(count), 1.0)
    return np.asarray(np.linalg.lstsq(system, wanted, rcond=_SMALLEST)[0][:count])
