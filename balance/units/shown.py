"""The systems of units that screens and reports show.

The factors are exact definitions, written out here, so that a screen needs no unit library to start.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


class ShownUnit(NamedTuple):
    """A unit as shown: its label, and ``si = shown * scale + offset``."""

    label: str
    scale: float
    offset: float = 0.0

    def from_si(self, value: float) -> float:
        """Turn an SI figure into the shown one.

        Examples
        --------
        >>> SI.unit("temperature").from_si(293.15)
        20.0
        """
        return (value - self.offset) / self.scale

    def to_si(self, value: float) -> float:
        """Turn a shown figure into SI.

        Examples
        --------
        >>> SI.unit("speed").to_si(180.0)
        50.0
        """
        return value * self.scale + self.offset


class UnitSystem(NamedTuple):
    """The units that screens and reports show."""

    name: str
    units: Mapping[str, ShownUnit]

    def unit(self, kind: str) -> ShownUnit:
        """Return the unit in which a kind of quantity is shown.

        Examples
        --------
        >>> SI.unit("force").label, US.unit("force").label
        ('N', 'lbf')
        """
        return self.units[kind] if kind in self.units else _WITHOUT_DIMENSION[kind]


_WITHOUT_DIMENSION = MappingProxyType(
    {
        "share": ShownUnit("%", 0.01),
        "shares": ShownUnit("%", 0.01),
        "points": ShownUnit("points", 0.01),
        "wheelbase": ShownUnit("% of wb.", 0.01),
        "ratio": ShownUnit("1", 1.0),
        "coefficient": ShownUnit("1", 1.0),
        "word": ShownUnit("", 1.0),
    }
)
"""What is shown alike in every system."""
_FOOT, _POUND = 0.3048, 0.45359237  # exact: international yard and pound, 1959
_POUND_FORCE = _POUND * 9.80665  # exact: standard gravity, CGPM 1901
_INCH_OF_MERCURY = 3386.388640341  # 25.4 mm of mercury at 133.322387415 Pa/mm, the conventional value

SI = UnitSystem(
    "SI",
    MappingProxyType(
        {
            "force": ShownUnit("N", 1.0),
            "speed": ShownUnit("km/h", 1 / 3.6),
            "mass": ShownUnit("kg", 1.0),
            "length": ShownUnit("mm", 0.001),
            "distance": ShownUnit("m", 1.0),
            "area": ShownUnit("m²", 1.0),
            "density": ShownUnit("kg/m³", 1.0),
            "power": ShownUnit("kW", 1000.0),
            "pressure": ShownUnit("hPa", 100.0),
            "temperature": ShownUnit("°C", 1.0, 273.15),
            "dynamic_pressure": ShownUnit("Pa", 1.0),
        }
    ),
)
US = UnitSystem(
    "US",
    MappingProxyType(
        {
            "force": ShownUnit("lbf", _POUND_FORCE),
            "speed": ShownUnit("mph", 0.44704),
            "mass": ShownUnit("lb", _POUND),
            "length": ShownUnit("in", 0.0254),
            "distance": ShownUnit("ft", _FOOT),
            "area": ShownUnit("ft²", _FOOT**2),
            "density": ShownUnit("lb/ft³", _POUND / _FOOT**3),
            "power": ShownUnit("hp", 550 * _FOOT * _POUND_FORCE),
            "pressure": ShownUnit("inHg", _INCH_OF_MERCURY),
            "temperature": ShownUnit("°F", 5 / 9, 459.67 * 5 / 9),
            "dynamic_pressure": ShownUnit("lbf/ft²", _POUND_FORCE / _FOOT**2),
        }
    ),
)


KGF = UnitSystem("kgf", MappingProxyType({**SI.units, "force": ShownUnit("kgf", 9.80665)}))
"""SI but for forces in kilograms-force, as many facilities read them; 9.80665 is exact, CGPM 1901."""
SYSTEMS = MappingProxyType({"si": SI, "us": US, "kgf": KGF})
"""By their short names, in the order in which a key goes round."""


def following(name: str) -> str:
    """Name the system of units that comes after another.

    Examples
    --------
    >>> following("si"), following("kgf")
    ('us', 'si')
    """
    names = tuple(SYSTEMS)
    return names[(names.index(name) + 1) % len(names)]


def name_of(system: UnitSystem | None) -> str:
    """Return the short name of a system of units, SI's where there is none."""
    return next((name for name, one in SYSTEMS.items() if one is system), "si")


def system_of(units: Iterable[str]) -> UnitSystem | None:
    """State in which system readings were written down.

    Examples
    --------
    >>> system_of(["lbf", "mph"]) is US, system_of(["kgf", "km/h"]) is KGF, system_of(["1"])
    (True, True, None)
    """
    written = set(units)
    return next((system for system in SYSTEMS.values() if system.unit("force").label in written), None)
