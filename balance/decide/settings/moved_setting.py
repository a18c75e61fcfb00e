"""A car whose setting is moved along a measured curve, and what an axle would need at a given setting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.car_state import state_of
from balance.decide.settings.aims import drawn_aim
from balance.model.channels import FRONT, REAR, front_rear_drag
from balance.reduce.draws import coverage_interval, spread
from balance.reduce.totals import with_total

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.car.car_state import CarState
    from balance.decide.car.changed_car import ChangedCar
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.settings.aims import Aim
    from balance.decide.settings.response import Response

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moved:
    """A changed car whose setting is moved along a curve: run + curve(setting) - curve(setting of the run)."""

    prepared: PreparedDay
    car: ChangedCar
    response: Response
    base: Response
    """The curve that the run itself lies on; the same as ``response`` but for an alternative."""
    start: float

    @property
    def offset(self) -> Array:
        """What is added to the curve, (3,) [m²]."""
        return np.asarray(self.car.areas - self.base.curve(self.start)[:, 0])

    @property
    def offset_draws(self) -> Array | None:
        """The same in every draw, (3, draws) [m²]."""
        if self.car.draws is None or self.base.drawn is None:
            return None
        return np.asarray(self.car.draws - self.base.drawn(self.start)[:, :, 0])

    def areas(self, value: float) -> Array:
        """Return the areas at a setting, (3,) [m²]: at the run's own those of the car, to the last digit."""
        curve, base = self.response.curve, self.base.curve
        return np.asarray(self.car.areas + (curve(value)[:, 0] - base(self.start)[:, 0]))

    def drawn(self, value: float) -> Array | None:
        """Return draws of the areas at a setting, (3, draws) [m²]."""
        if self.car.draws is None or self.response.drawn is None or self.base.drawn is None:
            return None
        change = self.response.drawn(value)[:, :, 0] - self.base.drawn(self.start)[:, :, 0]
        return np.asarray(self.car.draws + change)

    def area_stds(self, value: float) -> Array:
        """Return standard uncertainties of front, rear, drag, total at a setting, (4,) [m²]."""
        own = np.hypot(self.prepared.stds(self.car.weights), self.car.stated_std)
        if self.response is self.base and value == self.start:
            return np.asarray(own)
        draws = self.drawn(value)
        if draws is None or self.car.draws is None:
            return np.full_like(own, np.nan)
        return stds_like(own, self.car.draws, draws, self.prepared.day.confidence)

    def state(self, value: float, *, speed: float, air_density: float, onsets: bool = True) -> CarState:
        """Assess the car at a setting."""
        return state_of(
            self.prepared,
            self.areas(value),
            self.drawn(value),
            self.area_stds(value),
            vehicle=self.prepared.day.session.vehicle,
            speed=speed,
            air_density=air_density,
            onsets=onsets,
        )


def stds_like(own: Array, own_draws: Array, draws: Array, confidence: float) -> Array:
    """Find standard uncertainties of a car that was changed from those of the car before.

    Parameters
    ----------
    own : numpy.ndarray
        (4,) standard uncertainty of front, rear, drag and total before. [m^2]
    own_draws, draws : numpy.ndarray
        (3, draws) of front, rear and drag before and after. [m^2]
    confidence : float
        Share of the draws inside an interval. [1]

    Returns
    -------
    numpy.ndarray
        (4,) after; not a number where it was none before. [m^2]

    Notes
    -----
    Draws of Student's t scatter more than their standard uncertainty says, by as much after the change as before.

    References
    ----------
    JCGM 101:2008, 6.4.9.3.
    """
    before, after = (spread(with_total(one.T), confidence)[0] for one in (own_draws, draws))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(before > 0.0, after * own / before, own))


def needed_change(
    moved: Moved, aim: Aim, values: Array, *, dynamic_pressure: float
) -> tuple[tuple[Array, Array, Array], tuple[Array, Array, Array]]:
    """Find how much front, or rear, downforce a given setting would still need: the trim turned round.

    Parameters
    ----------
    moved : Moved
        The changed car and the curve of its setting. [1]
    aim : Aim
        Balance offset or grip surplus. [1]
    values : numpy.ndarray
        (settings,) settings within the tested range. [1]
    dynamic_pressure : float
        At which the loads are stated. [Pa]

    Returns
    -------
    tuple of tuple of numpy.ndarray
        For the front and for the rear: change on that axle alone, low and high end of its interval, (settings,) each.
        Negative is less downforce; not a number where no change there would do, or the scatter is unknown. [N]

    Raises
    ------
    DomainError
        If a setting lies outside the tested range.

    Notes
    -----
    Over the useful range this is the map of equal balance: front change against setting.

    References
    ----------
    JCGM 101:2008 for the intervals.
    """
    points = np.atleast_1d(np.asarray(values, float))
    areas = moved.response.curve(points) + moved.offset[:, None]
    front, rear = (dynamic_pressure * v for v in aim.needed(*front_rear_drag(areas)))
    offset = moved.offset_draws
    hidden = np.full(points.size, np.nan)
    if offset is None or moved.response.drawn is None:
        return (front, hidden, hidden), (rear, hidden, hidden)
    drawn = drawn_aim(aim, moved.prepared.shared)
    ends = np.empty((2, 2, points.size))
    for k, point in enumerate(points):
        at = moved.response.drawn(point)[:, :, 0] + offset
        for axle, needed in enumerate(drawn.needed(*front_rear_drag(at))):
            low, high = coverage_interval(needed[:, None], moved.prepared.day.confidence)
            ends[axle, :, k] = low[0] * dynamic_pressure, high[0] * dynamic_pressure
    return (front, *ends[FRONT]), (rear, *ends[REAR])
