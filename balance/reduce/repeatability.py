"""How well one reading is known: from the session's repeats, from the facility's figure, or from both."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only
from balance.model.channels import AXLES, CHANNELS, DRAG, MEASURED, TOTAL, WITH_TOTAL
from balance.model.errors import DomainError
from balance.reduce.air import dynamic_pressure
from balance.reduce.totals import with_total_std

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.model.records import ComparedColumn, Session
    from balance.reduce.fit_scatter import FitScatter

CORRELATION_NEEDS = 4.0
"""Degrees of freedom below which channels of repeats are taken as independent."""
INDEPENDENT = read_only(np.eye(len(CHANNELS)))
"""Correlation of channels that scatter independently. [1]"""
_POINTS = 2001
"""Points at which the density of an F distribution is summed."""
REFIT_FACTOR = 2.5
"""How much further refitting scatters than reading again where nobody refitted; common practice, no source. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Deviations:
    """Standard deviations of front, rear, drag, total, (4,) [N], and how well they are known."""

    deviation: NDArray[np.float64]
    degrees_of_freedom: float

    def has(self, column: int) -> bool:
        """Whether there is a figure for a quantity."""
        return bool(np.isfinite(self.deviation[column]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Repeatability:
    """Standard deviation of one reading of one fit, in the order front, rear, drag, total; or of a compared column alone.

    Attributes
    ----------
    deviation : numpy.ndarray
        (4,) standard deviations; not a number where unknown. [N]
    degrees_of_freedom : numpy.ndarray
        (4,) how well each is known; not a number where unknown. [1]
    source : tuple of (str or None)
        For each: "repeats", "facility", "facility and repeats", or nothing.
    correlation : numpy.ndarray
        (3, 3) between front, rear and drag. [1]
    systematic : numpy.ndarray
        (3,) standard uncertainty common to every reading of the session. [N]
    repeats : Deviations or None
        One reading of one fit, from fits after a change of the car alone.
    within : Deviations or None
        A reading about the mean of its fit, from readings with the car untouched.
    stated : Deviations or None
        The facility's figure.
    assumed : tuple of bool
        For each: nothing was fitted twice and no facility's figure is larger, so that what refitting does is assumed from
        readings with the car untouched. Nothing is called resolved on it.
    notes : tuple of str
        What was assumed, and where repeats and facility disagree.
    """

    deviation: NDArray[np.float64]
    degrees_of_freedom: NDArray[np.float64]
    source: tuple[str | None, ...]
    correlation: NDArray[np.float64]
    systematic: NDArray[np.float64]
    repeats: Deviations | None
    within: Deviations | None
    stated: Deviations | None
    assumed: tuple[bool, ...]
    notes: tuple[str, ...]

    @property
    def known(self) -> bool:
        """Whether the scatter of both axles is known, so that a verdict can say how sure it is."""
        return bool(np.all(np.isfinite(self.deviation[AXLES])))

    @property
    def refit_assumed(self) -> bool:
        """Whether what refitting does is assumed for any quantity."""
        return any(self.assumed)

    @property
    def within_deviation(self) -> NDArray[np.float64]:
        """Standard deviation of a reading about the mean of its fit, (4,), 0 where none was read again [N]."""
        return np.zeros_like(self.deviation) if self.within is None else self.within.deviation

    @property
    def with_total(self) -> NDArray[np.float64]:
        """How front, rear, drag and total downforce of one reading vary together, (4, 4), ones on the diagonal [1].

        ``(r_fa s_f + r_ra s_r)/s_t`` for the total with any channel a, never beyond 1: JCGM 100:2008 (GUM), 5.2.2
        (correlated input quantities).
        """
        found, deviation = np.eye(len(WITH_TOTAL)), self.deviation
        found[MEASURED, MEASURED] = self.correlation
        if np.isfinite(deviation[TOTAL]) and deviation[TOTAL] > 0.0:
            axles = deviation[AXLES] @ self.correlation[AXLES] / deviation[TOTAL]
            found[TOTAL, MEASURED] = found[MEASURED, TOTAL] = np.clip(axles, -1.0, 1.0)
        return found

    @property
    def downforce_drag_correlation(self) -> tuple[float, bool]:
        """That between total downforce and drag, and whether repeats are enough to know it; 0 where they are not."""
        if self.repeats is None or np.array_equal(self.correlation, INDEPENDENT):
            return 0.0, False
        return float(self.with_total[TOTAL, DRAG]), True

    @property
    def between(self) -> NDArray[np.float64]:
        """Standard deviation that fitting adds to a reading, (4,), not a number where unknown [N]."""
        added = np.square(self.deviation) - np.square(self.within_deviation)
        return np.asarray(np.sqrt(np.maximum(added, 0.0)))


def stated_by_facility(session: Session) -> Deviations | None:
    """Return the facility's own figure as a force at its stated speed and density.

    Parameters
    ----------
    session : Session
        The session. [1]

    Returns
    -------
    Deviations or None
        Standard deviations of one reading [N], not a number where a channel has none; nothing when
        the session states none. Total downforce is the root sum of squares of the axles. [1]

    Raises
    ------
    DomainError
        If a deviation is below 0, or there is not at least one degree of freedom and an end to them.

    Notes
    -----
    A figure stated as a coefficient is multiplied by the reference area and the facility's dynamic pressure.

    References
    ----------
    JCGM 100:2008 (GUM), 4.3 (type B evaluation) and 5.1.2.
    """
    stated = session.repeatability
    if stated is None or all(getattr(stated.deviation, c) is None for c in CHANNELS):
        return None
    if not 1.0 <= stated.degrees_of_freedom < np.inf:
        raise DomainError(
            f"facility's repeatability: found {stated.degrees_of_freedom:g} degrees of freedom, "
            "expected a number of 1 or more"
        )
    force = _as_force(session, [getattr(stated.deviation, c) for c in CHANNELS])
    if np.any(force < 0.0):
        raise DomainError(f"facility's repeatability: found {np.nanmin(force):g} N, expected 0 or more")
    return Deviations(
        deviation=read_only(with_total_std(force)),
        degrees_of_freedom=stated.degrees_of_freedom,
    )


def combine_scatter(session: Session, found: FitScatter) -> Repeatability:
    """Combine what a day's repeats say with the facility's figure.

    Parameters
    ----------
    session : Session
        The session, with the facility's figure where it states one. [1]
    found : FitScatter
        What its repeats say. [1]

    Returns
    -------
    Repeatability
        Standard deviations of one reading of one fit [N], degrees of freedom, and where they come from. [1]

    Notes
    -----
    ``s^2 = (v0 s0^2 + v s_r^2) / (v0 + v)`` with ``v0 + v`` degrees of freedom, v those of fits after a change of the
    car; where ``s_r^2 / s0^2`` exceeds the 90 % point of F(v, v0) the repeats stand alone and the disagreement is said.
    Where the car was never touched between repeats, the variance of fitting is taken as the larger of ``s0^2 - s_r^2``
    and ``(2.5 s_r)^2``. A figure never falls below the scatter of rounding, half of the last digit over the square root
    of 3. The correlation is that of the pooled covariance, the facility's part of it without any.

    References
    ----------
    JCGM 100:2008 (GUM), 4.2.4 and H.3.6 (pooled estimates).
    """
    stated = stated_by_facility(session)
    repeats, within = _repeats(found)
    deviation, degrees, source, notes = _each(repeats, within, stated, WITH_TOTAL, "N")
    if source[TOTAL] == "facility":
        notes.append("total downforce: the axles' figures are combined as if independent")
    if session.repeatability is not None and session.repeatability.degrees_assumed and stated is not None:
        notes.append("facility's repeatability: degrees of freedom not stated, 4 assumed")
    if session.alongside and repeats is not None:
        cars = len(session.alongside)
        notes.append(
            f"repeatability shared with {'another car' if cars == 1 else f'{cars} other cars'} of the same day: "
            f"{repeats.degrees_of_freedom:.0f} degrees of freedom together"
        )
    if all(s is None for s in source):
        notes.append(
            "repeatability unknown: no run was repeated and the facility states none; run the baseline again"
        )
    systematic = session.repeatability.systematic if session.repeatability is not None else None
    common = [None if systematic is None else getattr(systematic, c) for c in CHANNELS]
    return Repeatability(
        deviation=read_only(deviation),
        degrees_of_freedom=read_only(degrees),
        source=tuple(source),
        correlation=read_only(_correlation(found, repeats, within, stated)),
        systematic=read_only(np.nan_to_num(_as_force(session, common))),
        repeats=repeats,
        within=within,
        stated=stated,
        assumed=tuple(repeats is None and one == "repeats" for one in source),
        notes=tuple(notes),
    )


def column_scatter(session: Session, found: FitScatter, column: ComparedColumn) -> Repeatability:
    """Combine what a day's repeats say of a compared column with the facility's figure.

    Parameters
    ----------
    session : Session
        The session, for how well its facility knows what it states. [1]
    found : FitScatter
        What its repeats say of the column. [1]
    column : ComparedColumn
        The column, with the facility's figure where one is stated. [1]

    Returns
    -------
    Repeatability
        Of one value, in the column's unit; one quantity in place of four. [1]

    Notes
    -----
    By the rules of the channels. Degrees of freedom are those stated for the channels, else 4. As of
    `combine_scatter`.
    """
    table = session.repeatability
    stated = None
    if column.deviation is not None:
        degrees_of_freedom = 4.0 if table is None else table.degrees_of_freedom
        stated = Deviations(
            deviation=read_only(np.array([column.deviation])), degrees_of_freedom=degrees_of_freedom
        )
    repeats, within = _repeats(found)
    deviation, degrees, source, notes = _each(repeats, within, stated, (column.title,), column.unit)
    if stated is not None and (table is None or table.degrees_assumed):
        notes.append(f"{column.title}: degrees of freedom of the facility's figure not stated, 4 assumed")
    if source == [None]:
        notes.append(
            f"{column.title}: repeatability unknown: no value was repeated and the facility states none"
        )
    return Repeatability(
        deviation=read_only(deviation),
        degrees_of_freedom=read_only(degrees),
        source=tuple(source),
        correlation=INDEPENDENT,
        systematic=read_only(np.zeros(1)),
        repeats=repeats,
        within=within,
        stated=stated,
        assumed=tuple(repeats is None and one == "repeats" for one in source),
        notes=tuple(notes),
    )


def _each(
    repeats: Deviations | None,
    within: Deviations | None,
    stated: Deviations | None,
    names: Sequence[str],
    unit: str,
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[str | None], list[str]]:
    """Return of each quantity its deviation, how well it is known, and its source; and where two figures disagree."""
    deviation, degrees = np.full((2, len(names)), np.nan)
    source: list[str | None] = [None] * len(names)
    notes: list[str] = []
    for k, name in enumerate(names):
        deviation[k], degrees[k], source[k] = _one_quantity(k, repeats, within, stated)
        if repeats is not None and stated is not None and source[k] == "repeats" and stated.has(k):
            notes.append(
                f"{name}: the repeats have sd {repeats.deviation[k]:.3g} {unit}, far more than the facility's "
                f"{stated.deviation[k]:.3g} {unit}; the repeats stand alone"
            )
    return deviation, degrees, source, notes


def _repeats(found: FitScatter) -> tuple[Deviations | None, Deviations | None]:
    """Return the standard deviations of one reading of one fit, and of a reading about its fit."""

    def deviations(covariance: NDArray[np.float64], degrees: int) -> Deviations | None:
        if degrees <= 0:
            return None
        deviation = np.maximum(np.sqrt(np.diag(covariance)), found.rounding)
        return Deviations(deviation=read_only(deviation), degrees_of_freedom=float(degrees))

    return (
        deviations(found.one_reading, found.between_degrees),
        deviations(found.within, found.within_degrees),
    )


def _one_quantity(
    column: int, repeats: Deviations | None, within: Deviations | None, stated: Deviations | None
) -> tuple[float, float, str | None]:
    """Return the standard deviation of one quantity, its degrees of freedom, and where they come from."""
    own = stated if stated is not None and stated.has(column) else None
    if repeats is not None:
        found = float(repeats.deviation[column])
        if own is None:
            return found, repeats.degrees_of_freedom, "repeats"
        return _combine(
            found, repeats.degrees_of_freedom, float(own.deviation[column]), own.degrees_of_freedom
        )
    if within is not None:
        assumed = float(within.deviation[column]) * math.hypot(1.0, REFIT_FACTOR)
        if own is None or own.deviation[column] <= assumed:
            return assumed, within.degrees_of_freedom, "repeats"
    if own is not None:
        return float(own.deviation[column]), own.degrees_of_freedom, "facility"
    return np.nan, np.nan, None


def _correlation(
    found: FitScatter, repeats: Deviations | None, within: Deviations | None, stated: Deviations | None
) -> NDArray[np.float64]:
    """Return the correlation of front, rear and drag: that of the pooled covariance, 0 where too little shows it."""
    known = repeats or within
    if known is None or np.any(known.deviation[MEASURED] <= found.rounding[MEASURED]):
        return INDEPENDENT
    covariance = (found.within if repeats is None else found.one_reading)[MEASURED, MEASURED]
    degrees = known.degrees_of_freedom
    if repeats is not None and stated is not None:
        figures = stated.deviation[MEASURED]
        own = np.where(np.isfinite(figures), np.square(figures), np.diag(covariance))
        weight = stated.degrees_of_freedom
        covariance = (weight * np.diag(own) + degrees * covariance) / (weight + degrees)
    elif degrees < CORRELATION_NEEDS:
        return INDEPENDENT
    size = np.sqrt(np.diag(covariance))
    return np.asarray(covariance / np.outer(size, size))


def _combine(
    repeats: float, degrees: float, stated: float, stated_degrees: float
) -> tuple[float, float, str]:
    """Combine two estimates of one standard deviation, or let the repeats stand where they are far apart."""
    if (
        repeats > stated
        and f_share_below((repeats / stated) ** 2 if stated else np.inf, degrees, stated_degrees) > 0.9
    ):
        return repeats, degrees, "repeats"
    total = degrees + stated_degrees
    return (
        float(np.sqrt((stated_degrees * stated**2 + degrees * repeats**2) / total)),
        total,
        "facility and repeats",
    )


def f_share_below(ratio: float, degrees: float, other_degrees: float) -> float:
    """Return the share of an F distribution that lies below a ratio of variances.

    Parameters
    ----------
    ratio : float
        Ratio of the two variances, 0 or more. [1]
    degrees, other_degrees : float
        Degrees of freedom of the variance above, and of the one below, 1 or more. [1]

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


def _power(base: NDArray[np.float64], exponent: float) -> NDArray[np.float64]:
    """Compute the logarithm of a power; 0 to the power of 0 is 1."""
    return np.zeros_like(base) if exponent == 0.0 else exponent * np.log(base)


def _as_force(session: Session, figures: Sequence[float | None]) -> NDArray[np.float64]:
    """Bring stated figures to newtons at the facility's speed and density; not a number where absent."""
    values = np.array([np.nan if v is None else v for v in figures], float)
    if session.repeatability is not None and session.repeatability.form == "coefficient":
        facility = session.facility
        values = (
            values * session.reference_area * float(dynamic_pressure(facility.speed, facility.air_density))
        )
    return values
