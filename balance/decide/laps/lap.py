"""A lap in quasi-steady steps, over all configurations at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.forces import SLOWEST, Forces, Ground, forces_of, ground
from balance.decide.laps.lap_car import LapCar, lap_car
from balance.decide.laps.stations import USUAL_STEP, Stations, stations_of
from balance.decide.laps.steady import corner_speeds, top_speeds
from balance.model.channels import front_rear_drag
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import Vehicle
    from balance.model.tracks import Track

    Array = NDArray[np.float64]

_LAPS = 40
"""How often a closed lap may be run through until its start agrees with its end."""
_AGREE = 1e-8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lap:
    """A simulated lap of every configuration; ``...`` is the shape of the areas.

    Attributes
    ----------
    track, stations, car, forces
        What was lapped, and with what.
    areas : numpy.ndarray
        (3, ...) front downforce, rear downforce and drag area. [m^2]
    air_density : numpy.ndarray
        (...,) of the air. [kg/m^3]
    time : numpy.ndarray
        (...,) of the lap; not a number where the car does not get round. [s]
    speed : numpy.ndarray
        (..., stations). [m/s]
    driven_limit : numpy.ndarray
        (..., stations) highest steady speed with the drive that it takes; infinite where nothing limits it. [m/s]
    stopped_at : numpy.ndarray
        (...,) where the car gets stuck; not a number where it gets round. [m]
    """

    track: Track
    stations: Stations
    car: LapCar
    forces: Forces
    areas: Array
    air_density: Array
    time: Array
    speed: Array
    driven_limit: Array
    stopped_at: Array

    def __post_init__(self) -> None:
        for one in (self.time, self.speed, self.driven_limit, self.stopped_at):
            one.setflags(write=False)

    @property
    def distance(self) -> Array:
        """Where the stations are, (stations,) [m]."""
        return self.stations.distance

    @property
    def elapsed(self) -> Array:
        """Time from the start of the lap to each station, (..., stations) [s]."""
        steps = 2.0 * self.stations.step / (self.speed[..., 1:] + self.speed[..., :-1])
        return np.concatenate([np.zeros((*steps.shape[:-1], 1)), np.cumsum(steps, axis=-1)], axis=-1)


def simulate_lap(
    track: Track,
    car: LapCar | Vehicle,
    *,
    front_area: ArrayLike,
    rear_area: ArrayLike,
    drag_area: ArrayLike,
    air_density: ArrayLike | None = None,
    step: float = USUAL_STEP,
    entry_speed: float | None = None,
) -> Lap:
    """Simulate a lap in quasi-steady steps.

    Parameters
    ----------
    track : Track
        The track. [1]
    car : LapCar or Vehicle
        The car; one of whose friction or power nothing is known has no lap. Its figures may be arrays. [1]
    front_area, rear_area, drag_area : array_like
        Downforce areas of the axles, positive down, and drag area, of shapes that broadcast together. [m^2]
    air_density : array_like, optional
        Density of the air; that of the track's file if absent. [kg/m^3]
    step : float, optional
        Length from one station to the next, at most. [m]
    entry_speed : float, optional
        Speed at the start of an open track; it is begun as slowly as a car can if absent. [m/s]

    Returns
    -------
    Lap
        Times, speeds and limits, shaped as the areas broadcast together. [1]

    Raises
    ------
    DomainError
        If an area is not finite, the density not above 0 or unknown, or the entry speed not above 0.
    InputError
        If the car has no friction or no power.

    Notes
    -----
    Loads ``F = W cos b cos c + m u k sin b + A q``, limit of an axle ``mu0 g (F/W)^p``, of the car the lower of the
    two. The backward pass brakes into every corner, capped by the limit without drive; the forward pass drives out
    of it, capped by the backward pass and, once the car has slowed to it, by the limit with the drive that holds
    the speed. Each step goes by its middle. Time is ``sum 2 ds / (v1 + v2)``. A closed lap is run through again
    until start and end agree. No driver, no tyre heat, no kerbs, nothing transient: differences between
    configurations are better known than the lap itself.

    References
    ----------
    Common practice, no source, for quasi-steady laps; `balance.handling.axle_grip` for the limits.

    Examples
    --------
    >>> from balance.decide.laps.lap_car import LapCar
    >>> from balance.model.tracks import track_of_segments
    >>> oval = track_of_segments("oval", [800.0, 314.159, 800.0, 314.159], [0.0, 0.01, 0.0, 0.01])
    >>> car = LapCar(mass=620.0, front_share=0.45, friction=1.0, front_exponent=1.0, rear_exponent=1.0,
    ...              power=550e3, driven="both", wheelbase=2.8, rolling_resistance=0.0)
    >>> lap = simulate_lap(oval, car, front_area=1.58, rear_area=1.93, drag_area=1.175, air_density=1.225)
    >>> round(float(lap.time), 1)
    38.5
    """
    known = car if isinstance(car, LapCar) else lap_car(car)
    density = track.air_density if air_density is None else air_density
    if density is None or not np.all((np.asarray(density) > 0.0) & np.isfinite(density)):
        raise DomainError(
            f"air density: found {density}, expected above 0 kg/m³: state it for the day or the track"
        )
    if entry_speed is not None and not entry_speed >= SLOWEST:
        raise DomainError(f"entry speed: found {entry_speed:g} m/s, expected at least {SLOWEST:g}")
    given = {"front area": front_area, "rear area": rear_area, "drag area": drag_area}
    for name, value in given.items():
        one = np.asarray(value, float)
        if not np.all(np.isfinite(one)):
            raise DomainError(f"{name}: found {one[~np.isfinite(one)].flat[0]:g} m², expected a finite one")
    areas = np.stack(np.broadcast_arrays(*(np.asarray(one, float) for one in given.values())))
    stations = stations_of(track, step=step)
    forces = forces_of(known, areas, density)
    with_drive, without = _caps(stations, forces)
    u = _passes(stations, forces, with_drive, without, entry_speed)
    speed = np.sqrt(u)
    with np.errstate(invalid="ignore"):
        time = np.sum(2.0 * stations.step[:, None] / (speed[1:] + speed[:-1]), axis=0)
    stuck = u <= SLOWEST**2 * (1.0 + 1e-9)
    if not track.closed:
        stuck[0] = without[0] <= 0.0  # an open track is begun at rest
    stops = np.any(stuck, axis=0)
    where = np.where(stops, stations.distance[np.argmax(stuck, axis=0)], np.nan)
    shape = forces.shape
    return Lap(
        track=track,
        stations=stations,
        car=known,
        forces=forces,
        areas=np.broadcast_to(
            areas.reshape(len(areas), *(1,) * (len(shape) + 1 - areas.ndim), *areas.shape[1:]),
            (len(areas), *shape),
        ),
        air_density=np.broadcast_to(np.asarray(density, float), shape),
        time=np.where(stops, np.nan, time).reshape(shape),
        speed=np.ascontiguousarray(speed.T).reshape(*shape, -1),
        driven_limit=np.sqrt(with_drive).T.reshape(*shape, -1),
        stopped_at=where.reshape(shape),
    )


def lap_of_areas(track: Track, car: LapCar, areas: Array, *, air_density: ArrayLike) -> Lap:
    """Simulate a lap of areas that stand in one array.

    Parameters
    ----------
    track : Track
        The track. [1]
    car : LapCar
        The car. [1]
    areas : numpy.ndarray
        (3, ...): front downforce, rear downforce and drag area. [m^2]
    air_density : array_like
        Density of the air, one number or one a configuration. [kg/m^3]

    Returns
    -------
    Lap
        Of the shape of the areas without their first axis. [1]

    Notes
    -----
    As `simulate_lap`.

    References
    ----------
    As `simulate_lap`.
    """
    front, rear, drag = front_rear_drag(areas)
    return simulate_lap(track, car, front_area=front, rear_area=rear, drag_area=drag, air_density=air_density)


def stuck(track: Track, where: float) -> DomainError:
    """Return what is raised of a car that does not get round a track."""
    return DomainError(
        f"lap of {track.name}: found a car that does not get past {where:,.0f} m, expected one that does"
    )


def _caps(stations: Stations, forces: Forces) -> tuple[Array, Array]:
    """Give the highest steady u at every station, with drive and without: the lower of what ends and begins there."""
    rows = np.concatenate([stations.begin, stations.end])
    distinct, place = np.unique(rows, axis=0, return_inverse=True)
    caps = []
    for driving in (True, False):
        found = corner_speeds(forces, distinct, driving=driving)[place.reshape(-1)]
        begin, end = found[: stations.cells], found[stations.cells :]
        at = np.full((stations.cells + 1, found.shape[1]), np.inf)
        at[:-1] = begin
        at[1:] = np.minimum(at[1:], end)
        if stations.track.closed:
            at[0] = at[-1] = np.minimum(at[0], at[-1])
        caps.append(at)
    return caps[0], caps[1]


def _passes(
    stations: Stations, forces: Forces, with_drive: Array, without: Array, entry_speed: float | None
) -> Array:
    """Brake backward from the slowest station, drive forward from it; a closed lap until its ends agree."""
    cells, closed = stations.cells, stations.track.closed
    slowest = int(np.argmin(np.where(np.isfinite(without), without, 1e9).mean(axis=1)[:-1])) if closed else 0
    order = [(slowest + k) % cells for k in range(cells)]
    on = [Ground(*one) for one in zip(*(part.tolist() for part in ground(stations.middle)), strict=True)]  # type: ignore[union-attr]  # arrays
    doubled = (2.0 * stations.step).tolist()
    entry = entry_speed or SLOWEST
    highest = np.square(np.maximum(top_speeds(forces, min(float(stations.middle[:, 2].min()), 0.0)), entry))
    brakes = _braked_into(forces, without, highest, order, on, doubled, closed=closed)
    limit = np.maximum(with_drive, SLOWEST**2)
    start = np.minimum(brakes[slowest], limit[slowest] if closed else entry**2)
    return _driven_out(forces, start, brakes, limit, order, on, doubled, closed=closed)


def _braked_into(
    forces: Forces,
    without: Array,
    highest: Array,
    order: Sequence[int],
    on: Sequence[Ground],
    doubled: Sequence[float],
    *,
    closed: bool,
) -> Array:
    """Find the greatest u at every station from which the corners ahead can still be braked into."""
    floor = SLOWEST**2
    brakes = np.minimum(np.maximum(without, floor), highest)
    here = brakes[order[0]].copy() if closed else brakes[-1].copy()
    for lap in range(_LAPS if closed else 1):
        for k in reversed(order):
            before = brakes[k]
            if on[k].plain and np.all(here >= highest):
                continue  # nothing ahead is worth braking for
            middle = np.maximum(here + 0.5 * doubled[k] * forces.loss(here, on[k]), floor)
            here = np.minimum(np.maximum(here + doubled[k] * forces.loss(middle, on[k]), floor), before)
            if lap and np.all(before - here <= _AGREE * before):
                return brakes
            brakes[k] = here
            if closed and k == 0:
                brakes[-1] = here
    return brakes


def _driven_out(
    forces: Forces,
    start: Array,
    brakes: Array,
    limit: Array,
    order: Sequence[int],
    on: Sequence[Ground],
    doubled: Sequence[float],
    *,
    closed: bool,
) -> Array:
    """Drive from station to station, as fast as engine, tyres and the corners ahead let the car."""
    floor, cells = SLOWEST**2, len(on)
    u = np.empty_like(brakes)
    here = start
    u[order[0]] = here
    for lap in range(_LAPS if closed else 1):
        for k in order:
            coasting = here - doubled[k] * forces.resistance(here, on[k])
            there = brakes[k + 1]
            if np.any(coasting < there):  # else the brakes are on, whatever the engine can do
                most = np.maximum(
                    limit[k + 1], coasting
                )  # never a middle beyond what holds: it would be answered by coasting
                nearly = np.maximum(
                    np.minimum(here + 0.5 * doubled[k] * forces.gain(here, on[k]), most), floor
                )
                driven = np.minimum(here + doubled[k] * forces.gain(nearly, on[k]), limit[k + 1])
                there = np.minimum(np.maximum(driven, coasting), there)
            here = np.maximum(there, floor)
            if lap and np.all(np.abs(here - u[k + 1]) <= _AGREE * here):
                return u
            u[k + 1] = here
            if closed and k + 1 == cells:
                u[0] = here
    return u
