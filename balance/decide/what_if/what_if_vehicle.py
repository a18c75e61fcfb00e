"""The car and the conditions of a what-if: weights, exponents, target, air and speed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.changed_car import Assumption
from balance.decide.day.own_draws import Source, own_normals
from balance.handling.rest_state import masses_with, weights_with
from balance.model.errors import DomainError, UnknownName
from balance.model.records import LoadExponent, std_of
from balance.reduce.car_figures import CarFigures
from balance.reduce.standard_atmosphere import density_of
from balance.reduce.stated_draws import (
    LEAST,
    SHARES,
    clipped,
    drawn_about,
    drawn_exponents,
    mass_std,
    share_std,
)

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from balance.model.records import PlacedMass, Vehicle
    from balance.model.what_ifs import WhatIf
    from balance.reduce.draws import SharedDraws


def conditions_of(
    what_if: WhatIf, speed: float, air_density: float
) -> tuple[float, float, tuple[Assumption, ...]]:
    """Return the speed and density of a what-if's result.

    The speed and density given stand where the what-if has none of its own; what was assumed comes with them.
    Air as of `balance.reduce.standard_atmosphere.density_of`.
    """
    own = speed if what_if.speed is None else what_if.speed
    if not 0.0 < own < 1e3:
        raise DomainError(f"speed: found {own:g} m/s, expected above 0 and below 1000")
    if what_if.air is None:
        return own, air_density, ()
    density, assumed = density_of(what_if.air)
    return own, density, tuple(Assumption(kind="air", values={"assumed": one}) for one in assumed)


def draws_of(shared: SharedDraws, start: Vehicle, changed: Vehicle, what_if: WhatIf) -> SharedDraws:
    """Draw the car of a what-if, with what it has in common with the car that it starts from.

    Parameters
    ----------
    shared : SharedDraws
        Those of the day, with the starting car. [1]
    start : Vehicle
        The starting car. [1]
    changed : Vehicle
        The car as of `vehicle_of`. [1]
    what_if : WhatIf
        What is different, and what was said of its uncertainty. [1]

    Returns
    -------
    SharedDraws
        With the changed car's figures; the same object where nothing of the car is different. [1]

    Notes
    -----
    Weights and exponents are drawn with the numbers that draw the starting car's, so that what is not known of both
    cancels in the change. A weight stated without its uncertainty has that of the starting car, a stated exponent the
    range of a stated one; placed masses draw their own. As of `balance.reduce.stated_draws`.
    """
    if changed is start:
        return shared
    said, standard, car = what_if.uncertainties, shared.standard, shared.car
    mass: ArrayLike = car.mass
    share: ArrayLike = car.front_share
    if what_if.mass is not None:
        std = std_of(said["mass"]) if "mass" in said else mass_std(start)
        mass = clipped(drawn_about(what_if.mass, std, standard.mass), LEAST * what_if.mass)
    if what_if.front_share is not None:
        std = std_of(said["front_share"]) if "front_share" in said else share_std(start)
        share = clipped(drawn_about(what_if.front_share, std, standard.share), *SHARES)
    placed = _masses(start, what_if)
    if placed:
        drawn = [_drawn_mass(shared, k, one) for k, one in enumerate(placed)]
        front, rear = masses_with(mass, share, drawn, start.wheelbase)
        mass = clipped(front + rear, LEAST * changed.mass)
        share = clipped(front / np.asarray(mass, float), *SHARES)
    stiffness, grip = car.stiffness, car.grip
    if what_if.stiffness_exponent is not None:
        about = (said.get("stiffness_load_exponent"), None, None)
        stiffness = drawn_exponents("stiffness", changed.stiffness_exponent, about, standard)
    if what_if.grip_exponent is not None:
        about = (said.get("grip_load_exponent"), None, None)
        grip = drawn_exponents("grip", changed.grip_exponent, about, standard)
    reweighted = (changed.mass, changed.front_share) != (start.mass, start.front_share)
    figures = CarFigures(
        mass=mass,
        front_share=share,
        static_margin=car.static_margin,
        stiffness=stiffness,
        grip=grip,
        friction=car.friction,
        set_up=car if reweighted else None,
    )
    return replace(shared, car=figures)


def _drawn_mass(shared: SharedDraws, number: int, one: PlacedMass) -> tuple[ArrayLike, ArrayLike]:
    """Draw a placed mass and its distance behind the front axle, each by what was said of it."""
    mass_std, place_std = (std_of(one.uncertainties.get(name)) for name in ("mass", "behind_front_axle"))
    if not mass_std and not place_std:
        return one.mass, one.behind_front_axle
    of_mass, of_place = own_normals(shared, Source.MASS, number, 2)[:, :, None]
    return drawn_about(one.mass, mass_std, of_mass), drawn_about(one.behind_front_axle, place_std, of_place)


def _masses(vehicle: Vehicle, what_if: WhatIf) -> tuple[PlacedMass, ...]:
    """Return the masses of a what-if: those of its loading, then those placed."""
    loadings = {one.name: one.masses for one in vehicle.loadings}
    if what_if.loading and what_if.loading not in loadings:
        raise UnknownName("loading", what_if.loading, loadings)
    return (*loadings.get(what_if.loading, ()), *what_if.masses)


def vehicle_of(vehicle: Vehicle, what_if: WhatIf) -> tuple[Vehicle, tuple[Assumption, ...]]:
    """Return the car with the weights, exponents and target of a what-if.

    Stated mass and front share first, then the masses of the loading, then those placed. The same object
    where nothing of the car is different; what was assumed comes with it.
    """
    found: list[Assumption] = []
    masses = _masses(vehicle, what_if)
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
            both = LoadExponent(front=stated, rear=stated, assumed=False)
            changed = replace(changed, **{f"{name}_exponent": both})  # type: ignore[arg-type]
    if what_if.target_surplus is not None:
        lowest = -vehicle.target.front_tolerance
        if what_if.target_surplus < lowest:
            raise DomainError(
                f"target grip balance: found {100.0 * what_if.target_surplus:g} %, expected not below {100.0 * lowest:g} %: "
                "there the car is past the oversteer limit"
            )
        changed = replace(changed, target=replace(vehicle.target, grip_surplus=what_if.target_surplus))
    return changed, tuple(found)
