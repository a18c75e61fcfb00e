"""Coefficients after SAE J1594 from area coefficients and a frontal area."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Coefficients:
    """Coefficients after SAE J1594: lift positive up, drag rearward, pitching moment nose-up. All [1]."""

    drag: NDArray[np.float64]
    lift: NDArray[np.float64]
    front_lift: NDArray[np.float64]
    rear_lift: NDArray[np.float64]
    pitching_moment: NDArray[np.float64]


def coefficients(
    front_downforce_area: ArrayLike, rear_downforce_area: ArrayLike, drag_area: ArrayLike, frontal_area: float
) -> Coefficients:
    """Turn area coefficients into the coefficients of SAE J1594.

    Parameters
    ----------
    front_downforce_area, rear_downforce_area : array_like
        Each axle's downforce over dynamic pressure, positive down. [m^2]
    drag_area : array_like
        Drag over dynamic pressure, positive rearward. [m^2]
    frontal_area : float
        Frontal area of the car. [m^2]

    Returns
    -------
    Coefficients
        Lift positive up, pitching moment positive nose-up about mid-wheelbase at ground level, with the
        wheelbase as reference length. [1]

    Raises
    ------
    DomainError
        If the frontal area is not above 0.

    Notes
    -----
    ``CL = CLF + CLR``, ``CPM = (CLF - CLR) / 2``.

    References
    ----------
    SAE J1594, "Vehicle aerodynamics terminology".

    Examples
    --------
    >>> c = coefficients(0.0698, 0.1225, 0.5688, 1.0)
    >>> round(float(c.lift), 4), round(float(c.pitching_moment), 5)
    (-0.1923, 0.02635)
    """
    if not 0.0 < frontal_area < np.inf:
        raise DomainError(f"frontal area: found {frontal_area:g} m², expected above 0")
    front = -np.asarray(front_downforce_area, float) / frontal_area
    rear = -np.asarray(rear_downforce_area, float) / frontal_area
    return Coefficients(
        drag=np.asarray(drag_area, float) / frontal_area,
        lift=front + rear,
        front_lift=front,
        rear_lift=rear,
        pitching_moment=(front - rear) / 2.0,
    )
