"""Exact factors of the units that nearly every file is written in, so that reading one needs no unit library.

``si = figure * factor + offset``. A test holds every entry against the unit library.
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.units.shown import SI, US

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.kinds import Kind

_POUND_FORCE, _INCH, _FOOT = US.unit("force").scale, US.unit("length").scale, US.unit("distance").scale

ORDINARY: Mapping[Kind, Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        "mass": {"kg": (1.0, 0.0), "lb": (US.unit("mass").scale, 0.0)},
        "length": {
            "m": (1.0, 0.0),
            "mm": (0.001, 0.0),
            "cm": (0.01, 0.0),
            "in": (_INCH, 0.0),
            "ft": (_FOOT, 0.0),
        },
        "speed": {
            "m/s": (1.0, 0.0),
            "km/h": (SI.unit("speed").scale, 0.0),
            "mph": (US.unit("speed").scale, 0.0),
        },
        "force": {
            "N": (1.0, 0.0),
            "kN": (1000.0, 0.0),
            "lbf": (_POUND_FORCE, 0.0),
            "kgf": (9.80665, 0.0),
            "daN": (10.0, 0.0),
            "kp": (9.80665, 0.0),
        },
        "area": {"m^2": (1.0, 0.0), "m²": (1.0, 0.0), "ft^2": (US.unit("area").scale, 0.0)},
        "power": {"W": (1.0, 0.0), "kW": (1000.0, 0.0), "hp": (US.unit("power").scale, 0.0)},
        "angle": {"rad": (1.0, 0.0), "deg": (math.pi / 180.0, 0.0)},
        "temperature": {
            "K": (1.0, 0.0),
            "degC": (1.0, SI.unit("temperature").offset),
            "°C": (1.0, SI.unit("temperature").offset),
            "degF": (US.unit("temperature").scale, US.unit("temperature").offset),
            "°F": (US.unit("temperature").scale, US.unit("temperature").offset),
        },
        "pressure": {
            "Pa": (1.0, 0.0),
            "hPa": (100.0, 0.0),
            "mbar": (100.0, 0.0),
            "kPa": (1000.0, 0.0),
            "inHg": (US.unit("pressure").scale, 0.0),
        },
        "density": {"kg/m^3": (1.0, 0.0), "kg/m³": (1.0, 0.0), "lb/ft^3": (US.unit("density").scale, 0.0)},
        "fraction": {"%": (0.01, 0.0)},
    }
)
