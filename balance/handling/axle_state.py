"""Everything the model says of a car at a speed, from area coefficients: one call for a run, a table, a sweep or draws."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.handling.axle_loads import added_load, front_load_share, log_load_growth, static_axle_weights
from balance.handling.grip import grip_left_by_drive, surplus_from_growth
from balance.handling.neutral_steer import shift_from_growth
from balance.handling.rest_state import rest_state

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.records import Vehicle


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AxleState:
    """Loads and what follows from them; every array has the shape of the areas and pressures broadcast together.

    Downforce positive down, drag rearward [N]; added loads, shares, shift and surplus are fractions [1].
    ``grip_surplus_driven`` is with drag driven through the tyres: ``None`` where the driven axle is unknown.
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

    @property
    def downforce_to_drag(self) -> NDArray[np.float64]:
        """The car's downforce for its drag; not a number where there is no drag."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.drag > 0.0, self.downforce / self.drag, np.nan)

    @property
    def decisive_surplus(self) -> NDArray[np.float64]:
        """The grip surplus that verdicts are judged on: the lower of without and with drive force.

        An axle off the ground counts as infinite: the front off as plus, the rear off as minus.
        """
        lower = self.grip_surplus
        if self.grip_surplus_driven is not None:
            lower = np.fmin(lower, self.grip_surplus_driven)
        return self.beyond_lift_off(lower)

    def beyond_lift_off(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Count an axle off the ground as infinite, so that draws keep their order: front plus, rear minus."""
        front_off, rear_off = self.front_added_load <= -1.0, self.rear_added_load <= -1.0
        if np.any(front_off) or np.any(rear_off):
            return np.where(rear_off, -np.inf, np.where(front_off, np.inf, values))
        return values


def axle_state(
    areas: ArrayLike,
    dynamic_pressure: ArrayLike,
    vehicle: Vehicle,
    *,
    stiffness: tuple[ArrayLike, ArrayLike] | None = None,
    grip: tuple[ArrayLike, ArrayLike] | None = None,
    set_up: Vehicle | None = None,
) -> AxleState:
    """Work out loads, neutral-steer shift and grip surplus.

    Parameters
    ----------
    areas : array_like
        (3, ...): front downforce, rear downforce, drag over dynamic pressure. [m^2]
    dynamic_pressure : array_like
        Dynamic pressure at the speed and density of interest. [Pa]
    vehicle : Vehicle
        The car: mass, weight distribution, exponents, driven axle. [1]
    stiffness : tuple of array_like, optional
        Front and rear load exponent of cornering stiffness, in place of the car's own. [1]
    grip : tuple of array_like, optional
        Front and rear load exponent of grip, in place of the car's own. [1]
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
    front_area, rear_area, drag_area = np.asarray(areas, float)
    pressure = np.asarray(dynamic_pressure, float)
    front, rear, drag = front_area * pressure, rear_area * pressure, drag_area * pressure
    front_weight, rear_weight = static_axle_weights(vehicle.mass, vehicle.front_share)
    front_added, rear_added = added_load(front, front_weight), added_load(rear, rear_weight)
    stiff = stiffness or (vehicle.stiffness_exponent.front, vehicle.stiffness_exponent.rear)
    grips = grip or (vehicle.grip_exponent.front, vehicle.grip_exponent.rear)
    growth = log_load_growth(front_added, rear_added)
    surplus = surplus_from_growth(*growth, front_exponent=grips[0], rear_exponent=grips[1])
    static_margin: ArrayLike = vehicle.static_margin or 0.0
    if set_up is not None:
        rest = rest_state(vehicle, set_up, stiffness=stiff, grip=grips)
        surplus = rest.grip_ratio * (1.0 + surplus) - 1.0 if np.any(rest.grip_ratio != 1.0) else surplus
        static_margin = rest.static_margin
    driven = None
    if vehicle.driven is not None:
        drive = drag / 2.0 if vehicle.driven == "both" else drag
        driven = 1.0 + surplus
        if vehicle.driven in ("rear", "both"):
            driven = driven * grip_left_by_drive(drive, rear_weight + rear)
        if vehicle.driven in ("front", "both"):
            with np.errstate(divide="ignore", invalid="ignore"):
                driven = driven / grip_left_by_drive(drive, front_weight + front)
        driven = driven - 1.0
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
            front_exponent=stiff[0],
            rear_exponent=stiff[1],
            front_share=vehicle.front_share,
            static_margin=static_margin,
        ),
        grip_surplus=surplus,
        grip_surplus_driven=driven,
    )
