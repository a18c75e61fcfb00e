"""The speed at which a car's power is used up by drag and rolling resistance."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.handling.axle_loads import STANDARD_GRAVITY

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

ROLLING_RESISTANCE = 0.015
"""Rolling resistance as a share of the weight; a typical value, no source. [1]"""


def top_speed(drag_area: ArrayLike, *, power: float, mass: float, air_density: float) -> NDArray[np.float64]:
    """Find the speed at which power meets drag and rolling resistance on a level road.

    Parameters
    ----------
    drag_area : array_like
        Drag over dynamic pressure; above 0. [m^2]
    power : float
        Power at the wheels. [W]
    mass : float
        Mass of the car. [kg]
    air_density : float
        Density of the air. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        Speed; not a number where the drag area is not above 0. [m/s]

    Notes
    -----
    The one positive root of ``a v^3 + b v = P`` with ``a = rho CDA / 2`` and ``b`` the rolling resistance, in closed
    form: ``v = 2 sqrt(b / 3a) sinh(asinh(3 P sqrt(3a / b) / 2b) / 3)``. Gearing may hold the car below it.

    References
    ----------
    Cardano's formula for a cubic with one real root.

    Examples
    --------
    >>> round(float(top_speed(0.7, power=200e3, mass=1300.0, air_density=1.2)), 1)
    76.1
    """
    area = np.asarray(drag_area, float)
    a = np.where(area > 0.0, air_density * area / 2.0, np.nan)
    b = ROLLING_RESISTANCE * mass * STANDARD_GRAVITY
    root = np.sqrt(b / (3.0 * a))
    return np.asarray(2.0 * root * np.sinh(np.arcsinh(3.0 * power / (2.0 * b * root)) / 3.0))
