"""What is not known of a car's stated figures: load exponents, weights, static margin, friction."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.model.channels import FRONT, REAR
from balance.model.records import std_of
from balance.reduce.car_figures import CarFigures

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import LoadExponent, Stated, Vehicle

    Array = NDArray[np.float64]
    About = tuple[Stated | None, Stated | None, Stated | None]
    Exponents = tuple[ArrayLike, ArrayLike]

STIFFNESS_RANGE, STIFFNESS_DIFFERENCE, STIFFNESS_STATED = (0.6, 0.9), 0.10, 0.075
GRIP_RANGE, GRIP_DIFFERENCE, GRIP_STATED = (0.8, 0.95), 0.05, 0.0375
"""Range of an assumed load exponent, of rear minus front in it, and half the range about a stated one. [1]"""
_EXPONENTS = {
    "stiffness": (STIFFNESS_RANGE, STIFFNESS_DIFFERENCE, STIFFNESS_STATED),
    "grip": (GRIP_RANGE, GRIP_DIFFERENCE, GRIP_STATED),
}
SHARE_STD = 0.003
"""Standard uncertainty of a front weight share of which nothing else is said. [1]"""
FRICTION_STD = 0.025
"""Standard uncertainty of a stated friction of which nothing else is said, as a part of it; no source. [1]"""
SHARES, LEAST = (0.01, 0.99), 1e-3
"""Where a draw of a front weight share, or of any other figure as a part of itself, stops. [1]"""
_CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ExponentDraws:
    """Draws that any load exponent of one kind is made of, (draws, 1) each [1].

    ``common`` and ``difference`` are uniform within 1, ``normals`` are standard normal, one an axle.
    """

    common: Array
    difference: Array
    normals: tuple[Array, Array]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StandardDraws:
    """Draws that a car's stated figures are made of, for a car and any what-if of it alike, (draws, 1) each [1].

    ``share``, ``mass``, ``margin``, ``height`` and ``friction`` are standard normal, ``within`` is uniform within 1.
    """

    stiffness: ExponentDraws
    grip: ExponentDraws
    share: Array
    mass: Array
    margin: Array
    height: Array
    within: Array
    friction: Array


def standard_draws(rng: np.random.Generator, count: int) -> StandardDraws:
    """Draw what every car of a session has in common.

    Parameters
    ----------
    rng : numpy.random.Generator
        The session's. [1]
    count : int
        Number of draws. [1]

    Returns
    -------
    StandardDraws
        Not yet scaled to any uncertainty. [1]

    Notes
    -----
    One draw for a car and its what-if: what is not known of the scales is the same for both.

    References
    ----------
    JCGM 101:2008, 6.4.2 (uniform) and 6.4.7 (normal, from a best estimate and its standard uncertainty).
    """
    size = (count, 1)
    uniform = [[rng.uniform(-1.0, 1.0, size) for _ in range(2)] for _ in range(2)]
    stiffness, grip = (
        ExponentDraws(
            common=common,
            difference=difference,
            normals=(rng.standard_normal(size), rng.standard_normal(size)),
        )
        for common, difference in uniform
    )
    return StandardDraws(
        stiffness=stiffness,
        grip=grip,
        share=rng.standard_normal(size),
        mass=rng.standard_normal(size),
        margin=rng.standard_normal(size),
        height=rng.standard_normal(size),
        within=rng.uniform(-1.0, 1.0, size),
        friction=rng.standard_normal(size),
    )


def drawn_car(vehicle: Vehicle, standard: StandardDraws) -> CarFigures:
    """Draw a car's figures about what its file states.

    Parameters
    ----------
    vehicle : Vehicle
        The car, with what its file says of the uncertainty of its figures. [1]
    standard : StandardDraws
        The session's. [1]

    Returns
    -------
    CarFigures
        (draws, 1) each, or a number where it is taken as exact. [1]

    Notes
    -----
    A draw that would be no car (an axle without weight, a neutral-steer point outside the wheelbase) stops just short.

    References
    ----------
    JCGM 101:2008, 6.4.7.
    """
    said = vehicle.uncertainties
    share = clipped(drawn_about(vehicle.front_share, share_std(vehicle), standard.share), *SHARES)
    mass = clipped(drawn_about(vehicle.mass, mass_std(vehicle), standard.mass), LEAST * vehicle.mass)
    margin = drawn_about(
        vehicle.static_margin or 0.0, std_of(said.get("tyres.static_margin")), standard.margin
    )
    if np.any(margin):
        ahead = 1.0 - np.asarray(share)
        margin = np.clip(margin, LEAST - ahead, 1.0 - LEAST - ahead)
    return CarFigures(
        mass=mass,
        front_share=share,
        static_margin=margin,
        stiffness=drawn_exponents(
            "stiffness", vehicle.stiffness_exponent, _about(said, "tyres.stiffness_load_exponent"), standard
        ),
        grip=drawn_exponents(
            "grip", vehicle.grip_exponent, _about(said, "tyres.grip_load_exponent"), standard
        ),
        friction=clipped(
            drawn_about(vehicle.tyre_friction, friction_std(vehicle), standard.friction),
            vehicle.tyre_friction / 10.0,
        ),
    )


def drawn_exponents(
    kind: Literal["stiffness", "grip"], exponent: LoadExponent, said: About, standard: StandardDraws
) -> Exponents:
    """Draw the load exponents of both axles' cornering stiffness, or of their grip.

    Parameters
    ----------
    kind : {'stiffness', 'grip'}
        Of what. [1]
    exponent : LoadExponent
        As stated, or as assumed. [1]
    said : tuple of Stated or None
        What was said of the uncertainty of both at once, of the front's and of the rear's. [1]
    standard : StandardDraws
        The session's. [1]

    Returns
    -------
    tuple of array_like
        Front and rear, (draws, 1); a number where it was stated exactly. [1]

    Notes
    -----
    Assumed: one common draw over the range, and an independent difference of the axles. Stated: one common draw
    about both, so that their difference stays as it was stated. What was stated with an uncertainty of its own, or
    exactly, follows that; an axle's own stands before that of both.

    References
    ----------
    JCGM 101:2008, 6.4.2 (uniform) and 6.4.7 (normal); the ranges are common practice, no source.
    """
    (low, high), difference, within = _EXPONENTS[kind]
    draws: ExponentDraws = getattr(standard, kind)
    if exponent.assumed:
        middle, half = (low + high) / 2.0, (high - low) / 2.0
        common, apart = middle + half * draws.common, difference * draws.difference / 2.0
        return common - apart, common + apart
    both, *own = said

    def of_axle(value: float, axle: int) -> ArrayLike:
        one, draw = (
            (own[axle], draws.normals[axle]) if own[axle] is not None else (both, draws.normals[FRONT])
        )
        if one is None:
            return value + within * draws.common
        return clipped(drawn_about(value, std_of(one), draw), LEAST)

    return of_axle(exponent.front, FRONT), of_axle(exponent.rear, REAR)


def share_std(vehicle: Vehicle) -> float:
    """Return the standard uncertainty of a car's front weight share.

    Parameters
    ----------
    vehicle : Vehicle
        The car. [1]

    Returns
    -------
    float
        Its own where one was stated, 0 where it was stated exactly, else 0.3 points. [1]

    Notes
    -----
    From corner weights ``dF/dW_i = (1 - F)/W`` at the front and ``-F/W`` at the rear; where not every corner's
    uncertainty is stated, never below what is assumed of a share.

    References
    ----------
    The assumed figure is common practice, no source; JCGM 100:2008, 5.1.2 for that of corners.
    """
    said = vehicle.uncertainties
    if one := said.get("mass.front_share"):
        return std_of(one)
    corners = [said.get(f"mass.corners.{name}") for name in _CORNERS]
    slopes = np.repeat([1.0 - vehicle.front_share, -vehicle.front_share], 2) / vehicle.mass
    found = float(np.linalg.norm(slopes * [std_of(one) for one in corners]))
    return found if all(corners) else max(found, SHARE_STD)


def friction_std(vehicle: Vehicle) -> float:
    """Return the standard uncertainty of the friction of a car's tyres.

    Parameters
    ----------
    vehicle : Vehicle
        The car. [1]

    Returns
    -------
    float
        Its own where one was stated, 0 where it was stated exactly or not at all, else 2.5 % of it. [1]

    Notes
    -----
    Where no friction is stated the usual one is taken as it is: what it costs is a question of its order alone.

    References
    ----------
    The assumed figure is common practice, no source.
    """
    if vehicle.friction is None:
        return 0.0
    said = vehicle.uncertainties.get("tyres.friction")
    return FRICTION_STD * vehicle.friction if said is None else std_of(said)


def mass_std(vehicle: Vehicle) -> float:
    """Return the standard uncertainty of a car's mass.

    Parameters
    ----------
    vehicle : Vehicle
        The car. [1]

    Returns
    -------
    float
        Its own where one was stated, of the sum where corners' were; else 0. [kg]

    Notes
    -----
    Nothing is assumed of a mass: it moves both axles' added loads alike, and the balance hardly.

    References
    ----------
    JCGM 100:2008, 5.1.2.
    """
    said = vehicle.uncertainties
    if one := said.get("mass.total"):
        return std_of(one)
    return float(np.linalg.norm([std_of(said.get(f"mass.corners.{name}")) for name in _CORNERS]))


def drawn_about(value: float, std: float, normal: Array) -> ArrayLike:
    """Draw a figure about its value.

    Parameters
    ----------
    value : float
        As stated, in any unit. [1]
    std : float
        Its standard uncertainty, in that unit. [1]
    normal : numpy.ndarray
        (draws, 1) standard normal. [1]

    Returns
    -------
    array_like
        (draws, 1) in that unit; the number itself where nothing is uncertain. [1]

    Notes
    -----
    ``value + std z``.

    References
    ----------
    JCGM 101:2008, 6.4.7.
    """
    return value + std * normal if std > 0.0 else value


def clipped(value: ArrayLike, low: ArrayLike, high: ArrayLike = np.inf) -> ArrayLike:
    """Clip draws just short of what would be no car.

    Parameters
    ----------
    value : array_like
        Draws, or one number, in any unit. [1]
    low, high : array_like
        Where they stop, in that unit. [1]

    Returns
    -------
    array_like
        The draws, none of them beyond; a number as it is. [1]

    Notes
    -----
    For uncertainties so large that a few draws would have no weight on an axle.
    """
    return np.clip(np.asarray(value, float), low, high) if np.ndim(value) else value


def _about(said: Mapping[str, Stated], key: str) -> About:
    return said.get(key), said.get(f"{key}.front"), said.get(f"{key}.rear")
