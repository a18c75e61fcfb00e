"""How much ballast, added at an axle line or moved from one to the other, brings a car to a grip surplus."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from balance.handling.decisive_surplus import surpluses
from balance.handling.rest_state import rest_state, weights_with
from balance.model.records import PlacedMass
from balance.reduce.car_figures import figures_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.model.records import Vehicle

MOST_BALLAST = 60.0
"""More than this is no trim; common practice, no source. [kg]"""
_STEP = 2.5  # looked at for a change of sign; then halved
_HALVINGS = 40


class Ballast(NamedTuple):
    """Mass [kg] that is added at an axle line, or moved to it from the other."""

    mass: float
    axle: Literal["front", "rear"]
    moved: bool


def find_ballast(
    vehicle: Vehicle, front: float, rear: float, drag: float, surplus: float
) -> Iterator[tuple[Ballast, Vehicle]]:
    """Find the least ballast of each kind that meets a grip surplus.

    Forces are those at the speed asked for [N]; at most 60 kg is added or moved. The set-up stays as it is,
    so that weight itself shifts the balance, at rest too. A mass at an axle line rests on that axle alone.
    """
    of_front, of_rear, of_drag = (np.array([load]) for load in (front, rear, drag))

    def miss(ballast: Ballast) -> float:
        changed = _with(vehicle, ballast)
        if changed is None:
            return np.nan
        figures = figures_of(changed, vehicle)
        (found,) = surpluses(
            of_front,
            of_rear,
            of_drag,
            figures,
            driven_axle=vehicle.driven,
            grip_ratio=rest_state(figures).grip_ratio,
        ).decisive
        return float(found) - surplus

    for axle in ("front", "rear"):
        for moved in (False, True):
            steps = np.arange(0.0, MOST_BALLAST + _STEP / 2.0, _STEP)
            far = [miss(Ballast(mass, axle, moved)) for mass in steps.tolist()]
            crossing = next((k for k in range(1, len(far)) if far[k - 1] * far[k] <= 0.0), None)
            if crossing is None or far[0] == 0.0:
                continue
            low, high = float(steps[crossing - 1]), float(steps[crossing])
            for _ in range(_HALVINGS):
                middle = (low + high) / 2.0
                low, high = (
                    (low, middle)
                    if far[crossing - 1] * miss(Ballast(middle, axle, moved)) <= 0.0
                    else (middle, high)
                )
            ballast = Ballast(high, axle, moved)
            changed = _with(vehicle, ballast)
            if changed is not None:
                yield ballast, changed


def placed(ballast: Ballast, wheelbase: float) -> tuple[PlacedMass, ...]:
    """Return ballast as masses placed at the axle lines.

    What is moved is taken out where it was. Nothing is said of heights: they have no part in the balance
    here.
    """
    lines = {"front": 0.0, "rear": wheelbase}
    put = PlacedMass(name="ballast", mass=ballast.mass, behind_front_axle=lines[ballast.axle])
    if not ballast.moved:
        return (put,)
    other = "rear" if ballast.axle == "front" else "front"
    return put, PlacedMass(name="ballast", mass=-ballast.mass, behind_front_axle=lines[other])


def _with(vehicle: Vehicle, ballast: Ballast) -> Vehicle | None:
    """Return the car with ballast; nothing where an axle would be left without weight."""
    masses = placed(ballast, vehicle.wheelbase)
    mass, share = weights_with(vehicle.mass, vehicle.front_share, masses, vehicle.wheelbase)
    return replace(vehicle, mass=mass, front_share=share, corners=None) if 0.0 < share < 1.0 else None
