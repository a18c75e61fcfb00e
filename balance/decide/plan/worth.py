"""What a reading is worth: how much better the choice after it is expected to be than the choice now.

What can be chosen is what was run: now, and after a run that run as well. So a run that is expected to be better than all
before has that as its worth too, and nothing is ever recommended that was not run.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.plan.expected_gain import log_unit_loss
from balance.decide.plan.merit import Linearised
from balance.decide.plan.sobol import normal_points
from balance.model.channels import CHANNELS

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from balance.decide.plan.belief import Belief
    from balance.decide.plan.configuration import Configuration
    from balance.decide.plan.merit import Merit

_NEGLIGIBLE = 5.0
"""Standard deviations beyond which an alternative is not looked at: it would gain less than 1e-7 of one of them."""
_DRAWS = 1024
_JITTER = 1e-9
"""Share of the largest variance added to each, so that configurations that hang together exactly can be drawn."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Alternatives:
    """Configurations that might be chosen, and what is believed of them.

    Attributes
    ----------
    configurations : tuple of Configuration
        Sorted by what is fitted, each once.
    mean, variance : numpy.ndarray
        (alternatives, 3) of the loads. [m²], [m⁴]
    about : Linearised
        The grip surplus about those means.
    merit : numpy.ndarray
        (alternatives,) expected merit. [N] or [s]
    slopes : numpy.ndarray
        (alternatives, 3) of merit by the means. [N/m²] or [s/m²]
    best : int
        The one that is chosen now: of those that were run the one of the most merit, of equals the first.
    """

    configurations: tuple[Configuration, ...]
    mean: NDArray[np.float64]
    variance: NDArray[np.float64]
    about: Linearised
    merit: NDArray[np.float64]
    slopes: NDArray[np.float64]
    best: int

    def among(self, rows: NDArray[np.int_]) -> Alternatives:
        """Return some of them, sorted, the best among them."""
        return Alternatives(
            configurations=tuple(self.configurations[row] for row in rows.tolist()),
            mean=self.mean[rows],
            variance=self.variance[rows],
            about=Linearised(self.about.surplus[rows], self.about.slope[rows]),
            merit=self.merit[rows],
            slopes=self.slopes[rows],
            best=int(np.searchsorted(rows, self.best)),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PointWorth:
    """What a reading is worth by points: mean of the best merit after it less the best now, in the unit of merit.

    ``changes_choice`` is the share of the points after which another alternative is best by more than what counts,
    ``would_become`` the one that is best most often among those.
    """

    worth: float
    changes_choice: float
    would_become: int | None


def weigh(
    belief: Belief,
    merit: Merit,
    some: Sequence[Configuration],
    *,
    run: Collection[Configuration] | None = None,
) -> Alternatives:
    """Work out the merit of configurations that might be chosen.

    The surplus is taken as linear about the present means, once: what readings change moves along that line, so that no
    reading can be expected to lower the best merit.
    """
    mean = belief.mean(some)
    variance = np.square(belief.std(some))
    about = merit.linearised(mean)
    std = np.sqrt(np.sum(np.square(about.slope) * variance, axis=1))
    expected = merit.expected(mean, about.surplus, std)
    choosable = np.array([run is None or one in run for one in some])
    return Alternatives(
        configurations=tuple(some),
        mean=mean,
        variance=variance,
        about=about,
        merit=expected,
        slopes=merit.slopes(about, std),
        best=int(np.argmax(np.where(choosable, np.round(expected, 9), -np.inf))),
    )


def moved_by_reading(
    belief: Belief, alternatives: Alternatives, runs: Sequence[Configuration]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Find how what is believed of alternatives hangs together with runs.

    Parameters
    ----------
    belief : Belief
        What is believed. [1]
    alternatives : Alternatives
        What might be chosen. [1]
    runs : sequence of Configuration
        What might be run. [1]

    Returns
    -------
    tuple of numpy.ndarray
        Covariance (3, runs, alternatives), and the runs' own variance (3, runs). [m^4]

    Notes
    -----
    A mean of noise variance v moves an alternative by ``covariance / sqrt(own + v)`` for one standard deviation.

    References
    ----------
    As of `balance.decide.plan.belief.believe`.
    """
    return belief.covariance(runs, alternatives.configurations), np.square(belief.std(runs)).T


def log_bounds(
    alternatives: Alternatives,
    run: NDArray[np.int_],
    of_runs: NDArray[np.int_],
    moved: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Bound from below what readings are worth, by the best pair of alternatives.

    Parameters
    ----------
    alternatives : Alternatives
        What was run, and what might be. [1]
    run : numpy.ndarray
        (run,) the alternatives that were run. [1]
    of_runs : numpy.ndarray
        (runs,) the alternative that each run is. [1]
    moved : numpy.ndarray
        (3, runs, alternatives) how far each alternative moves for one standard deviation of what is read. [m^2]

    Returns
    -------
    numpy.ndarray
        (runs,) logarithm of the bound, merit in its unit; minus infinity where nothing can change. [1]

    Notes
    -----
    ``max_c s f(d/s)`` over what was run and the run itself: d the merit of c less that of the best, s the standard
    deviation by which the reading moves d, f the unit normal loss. Merit is taken as linear in the means.

    References
    ----------
    P. Frazier, W. Powell, S. Dayanik, INFORMS Journal on Computing 21 (2009), for two alternatives.
    """
    best, rows = alternatives.best, np.arange(len(of_runs))
    moves = moved * alternatives.slopes.T[:, None, :]
    apart = moves - moves[:, :, best, None]
    std = np.sqrt(np.sum(np.square(apart), axis=0))
    lead = np.broadcast_to(alternatives.merit - alternatives.merit[best], std.shape)
    tested = _log_pair_worth(lead[:, run], std[:, run]).max(axis=1)
    itself = _log_pair_worth(lead[rows, of_runs], std[rows, of_runs])
    return np.asarray(np.maximum(tested, itself))


def _log_pair_worth(lead: NDArray[np.float64], std: NDArray[np.float64]) -> NDArray[np.float64]:
    """Find the logarithm of what a reading is worth to the choice between two: ``ln E max(lead + std Z, 0)``.

    ``lead`` is the merit of the other less that of the one chosen now, ``std`` how far the reading moves it; without
    spread the lead itself, where it is above 0; minus infinity where nothing can change.
    """
    smallest = 1e-12 * max(float(np.abs(lead).max(initial=0.0)), 1e-12)
    spread = np.maximum(std, smallest)
    with np.errstate(divide="ignore", over="ignore"):
        certain = np.log(np.maximum(lead, 0.0))
        moved = np.log(spread) + log_unit_loss(np.clip(lead / spread, -1e150, 1e150))
    return np.where(std > smallest, moved, certain)


def merits_after(
    alternatives: Alternatives,
    merit: Merit,
    moved: NDArray[np.float64],
    points: NDArray[np.float64],
) -> tuple[NDArray[np.int_], NDArray[np.float64]]:
    """Find the expected merit of alternatives after readings of one run.

    Parameters
    ----------
    alternatives : Alternatives
        What might be chosen. [1]
    merit : Merit
        What loads are worth. [1]
    moved : numpy.ndarray
        (3, alternatives) how far each moves for one standard deviation of what is read of the run. [m^2]
    points : numpy.ndarray
        (points, 3) how far the reading lies from what is expected, in standard deviations. [1]

    Returns
    -------
    tuple of numpy.ndarray
        The alternatives that may become the best, (kept,), and their merit, (points, kept), in its unit. [1]

    Notes
    -----
    The means move, and the spread of the surplus shrinks.

    References
    ----------
    C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), equations (2.23) and (2.24).
    """
    best = alternatives.best
    penalty = max(merit.beyond_rear, merit.beyond_front)
    steepest = np.abs(merit.weights) + penalty * np.abs(alternatives.about.slope)
    reach = np.sum(steepest.T * np.abs(moved), axis=0)
    kept = alternatives.merit + _NEGLIGIBLE * (reach + reach[best]) >= alternatives.merit[best]
    rows = np.flatnonzero(kept)
    std = moved[:, rows]
    slope, variance = alternatives.about.slope[rows], alternatives.variance[rows]
    left = np.sqrt(np.maximum(np.sum(np.square(slope) * (variance - np.square(std).T), axis=1), 0.0))
    surplus = alternatives.about.surplus[rows] + points @ (slope.T * std)
    after = merit.expected(np.zeros(len(CHANNELS)), surplus, left) + points @ (merit.weights[:, None] * std)
    return rows, np.asarray(after + alternatives.mean[rows] @ merit.weights)


def worth_by_points(
    alternatives: Alternatives,
    merit: Merit,
    moved: NDArray[np.float64],
    *,
    enough: float,
) -> PointWorth:
    """Find what readings of one run are worth, over points of their three channels.

    Parameters
    ----------
    alternatives : Alternatives
        What might be chosen. [1]
    merit : Merit
        What loads are worth. [1]
    moved : numpy.ndarray
        (3, alternatives) how far each moves for one standard deviation of what is read of the run. [m^2]
    enough : float
        By how much another has to be better to count as another choice, in the unit of merit. [1]

    Returns
    -------
    PointWorth
        Worth, never below 0, and what it could change. [1]

    Notes
    -----
    At each of 256 fixed points the largest expected merit is taken. The mean of each alternative's merit over the points is set to its
    merit now, which it is in truth: hence never below 0.

    References
    ----------
    P. Frazier, W. Powell, S. Dayanik, INFORMS Journal on Computing 21 (2009), for the idea; merit of three channels is
    no line, so that their algorithm does not apply.
    """
    rows, after = merits_after(alternatives, merit, moved, normal_points())
    after += alternatives.merit[rows] - after.mean(axis=0)
    here = int(np.flatnonzero(rows == alternatives.best)[0])
    top, most = after.argmax(axis=1), after.max(axis=1)
    other = most - after[:, here] > enough
    would = int(rows[int(np.argmax(np.bincount(top[other])))]) if np.any(other) else None
    worth = float(most.mean()) - float(alternatives.merit[alternatives.best])
    return PointWorth(
        worth=worth if worth > 1e-12 * max(1.0, float(np.abs(after).max())) else 0.0,
        changes_choice=float(other.mean()),
        would_become=would,
    )


def share_best(belief: Belief, merit: Merit, alternatives: Alternatives) -> NDArray[np.float64]:
    """Find how likely each alternative is the best.

    Parameters
    ----------
    belief : Belief
        What is believed. [1]
    merit : Merit
        What loads are worth. [1]
    alternatives : Alternatives
        What might be chosen. [1]

    Returns
    -------
    numpy.ndarray
        (alternatives,) shares that sum to 1. [1]

    Notes
    -----
    1024 draws from a fixed seed of all loads together; the surplus linear about the present means.

    References
    ----------
    JCGM 101:2008 for the draws.
    """
    count = len(alternatives.configurations)
    covariance = belief.covariance(alternatives.configurations)
    size = np.einsum("caa->ca", covariance).max(axis=1)[:, None, None]
    root = np.linalg.cholesky(covariance + _JITTER * (size + 1e-300) * np.eye(count))
    draws = np.random.default_rng(1).standard_normal((len(CHANNELS), count, _DRAWS))
    moved = (root @ draws).transpose(2, 1, 0)
    surplus = alternatives.about.surplus + np.sum(moved * alternatives.about.slope, axis=2)
    found = merit.expected(alternatives.mean + moved, surplus, np.zeros(count))
    return np.asarray(np.bincount(found.argmax(axis=1), minlength=count) / _DRAWS)
