"""From which speed one axle overpowers the other, and at which speed an axle lifts off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

import numpy as np

from balance.decide.day.verdict import VerdictWord
from balance.handling.axle_loads import static_axle_weights
from balance.handling.decisive_surplus import surpluses
from balance.handling.onset import lift_off_pressure, onset_pressure
from balance.handling.rest_state import rest_state
from balance.model.channels import FRONT, REAR, front_rear_drag
from balance.reduce.air import dynamic_pressure as pressure_of
from balance.reduce.air import speed_at
from balance.reduce.car_figures import figures_of
from balance.reduce.draws import coverage_interval

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import Vehicle
    from balance.reduce.draws import SharedDraws

_Word = TypeVar("_Word", bound=str)
FASTEST = 150.0
"""Where the search for an onset with drive force ends. [m/s]"""
_PARTS, _ROUNDS = 16, 10  # a bracket is cut in so many parts, so often: to the last digit, in few calls


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Onsets:
    """Where the tolerance is passed, and where an axle leaves the ground; infinite where never. Speeds [m/s].

    ``speed`` is from air loads alone, with its interval. ``driven_speed`` is nominal, of the surplus that verdicts are
    judged on, where drive force has a part in it (rear or both axles driven), up to 150 m/s; else ``None``.
    """

    speed: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    verdict: tuple[VerdictWord, ...]
    driven_speed: NDArray[np.float64] | None
    driven_verdict: tuple[VerdictWord, ...]
    lift_off_speed: NDArray[np.float64]
    lift_off_front: NDArray[np.bool_]

    @property
    def class_reached(self) -> tuple[VerdictWord | None, ...]:
        """The class beyond ``speed``; nothing where it is never reached."""
        return _reached(self.speed, self.verdict)

    @property
    def driven_class_reached(self) -> tuple[VerdictWord | None, ...]:
        """The class beyond ``driven_speed``; nothing where it is never reached."""
        if self.driven_speed is None:
            return (None,) * len(self.speed)
        return _reached(self.driven_speed, self.driven_verdict)

    @property
    def lift_off_axle(self) -> tuple[str | None, ...]:
        """The axle that leaves the ground at ``lift_off_speed``; nothing where none does."""
        axles = tuple("front" if front else "rear" for front in self.lift_off_front)
        return _reached(self.lift_off_speed, axles)


def _reached(speeds: NDArray[np.float64], words: tuple[_Word, ...]) -> tuple[_Word | None, ...]:
    """Keep the words of those speeds that are reached."""
    return tuple(word if np.isfinite(speed) else None for speed, word in zip(speeds, words, strict=True))


def estimate_onsets(
    areas: NDArray[np.float64],
    draws: NDArray[np.float64] | None,
    air_density: float,
    vehicle: Vehicle,
    shared: SharedDraws,
    *,
    confidence: float = 0.95,
    set_up: Vehicle | None = None,
) -> Onsets:
    """Find from which speed one axle overpowers the other, and at which speed an axle lifts off.

    Parameters
    ----------
    areas : numpy.ndarray
        (3, n) area coefficients of front downforce, rear downforce, drag. [m^2]
    draws : numpy.ndarray or None
        (3, draws, n) of the same. [m^2]
    air_density : float
        Density of the air. [kg/m^3]
    vehicle : Vehicle
        The car. [1]
    shared : SharedDraws
        The car's draws. [1]
    confidence : float, optional
        Share of the draws inside an interval. [1]
    set_up : Vehicle, optional
        The car whose set-up this one has, where its weights were changed afterwards: outside the band already at
        rest is an onset of 0. [1]

    Returns
    -------
    Onsets
        Arrays of shape (n,); speeds are not cut at top speed and infinite where never reached. [1]

    Notes
    -----
    The edge is the one that the nominal surplus tends to; draws that never reach it count as infinite. From air
    loads alone: drive force has no part in it. As of `balance.handling.onset`.
    """
    front_weight, rear_weight = static_axle_weights(vehicle.mass, vehicle.front_share)
    kf, kr = areas[FRONT] / front_weight, areas[REAR] / rear_weight
    grip, target = vehicle.grip_exponent, vehicle.target
    toward_rear = grip.rear * kr > grip.front * kf
    own = float(rest_state(figures_of(vehicle, set_up)).grip_ratio)
    if own > 1.0 + target.rear_tolerance or own < 1.0 - target.front_tolerance:
        toward_rear = np.full(toward_rear.shape, own > 1.0)
    edge = np.where(toward_rear, target.rear_tolerance, -target.front_tolerance)
    speed = speed_at(
        _onset_from(kf, kr, edge, own, toward_rear, (grip.front, grip.rear)),
        air_density,
    )
    low = high = np.full(speed.shape, np.nan)
    if draws is not None:
        drawn_weights = static_axle_weights(shared.car.mass, shared.car.front_share)
        drawn_rest = rest_state(shared.car).grip_ratio
        drawn = _onset_from(
            draws[FRONT] / drawn_weights[FRONT],
            draws[REAR] / drawn_weights[REAR],
            edge,
            drawn_rest,
            toward_rear,
            shared.car.grip,
        )
        low, high = (speed_at(end, air_density) for end in coverage_interval(drawn, confidence))
    lift_off, front_first = lift_off_pressure(kf, kr)
    driven, driven_words = _driven_onset(areas, air_density, vehicle, set_up)
    return Onsets(
        speed=speed,
        low=low,
        high=high,
        verdict=tuple(
            VerdictWord.REAR_OVERPOWERS if rear else VerdictWord.FRONT_OVERPOWERS for rear in toward_rear
        ),
        driven_speed=driven,
        driven_verdict=driven_words,
        lift_off_speed=speed_at(lift_off, air_density),
        lift_off_front=front_first,
    )


def _onset_from(
    kf: NDArray[np.float64],
    kr: NDArray[np.float64],
    edge: NDArray[np.float64],
    at_rest: float | NDArray[np.float64],
    toward_rear: NDArray[np.bool_],
    grip: tuple[ArrayLike, ArrayLike],
) -> NDArray[np.float64]:
    """Find the onset of a car that may be out of balance at rest; 0 where it is beyond that edge already there."""
    left = (1.0 + edge) / at_rest - 1.0 if np.any(np.asarray(at_rest) != 1.0) else edge
    beyond = np.where(toward_rear, left <= 0.0, left >= 0.0)
    pressure = onset_pressure(kf, kr, left, front_exponent=grip[FRONT], rear_exponent=grip[REAR])
    return np.where(beyond, 0.0, pressure)


def _driven_onset(
    areas: NDArray[np.float64], air_density: float, vehicle: Vehicle, set_up: Vehicle | None
) -> tuple[NDArray[np.float64] | None, tuple[VerdictWord, ...]]:
    """Find where the surplus with drive force first leaves the band: bracketed on a grid, then cut ever finer."""
    if vehicle.driven not in ("rear", "both"):
        return None, ()
    target, car = vehicle.target, figures_of(vehicle, set_up)
    weights, grip_ratio = static_axle_weights(car.mass, car.front_share), rest_state(car).grip_ratio

    def outside(speed: NDArray[np.float64]) -> NDArray[np.float64]:
        front, rear, drag = front_rear_drag(areas[:, None] * pressure_of(speed, air_density))
        surplus = surpluses(
            front, rear, drag, car, driven_axle=vehicle.driven, weights=weights, grip_ratio=grip_ratio
        ).decisive
        return np.where(
            surplus > target.rear_tolerance, 1.0, np.where(surplus < -target.front_tolerance, -1.0, 0.0)
        )

    grid = np.linspace(2.0, FASTEST, 75)[:, None]
    sides = outside(grid)
    left = sides != 0.0
    first = np.argmax(left, axis=0)
    reached = left.any(axis=0)
    high = grid[first, 0]
    low = grid[np.maximum(first - 1, 0), 0]
    shares = np.arange(1, _PARTS)[:, None] / _PARTS
    for _ in range(_ROUNDS):
        width = (high - low) / _PARTS
        beyond = outside(low + shares * (high - low)) != 0.0
        inside = np.where(beyond.any(axis=0), np.argmax(beyond, axis=0), _PARTS - 1)
        low = low + inside * width
        high = np.where(beyond.any(axis=0), low + width, high)
    side = sides[first, np.arange(areas.shape[1])]
    words = tuple(VerdictWord.REAR_OVERPOWERS if s > 0 else VerdictWord.FRONT_OVERPOWERS for s in side)
    return np.where(reached, high, np.inf), words
