"""A session reduced once: readings, scatter, and the draws that all its figures share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.errors import DomainError
from balance.reduce.coefficients import Coefficients, coefficients
from balance.reduce.draws import DECISION_DRAWS, shared_draws
from balance.reduce.readings import Readings, reduce_session
from balance.reduce.repeatability import Repeatability, repeatability
from balance.reduce.repeats import configurations

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.records import Session
    from balance.reduce.draws import SharedDraws


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Day:
    """A session reduced once: readings, scatter, and the draws that all its figures share."""

    session: Session
    readings: Readings
    repeatability: Repeatability
    shared: SharedDraws
    configurations: tuple[tuple[int, ...], ...]
    """Rows of each configuration's runs, in the order of their first run."""
    group_of: tuple[int, ...]
    """For each row, its configuration."""
    confidence: float = 0.95

    @property
    def coefficients(self) -> Coefficients | None:
        """Coefficients of each reading after SAE J1594, (runs,); nothing where the frontal area is not known."""
        area, read = self.session.vehicle.frontal_area, self.readings
        return None if area is None else coefficients(read.front_area, read.rear_area, read.drag_area, area)

    @property
    def total_std(self) -> NDArray[np.float64]:
        """Standard uncertainty of front, rear, drag and total area of each reading, (4, runs), in m²."""
        systematic = self.repeatability.systematic
        common = np.append(systematic, np.hypot(systematic[0], systematic[1]))
        wide = np.hypot(self.repeatability.deviation, common)
        return np.asarray(wide[:, None] / self.readings.force_pressure)


def reduce_day(session: Session, *, draws: int = DECISION_DRAWS, confidence: float = 0.95) -> Day:
    """Reduce a session once, for whatever is asked of it later.

    Parameters
    ----------
    session : Session
        As read from its files. [1]
    draws : int, optional
        Number of draws behind every interval, at least 100. [1]
    confidence : float, optional
        Share of the draws inside an interval, between 0.5 and 0.999. [1]

    Returns
    -------
    Day
        Readings, repeatability and shared draws. [1]

    Raises
    ------
    DomainError
        If the number of draws or the confidence makes no interval, or every run is void.

    Notes
    -----
    Scatter first, then the draws that every figure of the session shares.

    References
    ----------
    JCGM 101:2008, 7.2 (number of trials).
    """
    if draws < 100:
        raise DomainError(f"draws: found {draws}, expected at least 100")
    if not 0.5 <= confidence <= 0.999:
        raise DomainError(f"confidence: found {confidence:g}, expected 0.5 to 0.999")
    if not session.used:
        raise DomainError(
            f"session: found {len(session.runs)} runs, none that counts, expected at least one not void"
        )
    readings = reduce_session(session)
    scatter = repeatability(session, readings)
    shared = shared_draws(session, scatter, count=draws)
    groups = configurations(readings.runs)
    group_of = {row: k for k, rows in enumerate(groups) for row in rows}
    return Day(
        session=session,
        readings=readings,
        repeatability=scatter,
        shared=shared,
        configurations=groups,
        group_of=tuple(group_of[row] for row in range(len(readings.runs))),
        confidence=confidence,
    )
