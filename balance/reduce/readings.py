"""From a session's runs to area coefficients: what was read, divided by the dynamic pressure it was read at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from balance.model.arrays import read_only
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR
from balance.model.errors import DomainError
from balance.reduce.air import dynamic_pressure, moist_air_density
from balance.reduce.clock_time import minutes_of
from balance.reduce.drag_couple import add_couple
from balance.reduce.totals import with_total, with_total_std

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.model.records import ComparedColumn, Facility, Run, Session

ASSUMED_HUMIDITY = 0.5
_REACH = 30.0
"""Minutes for which air that was measured stands before and after; common practice, no source."""
_HOUR = "hour, as runs of other cars on the day have it"
"""Where a density comes from that the other cars of a hired day told."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Readings:
    """The used runs of a session as arrays, in running order.

    Attributes
    ----------
    runs : tuple of Run
        The runs that count, void ones left out.
    areas : numpy.ndarray
        (runs, 3): front downforce, rear downforce and drag over dynamic pressure. [m^2]
        Of a compared column (runs, 1): its values over ``force_pressure``.
    speed : numpy.ndarray
        (runs,) speed of each reading. [m/s]
    air_density : numpy.ndarray
        (runs,) density of each reading's own air. [kg/m^3]
    dynamic_pressure : numpy.ndarray
        (runs,) of each reading's own speed and air. [Pa]
    force_pressure : numpy.ndarray
        (runs,) the dynamic pressure at which the forces are stated: the reading's own, or the
        facility's where the facility restated them. Noise in force over this is noise in area. [Pa]
    density_source : tuple of str
        For each run, where its density came from, in words.
    resolution : numpy.ndarray
        (runs, 3): half of the last digit typed, as an area. [m^2]
    column : ComparedColumn or None
        The compared column whose values stand in place of the three channels, with no total behind it.
    """

    runs: tuple[Run, ...]
    areas: NDArray[np.float64]
    speed: NDArray[np.float64]
    air_density: NDArray[np.float64]
    dynamic_pressure: NDArray[np.float64]
    force_pressure: NDArray[np.float64]
    density_source: tuple[str, ...]
    resolution: NDArray[np.float64]
    column: ComparedColumn | None = None

    def with_sum(self, channels: NDArray[np.float64]) -> NDArray[np.float64]:
        """Append total downforce to figures of the channels, (..., channels); a compared column stands alone."""
        return with_total(channels) if self.column is None else channels

    def with_sum_std(self, channels: NDArray[np.float64]) -> NDArray[np.float64]:
        """Append that of total downforce to standard uncertainties of the channels, likewise."""
        return with_total_std(channels) if self.column is None else channels

    @property
    def brought_to_one(self) -> bool:
        """Whether values of a compared column are brought to one dynamic pressure, and not compared as read."""
        return self.column is not None and bool(np.any(self.force_pressure != 1.0))

    def column_pressure(self, facility: Facility) -> float:
        """Return what turns a compared column's figures into its unit: the dynamic pressure [Pa] of the facility, or 1.

        The day's own speed, whatever speed is shown: nobody drove the column to another.
        """
        return float(dynamic_pressure(facility.speed, facility.air_density)) if self.brought_to_one else 1.0

    @property
    def front_area(self) -> NDArray[np.float64]:
        """Front downforce area of each run, (runs,) [m^2]."""
        return self.areas[:, FRONT]

    @property
    def rear_area(self) -> NDArray[np.float64]:
        """Rear downforce area of each run, (runs,) [m^2]."""
        return self.areas[:, REAR]

    @property
    def downforce_area(self) -> NDArray[np.float64]:
        """Total downforce area of each run, (runs,) [m^2]."""
        return np.asarray(self.front_area + self.rear_area)

    @property
    def drag_area(self) -> NDArray[np.float64]:
        """Drag area of each run, (runs,) [m^2]."""
        return self.areas[:, DRAG]

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """The runs' labels, in running order."""
        return tuple(run.label for run in self.runs)

    def missing_of(self, whole: Readings) -> tuple[str, ...]:
        """Name the runs of a session that have no reading here, as in a compared column, in running order."""
        there = set(self.labels)
        return tuple(label for label in whole.labels if label not in there)

    def index(self, label: str) -> int:
        """Find the position of a run by its label."""
        return self.labels.index(label)


