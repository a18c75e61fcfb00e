"""Everything the model says of a car at a speed, from area coefficients: one call for a run, a table, a sweep or draws."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.handling.axle_loads import added_load, front_load_share, log_load_growth, static_axle_weights
from balance.handling.decisive_surplus import infinite_off_the_ground, surpluses
from balance.handling.neutral_steer import shift_from_growth
from balance.handling.rest_state import rest_state
from balance.model.channels import DRAG, FRONT, REAR
from balance.reduce.car_figures import figures_of

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.model.records import Vehicle
    from balance.reduce.car_figures import CarFigures


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AxleState:
    """Loads and what follows from them; every array has the shape of the areas and pressures broadcast together.

    Downforce positive down, drag rearward [N]; added loads, shares, shift and surplus are fractions [1].
    ``grip_surplus_driven`` is with drag driven through the tyres: ``None`` where the driven axle is unknown;
    ``decisive_surplus`` is the lower of both, infinite where an axle is off the ground.
    """

    front_downforce: NDArray[np.float64]
    rear_downforce: NDArray[np.float64]
    downforce: NDArray[np.float64]
    drag: NDArray[np.float64]
    front_added_load: NDArray[np.float64]
    rear_added_load: NDArray[np.float64]
    front_load_share: NDArray[np.float64]
    neutral_steer_shift: NDArray[np.float64]
    grip_surplus: NDArray[np.float64]
    grip_surplus_driven: NDArray[np.float64] | None
    decisive_surplus: NDArray[np.float64]

    @property
    def downforce_to_drag(self) -> NDArray[np.float64]:
        """The car's downforce for its drag; not a number where there is no drag."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.drag > 0.0, self.downforce / self.drag, np.nan)

    def beyond_lift_off(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Count an axle off the ground as infinite, so that draws keep their order: front plus, rear minus."""
        return infinite_off_the_ground(values, self.front_added_load <= -1.0, self.rear_added_load <= -1.0)


def axle_state(
    areas: ArrayLike,
    dynamic_pressure: ArrayLike,
    vehicle: Vehicle,
    *,
    drawn: CarFigures | None = None,
    set_up: Vehicle | None = None,
) -> AxleState:
    """Compute loads, neutral-steer shift and grip surplus.

    Parameters
    ----------
    areas : array_like
        (3, ...): front downforce, rear downforce, drag over dynamic pressure. [m^2]
    dynamic_pressure : array_like
        Dynamic pressure at the speed and density of interest. [Pa]
    vehicle : Vehicle
        The car: mass, weight distribution, exponents, driven axle. [1]
    drawn : CarFigures, optional
        Weights, static margin and load exponents, in place of the car's own and of its set-up's. [1]
    set_up : Vehicle, optional
        The car whose set-up this one has, where its weights were changed afterwards: then shift is still from rest,
        and surplus counts what is out of balance at rest already. [1]

    Returns
    -------
    AxleState
        Forces [N] and fractions, shaped as the inputs broadcast together. [1]

    Notes
    -----
    Forces scale with dynamic pressure: coefficients are taken not to change with speed.

    References
    ----------
    SAE J1594 and ISO 8855:2011; `balance.handling` for each law.
    """
    areas, pressure = np.asarray(areas, float), np.asarray(dynamic_pressure, float)
    front, rear, drag = (areas[channel] * pressure for channel in (FRONT, REAR, DRAG))
    car = figures_of(vehicle, set_up) if drawn is None else drawn
    front_weight, rear_weight = static_axle_weights(car.mass, car.front_share)
    front_added, rear_added = added_load(front, front_weight), added_load(rear, rear_weight)
    growth = log_load_growth(front_added, rear_added)
    rest = rest_state(car)
    surplus = surpluses(
        front,
        rear,
        drag,
        car,
        driven_axle=vehicle.driven,
        weights=(front_weight, rear_weight),
        grip_ratio=rest.grip_ratio,
        growth=growth,
    )
    return AxleState(
        front_downforce=front,
        rear_downforce=rear,
        downforce=front + rear,
        drag=drag,
        front_added_load=front_added,
        rear_added_load=rear_added,
        front_load_share=front_load_share(front, rear, front_weight, rear_weight),
        neutral_steer_shift=shift_from_growth(
            *growth,
            front_exponent=car.stiffness[FRONT],
            rear_exponent=car.stiffness[REAR],
            front_share=car.front_share,
            static_margin=rest.static_margin,
        ),
        grip_surplus=surplus.air,
        grip_surplus_driven=surplus.driven,
        decisive_surplus=surplus.decisive,
    )
