"""A session reduced once: readings, scatter, and the draws that all its figures share."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from balance.errors import DomainError
from balance.reduce.drag_couple import couple_stds
from balance.reduce.draws import DECISION_DRAWS, area_draws, shared_draws, with_drawn_couple
from balance.reduce.readings import Readings, reduce_session
from balance.reduce.repeatability import Repeatability, repeatability
from balance.reduce.repeats import configurations
from balance.reduce.rows import judged_rows

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import NDArray

    from balance.decide.range_verdict import RangeVerdict
    from balance.records import Session
    from balance.reduce.draws import SharedDraws
    from balance.reduce.rows import Rows


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Day:
    """A session reduced once: readings, scatter, and the draws that all its figures share."""

    session: Session
    readings: Readings
    repeatability: Repeatability
    shared: SharedDraws
    rows: Rows
    """What a table's rows are: the readings, and the means of configurations."""
    configurations: tuple[tuple[int, ...], ...]
    """Rows of each configuration's runs, in the order of their first run."""
    group_of: tuple[int, ...]
    """For each row, its configuration."""
    confidence: float = 0.95
    judged: dict[Hashable, RangeVerdict] = field(default_factory=dict)
    """Verdicts over the range of speeds, which do not hang on the speed of interest, worked out so far."""

    def areas(self, rows: Sequence[int]) -> NDArray[np.float64]:
        """Return front, rear and drag area of some rows, (3, rows) [m²]."""
        needed, weights = self.rows.over(rows)
        return np.asarray((weights @ self.readings.areas[needed]).T)

    def stds(self, rows: Sequence[int]) -> NDArray[np.float64]:
        """Return the standard uncertainty of front, rear, drag and total area of some rows, (4, rows) [m²]."""
        systematic = self.repeatability.systematic
        common = np.append(systematic, np.hypot(systematic[0], systematic[1]))
        needed, weights = self.rows.over(rows)
        pressure = self.readings.force_pressure[needed]
        own = np.sqrt(np.square(weights) @ pressure**-2.0)
        scatter = np.hypot(
            self.repeatability.deviation[:, None] * own, common[:, None] * (weights @ (1.0 / pressure))
        )
        return np.hypot(scatter, couple_stds(self.session, weights @ self.readings.drag_area[needed]))

    def draws(self, rows: Sequence[int]) -> NDArray[np.float64] | None:
        """Return draws of the areas of some rows, (3, draws, rows) [m²]; nothing where the scatter is unknown.

        A row's draws are the same whichever others are asked for, and a mean shares those of its readings.
        """
        if not self.repeatability.known:
            return None
        needed, weights = self.rows.over(rows)
        drawn = area_draws(self.readings, self.repeatability, self.shared, needed)
        alone = len(needed) == len(rows) and np.array_equal(weights, np.eye(len(rows)))
        return with_drawn_couple(drawn if alone else drawn @ weights.T, self.shared)


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
        rows=judged_rows(readings),
        configurations=groups,
        group_of=tuple(group_of[row] for row in range(len(readings.runs))),
        confidence=confidence,
    )
