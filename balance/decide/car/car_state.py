"""One car at one speed: loads, handling, verdict, onset, and what its drag costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.changed_car import Assumption
from balance.decide.day.estimate import Estimate, HandlingEstimates, estimate_handling
from balance.decide.day.ground_level import ground_level
from balance.decide.day.onsets import Onsets, estimate_onsets
from balance.handling.rest_state import rest_state
from balance.model.channels import DRAG
from balance.reduce.air import dynamic_pressure
from balance.reduce.car_figures import figures_of
from balance.reduce.draws import spread
from balance.reduce.totals import with_total

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.ground_level import GroundLevel
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.model.records import Vehicle
    from balance.reduce.draws import SharedDraws

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CarState:
    """A car at a speed and density.

    Attributes
    ----------
    areas : numpy.ndarray
        (3,) front downforce, rear downforce, drag. [m^2]
    draws : numpy.ndarray or None
        (3, draws) of the same. [m^2]
    vehicle : Vehicle
        With its weights, exponents and target as they are here.
    set_up : Vehicle or None
        The car whose set-up it has, where the weights were changed afterwards.
    speed, air_density, dynamic_pressure : float
        [m/s], [kg/m^3], [Pa]
    handling : HandlingEstimates
        Arrays of one entry.
    onsets : Onsets or None
        Likewise, where asked for.
    surplus_at_rest, static_margin : float
        Nominal, at rest: both as the set-up leaves them. [1]
    ground : GroundLevel or None
        The same car with its drag reacted at ground level, where it is held above it.
    shared : SharedDraws
        The draws behind it, with those of this car.
    over_range : RangeVerdict or None
        The verdict over every speed that it sees, where asked for.
    """

    areas: Array
    draws: Array | None
    vehicle: Vehicle
    set_up: Vehicle | None
    speed: float
    air_density: float
    dynamic_pressure: float
    handling: HandlingEstimates
    onsets: Onsets | None
    surplus_at_rest: float
    static_margin: float
    ground: GroundLevel | None
    shared: SharedDraws
    over_range: RangeVerdict | None = None

    @property
    def forces(self) -> Array:
        """Front downforce, rear downforce, drag, total downforce, (4,) [N]."""
        return with_total(self.areas * self.dynamic_pressure)

    @property
    def stds(self) -> Array:
        """Standard uncertainty of front, rear, drag, total, (4,) [N]."""
        (stds,) = self.handling.stds
        return np.asarray(stds)

    @property
    def drag_power(self) -> float:
        """What drag takes at this speed [W]."""
        return float(self.handling.drag_power[0])

    @property
    def power_speed(self) -> float | None:
        """The speed that the car's power holds against drag alone [m/s]; tyres and gears take theirs besides."""
        power, area = self.vehicle.power, float(self.areas[DRAG])
        if power is None or area <= 0.0:
            return None
        return float(np.cbrt(2.0 * power / (self.air_density * area)))


def state_of(
    prepared: PreparedDay,
    areas: Array,
    draws: Array | None,
    area_stds: Array,
    *,
    vehicle: Vehicle,
    speed: float,
    air_density: float,
    set_up: Vehicle | None = None,
    onsets: bool = True,
    shared: SharedDraws | None = None,
    stated_drag: float = 0.0,
) -> CarState:
    """Compute one car at one speed.

    Parameters
    ----------
    prepared : PreparedDay
        The day. [1]
    areas : numpy.ndarray
        (3,) front downforce, rear downforce, drag. [m^2]
    draws : numpy.ndarray or None
        (3, draws) of the same. [m^2]
    area_stds : numpy.ndarray
        (4,) standard uncertainty of front, rear, drag and total area. [m^2]
    vehicle : Vehicle
        The car with its weights as they are here. [1]
    speed : float
        Speed, above 0. [m/s]
    air_density : float
        Density of the air, above 0. [kg/m^3]
    set_up : Vehicle, optional
        The car whose set-up it has. [1]
    onsets : bool, optional
        Whether to find onsets too. [1]
    shared : SharedDraws, optional
        With this car's draws, in place of the day's. [1]
    stated_drag : float, optional
        Part of the drag that was stated and not measured: it has no couple of its own. [m^2]

    Returns
    -------
    CarState
        Loads, handling and verdict. [1]

    Raises
    ------
    DomainError
        If speed or density is not above 0, or the car's weights make no car.

    Notes
    -----
    The same functions as for the table of a session. As of `balance.decide.day.estimate`.
    """
    shared = prepared.shared if shared is None else shared
    pressure = float(dynamic_pressure(speed, air_density))
    column, drawn = areas[:, None], None if draws is None else draws[:, :, None]
    confidence = prepared.day.confidence
    rest = rest_state(figures_of(vehicle, set_up))
    return CarState(
        areas=areas,
        draws=draws,
        vehicle=vehicle,
        set_up=set_up,
        speed=speed,
        air_density=air_density,
        dynamic_pressure=pressure,
        handling=estimate_handling(
            column,
            drawn,
            speed,
            air_density,
            area_stds[:, None],
            vehicle,
            shared,
            confidence=confidence,
            set_up=set_up,
        ),
        onsets=estimate_onsets(
            column, drawn, air_density, vehicle, shared, confidence=confidence, set_up=set_up
        )
        if onsets
        else None,
        surplus_at_rest=float(rest.grip_ratio) - 1.0,
        static_margin=float(rest.static_margin),
        ground=ground_level(
            prepared.day.session, areas, pressure, vehicle, set_up=set_up, drag_area=areas[DRAG] - stated_drag
        ),
        shared=shared,
    )


def force_change(start: CarState, result: CarState, confidence: float) -> Estimate:
    """Find how the forces of two cars differ.

    (4,) of front, rear, drag and total [N], draw by draw, so that what both share cancels.
    """
    value = result.forces - start.forces
    if start.draws is None or result.draws is None:
        return Estimate.where_known(value, None)
    change = result.draws * result.dynamic_pressure - start.draws * start.dynamic_pressure
    return Estimate.where_known(value, spread(with_total(change.T), confidence), np.isfinite(start.stds))


def scaling_assumptions(prepared: PreparedDay, row: int, state: CarState) -> tuple[Assumption, ...]:
    """List where a car's state is far from what was tested.

    Coefficients are taken not to change with speed: one assumption where the dynamic pressure is above 1.5 or
    below 0.5 times that of the run, else none.
    """
    ratio = state.dynamic_pressure / float(prepared.day.readings.dynamic_pressure[row])
    if 0.5 <= ratio <= 1.5:
        return ()
    return (Assumption(kind="scaled far", values={"ratio": ratio}),)
