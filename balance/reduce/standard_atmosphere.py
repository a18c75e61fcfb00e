"""Air that was not measured: the standard atmosphere at an altitude, and the density of air as far as it is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.errors import DomainError
from balance.reduce.air import moist_air_density
from balance.reduce.readings import ASSUMED_HUMIDITY

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from balance.model.what_ifs import Air

_EARTH_RADIUS = 6_356_766.0
_SEA_TEMPERATURE, _SEA_PRESSURE = 288.15, 101_325.0
_LAPSE, _GRAVITY, _GAS = 0.0065, 9.80665, 287.05287


def standard_atmosphere(altitude: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return temperature and pressure of the standard atmosphere.

    Parameters
    ----------
    altitude : array_like
        Geometric altitude above sea level, -500 to 5000. [m]

    Returns
    -------
    tuple of numpy.ndarray
        Temperature [K] and pressure. [Pa]

    Raises
    ------
    DomainError
        If an altitude is outside -500 to 5000 m.

    Notes
    -----
    ``H = r h / (r + h)``, ``T = 288.15 - 0.0065 H``, ``p = 101325 (T / 288.15)^(g / (R 0.0065))``. Dry air.

    References
    ----------
    ISO 2533:1975, Standard atmosphere.

    Examples
    --------
    >>> temperature, pressure = standard_atmosphere(1000.0)
    >>> round(float(temperature), 2), round(float(pressure))
    (281.65, 89876)
    """
    height = np.asarray(altitude, float)
    if not np.all((height >= -500.0) & (height <= 5000.0)):
        raise DomainError(f"altitude: found {np.max(height):g} m, expected -500 to 5000")
    temperature = _SEA_TEMPERATURE - _LAPSE * _EARTH_RADIUS * height / (_EARTH_RADIUS + height)
    pressure = _SEA_PRESSURE * (temperature / _SEA_TEMPERATURE) ** (_GRAVITY / (_GAS * _LAPSE))
    return temperature, pressure


def density_of(air: Air) -> tuple[float, tuple[str, ...]]:
    """Find the density of air as far as it is known.

    Parameters
    ----------
    air : Air
        Any of temperature, pressure, humidity, altitude, or the density itself. [1]

    Returns
    -------
    tuple of (float, tuple of str)
        Density, and what was assumed in words. [kg/m^3]

    Raises
    ------
    DomainError
        If neither pressure nor altitude is known, or a figure is no weather.

    Notes
    -----
    A stated density stands before everything. Where altitude alone is known, ``p / (R T)`` of the standard atmosphere.
    Else pressure or temperature not stated follow from the altitude by the standard atmosphere, and humidity not stated
    is taken as 50 %.

    References
    ----------
    ISO 2533:1975, Standard atmosphere; CIPM-2007 as in `balance.reduce.air`.

    Examples
    --------
    >>> from balance.model.what_ifs import Air
    >>> density, assumed = density_of(Air(altitude=1000.0))
    >>> round(density, 4), assumed
    (1.1117, ('standard atmosphere at that altitude, dry',))
    """
    if air.density is not None:
        if not 0.0 < air.density < 10.0:
            raise DomainError(f"air density: found {air.density:g} kg/m³, expected above 0 and below 10")
        return air.density, ()
    temperature, pressure, humidity = air.temperature, air.pressure, air.humidity
    assumed: list[str] = []
    if air.altitude is not None and temperature is None and pressure is None and humidity is None:
        standard = standard_atmosphere(air.altitude)
        return float(standard[1] / (_GAS * standard[0])), ("standard atmosphere at that altitude, dry",)
    if air.altitude is not None:
        usual_temperature, usual_pressure = (float(v) for v in standard_atmosphere(air.altitude))
        taken = [name for name, v in (("temperature", temperature), ("pressure", pressure)) if v is None]
        if taken:
            assumed.append(f"{' and '.join(taken)} of the standard atmosphere at that altitude")
        temperature = usual_temperature if temperature is None else temperature
        pressure = usual_pressure if pressure is None else pressure
    if temperature is None or pressure is None:
        missing = "temperature" if temperature is None else "pressure"
        raise DomainError(
            f"air: found no {missing}, expected temperature and pressure, an altitude, or the density"
        )
    if humidity is None:
        humidity = ASSUMED_HUMIDITY
        assumed.append("humidity of 50 %")
    return float(moist_air_density(temperature, pressure, humidity)), tuple(assumed)
