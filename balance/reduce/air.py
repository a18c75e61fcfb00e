"""Moist-air density and dynamic pressure."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_GAS_CONSTANT = 8.314472
_DRY_MOLAR_MASS = 28.96546e-3
_WATER_MOLAR_MASS = 18.01528e-3
_LIMITS = {
    "temperature": (230.0, 330.0, "K"),
    "pressure": (50e3, 115e3, "Pa"),
    "humidity": (0.0, 1.0, "of saturation"),
}
"""Widest air in which anybody measures a car; beyond it an input is a slip, not weather."""


def moist_air_density(
    temperature: ArrayLike, pressure: ArrayLike, humidity: ArrayLike
) -> NDArray[np.float64]:
    """Compute the density of moist air.

    Parameters
    ----------
    temperature : array_like
        Air temperature. [K]
    pressure : array_like
        Absolute station pressure. [Pa]
    humidity : array_like
        Relative humidity, 0 to 1. [1]

    Returns
    -------
    numpy.ndarray
        Density, the inputs broadcast together. [kg/m^3]

    Raises
    ------
    DomainError
        If any input lies outside 230 to 330 K, 500 to 1150 hPa or 0 to 1.

    Notes
    -----
    ``rho = p Ma / (Z R T) [1 - xv (1 - Mv/Ma)]`` with 400 ppm carbon dioxide. The formula is stated for
    15 to 27 degrees Celsius and 600 to 1100 hPa; beyond, it is an extrapolation, good to about 1e-4.

    References
    ----------
    A. Picard, R. S. Davis, M. Gläser, K. Fujii, "Revised formula for the density of moist air
    (CIPM-2007)", Metrologia 45 (2008) 149-155, equations (1) to (4) and appendix A.

    Examples
    --------
    >>> round(float(moist_air_density(293.15, 101325.0, 0.5)), 6)
    1.199314
    """
    temperature, pressure, humidity = (np.asarray(v, float) for v in (temperature, pressure, humidity))
    for name, value in (("temperature", temperature), ("pressure", pressure), ("humidity", humidity)):
        low, high, unit = _LIMITS[name]
        _require(name, value, (value >= low) & (value <= high), unit, f"{low:g} to {high:g}")
    celsius = temperature - 273.15
    saturation = np.exp(
        1.2378847e-5 * temperature**2 - 1.9121316e-2 * temperature + 33.93711047 - 6.3431645e3 / temperature
    )
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * celsius**2
    vapour = humidity * enhancement * saturation / pressure
    ratio = pressure / temperature
    compressibility = (
        1.0
        - ratio
        * (
            1.58123e-6
            - 2.9331e-8 * celsius
            + 1.1043e-10 * celsius**2
            + (5.707e-6 - 2.051e-8 * celsius) * vapour
            + (1.9898e-4 - 2.376e-6 * celsius) * vapour**2
        )
        + ratio**2 * (1.83e-11 - 0.765e-8 * vapour**2)
    )
    dry = pressure * _DRY_MOLAR_MASS / (compressibility * _GAS_CONSTANT * temperature)
    return np.asarray(dry * (1.0 - vapour * (1.0 - _WATER_MOLAR_MASS / _DRY_MOLAR_MASS)))


def dynamic_pressure(speed: ArrayLike, air_density: ArrayLike) -> NDArray[np.float64]:
    """Compute the dynamic pressure of the air that meets the car.

    Parameters
    ----------
    speed : array_like
        Speed of the air at the car. [m/s]
    air_density : array_like
        Density of that air. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        Dynamic pressure, the inputs broadcast together. [Pa]

    Raises
    ------
    DomainError
        If a speed is below 0 or a density is not above 0.

    Notes
    -----
    ``q = rho V^2 / 2``.

    References
    ----------
    SAE J1594, "Vehicle aerodynamics terminology".

    Examples
    --------
    >>> float(dynamic_pressure(40.0, 1.25))
    1000.0
    """
    speed, density = np.asarray(speed, float), np.asarray(air_density, float)
    _require("speed", speed, (speed >= 0.0) & np.isfinite(speed), "m/s", "0 or more")
    _require("air density", density, (density > 0.0) & np.isfinite(density), "kg/m³", "above 0")
    return np.asarray(0.5 * density * np.square(speed))


def speed_at(dynamic_pressure: ArrayLike, air_density: ArrayLike) -> NDArray[np.float64]:
    """Find the speed that makes a dynamic pressure.

    Parameters
    ----------
    dynamic_pressure : array_like
        Dynamic pressure, not negative; infinite where a speed is never reached. [Pa]
    air_density : array_like
        Density of the air. [kg/m^3]

    Returns
    -------
    numpy.ndarray
        Speed, the inputs broadcast together. [m/s]

    Raises
    ------
    DomainError
        If a dynamic pressure is below 0 or a density is not above 0.

    Notes
    -----
    ``V = sqrt(2 q / rho)``.

    References
    ----------
    SAE J1594, "Vehicle aerodynamics terminology".

    Examples
    --------
    >>> float(speed_at(1000.0, 1.25))
    40.0
    """
    pressure, density = np.asarray(dynamic_pressure, float), np.asarray(air_density, float)
    _require("dynamic pressure", pressure, pressure >= 0.0, "Pa", "0 or more")
    _require("air density", density, (density > 0.0) & np.isfinite(density), "kg/m³", "above 0")
    return np.asarray(np.sqrt(2.0 * pressure / density))


def _require(
    name: str, value: NDArray[np.float64], holds: NDArray[np.bool_], unit: str, expected: str
) -> None:
    """Refuse an input with the first of its values that is outside."""
    if not np.all(holds):
        raise DomainError(f"{name}: found {value[~holds].flat[0]:g} {unit}, expected {expected}")
