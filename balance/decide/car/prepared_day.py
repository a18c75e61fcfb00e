"""What trim and what-if start from: a day's readings, the scatter of a changed car, and draws made once."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.increments import find_increments
from balance.compare.setting_sweeps import find_setting_sweeps
from balance.model.errors import UnknownName
from balance.reduce.air import dynamic_pressure

if TYPE_CHECKING:
    from collections.abc import Hashable

    from numpy.typing import NDArray

    from balance.compare.increments import Increments
    from balance.compare.setting_sweeps import SettingSweep
    from balance.decide.day.day import Day
    from balance.reduce.draws import SharedDraws
    from balance.reduce.repeatability import Repeatability


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PreparedDay:
    """A day made ready for changes to the car. Make it once; it remembers the draws of each fit that was used.

    Increments are at the facility's speed and density; ``sweeps`` are the families.
    """

    day: Day
    increments: Increments
    sweeps: tuple[SettingSweep, ...]
    _noise: dict[int, NDArray[np.float64]] = field(default_factory=dict)
    curves: dict[Hashable, object] = field(default_factory=dict)
    """Curves laid so far, so that a setting moved again costs nothing."""

    @property
    def scatter(self) -> Repeatability:
        """How well one reading of one fit is known."""
        return self.day.repeatability

    @property
    def shared(self) -> SharedDraws:
        """The day's draws."""
        return self.day.shared

    def row(self, label: str) -> int:
        """Find a run among those that count."""
        labels = self.day.readings.labels
        if label not in labels:
            raise UnknownName("run", label, labels)
        return labels.index(label)

    def start_weights(self, row: int) -> NDArray[np.float64]:
        """Return the weights of the mean over a run and its repeats, (runs,)."""
        return np.asarray(self.day.fits.means([self.increments.fitted.sets[row]])[0])

    def areas(self, weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return weighted sums of the readings' areas, (3, ...) for weights of (..., runs) [m²]."""
        return np.moveaxis(np.asarray(weights @ self.day.readings.areas), -1, 0)

    def drawn(self, weights: NDArray[np.float64]) -> NDArray[np.float64] | None:
        """Return draws of weighted sums, (3, draws, sums) for weights (sums, runs); nothing where scatter is unknown."""
        return self.day.fits.draws(weights, self.shared, self._noise)

    def stds(self, weights: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return standard uncertainties of front, rear, drag, total of one weighted sum (runs,), (4,) [m²]."""
        return self.day.fits.stds(weights[None])[:, 0]


def prepare_day(day: Day) -> PreparedDay:
    """Make a day ready for trim and what-if.

    Scatter and draws are those of the session's table.
    """
    facility = day.session.facility
    increments = find_increments(
        day.session,
        day.fits,
        dynamic_pressure=float(dynamic_pressure(facility.speed, facility.air_density)),
        confidence=day.confidence,
    )
    return PreparedDay(
        day=day,
        increments=increments,
        sweeps=find_setting_sweeps(increments),
    )
