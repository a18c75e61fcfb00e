"""Which axle is overpowered, and how far the scatter of the day lets us say so."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from balance.model.records import USUAL_FRONT_TOLERANCE

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from balance.model.records import Target

LIGHT_LOAD = 0.01
"""Added loads of both axles below this are too little to matter."""
DANGER_SHARE = 0.05
"""Share of draws with the front overpowering the rear from which a warning stands, whatever the verdict."""


class VerdictWord(StrEnum):
    """What can be said of the axles at a speed."""

    IN_BALANCE = "in balance"
    REAR_OVERPOWERS = "rear overpowers front"
    FRONT_OVERPOWERS = "front overpowers rear"
    AT_THE_EDGE = "at the edge"
    CANNOT_TELL = "cannot tell"
    OFF_THE_GROUND = "axle off the ground"


CLASSES = (VerdictWord.IN_BALANCE, VerdictWord.REAR_OVERPOWERS, VerdictWord.FRONT_OVERPOWERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The verdict on one configuration at one speed.

    ``surplus`` is the grip surplus judged, with its interval where the scatter is known. ``shares`` are of the
    draws, by class; ``probability`` is the share of the nominal class. ``loose`` is the share of draws with the front over
    the rear by more than is usual, whatever the band; ``front_limit`` is the band's front side where it was widened. ``edge`` says which edge of the band the
    interval crosses. ``with_drive`` says that the surplus judged has the drive force in it, ``by_drive`` that the drive force, not the
    air load alone, put the car in its class.
    """

    word: VerdictWord
    nominal: VerdictWord
    surplus: float
    low: float | None = None
    high: float | None = None
    probability: float | None = None
    shares: Mapping[str, float] | None = None
    edge: VerdictWord | None = None
    light: bool = False
    loose: float | None = None
    front_limit: float | None = None
    with_drive: bool = False
    by_drive: bool = False
    certain: bool = True
    """Whether the scatter is known; where not, nobody can tell how sure the verdict is."""
    refit_assumed: bool = False
    """Whether what refitting does is assumed, from repeats with the car untouched alone."""
    awaited: bool = False
    """Whether how sure it is, is still to be worked out: the scatter is known, and nothing was drawn yet."""

    @property
    def dangerous(self) -> bool:
        """Whether the front is over the rear often enough for a warning, by the usual limit, however wide the band.

        Where the scatter is unknown, only a widened band can hide what its verdict does not say.
        """
        if self.loose is None:
            return self.front_limit is not None and self.surplus < -USUAL_FRONT_TOLERANCE
        return self.loose >= DANGER_SHARE


def classify(surplus: float, target: Target) -> VerdictWord:
    """Classify a grip surplus.

    Overpowered axles are a hazard and are judged on the surplus itself, whatever is aimed at.
    """
    if surplus > target.rear_tolerance:
        return VerdictWord.REAR_OVERPOWERS
    if surplus < -target.front_tolerance:
        return VerdictWord.FRONT_OVERPOWERS
    return VerdictWord.IN_BALANCE


def class_shares(surplus_draws: NDArray[np.float64], target: Target) -> NDArray[np.float64]:
    """Count the draws in each class.

    Parameters
    ----------
    surplus_draws : numpy.ndarray
        (draws, ...) grip surplus; infinite where an axle is off the ground. [1]
    target : Target
        The band. [1]

    Returns
    -------
    numpy.ndarray
        (3, ...) shares of the draws in balance, rear over front, front over rear. [1]

    Notes
    -----
    The counterpart of `classify` over draws.

    References
    ----------
    JCGM 101:2008, 7.5 (the draws as a distribution).
    """
    rear = np.count_nonzero(surplus_draws > target.rear_tolerance, axis=0) / surplus_draws.shape[0]
    front = np.count_nonzero(surplus_draws < -target.front_tolerance, axis=0) / surplus_draws.shape[0]
    return np.stack([1.0 - rear - front, np.asarray(rear), np.asarray(front)])


def judge(
    *,
    surplus: float,
    surplus_without_drive: float,
    off_the_ground: bool,
    added_loads: tuple[float, float],
    target: Target,
    interval: tuple[float, float] | None = None,
    shares: NDArray[np.float64] | None = None,
    loose: float | None = None,
    refit_assumed: bool = False,
) -> Verdict:
    """Judge one configuration at one speed.

    Parameters
    ----------
    surplus : float
        Grip surplus to judge, the lower of without and under power force. [1]
    surplus_without_drive : float
        Grip surplus from air loads alone. [1]
    off_the_ground : bool
        Whether an axle is off the ground, nominally. [1]
    added_loads : tuple of float
        Front and rear added load. [1]
    target : Target
        The band. [1]
    interval : tuple of float, optional
        Interval of the surplus; absent where the scatter is unknown. [1]
    shares : numpy.ndarray, optional
        (3,) shares of the draws by class. [1]
    loose : float, optional
        Share of the draws with the front over the rear by more than is usual; that of the class if absent. [1]
    refit_assumed : bool, optional
        Whether what refitting does is assumed. [1]

    Returns
    -------
    Verdict
        In this order: axle off the ground; wholly beyond one edge of the band; wholly inside; across
        one edge; across both. [1]

    Notes
    -----
    Where the scatter is unknown the nominal class stands and nothing is said of how sure it is.

    References
    ----------
    JCGM 106:2012, 8 (a guarded decision from an interval).
    """
    front_limit = target.front_tolerance if target.front_widened else None
    if loose is None and shares is not None:
        loose = float(shares[CLASSES.index(VerdictWord.FRONT_OVERPOWERS)])
    if off_the_ground:
        return Verdict(
            word=VerdictWord.OFF_THE_GROUND,
            nominal=VerdictWord.OFF_THE_GROUND,
            surplus=float("nan"),
            certain=interval is not None,
            refit_assumed=refit_assumed,
            shares=_named(shares),
            loose=loose,
            front_limit=front_limit,
        )
    nominal = classify(surplus, target)
    with_drive = surplus < surplus_without_drive
    by_drive = nominal is not classify(surplus_without_drive, target)
    light = all(abs(load) < LIGHT_LOAD for load in added_loads)
    unsure = Verdict(
        word=nominal,
        nominal=nominal,
        surplus=surplus,
        with_drive=with_drive,
        by_drive=by_drive,
        light=light and nominal is VerdictWord.IN_BALANCE,
        front_limit=front_limit,
        certain=False,
    )
    if interval is None or shares is None:
        return unsure
    low, high = interval
    lowest, highest = classify(low, target), classify(high, target)
    word, edge = nominal, None
    if lowest is highest:
        word = lowest
    elif VerdictWord.IN_BALANCE in (lowest, highest):
        word = VerdictWord.AT_THE_EDGE
        edge = lowest if highest is VerdictWord.IN_BALANCE else highest
    else:
        word = VerdictWord.CANNOT_TELL
    named = _named(shares)
    return replace(
        unsure,
        word=word,
        low=low,
        high=high,
        probability=None if named is None else named[nominal],
        shares=named,
        edge=edge,
        light=light and word is VerdictWord.IN_BALANCE,
        loose=loose,
        certain=True,
        refit_assumed=refit_assumed,
    )


def _named(shares: NDArray[np.float64] | None) -> dict[str, float] | None:
    """Label the shares with their classes."""
    return None if shares is None else {str(c): float(s) for c, s in zip(CLASSES, shares, strict=True)}
