"""The car and the conditions of a what-if: weights, exponents, target, air and speed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.changed_car import Assumption
from balance.errors import DomainError, UnknownName
from balance.handling.rest_state import weights_with
from balance.records import LoadExponent
from balance.reduce.standard_atmosphere import density_of

if TYPE_CHECKING:
    from balance.records import Vehicle
    from balance.reduce.draws import SharedDraws
    from balance.what_ifs import WhatIf


def conditions_of(
    what_if: WhatIf, speed: float, air_density: float
) -> tuple[float, float, tuple[Assumption, ...]]:
    """Give the speed and density of a what-if's result.

    Parameters
    ----------
    what_if : WhatIf
        Perhaps with speed and air of its own. [1]
    speed : float
        Speed where it has none. [m/s]
    air_density : float
        Density where it has no air. [kg/m^3]

    Returns
    -------
    tuple of (float, float, tuple of Assumption)
        Speed [m/s], density [kg/m^3], and what was assumed. [1]

    Raises
    ------
    DomainError
        If the speed is not above 0 and below 1000 m/s, or the air is no weather.

    Notes
    -----
    Air as of `balance.reduce.standard_atmosphere.density_of`.

    References
    ----------
    ISO 2533:1975, Standard atmosphere.
    """
    own = speed if what_if.speed is None else what_if.speed
    if not 0.0 < own < 1e3:
        raise DomainError(f"speed: found {own:g} m/s, expected above 0 and below 1000")
    if what_if.air is None:
        return own, air_density, ()
    density, assumed = density_of(what_if.air)
    return own, density, tuple(Assumption(kind="air", values={"assumed": one}) for one in assumed)


def exponents_of(shared: SharedDraws, what_if: WhatIf) -> SharedDraws:
    """Give the draws of the exponents, those that a what-if states as exact.

    Parameters
    ----------
    shared : SharedDraws
        The day's. [1]
    what_if : WhatIf
        Perhaps with exponents of its own. [1]

    Returns
    -------
    SharedDraws
        The same object where it states none. [1]

    Notes
    -----
    A stated exponent is exact.

    References
    ----------
    `balance.reduce.draws`.
    """
    if what_if.stiffness_exponent is not None:
        exact = np.full((shared.count, 1), what_if.stiffness_exponent)
        shared = replace(shared, stiffness=(exact, exact))
    if what_if.grip_exponent is not None:
        exact = np.full((shared.count, 1), what_if.grip_exponent)
        shared = replace(shared, grip=(exact, exact))
    return shared


def vehicle_of(vehicle: Vehicle, what_if: WhatIf) -> tuple[Vehicle, tuple[Assumption, ...]]:
    """Give the car with the weights, exponents and target of a what-if.

    Parameters
    ----------
    vehicle : Vehicle
        The car as it stood on the scales. [1]
    what_if : WhatIf
        What is to be different. [1]

    Returns
    -------
    tuple of (Vehicle, tuple of Assumption)
        The same object where nothing of the car is different, and what was assumed. [1]

    Raises
    ------
    UnknownName
        If the vehicle file has no such loading.
    DomainError
        If a weight, exponent or target makes no car.

    Notes
    -----
    Stated mass and front share first, then the masses of the loading, then those placed.

    References
    ----------
    `balance.handling.rest_state.weights_with`.
    """
    found: list[Assumption] = []
    loadings = {one.name: one.masses for one in vehicle.loadings}
    if what_if.loading and what_if.loading not in loadings:
        raise UnknownName("loading", what_if.loading, loadings)
    masses = (*loadings.get(what_if.loading, ()), *what_if.masses)
    mass = vehicle.mass if what_if.mass is None else what_if.mass
    share = vehicle.front_share if what_if.front_share is None else what_if.front_share
    if not 0.0 < mass < 1e5:
        raise DomainError(f"mass: found {mass:g} kg, expected above 0 and below 100,000")
    if not 0.0 < share < 1.0:
        raise DomainError(f"front share of the weight: found {share:g}, expected between 0 and 1")
    mass, share = weights_with(mass, share, masses, vehicle.wheelbase)
    changed = vehicle
    if (mass, share) != (vehicle.mass, vehicle.front_share):
        changed = replace(changed, mass=mass, front_share=share, corners=None)
        found.append(Assumption(kind="set-up stays", values={"mass": mass, "front_share": share}))
    for name in ("stiffness", "grip"):
        stated = getattr(what_if, f"{name}_exponent")
        if stated is not None:
            if not 0.0 < stated <= 1.5:
                raise DomainError(f"{name} load exponent: found {stated:g}, expected above 0 and at most 1.5")
            exact = LoadExponent(front=stated, rear=stated, assumed=False)
            changed = replace(changed, **{f"{name}_exponent": exact})  # type: ignore[arg-type]
    if what_if.target_surplus is not None:
        lowest = -vehicle.target.front_tolerance
        if what_if.target_surplus < lowest:
            raise DomainError(
                f"target surplus: found {100.0 * what_if.target_surplus:g} %, expected not below {100.0 * lowest:g} %: "
                "there the front counts as overpowering the rear"
            )
        changed = replace(changed, target=replace(vehicle.target, grip_surplus=what_if.target_surplus))
    return changed, tuple(found)
