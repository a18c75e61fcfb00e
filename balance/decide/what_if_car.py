"""The pieces of a what-if: settings moved along curves, weights, air, exponents."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.changed_car import Assumption
from balance.decide.families import family_from, family_of, value_of
from balance.decide.moved_setting import Moved
from balance.decide.response import fit_response
from balance.errors import DomainError, InputError, UnknownName
from balance.handling.rest_state import weights_with
from balance.records import LoadExponent
from balance.reduce.draws import spread
from balance.reduce.standard_atmosphere import density_of
from balance.what_ifs import WhatIf

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.basis import Basis
    from balance.decide.changed_car import ChangedCar
    from balance.decide.response import Response
    from balance.records import Vehicle
    from balance.reduce.draws import SharedDraws

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MovedAreas:
    """Areas after every setting was moved, (3,) [m²]; their draws, (3, draws); stds of front, rear, drag, total, (4,)."""

    areas: Array
    draws: Array | None
    area_stds: Array
    assumptions: tuple[Assumption, ...]


def moved_by_settings(
    basis: Basis, car: ChangedCar, what_if: WhatIf, *, limit: float = 1.0, drawn: bool = True
) -> MovedAreas:
    """Move the settings of a changed car along their curves.

    Parameters
    ----------
    basis : Basis
        The day. [1]
    car : ChangedCar
        The run with its parts and stated changes. [1]
    what_if : WhatIf
        Says which settings go where, and which runs make the curve. [1]
    limit : float, optional
        Downforce that a step has to gain for its drag. [1]
    drawn : bool, optional
        Whether to draw. [1]

    Returns
    -------
    MovedAreas
        Areas with their scatter. [1]

    Raises
    ------
    UnknownName
        If there is no such setting.
    InputError
        If a setting is wanted outside what was tested, or in the withheld gap before a stall.

    Notes
    -----
    A setting at a tested value past the useful range is a measurement and is given, with that said; between such
    values nothing is. Several settings are moved as if each did not know of the others. Where a curve is used, scatter
    is that of the draws; without draws it is that of straight lines between the tested settings.

    References
    ----------
    `balance.decide.response`.
    """
    areas, draws, found = car.areas, car.draws, []
    weights = car.weights
    for setting, wanted in what_if.settings:
        family = (
            family_from(basis, what_if.family, setting)
            if what_if.family
            else family_of(basis, what_if.start, setting)
        )
        response = fit_response(basis, family, limit=limit, drawn=drawn)
        start = value_of(basis, what_if.start, setting)
        for value in (start, wanted):
            _refuse_untested(response, value)
        moved = Moved(basis=basis, car=car, response=response, base=response, start=start)
        areas = areas + (moved.areas(wanted) - car.areas)
        of_setting = moved.drawn(wanted) if drawn else None
        if draws is not None and of_setting is not None and car.draws is not None:
            draws = draws + (of_setting - car.draws)
        ends = [_straight(family.values, value) for value in (wanted, start)]
        weights = weights + (ends[0] - ends[1]) @ family.weights
        found += _about_the_curve(basis, response, what_if, wanted)
    if len(what_if.settings) > 1:
        names = ", ".join(name for name, _ in what_if.settings)
        found.append(Assumption(kind="settings moved together", values={"settings": names}))
    both = np.hypot(car.stated_std[0], car.stated_std[1])
    stds = np.hypot(basis.stds(weights), np.append(car.stated_std, both))
    if what_if.settings and draws is not None:
        drawn_stds = spread(np.vstack([draws, draws[:1] + draws[1:2]]).T, basis.day.confidence)[0]
        stds = np.where(np.isfinite(stds), drawn_stds, np.nan)
    return MovedAreas(areas=areas, draws=draws, area_stds=stds, assumptions=tuple(found))


def _refuse_untested(response: Response, value: float) -> None:
    family = response.family
    low, high = response.tested
    if not low <= value <= high:
        nearest = low if value < low else high
        raise InputError(
            f"{family.setting}: found {value:g} {family.unit}, not tested; expected from {low:g} to {high:g} "
            f"{family.unit}; the nearest tested is {nearest:g} {family.unit}"
        )
    inside = response.useful[0] <= value <= response.useful[1]
    if not inside and value not in family.values.tolist():
        raise InputError(
            f"{family.setting}: found {value:g} {family.unit}, past the useful range, which ends at "
            f"{response.loaded_end:g} {family.unit} ({response.ends_because}); expected a setting inside it, or one "
            "that was tested"
        )


def _about_the_curve(basis: Basis, response: Response, what_if: WhatIf, wanted: float) -> list[Assumption]:
    family = response.family
    values: dict[str, float | str] = {"setting": family.setting, "value": wanted, "unit": family.unit}
    found = []
    if family.chosen:
        differs = ", ".join(family.differs)
        found.append(
            Assumption(
                kind="curve of other runs", values={"runs": ", ".join(family.labels), "differs": differs}
            )
        )
        if what_if.start not in family.labels:
            found.append(Assumption(kind="start not on the curve", values={"run": what_if.start}))
    if not response.useful[0] <= wanted <= response.useful[1]:
        found.append(Assumption(kind="past the useful range", values=values))
    else:
        if response.possibly_stalled(wanted):
            found.append(Assumption(kind="possibly stalled", values=values))
        if response.next_to_stall(wanted):
            found.append(Assumption(kind="next to the stall", values=values))
    if wanted not in family.values.tolist():
        found.append(Assumption(kind="shape between tested settings"))
    suspect = [r for r in family.labels if basis.day.readings.runs[basis.row(r)].status == "suspect"]
    found += [Assumption(kind="suspect run", values={"run": run}) for run in suspect]
    return found


def _straight(values: Array, at: float) -> Array:
    """Give the weights of tested settings in a straight line between neighbours, (settings,)."""
    weights = np.zeros(values.size)
    right = int(np.clip(np.searchsorted(values, at), 1, values.size - 1))
    share = (at - values[right - 1]) / (values[right] - values[right - 1])
    weights[right - 1], weights[right] = 1.0 - share, share
    return weights


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


def loaded_vehicle(vehicle: Vehicle, loading: str) -> Vehicle:
    """Load a car as one of its named loadings says.

    Parameters
    ----------
    vehicle : Vehicle
        The car as it stood on the scales. [1]
    loading : str
        Name of the loading. [1]

    Returns
    -------
    Vehicle
        With its weights; for `balance.decide.assessment.assess`, which judges every run as in that loading. [1]

    Raises
    ------
    UnknownName
        If the vehicle file has no such loading.
    DomainError
        If no weight would be left on an axle.

    Notes
    -----
    As of `vehicle_of`.

    References
    ----------
    `balance.handling.rest_state.weights_with`.
    """
    return vehicle_of(vehicle, WhatIf(start="", loading=loading))[0]


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
