"""How well one reading is known: from the session's repeats, from the facility's figure, or from both."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.errors import DomainError
from balance.records import CHANNELS
from balance.reduce.air import dynamic_pressure
from balance.reduce.f_distribution import f_share_below
from balance.reduce.pooled import Pooled, pool_repeats
from balance.reduce.readings import read_only, reference_area
from balance.reduce.repeats import repeat_sets

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.records import Session
    from balance.reduce.readings import Readings

QUANTITIES = ("front", "rear", "drag", "total")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Repeatability:
    """Standard deviation of one reading, in the order front, rear, drag, total.

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
    repeats, stated : Pooled or None
        The two figures before they were combined.
    untouched_only : bool
        The repeats were made without changing the car in between: a lower bound for any part.
    notes : tuple of str
        What was assumed, and where repeats and facility disagree.
    """

    deviation: NDArray[np.float64]
    degrees_of_freedom: NDArray[np.float64]
    source: tuple[str | None, ...]
    correlation: NDArray[np.float64]
    systematic: NDArray[np.float64]
    repeats: Pooled | None
    stated: Pooled | None
    untouched_only: bool
    notes: tuple[str, ...]

    @property
    def known(self) -> bool:
        """Whether the scatter of both axles is known, so that a verdict can say how sure it is."""
        return bool(np.all(np.isfinite(self.deviation[:2])))


def stated_by_facility(session: Session) -> Pooled | None:
    """Give the facility's own figure as a force at its stated speed and density.

    Parameters
    ----------
    session : Session
        The session. [1]

    Returns
    -------
    Pooled or None
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
    return Pooled(
        deviation=read_only(np.append(force, np.hypot(force[0], force[1]))),
        degrees_of_freedom=stated.degrees_of_freedom,
        correlation=read_only(np.eye(3)),
    )


def repeatability(session: Session, readings: Readings, *, for_parts: bool = False) -> Repeatability:
    """Say how well one reading is known.

    Parameters
    ----------
    session : Session
        The session, with the facility's figure where it states one. [1]
    readings : Readings
        Its readings. [1]
    for_parts : bool, optional
        Count only repeats that followed a change of the car, where there are any: what a part's
        interval needs. [1]

    Returns
    -------
    Repeatability
        Standard deviations [N], degrees of freedom, and where they come from. [1]

    Notes
    -----
    ``s^2 = (v0 s0^2 + v s_r^2) / (v0 + v)`` with ``v0 + v`` degrees of freedom; where ``s_r^2 / s0^2``
    exceeds the 90 % point of F(v, v0) the repeats stand alone and the disagreement is said. A figure never
    falls below the scatter of rounding, half of the last digit over the square root of 3.

    References
    ----------
    JCGM 100:2008 (GUM), 4.2.4 and H.3.6 (pooled estimates).
    """
    sets = repeat_sets(readings)
    changed = [s for s in sets if s.after_change and len(s.rows) > 1]
    repeats = pool_repeats(readings, changed if for_parts and changed else sets)
    return combine_scatter(session, repeats, untouched_only=repeats is not None and not changed)


def combine_scatter(session: Session, repeats: Pooled | None, *, untouched_only: bool) -> Repeatability:
    """Combine the scatter of repeats with the facility's figure.

    Parameters
    ----------
    session : Session
        The session, with the facility's figure where it states one. [1]
    repeats : Pooled or None
        Scatter pooled from repeats, where there are any. [1]
    untouched_only : bool
        Whether the repeats were all made without changing the car in between. [1]

    Returns
    -------
    Repeatability
        Standard deviations [N], degrees of freedom, and where they come from. [1]

    Notes
    -----
    The rule of `repeatability`.

    References
    ----------
    JCGM 100:2008 (GUM), 4.2.4 and H.3.6 (pooled estimates).
    """
    stated = stated_by_facility(session)
    deviation, degrees = np.full(4, np.nan), np.full(4, np.nan)
    source: list[str | None] = [None] * 4
    notes: list[str] = []
    for k, name in enumerate(QUANTITIES):
        has_stated = stated is not None and bool(np.isfinite(stated.deviation[k]))
        if stated is not None and has_stated and repeats is not None:
            deviation[k], degrees[k], source[k] = _combine(
                repeats.deviation[k],
                repeats.degrees_of_freedom,
                stated.deviation[k],
                stated.degrees_of_freedom,
            )
            if source[k] == "repeats":
                notes.append(
                    f"{name}: the repeats scatter by {repeats.deviation[k]:.3g} N, far more than the facility's "
                    f"{stated.deviation[k]:.3g} N; the repeats stand alone"
                )
        elif repeats is not None:
            deviation[k], degrees[k], source[k] = repeats.deviation[k], repeats.degrees_of_freedom, "repeats"
        elif stated is not None and has_stated:
            deviation[k], degrees[k], source[k] = stated.deviation[k], stated.degrees_of_freedom, "facility"
    if source[3] == "facility":
        notes.append("total downforce: the axles' figures are combined as if independent")
    if session.repeatability is not None and session.repeatability.degrees_assumed and stated is not None:
        notes.append("facility's repeatability: degrees of freedom not stated, 4 assumed")
    if all(s is None for s in source):
        notes.append(
            "repeatability unknown: no run was repeated and the facility states none; run the baseline again"
        )
    systematic = session.repeatability.systematic if session.repeatability is not None else None
    common = [None] * 3 if systematic is None else [getattr(systematic, c) for c in CHANNELS]
    return Repeatability(
        deviation=read_only(deviation),
        degrees_of_freedom=read_only(degrees),
        source=tuple(source),
        correlation=np.eye(3) if repeats is None else repeats.correlation,
        systematic=read_only(np.nan_to_num(_as_force(session, common))),
        repeats=repeats,
        stated=stated,
        untouched_only=untouched_only,
        notes=tuple(notes),
    )


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


def _as_force(session: Session, figures: Sequence[float | None]) -> NDArray[np.float64]:
    """Bring stated figures to newtons at the facility's speed and density; not a number where absent."""
    values = np.array([np.nan if v is None else v for v in figures], float)
    if session.repeatability is not None and session.repeatability.form == "coefficient":
        facility = session.facility
        values = (
            values * reference_area(session) * float(dynamic_pressure(facility.speed, facility.air_density))
        )
    return values
