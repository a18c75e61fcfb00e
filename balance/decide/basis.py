"""What trim and what-if start from: a day's readings, the scatter of a changed car, and draws made once."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import mean_weights
from balance.compare.increments import find_increments
from balance.compare.setting_sweeps import find_setting_sweeps
from balance.errors import UnknownName
from balance.reduce.air import dynamic_pressure
from balance.reduce.drag_couple import couple_stds
from balance.reduce.draws import area_draws, shared_draws, with_drawn_couple
from balance.reduce.repeatability import repeatability

if TYPE_CHECKING:
    from collections.abc import Hashable

    from numpy.typing import NDArray

    from balance.compare.increments import Increments
    from balance.compare.setting_sweeps import SettingSweep
    from balance.decide.day import Day
    from balance.reduce.draws import SharedDraws
    from balance.reduce.repeatability import Repeatability


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Basis:
    """A day made ready for changes to the car. Make it once; it remembers the draws of each run that was used.

    ``scatter`` is that of parts (repeats after a change of the car, where there are any); ``shared`` are the
    draws that go with it; increments are at the facility's speed and density; ``sweeps`` are the families.
    """

    day: Day
    scatter: Repeatability
    shared: SharedDraws
    increments: Increments
    sweeps: tuple[SettingSweep, ...]
    _rows: dict[int, NDArray[np.float64]] = field(default_factory=dict)
    curves: dict[Hashable, object] = field(default_factory=dict)
    """Curves laid so far, so that a setting moved again costs nothing."""

    def row(self, label: str) -> int:
        """Find a run among those that count."""
        labels = self.day.readings.labels
        if label not in labels:
            raise UnknownName("run", label, labels)
        return labels.index(label)

    def start_weights(self, row: int) -> NDArray[np.float64]:
        """Give the weights of the mean over a run and its repeats, (runs,)."""
        return np.asarray(mean_weights(self.day.readings, [self.increments.fitted.sets[row]])[0])

    def areas(self, weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Give weighted sums of the readings' areas, (3, ...) for weights of (..., runs) [m²]."""
        return np.moveaxis(np.asarray(weights @ self.day.readings.areas), -1, 0)

    def drawn(self, weights: NDArray[np.float64]) -> NDArray[np.float64] | None:
        """Give draws of weighted sums, (3, draws, sums) for weights (sums, runs); nothing where scatter is unknown."""
        if not self.scatter.known:
            return None
        rows = np.flatnonzero(np.any(weights != 0.0, axis=0)).tolist()
        missing = [row for row in rows if row not in self._rows]
        if missing:
            made = area_draws(self.day.readings, self.scatter, self.shared, missing)
            for k, row in enumerate(missing):
                self._rows[row] = np.ascontiguousarray(made[:, :, k])
        result = np.zeros((weights.shape[0], 3, self.shared.count))
        for k, own in enumerate(weights):
            for row in rows:
                if own[row] != 0.0:
                    result[k] += own[row] * self._rows[row]
        return with_drawn_couple(result.transpose(1, 2, 0), self.shared)

    def stds(self, weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Give standard uncertainties of front, rear, drag, total of one weighted sum (runs,), (4,) [m²]."""
        scatter, pressure = self.scatter, self.day.readings.force_pressure
        own = np.sqrt(np.square(weights) @ pressure**-2.0) * scatter.deviation
        common = np.append(scatter.systematic, np.hypot(scatter.systematic[0], scatter.systematic[1]))
        both = np.hypot(own, (weights @ (1.0 / pressure)) * common)
        drag = weights @ self.day.readings.drag_area
        return np.asarray(np.hypot(both, couple_stds(self.day.session, drag)))


def basis_of(day: Day) -> Basis:
    """Make a day ready for trim and what-if.

    Parameters
    ----------
    day : Day
        The reduced session. [1]

    Returns
    -------
    Basis
        Increments, scatter and draws. [1]

    Notes
    -----
    The draws are those of the session's table wherever the scatter is the same.

    References
    ----------
    JCGM 101:2008 for the draws.
    """
    facility = day.session.facility
    scatter = repeatability(day.session, day.readings, for_parts=True)
    increments = find_increments(
        day.session,
        day.readings,
        scatter,
        dynamic_pressure=float(dynamic_pressure(facility.speed, facility.air_density)),
        confidence=day.confidence,
    )
    return Basis(
        day=day,
        scatter=scatter,
        shared=shared_draws(day.session, scatter, count=day.shared.count),
        increments=increments,
        sweeps=find_setting_sweeps(increments),
    )
