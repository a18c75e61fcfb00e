"""Where a measured part acts, what its mounts carry at top speed, and what the tyres carry there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.own_draws import Source, own_normals
from balance.handling.axle_loads import static_axle_weights
from balance.handling.part_force import place_of_action
from balance.handling.tyre_rating import tyre_capacity
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR, TOTAL, front_rear_drag
from balance.model.errors import InputError
from balance.model.records import HALF_95, std_of
from balance.reduce.air import dynamic_pressure
from balance.reduce.draws import coverage_interval

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.decide.car.prepared_day import PreparedDay
    from balance.model.records import TyreRating, Vehicle

    Array = NDArray[np.float64]

MISMATCH = 0.1
"""Share of the wheelbase beyond which a place outside its interval is called far from the mounting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPlace:
    """Where a part's measured change acts: distance behind the rear axle [m], negative ahead, at ``height`` [m].

    ``at_ground`` says that no mounting height was stated. ``mismatch`` says that it acts far from where it stands, so
    that it has changed the flow over the rest of the car; ``None`` where no place was stated or the scatter is unknown.
    ``unresolved`` names what keeps a place from being given.
    """

    run: str
    baseline: str
    behind_rear_axle: float | None
    low: float
    high: float
    height: float
    at_ground: bool
    mounted_at: float | None
    mismatch: bool | None
    unresolved: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MountLoad:
    """What a part's mounts carry at a speed: downforce, drag and both together [N], and the ratio to the tested load."""

    speed: float
    downforce: float
    drag: float
    together: float
    ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreLoad:
    """Load of one tyre of an axle, straight on at a speed [N]; ``capacity`` is nothing above the speed symbol's own."""

    axle: str
    load: float
    capacity: float | None
    load_index: int
    speed_symbol: str

    @property
    def exceeded(self) -> bool:
        """Whether the tyre carries more than it may, or runs faster."""
        return self.capacity is None or self.load > self.capacity


def part_place(
    prepared: PreparedDay, run: str, *, height: float | None = None, mounted_at: float | None = None
) -> PartPlace:
    """Find where a run's change against its baseline acts.

    The height is that of the mounting above the ground [m]; where neither it nor the car's file says it,
    ground level is taken, and said. ``mounted_at`` is behind the rear axle, negative ahead [m]. There is no
    place where total downforce or drag is not resolved. The interval is from the draws of both sides of the
    increment, and of the height where its uncertainty was stated.
    """
    row = _increment(prepared, run)
    changes = prepared.increments.uncorrected
    names = prepared.increments.pairs[row]
    stands = [one for one in prepared.day.session.vehicle.mountings if names.differs == (one.setting,)]
    height_std = mounted_std = 0.0
    if stands and height is None and mounted_at is None:
        height, mounted_at = stands[0].height, stands[0].behind_rear_axle
        said = stands[0].uncertainties
        height_std, mounted_std = (std_of(said.get(name)) for name in ("height", "behind_rear_axle"))
    labels = prepared.day.readings.labels
    unresolved = tuple(
        name for name, column in (("downforce", TOTAL), ("drag", DRAG)) if not changes.resolved[row, column]
    )
    wheelbase, at = prepared.day.session.vehicle.wheelbase, 0.0 if height is None else height
    place, low, high, mismatch = None, np.nan, np.nan, None
    if not unresolved:
        front, rear, drag = (float(changes.change[row, column]) for column in (FRONT, REAR, DRAG))
        place = float(place_of_action(front, rear, drag, height=at, wheelbase=wheelbase))
        drawn = prepared.drawn(changes.weights[row][None])
        if drawn is not None:
            up: ArrayLike = at
            if height_std > 0.0:
                normals = own_normals(prepared.shared, Source.MOUNTING, row, 1)
                up = at + height_std * normals.T
            ends = coverage_interval(
                place_of_action(*front_rear_drag(drawn), height=up, wheelbase=wheelbase),
                prepared.day.confidence,
            )
            low, high = float(ends[0][0]), float(ends[1][0])
        if mounted_at is not None and drawn is not None:
            far = abs(place - mounted_at) > MISMATCH * wheelbase
            room = HALF_95 * mounted_std
            mismatch = far and not low - room <= mounted_at <= high + room
    return PartPlace(
        run=labels[names.run],
        baseline=labels[names.baseline],
        behind_rear_axle=place,
        low=low,
        high=high,
        height=at,
        at_ground=height is None,
        mounted_at=mounted_at,
        mismatch=mismatch,
        unresolved=unresolved,
    )


def mount_load(prepared: PreparedDay, run: str, *, air_density: float | None = None) -> MountLoad | None:
    """Compute what a part's mounts carry at the car's top speed.

    Load grows with dynamic pressure; it is the part's change of the whole car, not the strain in a mount:
    gusts, kerbs and whoever leans on it are not in it. Nothing where the car states no top speed.
    """
    row = _increment(prepared, run)
    at = prepared.day.session.vehicle.top_speed
    if at is None:
        return None
    density = prepared.day.session.facility.air_density if air_density is None else air_density
    changes, readings = prepared.increments.uncorrected, prepared.day.readings
    pressure = float(dynamic_pressure(at, density))
    part = prepared.increments.pairs[row].run
    factor = pressure / changes.dynamic_pressure
    downforce, drag = (float(changes.change[row, column]) * factor for column in (TOTAL, DRAG))
    return MountLoad(
        speed=at,
        downforce=downforce,
        drag=drag,
        together=float(np.hypot(downforce, drag)),
        ratio=pressure / float(readings.dynamic_pressure[part]),
    )


def tyre_loads(areas: Array, vehicle: Vehicle, *, speed: float, air_density: float) -> tuple[TyreLoad, ...]:
    """Compare the load on each axle's tyres with what they may carry.

    Parameters
    ----------
    areas : numpy.ndarray
        (3,) front downforce, rear downforce, drag. [m^2]
    vehicle : Vehicle
        The car with its weights and tyres. [1]
    speed : float
        Speed, above 0. [m/s]
    air_density : float
        Density of the air. [kg/m^3]

    Returns
    -------
    tuple of TyreLoad
        For each axle whose tyres the vehicle file states. [N]

    Raises
    ------
    DomainError
        If a rating is unknown, or speed or density is not above 0.

    Notes
    -----
    Half the axle's load, straight on: the outer tyre in a bend, under braking or over a kerb carries far more.
    As of `balance.handling.tyre_rating`.
    """
    pressure = float(dynamic_pressure(speed, air_density))
    weights = static_axle_weights(vehicle.mass, vehicle.front_share)
    tyres: tuple[tuple[int, TyreRating | None], ...] = (
        (FRONT, vehicle.front_tyre),
        (REAR, vehicle.rear_tyre),
    )
    return tuple(
        TyreLoad(
            axle=CHANNELS[axle],
            load=(weights[axle] + float(areas[axle]) * pressure) / 2.0,
            capacity=tyre_capacity(rating, speed),
            load_index=rating.load_index,
            speed_symbol=rating.speed_symbol,
        )
        for axle, rating in tyres
        if rating is not None
    )


def _increment(prepared: PreparedDay, run: str) -> int:
    """Find the increment of a run."""
    row = prepared.row(run)
    for k, pair in enumerate(prepared.increments.pairs):
        if pair.run == row:
            return k
    raise InputError(f"run '{run}': found no baseline, expected one that it is compared with")
