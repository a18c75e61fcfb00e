"""Draws of everything uncertain, after JCGM 101: one more leading axis for the same formulas."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import CHANNELS, MEASURED
from balance.reduce.drag_couple import add_couple, drawn_lever
from balance.reduce.stated_draws import drawn_car, standard_draws

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.model.records import Session
    from balance.reduce.car_figures import CarFigures
    from balance.reduce.repeatability import Repeatability
    from balance.reduce.stated_draws import StandardDraws

DECISION_DRAWS = 10_000
_DEVIATION_SHARE = 0.682689492137086  # of a normal distribution within one standard deviation


def seed_of(session: Session) -> int:
    """Derive a seed from what a session is, so that its figures never flicker.

    Parameters
    ----------
    session : Session
        The session; its title and its runs' labels count. [1]

    Returns
    -------
    int
        A seed of 63 bits. [1]

    Notes
    -----
    The first bytes of SHA-256 over the title and the labels.

    References
    ----------
    Common practice, no source.
    """
    content = "\x1f".join([session.title, *(run.label for run in session.runs)])
    return int.from_bytes(hashlib.sha256(content.encode()).digest()[:8], "big") >> 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SharedDraws:
    """What one draw has in common over all runs of a session, each with draws as first axis."""

    count: int
    seed: int
    refit_assumed: bool
    """Whether what refitting does is assumed, so that no verdict is green."""
    scale: NDArray[np.float64]
    """(draws, 3): how much wider this draw's scatter is than the estimate, sqrt(v / chi2). [1]"""
    systematic: NDArray[np.float64]
    """(draws, 3): the part common to every reading. [N]"""
    standard: StandardDraws
    """What the car's figures, and those of any what-if of it, are drawn with."""
    car: CarFigures
    """The car's weights, static margin and load exponents, (draws, 1) each where they are not exact."""
    lever: NDArray[np.float64] | None
    """How far the height that reacts drag is off, over the wheelbase, (draws, 1); nothing where it is exact. [1]"""

    def with_couple(self, draws: NDArray[np.float64]) -> NDArray[np.float64]:
        """Draw the couple of drag that is reacted above the ground, in draws of weighted sums of readings, (3, draws, ...).

        The height is one draw for the whole session: it shifts every car by its own drag, and cancels where drag does.
        """
        if self.lever is None:
            return draws
        return add_couple(draws, self.lever if draws.ndim > 2 else self.lever[:, 0])


def shared_draws(
    session: Session, repeatability: Repeatability, *, count: int = DECISION_DRAWS
) -> SharedDraws:
    """Draw what is common to all runs: how wide the scatter is, the systematic part, what is not known of the car.

    Parameters
    ----------
    session : Session
        The session; it determines the seed. [1]
    repeatability : Repeatability
        Standard deviations of one reading and their degrees of freedom. [1]
    count : int, optional
        Number of draws. [1]

    Returns
    -------
    SharedDraws
        With draws as first axis. [1]

    Notes
    -----
    The scatter of channels with equal degrees of freedom is wider or narrower together. What was stated is not exact,
    unless it says so: `balance.reduce.stated_draws` and `balance.reduce.drag_couple`.

    References
    ----------
    JCGM 101:2008, 6.4.9 (scaled and shifted t).
    """
    seed = seed_of(session)
    rng = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0,)))
    degrees = repeatability.degrees_of_freedom[MEASURED]
    usable = np.where(np.isfinite(degrees), degrees, 1.0)
    scale = np.empty((count, len(CHANNELS)))
    for one in dict.fromkeys(usable.tolist()):
        scale[:, usable == one] = np.sqrt(one / rng.chisquare(one, size=(count, 1)))
    systematic = rng.standard_normal((count, len(CHANNELS))) * repeatability.systematic
    standard = standard_draws(rng, count)
    return SharedDraws(
        count=count,
        seed=seed,
        refit_assumed=repeatability.refit_assumed,
        scale=scale,
        systematic=systematic,
        standard=standard,
        car=drawn_car(session.vehicle, standard),
        lever=drawn_lever(session, standard),
    )


def coverage_interval(
    draws: NDArray[np.float64], confidence: float = 0.95
) -> tuple[NDArray[np.float64], ...]:
    """Find the middle interval that holds a share of the draws.

    Parameters
    ----------
    draws : numpy.ndarray
        (draws, ...) values; infinite ones are allowed. [1]
    confidence : float, optional
        Share of the draws inside, 0 to 1. [1]

    Returns
    -------
    tuple of numpy.ndarray
        Low and high end, each without the first axis, in the draws' own unit. [1]

    Notes
    -----
    Order statistics, with no interpolation, so that an infinite draw stays infinite.

    References
    ----------
    JCGM 101:2008, 7.7.2 (probabilistically symmetric coverage interval).
    """
    return _order_statistics(draws, (confidence,))[0]


def spread(draws: NDArray[np.float64], confidence: float = 0.95) -> tuple[NDArray[np.float64], ...]:
    """Summarise draws: standard uncertainty and interval.

    Parameters
    ----------
    draws : numpy.ndarray
        (draws, ...) values. [1]
    confidence : float, optional
        Share of the draws inside the interval, 0 to 1. [1]

    Returns
    -------
    tuple of numpy.ndarray
        Standard uncertainty, low end, high end, each without the first axis, in the draws' own unit. [1]

    Notes
    -----
    The standard uncertainty is half the distance between the 15.87 % and 84.13 % points, which heavy tails
    cannot inflate, never a sample standard deviation.

    References
    ----------
    JCGM 101:2008, 7.7.2.
    """
    (low, high), (lower, upper) = _order_statistics(draws, (confidence, _DEVIATION_SHARE))
    with np.errstate(invalid="ignore"):
        return (upper - lower) / 2.0, low, high


def _order_statistics(
    draws: NDArray[np.float64], shares: tuple[float, ...]
) -> list[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Pick the ends of the middle intervals that hold the given shares of the draws."""
    count = draws.shape[0]
    ends = []
    for share in shares:
        cut = round((count - share * count) / 2.0)
        ends.append((min(cut, count - 1), max(count - 1 - cut, 0)))
    ordered = np.array(np.moveaxis(draws, 0, -1), order="C")
    ordered.sort(axis=-1)  # in one stretch of memory, a third of the time of a partition about several points
    return [(ordered[..., low], ordered[..., high]) for low, high in ends]
