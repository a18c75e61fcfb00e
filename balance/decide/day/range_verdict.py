"""The verdict over every speed that a car sees: the worst class there, and the speed at which the band is left."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.day.range_seen import Seen, range_limits
from balance.decide.day.verdict import DANGER_SHARE, VerdictWord
from balance.model.channels import DRAG
from balance.model.records import USUAL_FRONT_TOLERANCE
from balance.reduce.draws import coverage_interval

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.model.records import Session, Target, Vehicle
    from balance.reduce.draws import SharedDraws

RANGE_DRAWS = 2_000
"""Draws that a range is judged by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeVerdict:
    """The verdict on one configuration over its range of speeds [m/s].

    ``word`` is the worst class, ``edge`` the side of an edge; it is worst ``at``, with the interval of the surplus there
    from ``low`` to ``high`` (twice the surplus where the scatter is unknown). ``leaves`` is the lowest speed from
    rest at which the surplus leaves the band, infinite where it stays inside up to the end of the range, ``leaves_low``
    and ``leaves_high`` its interval, nothing where the scatter is unknown; ``leaves_to`` is the class beyond.
    ``beyond_tested`` says that the class comes from speeds beyond the tests alone, which reach to ``tested``;
    ``inside_tested`` that up to there the whole interval is inside the band. ``with_drive`` says that the driven
    axle is known, so that both surpluses were looked at. ``light`` says that the air adds less than 1 % to either axle at
    the end of the range, ``loose_at_place`` that the front overpowers the rear at a named place, nominally, or in the range
    where none is named; ``unloaded`` names an axle whose whole weight the air lifts. ``power_understeer`` is the speed from which the car with
    drive pushes where it does not without.
    """

    start: float
    end: float
    word: VerdictWord
    edge: VerdictWord | None
    at: float
    low: float
    high: float
    leaves: float
    leaves_low: float | None
    leaves_high: float | None
    leaves_to: VerdictWord | None
    with_drive: bool
    beyond_tested: bool
    tested: float
    inside_tested: bool
    surplus: float
    """The surplus where it is worst, nominal. [1]"""
    power_understeer: float | None
    certain: bool
    light: bool
    loose_at_place: bool
    unloaded: str | None
    front_limit: float | None = None
    """The band's front side, where it was widened beyond what is usual."""
    refit_assumed: bool = False
    """Whether what refitting does is assumed, from repeats with the car untouched alone."""
    loosest: float | None = None
    """Where it was widened: the least surplus over the range, nominal, where the front is over the rear by more than is
    usual, nominally or in 5 of 100 draws. [1]"""
    awaited: bool = False
    """Whether how sure it is, is still to be worked out: the scatter is known, and nothing was drawn yet."""

    @property
    def edge_axle(self) -> str | None:
        """The axle at whose edge of the band the interval lies, where it does: the one that may be overpowering."""
        names = {VerdictWord.FRONT_OVERPOWERS: "front", VerdictWord.REAR_OVERPOWERS: "rear"}
        return None if self.edge is None else names[self.edge]

    @property
    def dangerous(self) -> bool:
        """Whether the front overpowers the rear somewhere, by the usual limit however wide it was made, or an axle is unloaded."""
        past = self.word in (VerdictWord.FRONT_OVERPOWERS, VerdictWord.OFF_THE_GROUND)
        return past or (self.loosest or 0.0) < -USUAL_FRONT_TOLERANCE

    @property
    def stays(self) -> bool:
        """Whether the whole interval stays inside the band up to the end of the range."""
        return not math.isfinite(self.in_balance_to)

    @property
    def in_balance_to(self) -> float:
        """The highest speed up to which the whole interval is inside the band; infinite where it never leaves.

        Where the interval is inside as far as the tests reach, that far at least: the interval of the leaving speed mixes
        the draws that leave on either side, and a few of them leave near rest.
        """
        low = self.leaves if self.leaves_low is None else self.leaves_low
        if not self.inside_tested:
            return low
        return math.inf if self.tested >= self.end else max(low, self.tested)


