"""What pushes, holds and slows a car at a station, over all configurations at once; in u, the square of the speed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.handling.axle_grip import axle_grip, grip_beside
from balance.handling.axle_loads import STANDARD_GRAVITY as G
from balance.model.channels import FRONT, REAR, front_rear_drag

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.decide.laps.lap_car import LapCar
    from balance.model.records import Driven

    Array = NDArray[np.float64]
    Figure = Array | float

FASTEST = 150.0
"""No car is faster; the top speed of one that no drag holds back. [m/s]"""
SLOWEST = 0.5
"""A car that gets slower than this does not get round. [m/s]"""


class Ground(NamedTuple):
    """The ground under a car, one number or an array each.

    ``turn`` is the curvature, not negative [1/m]; the others are made of bank b and slope c: cos b cos c, sin b,
    cos b, sin c.
    """

    turn: Figure
    hold: Figure
    lean: Figure
    across: Figure
    climb: Figure

    @property
    def plain(self) -> bool:
        """Whether nothing pushes the car across: straight, and level across."""
        return isinstance(self.turn, float) and self.turn == 0.0 and self.lean == 0.0


LEVEL = Ground(turn=0.0, hold=1.0, lean=0.0, across=1.0, climb=0.0)
"""Straight and level."""


def ground(rows: Array) -> Ground:
    """Make the ground of rows of curvature, bank and slope.

    Parameters
    ----------
    rows : numpy.ndarray
        (..., 3) curvature in 1/m, bank and slope in radians. [1]

    Returns
    -------
    Ground
        With the sines and cosines. [1]

    Notes
    -----
    Bank is positive where it leans into the corner, slope uphill.

    References
    ----------
    Common practice, no source.
    """
    turn, bank, slope = np.moveaxis(rows, -1, 0)
    return Ground(turn, np.cos(bank) * np.cos(slope), np.sin(bank), np.cos(bank), np.sin(slope))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Forces:
    """A car's figures prepared for a lap, (configurations,) or one number each; forces are per mass of the car [m/s²].

    ``front_gain`` and ``rear_gain`` are the added load of the axles per u, ``drag`` is the drag per u, ``rolling``
    the rolling resistance. ``transfer`` is what one m/s² along the car moves off the front axle and onto the rear,
    each over its static weight.
    """

    shape: tuple[int, ...]
    front_gain: Array
    rear_gain: Array
    drag: Array
    rolling: Figure
    friction: Figure
    exponents: tuple[Figure, Figure]
    front_share: Figure
    power: Figure
    power_curve: Array | None
    driven: Driven
    transfer: tuple[Figure, Figure] | None
    brake_front_share: float | None
    traction: bool

    def ratios(self, u: Array, on: Ground) -> tuple[Array, Array]:
        """Give the load of each axle over its static weight, without what braking and driving move."""
        thrown = on.turn * on.lean / G
        return on.hold + u * (self.front_gain + thrown), on.hold + u * (self.rear_gain + thrown)

    def grip(self, axle: int, ratio: Array) -> Array:
        """Give what an axle can do, per its own mass."""
        return axle_grip(ratio, friction=self.friction, exponent=self.exponents[axle])

    def resistance(self, u: Array, on: Ground) -> Array:
        """Give what slows the car by itself."""
        return self.drag * u + (self.rolling * on.hold + G * on.climb)

    def pushed(self, u: Array) -> Array:
        """Give what the engine can push with, were the tyres to take it."""
        speed = np.sqrt(u)
        if self.power_curve is None:
            return self.power / speed
        return np.asarray(self.power * np.interp(speed, *self.power_curve) / speed)

    def across(self, u: Array, on: Ground) -> Array | None:
        """Give the lateral acceleration that the tyres hold; nothing where there is none."""
        return None if on.plain else np.abs(u * (on.turn * on.across) - G * on.lean)

    def drive_left(self, ratios: tuple[Array, Array], across: Array | None) -> Array:
        """Give what the driven tyres can push with beside a lateral acceleration."""
        if self.driven != "both":
            axle = FRONT if self.driven == "front" else REAR
            share = self.front_share if axle == FRONT else 1.0 - self.front_share
            grip = self.grip(axle, ratios[axle])
            return np.asarray(share * (grip if across is None else grip_beside(grip, across)))
        lefts = []
        for axle in (FRONT, REAR):
            grip = self.grip(axle, ratios[axle])
            left = grip if across is None else grip_beside(grip, across)
            with np.errstate(divide="ignore", invalid="ignore"):
                lefts.append(left / ratios[axle])
        load = self.front_share * ratios[FRONT] + (1.0 - self.front_share) * ratios[REAR]
        return np.asarray(np.fmin(lefts[FRONT], lefts[REAR]) * load)

    def lateral_limits(self, u: Array, on: Ground, *, driving: bool) -> tuple[Array, Array]:
        """Give the lateral acceleration at which each axle gives up, with the drive that holds the speed or without."""
        ratios = self.ratios(u, on)
        front, rear = self.grip(FRONT, ratios[FRONT]), self.grip(REAR, ratios[REAR])
        if not driving:
            return front, rear
        push = np.maximum(self.resistance(u, on), 0.0)
        if self.driven == "both":
            load = self.front_share * ratios[FRONT] + (1.0 - self.front_share) * ratios[REAR]
            with np.errstate(divide="ignore", invalid="ignore"):
                return (
                    grip_beside(front, push * ratios[FRONT] / load),
                    grip_beside(rear, push * ratios[REAR] / load),
                )
        if self.driven == "front":
            return grip_beside(front, push / self.front_share), rear
        return front, grip_beside(rear, push / (1.0 - self.front_share))

    def spare(self, u: Array, on: Ground, *, driving: bool) -> Array:
        """Give what the weaker axle has left across at a steady speed; negative where the corner cannot be held."""
        front, rear = self.lateral_limits(u, on, driving=driving)
        return np.asarray(np.minimum(front, rear) - (u * (on.turn * on.across) - G * on.lean))

    def gain(self, u: Array, on: Ground) -> Array:
        """Give the acceleration along the line with the throttle open."""
        push, slowed = self.pushed(u), self.resistance(u, on)
        if not self.traction:
            return push - slowed
        ratios, across = self.ratios(u, on), self.across(u, on)
        net = np.minimum(push, self.drive_left(ratios, across)) - slowed
        if self.transfer is None:
            return np.asarray(net)
        moved = np.minimum(push, self.drive_left(self.moved(ratios, net), across)) - slowed
        # Who only holds the speed moves no load: what moving takes from the other axle never slows the car.
        return np.where(net > 0.0, _settled(net, moved), np.maximum(moved, net))

    def loss(self, u: Array, on: Ground) -> Array:
        """Give how fast the car can slow down along the line, positive."""
        ratios, across = self.ratios(u, on), self.across(u, on)
        slowed = self.resistance(u, on)
        lost = self.braked(ratios, across) + slowed
        if self.transfer is None:
            return np.asarray(lost)
        return _settled(lost, self.braked(self.moved(ratios, -lost), across) + slowed)

    def braked(self, ratios: tuple[Array, Array], across: Array | None) -> Array:
        """Give what the brakes can do: all tyres, as far as the car's lateral limit leaves."""
        grips = self.grip(FRONT, ratios[FRONT]), self.grip(REAR, ratios[REAR])
        front, rear = self.front_share * grips[FRONT], (1.0 - self.front_share) * grips[REAR]
        if self.brake_front_share is None:
            whole = front + rear
        else:
            share = self.brake_front_share
            whole = np.minimum(front / max(share, 1e-9), rear / max(1.0 - share, 1e-9))
        if across is None:
            return np.asarray(whole)
        least = np.minimum(grips[FRONT], grips[REAR])
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(np.where(least > across, whole / least * grip_beside(least, across), 0.0))

    def moved(self, ratios: tuple[Array, Array], along: Array) -> tuple[Array, Array]:
        """Move load between the axles for an acceleration along the car."""
        front, rear = self.transfer or (0.0, 0.0)
        return ratios[FRONT] - front * along, ratios[REAR] + rear * along


