"""Density of air against printed values, a reference library, and the standard atmosphere."""

import numpy as np
import pytest
from CoolProp.HumidAirProp import HAPropsSI

from balance.reduce.air import dynamic_pressure, moist_air_density, speed_at

MERCURY = 133.322387415  # Pa in a conventional millimetre of mercury


@pytest.mark.parametrize(
    ("celsius", "mercury", "humidity", "density"),
    [(10.0, 730.0, 0.40, "1.19569"), (25.0, 760.0, 0.40, "1.1787")],
)
def test_printed_densities(celsius, mercury, humidity, density, printed):
    """S. V. Gupta, Mass Metrology, table p. 205 (by the approximation of OIML R111 in the second row)."""
    expected = printed(density)
    found = moist_air_density(celsius + 273.15, mercury * MERCURY, humidity)
    assert found == pytest.approx(expected.value, rel=0, abs=expected.half)


@pytest.mark.parametrize("humidity", [0.0, 0.3, 0.5, 0.9])
@pytest.mark.parametrize("pressure", [60e3, 85e3, 101325.0, 110e3])
@pytest.mark.parametrize("temperature", [288.15, 293.15, 300.15])
def test_agrees_with_a_reference_library_where_the_formula_is_stated(temperature, pressure, humidity):
    """CoolProp's humid air (an equation of state of its own), volume per kilogram of moist air."""
    volume = HAPropsSI("Vha", "T", temperature, "P", pressure, "R", humidity)
    assert moist_air_density(temperature, pressure, humidity) == pytest.approx(1.0 / volume, rel=1e-4)


def test_reference_density():
    """CIPM-2007 at 20 degrees, 101325 Pa, 50 %; CoolProp agrees to 4e-5."""
    volume = HAPropsSI("Vha", "T", 293.15, "P", 101325.0, "R", 0.5)
    assert moist_air_density(293.15, 101325.0, 0.5) == pytest.approx(1.199314, rel=0, abs=5e-7)
    assert pytest.approx(1.0 / volume, rel=4e-5) == 1.199314


@pytest.mark.parametrize(
    ("temperature", "pressure", "density"),
    [
        (288.150, 101325.0, 1.2250),
        (284.900, 95461.0, 1.1673),
        (281.651, 89876.0, 1.1117),
        (278.402, 84560.0, 1.0581),
        (275.154, 79501.0, 1.0066),
    ],
)
def test_standard_atmosphere(temperature, pressure, density):
    """ISO 2533 at 0, 500 ... 2000 m, from memory: dry and ideal, so 0.04 % below a real gas."""
    found = moist_air_density(temperature, pressure, 0.0)
    assert found == pytest.approx(density, rel=5e-4)
    assert dynamic_pressure(50.0, density) == pytest.approx(1250.0 * density, rel=1e-14)
    assert speed_at(1250.0 * density, density) == pytest.approx(50.0, rel=1e-14)


def test_arrays_broadcast():
    found = moist_air_density(np.array([[283.15], [293.15]]), np.array([9e4, 1e5, 1.1e5]), 0.5)
    assert found.shape == (2, 3)
    assert np.all(np.diff(found, axis=1) > 0.0)
    assert np.all(np.diff(found, axis=0) < 0.0)