def reduce_session(session: Session) -> Readings:
    """Turn the readings of a session into area coefficients.

    Parameters
    ----------
    session : Session
        The session, as read from its files. [1]

    Returns
    -------
    Readings
        One row per used run, in running order. [1]

    Raises
    ------
    DomainError
        If readings are coefficients and no area is stated.

    Notes
    -----
    Area coefficient = force / dynamic pressure. A run's own air is used where it has temperature and
    pressure (humidity of 50 % is taken and said where absent), else that of the hour where other cars ran in the same
    hired hours and their runs have it, else the facility's density.
    Pads feel the couple of drag only where drag is reacted at ground level; where the car is held at a height h, drag
    times h over the wheelbase is taken off the front and put on the rear.

    References
    ----------
    SAE J1594, "Vehicle aerodynamics terminology"; `balance.reduce.air` for the density.
    """
    facility, runs = session.facility, session.used
    own_air = [_own_density(run) for run in runs]
    if session.alongside:
        own_air = _by_clock(session, own_air)
    density = np.array([facility.air_density if own is None else own[0] for own in own_air])
    source = tuple("facility" if own is None else own[1] for own in own_air)
    speed = np.array([run.speed if run.speed is not None else facility.speed for run in runs])
    pressure = dynamic_pressure(speed, density)
    stated = dynamic_pressure(facility.speed, facility.air_density)
    force_pressure = np.full(len(runs), float(stated)) if facility.restated else pressure

    divisor = {"force": force_pressure, "area": np.ones(len(runs)), "coefficient": None}
    areas = np.empty((len(runs), len(CHANNELS)))
    resolution = np.empty_like(areas)
    for k, channel in enumerate(CHANNELS):
        by = divisor[session.columns[channel].form]
        if by is None and np.isnan(session.reference_area):
            raise DomainError(
                f"{channel}: found coefficients and no area behind them, expected the car's frontal area "
                "or the facility's reference area"
            )
        factor = np.full(len(runs), session.reference_area) if by is None else 1.0 / by
        areas[:, k] = factor * np.array([getattr(run.reading, channel) for run in runs])
        resolution[:, k] = factor * np.array([getattr(run.resolution, channel) for run in runs])
    height = session.facility.drag_reacted_at or 0.0
    areas = add_couple(areas.T, height / session.vehicle.wheelbase).T
    return Readings(
        runs=runs,
        areas=read_only(areas),
        speed=read_only(speed),
        air_density=read_only(density),
        dynamic_pressure=read_only(pressure),
        force_pressure=read_only(force_pressure),
        density_source=source,
        resolution=read_only(resolution),
    )


def _own_density(run: Run) -> tuple[float, str] | None:
    """Return a run's own density and where it came from, or nothing where it has no air of its own."""
    if run.temperature is None or run.pressure is None:
        return None
    humidity = ASSUMED_HUMIDITY if run.humidity is None else run.humidity
    words = (
        "own temperature and pressure" if run.humidity is None else "own temperature, pressure and humidity"
    )
    assumed = ", humidity of 50 % assumed" if run.humidity is None else ""
    return float(moist_air_density(run.temperature, run.pressure, humidity)), words + assumed


def _by_clock(session: Session, own: Sequence[tuple[float, str] | None]) -> list[tuple[float, str] | None]:
    """Fill in the density of the hour where a run has none of its own: between the runs that have it, by the clock.

    Half an hour before the first of them and after the last it is that one's; further off nothing is said.
    """
    runs = [*session.used, *(run for other in session.alongside for run in other.used)]
    known = sorted(
        (minutes, air[0])
        for run in runs
        if (minutes := minutes_of(run.time)) is not None and (air := _own_density(run)) is not None
    )
    if not known:
        return list(own)
    times, densities = zip(*known, strict=True)
    filled = list(own)
    for k, run in enumerate(session.used):
        minutes = minutes_of(run.time)
        if own[k] is None and minutes is not None and times[0] - _REACH <= minutes <= times[-1] + _REACH:
            filled[k] = float(np.interp(minutes, times, densities)), _HOUR
    return filled
