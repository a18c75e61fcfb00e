"""What a lap needs to know of a car."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.handling.top_speed import ROLLING_RESISTANCE
from balance.model.errors import DomainError, InputError
from balance.model.records import HALF_95
from balance.reduce.stated_draws import FRICTION_STD

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import ArrayLike

    from balance.model.records import Driven, Vehicle

ASSUMED_LOSSES = 0.12
"""Share of the engine's power that is lost on its way to the wheels; a typical value, no source. [1]"""
POWER_STD = 0.025
"""Standard uncertainty of a power of which nothing else is said, as a part of it; no source. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LapCar:
    """A car in a lap: one number each, or one a configuration or draw, of the shape of the areas it is lapped with.

    Attributes
    ----------
    mass : array_like
        As it runs. [kg]
    front_share : array_like
        Of the static weight. [1]
    friction : array_like
        Of the tyres at the static load. [1]
    front_exponent, rear_exponent : array_like
        Load exponents of grip. [1]
    power : array_like
        Of the engine; the greatest where ``power_curve`` gives its shape. [W]
    driven : {'front', 'rear', 'both'}
        Which tyres push.
    losses : array_like
        Share of the power that is lost on its way. [1]
    power_curve : tuple of tuple, optional
        Speed [m/s] and share of ``power`` there [1], evenly changing between and held beyond; none: the same
        everywhere.
    rolling_resistance : array_like
        As a share of the weight. [1]
    wheelbase, cg_height : float
        For the load that braking and driving move between the axles; without a height none is moved. [m]
    brake_front_share : float, optional
        Share of the brake force at the front; none: as each axle can take it. [1]
    traction : bool
        Whether the tyres limit what the engine can push with.
    assumed : tuple of str
        What nobody stated, in words.
    """

    mass: ArrayLike
    front_share: ArrayLike
    friction: ArrayLike
    front_exponent: ArrayLike
    rear_exponent: ArrayLike
    power: ArrayLike
    driven: Driven
    wheelbase: float
    losses: ArrayLike = 0.0
    power_curve: tuple[tuple[float, float], ...] | None = None
    rolling_resistance: ArrayLike = ROLLING_RESISTANCE
    cg_height: float | None = None
    brake_front_share: float | None = None
    traction: bool = True
    assumed: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name, low, high in _CREDIBLE:
            value = np.asarray(getattr(self, name), float)
            if np.any(wrong := ~((value > low) & (value < high))):
                raise DomainError(f"{name}: found {value[wrong].flat[0]:g}, expected {low:g} to {high:g}")

    def with_figures(self, figures: Mapping[str, ArrayLike]) -> LapCar:
        """Return the same car with other figures, by the names of its attributes: one number, or one a draw each."""
        changed: dict[str, Any] = dict(figures)
        return replace(self, **changed)


_CREDIBLE = (
    ("mass", 0.0, np.inf),
    ("front_share", 0.0, 1.0),
    ("friction", 0.0, 10.0),
    ("front_exponent", 0.0, 1.5),
    ("rear_exponent", 0.0, 1.5),
    ("power", 0.0, np.inf),
    ("wheelbase", 0.0, np.inf),
    ("losses", -1e-9, 1.0),
    ("rolling_resistance", -1e-9, 0.5),
)
"""Open ranges of what makes a car that can be lapped."""


def lap_car(vehicle: Vehicle) -> LapCar:
    """Make what a lap needs of a car.

    Nothing is assumed of friction and power, because the lap hangs on them; a log can fit both.
    """
    missing = []
    if vehicle.friction is None:
        missing.append('[tyres] friction = "1.15 ± 0.05"')
    if vehicle.power is None and not vehicle.power_curve:
        missing.append('[drive] power = "230 kW"')
    if vehicle.friction is None or missing:
        raise InputError(
            f"a lap of {vehicle.name}: found no {' and no '.join(missing)}, expected both friction and power; "
            "state them in vehicle.toml, or fit them from a log that was driven with a known configuration: axletrim "
            "track fit"
        )
    said = vehicle.uncertainties
    assumed = {
        f"friction is known within ±{100 * HALF_95 * FRICTION_STD:.0f} %": "tyres.friction" not in said,
        f"power is known within ±{100 * HALF_95 * POWER_STD:.0f} %": "drive.power" not in said,
        f"{100 * ASSUMED_LOSSES:g} % of the power is lost on its way to the wheels": vehicle.losses is None,
        f"rolling resistance is {100 * ROLLING_RESISTANCE:g} % of the weight": vehicle.rolling_resistance
        is None,
        "both axles are driven": vehicle.driven is None,
        "braking and driving move no load between the axles: the height of the mass is not stated": vehicle.cg_height
        is None,
        "the brakes use what each axle can take": vehicle.brake_front_share is None,
        f"grip grows with load to the power {vehicle.grip_exponent.front:g}": vehicle.grip_exponent.assumed,
    }
    power, curve = vehicle.power, None
    if vehicle.power_curve:
        power = max(watts for _, watts in vehicle.power_curve)
        curve = tuple((speed, watts / power) for speed, watts in vehicle.power_curve)
    rolling = vehicle.rolling_resistance
    return LapCar(
        mass=vehicle.mass,
        front_share=vehicle.front_share,
        friction=vehicle.friction,
        front_exponent=vehicle.grip_exponent.front,
        rear_exponent=vehicle.grip_exponent.rear,
        power=power or 0.0,
        driven=vehicle.driven or "both",
        wheelbase=vehicle.wheelbase,
        losses=ASSUMED_LOSSES if vehicle.losses is None else vehicle.losses,
        power_curve=curve,
        rolling_resistance=ROLLING_RESISTANCE if rolling is None else rolling,
        cg_height=vehicle.cg_height,
        brake_front_share=vehicle.brake_front_share,
        assumed=tuple(words for words, holds in assumed.items() if holds),
    )