class Leaving(NamedTuple):
    """Interval of the speed at which the band is left, (rows,) each; not a number where the scatter is unknown [m/s]."""

    low: NDArray[np.float64]
    high: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OverRange:
    """Verdicts of several rows over the range, as arrays and tuples, (rows,) each. Speeds [m/s]."""

    verdicts: tuple[RangeVerdict, ...]

    @property
    def word(self) -> tuple[VerdictWord, ...]:
        """The worst class of each."""
        return tuple(one.word for one in self.verdicts)

    @property
    def at(self) -> NDArray[np.float64]:
        """Where it is worst."""
        return np.array([one.at for one in self.verdicts])

    @property
    def leaves(self) -> NDArray[np.float64]:
        """Where the band is left; infinite where it is not."""
        return np.array([one.leaves for one in self.verdicts])

    @property
    def leaving(self) -> Leaving:
        """The interval of that speed."""
        ends = [(one.leaves_low, one.leaves_high) for one in self.verdicts]
        low, high = (np.array([math.nan if v is None else v for v in end]) for end in zip(*ends, strict=True))
        return Leaving(low, high)

    @property
    def power_understeer(self) -> tuple[float | None, ...]:
        """Where drive makes the car push."""
        return tuple(one.power_understeer for one in self.verdicts)


def judge_range(
    session: Session,
    areas: NDArray[np.float64],
    draws: NDArray[np.float64] | None,
    air_density: float,
    shared: SharedDraws,
    *,
    confidence: float = 0.95,
    set_up: Vehicle | None = None,
) -> tuple[RangeVerdict, ...]:
    """Judge configurations over every speed that the car sees.

    Parameters
    ----------
    session : Session
        Places, tested speeds, and the car. [1]
    areas : numpy.ndarray
        (3, n) area coefficients of front downforce, rear downforce, drag. [m^2]
    draws : numpy.ndarray or None
        (3, draws, n) of the same; the first 2,000 are used. Nothing where the scatter is unknown. [m^2]
    air_density : float
        Density of the air. [kg/m^3]
    shared : SharedDraws
        The car's draws. [1]
    confidence : float, optional
        Share of the draws inside an interval. [1]
    set_up : Vehicle, optional
        The car whose set-up it has, where the weights were changed afterwards. [1]

    Returns
    -------
    tuple of RangeVerdict
        One per configuration. [1]

    Notes
    -----
    In balance where the low end of the least surplus and the high end of the greatest are inside the band; overpowered
    where an extreme's whole interval is beyond its edge; at an edge where the interval crosses it; cannot tell where it
    crosses both. Beyond 1.22 times the highest tested speed only the dangerous classes count. The band is left where
    the surplus first crosses it from rest upward, linear in dynamic pressure between 48 steps.

    References
    ----------
    JCGM 101:2008 for the draws; JCGM 106:2012, 8 for a guarded decision from an interval.
    """
    limits = range_limits(session, areas[DRAG], air_density)
    nominal = Seen(session, areas, limits, air_density, None, set_up)
    drawn = None
    if draws is not None:
        drawn = Seen(session, draws[:, :RANGE_DRAWS], limits, air_density, shared, set_up)
    car = session.vehicle
    assumed = drawn is not None and shared.refit_assumed
    return tuple(
        replace(_verdict(k, limits, nominal, drawn, car, confidence), refit_assumed=assumed)
        for k in range(areas.shape[1])
    )


def _verdict(
    k: int,
    limits: tuple[float, NDArray[np.float64]],
    nominal: Seen,
    drawn: Seen | None,
    car: Vehicle,
    confidence: float,
) -> RangeVerdict:
    target, end = car.target, float(limits[1][k])
    seen = nominal if drawn is None else drawn
    least, greatest, beyond = (
        _ends(getattr(seen, name), k, confidence) for name in ("least", "greatest", "least_beyond")
    )
    word, edge = _class(least, greatest, target)
    inside = word is VerdictWord.IN_BALANCE
    rearward = VerdictWord.REAR_OVERPOWERS in (word, edge)
    at, extreme = (nominal.greatest_at, greatest) if rearward else (nominal.least_at, least)
    worst = float((nominal.greatest if rearward else nominal.least)[k])
    further = _dangerous(beyond, float(nominal.least_beyond[k]), target)
    beyond_tested = further is not None and _ORDER.index(further) < _ORDER.index((word, edge))
    if further is not None and beyond_tested:
        (word, edge), at, extreme = further, nominal.least_beyond_at, beyond
        worst = float(nominal.least_beyond[k])
    unloaded = None
    if nominal.lifts[k] <= end:
        word, edge, at = VerdictWord.OFF_THE_GROUND, None, np.maximum(nominal.lifts, limits[0])
        unloaded, beyond_tested = (
            ("front" if nominal.front_lifts[k] else "rear"),
            bool(at[k] > nominal.tested),
        )
    leaves = float(nominal.leaves[k])
    ends = (None, None) if drawn is None else _ends(drawn.leaves, k, confidence)
    leaves_low, leaves_high = ends
    side = None
    if math.isfinite(leaves) or (leaves_low is not None and math.isfinite(leaves_low)):
        rear = bool(nominal.rear[k]) if math.isfinite(leaves) or drawn is None else _most(drawn, k)
        side = VerdictWord.REAR_OVERPOWERS if rear else VerdictWord.FRONT_OVERPOWERS
    pushes = float(nominal.pushes[k])
    return RangeVerdict(
        start=limits[0],
        end=end,
        word=word,
        edge=edge,
        at=float(at[k]),
        low=extreme[0],
        high=extreme[1],
        leaves=leaves,
        leaves_low=leaves_low,
        leaves_high=leaves_high,
        leaves_to=side,
        with_drive=car.driven is not None,
        beyond_tested=beyond_tested,
        tested=float(nominal.tested),
        inside_tested=inside,
        surplus=worst,
        power_understeer=pushes if math.isfinite(pushes) else None,
        certain=drawn is not None,
        light=bool(nominal.light[k]) and word is VerdictWord.IN_BALANCE,
        loose_at_place=bool(nominal.loose_at_place[k]),
        unloaded=unloaded,
        front_limit=target.front_tolerance if target.front_widened else None,
        loosest=_loosest(k, nominal, seen) if target.front_widened else None,
    )


