"""Compressibility of moist air, each of its terms: CIPM-2007 written out again.

A. Picard, R. S. Davis, M. Gläser, K. Fujii, "Revised formula for the density of moist air (CIPM-2007)", Metrologia 45
(2008) 149-155, appendix A.1; coefficients from memory.
"""

import numpy as np
import pytest

from balance.reduce.air import moist_air_density

OF_PRESSURE = {"a0": 1.58123e-6, "a1": -2.9331e-8, "a2": 1.1043e-10}
OF_VAPOUR = {"b0": 5.707e-6, "b1": -2.051e-8, "c0": 1.9898e-4, "c1": -2.376e-6}
OF_SQUARE = {"d": 1.83e-11, "e": -0.765e-8}


def density_by_the_source(temperature, pressure, humidity):
    """Work out the density term by term."""
    t = temperature - 273.15
    saturation = np.exp(
        1.2378847e-5 * temperature**2 - 1.9121316e-2 * temperature + 33.93711047 - 6.3431645e3 / temperature
    )
    vapour = humidity * (1.00062 + 3.14e-8 * pressure + 5.6e-7 * t**2) * saturation / pressure
    linear = OF_PRESSURE["a0"] + OF_PRESSURE["a1"] * t + OF_PRESSURE["a2"] * t**2
    linear += (OF_VAPOUR["b0"] + OF_VAPOUR["b1"] * t) * vapour + (
        OF_VAPOUR["c0"] + OF_VAPOUR["c1"] * t
    ) * vapour**2
    ratio = pressure / temperature
    compressibility = 1.0 - ratio * linear + ratio**2 * (OF_SQUARE["d"] + OF_SQUARE["e"] * vapour**2)
    # molar masses 28.96546e-3 kg/mol at 400 ppm of carbon dioxide and 18.01528e-3, gas constant 8.314472 J/(mol K)
    dry = pressure * 28.96546e-3 / (compressibility * 8.314472 * temperature)
    return dry * (1.0 - vapour * (1.0 - 18.01528e-3 / 28.96546e-3))


@pytest.mark.parametrize("humidity", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("pressure", [60e3, 101325.0, 110e3])
@pytest.mark.parametrize("temperature", [288.15, 293.15, 300.15, 325.0])
def test_every_term_counts(temperature, pressure, humidity):
    """The least of them, of the square of vapour, is 1e-6 at 27 degrees and 600 hPa: held to a tenth of that."""
    found = moist_air_density(temperature, pressure, humidity)
    assert found == pytest.approx(density_by_the_source(temperature, pressure, humidity), rel=1e-7)
