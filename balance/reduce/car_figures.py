"""What the laws need to know of a car: one number each, or one a draw, with draws as first axis."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import FRONT, REAR
from balance.model.records import USUAL_FRICTION

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from balance.model.records import Vehicle


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CarFigures:
    """Weights, static margin, load exponents and friction of a car, nominal or (draws, 1) each.

    Attributes
    ----------
    mass : array_like
        As it runs. [kg]
    front_share : array_like
        Of the static weight. [1]
    static_margin : array_like
        At rest, of the wheelbase, positive towards understeer. [1]
    stiffness, grip : tuple of array_like
        Front and rear load exponent of cornering stiffness, and of grip. [1]
    friction : array_like
        Of the tyres, which drive against drag uses up. [1]
    set_up : CarFigures or None
        The car whose set-up this one has, where its weights were changed afterwards.
    """

    mass: ArrayLike
    front_share: ArrayLike
    static_margin: ArrayLike
    stiffness: tuple[ArrayLike, ArrayLike]
    grip: tuple[ArrayLike, ArrayLike]
    friction: ArrayLike = USUAL_FRICTION
    set_up: CarFigures | None = None

    def first(self, count: int) -> CarFigures:
        """Take the first draws, (count, 1) each; what is exact stays a number.

        A range of speeds is judged by fewer draws than a decision at one.
        """

        def cut(value: ArrayLike) -> ArrayLike:
            return np.asarray(value)[:count] if np.ndim(value) else value

        return CarFigures(
            mass=cut(self.mass),
            front_share=cut(self.front_share),
            static_margin=cut(self.static_margin),
            stiffness=(cut(self.stiffness[FRONT]), cut(self.stiffness[REAR])),
            grip=(cut(self.grip[FRONT]), cut(self.grip[REAR])),
            friction=cut(self.friction),
            set_up=None if self.set_up is None else self.set_up.first(count),
        )


def figures_of(vehicle: Vehicle, set_up: Vehicle | None = None) -> CarFigures:
    """Take a car's figures as they are stated.

    Parameters
    ----------
    vehicle : Vehicle
        The car. [1]
    set_up : Vehicle, optional
        The car whose set-up it has, where its weights were changed afterwards. [1]

    Returns
    -------
    CarFigures
        Numbers. [1]

    Notes
    -----
    A static margin that nobody stated is 0: the car is taken to be neutral at rest.

    References
    ----------
    Common practice, no source.
    """
    stiffness, grip = vehicle.stiffness_exponent, vehicle.grip_exponent
    return CarFigures(
        mass=vehicle.mass,
        front_share=vehicle.front_share,
        static_margin=vehicle.static_margin or 0.0,
        stiffness=(stiffness.front, stiffness.rear),
        grip=(grip.front, grip.rear),
        friction=vehicle.tyre_friction,
        set_up=None if set_up is None else figures_of(set_up),
    )