def _loosest(k: int, nominal: Seen, seen: Seen) -> float | None:
    """Return the least surplus over the range where the front is over the rear by more than is usual."""
    least = min(float(nominal.least[k]), float(nominal.least_beyond[k]))
    drawn = np.minimum(seen.least, seen.least_beyond)[..., k]
    share = np.count_nonzero(drawn < -USUAL_FRONT_TOLERANCE) / drawn.size
    return least if least < -USUAL_FRONT_TOLERANCE or share >= DANGER_SHARE else None


_ORDER = [
    (VerdictWord.OFF_THE_GROUND, None),
    (VerdictWord.FRONT_OVERPOWERS, None),
    (VerdictWord.CANNOT_TELL, None),
    (VerdictWord.AT_THE_EDGE, VerdictWord.FRONT_OVERPOWERS),
    (VerdictWord.REAR_OVERPOWERS, None),
    (VerdictWord.AT_THE_EDGE, VerdictWord.REAR_OVERPOWERS),
    (VerdictWord.IN_BALANCE, None),
]
"""Classes, the worst first."""


def _ends(values: NDArray[np.float64], k: int, confidence: float) -> tuple[float, float]:
    """Return the interval of a figure over the draws; without draws the figure itself, twice."""
    if values.ndim == 1:
        return float(values[k]), float(values[k])
    low, high = coverage_interval(values[:, k], confidence)
    return float(low), float(high)


def _most(drawn: Seen, k: int) -> bool:
    """Return whether most of the draws that leave the band leave it at the rear's side."""
    left = np.isfinite(drawn.leaves[:, k])
    return bool(2 * np.count_nonzero(drawn.rear[left, k]) > np.count_nonzero(left))


def _class(
    least: tuple[float, float], greatest: tuple[float, float], target: Target
) -> tuple[VerdictWord, VerdictWord | None]:
    """Classify the extremes over a range by the worst class that fits."""
    front, rear = -target.front_tolerance, target.rear_tolerance
    at_front, at_rear = least[0] < front, greatest[1] > rear
    found = {
        (VerdictWord.FRONT_OVERPOWERS, None): least[1] < front,
        (VerdictWord.CANNOT_TELL, None): at_front and at_rear and greatest[0] <= rear,
        (VerdictWord.AT_THE_EDGE, VerdictWord.FRONT_OVERPOWERS): at_front,
        (VerdictWord.REAR_OVERPOWERS, None): greatest[0] > rear,
        (VerdictWord.AT_THE_EDGE, VerdictWord.REAR_OVERPOWERS): at_rear,
        (VerdictWord.IN_BALANCE, None): True,
    }
    return next(one for one in _ORDER if found.get(one))


def _dangerous(
    least: tuple[float, float], nominal: float, target: Target
) -> tuple[VerdictWord, VerdictWord | None] | None:
    """Return the dangerous class of what lies beyond the tests; nothing where there is no danger, nominally."""
    if not nominal < -target.front_tolerance:
        return None
    if least[1] < -target.front_tolerance:
        return VerdictWord.FRONT_OVERPOWERS, None
    return VerdictWord.AT_THE_EDGE, VerdictWord.FRONT_OVERPOWERS
