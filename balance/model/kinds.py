"""The kinds of quantity that files hold, and what a number looks like in text."""

from __future__ import annotations

import re
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

# fmt: off
Kind = Literal[
    "mass", "length", "speed", "force", "area", "power", "angle", "temperature", "pressure", "density",
    "fraction", "number",
]
# fmt: on


class _Kind(NamedTuple):
    article: str  # "a mass"
    si: str
    common: tuple[str, ...]  # units to offer, the likeliest first


KINDS: Mapping[str, _Kind] = MappingProxyType(
    {
        "mass": _Kind("a mass", "kg", ("kg", "lb", "g")),
        "length": _Kind("a length", "m", ("mm", "m", "in", "ft", "cm")),
        "speed": _Kind("a speed", "m/s", ("km/h", "mph", "m/s", "knot")),
        "force": _Kind("a force", "N", ("N", "lbf", "kgf", "kN", "daN", "kp")),
        "area": _Kind("an area", "m^2", ("m^2", "ft^2", "cm^2", "in^2")),
        "power": _Kind("a power", "W", ("kW", "hp", "metric_horsepower")),
        "angle": _Kind("an angle", "rad", ("deg", "rad")),
        "temperature": _Kind("a temperature", "K", ("degC", "degF", "K")),
        "pressure": _Kind("a pressure", "Pa", ("hPa", "inHg", "mbar", "Pa", "kPa", "psi")),
        "density": _Kind("a density", "kg/m^3", ("kg/m^3", "lb/ft^3")),
        "fraction": _Kind("a fraction", "1", ("%",)),
        "number": _Kind("a plain number", "1", ("1",)),
    }
)

NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.([0-9]*))?|\.([0-9]+))(?:[eE]([+-]?[0-9]+))?")


def clean_number(text: str) -> str:
    """Replace a Unicode minus by the plain one and strip every kind of space from both ends.

    Examples
    --------
    >>> clean_number("\u00a0\u221212.5 ")
    '-12.5'
    """
    return text.strip().replace("\N{MINUS SIGN}", "-")


def unit_mark(unit: str) -> str:
    """Return a setting's unit as it stands on a page: an angle in degrees has its sign.

    Examples
    --------
    >>> unit_mark("deg"), unit_mark("mm")
    ('°', 'mm')
    """
    return "°" if unit in ("deg", "degree", "degrees", "°") else unit


def with_unit(figure: str, unit: str) -> str:
    """Write a setting's figure with its unit behind it.

    Examples
    --------
    >>> with_unit("5", "deg"), with_unit("60", "mm"), with_unit("2", "")
    ('5°', '60 mm', '2')
    """
    mark = unit_mark(unit)
    return f"{figure}{'' if mark == '°' else ' '}{mark}".rstrip()