def _settled(unmoved: Array, moved: Array) -> Array:
    """Give the acceleration that agrees with the load it moves, from that of no load moved and that of its load moved.

    Where moving helps, one step is enough. Where it takes grip away, a whole step goes too far, so that a car with more
    grip would be slower: there the secant through both is followed to where it answers itself.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(
            (moved < unmoved) & (unmoved > 0.0), unmoved * unmoved / (2.0 * unmoved - moved), moved
        )


def forces_of(car: LapCar, areas: Array, air_density: ArrayLike) -> Forces:
    """Prepare a car and its areas for a lap.

    Parameters
    ----------
    car : LapCar
        The car, one number or one a configuration each. [1]
    areas : numpy.ndarray
        (3, ...) front downforce, rear downforce and drag area of the configurations. [m^2]
    air_density : array_like
        Density of the air. [kg/m^3]

    Returns
    -------
    Forces
        Flat over the configurations; ``shape`` is that of the answer. [1]

    Notes
    -----
    What is the same for every configuration stays one number.

    References
    ----------
    `balance.handling.axle_grip` for grip; common practice, no source, for load moved: ``m a h / L``.
    """
    given = (
        car.mass,
        car.front_share,
        car.friction,
        car.front_exponent,
        car.rear_exponent,
        car.power,
        car.losses,
    )
    figures = [np.asarray(one, float) for one in (*given, car.rolling_resistance)]
    mass, share, friction, front_exponent, rear_exponent, power, losses, rolling = figures
    front, rear, drag = front_rear_drag(np.asarray(areas, float))
    half = np.asarray(air_density, float) / 2.0
    shape = np.broadcast_shapes(*(one.shape for one in (front, rear, drag, half, *figures)))
    count = int(np.prod(shape))

    def flat(values: Array) -> Figure:
        return float(values) if values.ndim == 0 else np.broadcast_to(values, shape).reshape(count)

    weight = mass * G
    transfer = None
    if car.cg_height is not None:
        lever = car.cg_height / (car.wheelbase * G)
        transfer = flat(lever / share), flat(lever / (1.0 - share))
    curve = None if car.power_curve is None else np.array(car.power_curve, float).T
    return Forces(
        shape=shape,
        front_gain=np.broadcast_to(front * half / (weight * share), shape).reshape(count),
        rear_gain=np.broadcast_to(rear * half / (weight * (1.0 - share)), shape).reshape(count),
        drag=np.broadcast_to(drag * half / mass, shape).reshape(count),
        rolling=flat(rolling * G),
        friction=flat(friction),
        exponents=(flat(front_exponent), flat(rear_exponent)),
        front_share=flat(share),
        power=flat(power * (1.0 - losses) / mass),
        power_curve=curve,
        driven=car.driven,
        transfer=transfer,
        brake_front_share=car.brake_front_share,
        traction=car.traction,
    )
