"""Every factor that is written out against the unit library."""

import pint
import pytest

from balance.model.kinds import KINDS
from balance.units.text import ORDINARY

REGISTRY = pint.UnitRegistry()
SPELT = {
    "°C": "degC",
    "°F": "degF",
    "m²": "m^2",
    "kg/m³": "kg/m^3",
    "kg/m3": "kg/m^3",
    "lb/ft3": "lb/ft^3",
    "m2": "m^2",
    "ft2": "ft^2",
    "%": "percent",
    "kp": "kgf",
}  # a kilopond is a kilogram-force: CGPM 1901


@pytest.mark.parametrize(
    ("kind", "unit"), [(kind, unit) for kind, units in ORDINARY.items() for unit in units]
)
def test_factor_is_that_of_the_unit_library(kind, unit):
    factor, offset = ORDINARY[kind][unit]
    si = "dimensionless" if kind == "fraction" else KINDS[kind].si
    for figure in (0.0, 1.0, 37.5):
        expected = REGISTRY.Quantity(figure, SPELT.get(unit, unit)).to(si).magnitude
        assert figure * factor + offset == pytest.approx(expected, rel=1e-12, abs=1e-12)
