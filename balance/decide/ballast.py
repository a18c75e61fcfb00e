"""How much ballast, added at an axle line or moved from one to the other, brings a car to a grip surplus."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from balance.handling.decisive_surplus import surpluses
from balance.handling.rest_state import rest_state, weights_with
from balance.records import PlacedMass

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.records import Vehicle

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

    Parameters
    ----------
    vehicle : Vehicle
        The car as it is. [1]
    front, rear, drag : float
        Downforce of the axles and drag at the speed asked for. [N]
    surplus : float
        Grip surplus aimed at. [1]

    Yields
    ------
    tuple of (Ballast, Vehicle)
        What is added or moved, at most 60 kg, and the car then. [1]

    Notes
    -----
    The set-up stays as it is, so that weight itself shifts the balance, at rest too. A mass at an axle line rests on
    that axle alone.

    References
    ----------
    `balance.handling.rest_state`.
    """
    grip = (vehicle.grip_exponent.front, vehicle.grip_exponent.rear)
    stiffness = (vehicle.stiffness_exponent.front, vehicle.stiffness_exponent.rear)
    of_front, of_rear, of_drag = (np.array([load]) for load in (front, rear, drag))

    def miss(ballast: Ballast) -> float:
        changed = _with(vehicle, ballast)
        if changed is None:
            return np.nan
        at_rest = rest_state(changed, vehicle, stiffness=stiffness, grip=grip).grip_ratio
        (found,) = surpluses(of_front, of_rear, of_drag, changed, grip=grip, grip_ratio=at_rest).decisive
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


def _with(vehicle: Vehicle, ballast: Ballast) -> Vehicle | None:
    """Return the car with ballast; nothing where an axle would be left without weight."""
    lines = {"front": 0.0, "rear": vehicle.wheelbase}
    other = "rear" if ballast.axle == "front" else "front"
    masses = [PlacedMass(name="ballast", mass=ballast.mass, behind_front_axle=lines[ballast.axle])]
    if ballast.moved:
        masses.append(PlacedMass(name="ballast", mass=-ballast.mass, behind_front_axle=lines[other]))
    mass, share = weights_with(vehicle.mass, vehicle.front_share, masses, vehicle.wheelbase)
    return replace(vehicle, mass=mass, front_share=share, corners=None) if 0.0 < share < 1.0 else None
