"""Units as other people write them, as our files write them."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from balance.units.text import dimension_of, known_unit

if TYPE_CHECKING:
    from balance.model.kinds import Kind

# fmt: off
_WORDS = {
    "newton": "N", "newtons": "N", "kgf": "kgf", "kp": "kgf", "lbf": "lbf", "lb f": "lbf", "lb-f": "lbf",
    "kph": "km/h", "kmh": "km/h", "km/hr": "km/h", "kmph": "km/h", "km / h": "km/h", "kts": "knot", "kt": "knot", "kn": "",
    "knots": "knot", "m/sec": "m/s", "m s-1": "m/s", "ms-1": "m/s", "mps": "m/s", "°": "deg", "º": "deg", "degree": "deg",
    "degrees": "deg", "grad": "", "mb": "mbar", "in hg": "inHg", "inhg": "inHg", "in.hg": "inHg", "mm hg": "mmHg",
    "m²": "m^2", "m2": "m^2", "sqm": "m^2", "ft²": "ft^2", "ft2": "ft^2", "sq ft": "ft^2", "sqft": "ft^2",
    "kg/m3": "kg/m^3", "kg/m³": "kg/m^3", "kg m-3": "kg/m^3", "pct": "%", "percent": "%", "%rh": "%", "% rh": "%",
    "lbs": "lb", "pounds": "lb", "pound": "lb", "°c": "degC", "º c": "degC", "deg c": "degC", "celsius": "degC",
    "°f": "degF", "deg f": "degF", "fahrenheit": "degF", "-": "1", "–": "1", "--": "1", "none": "1", "n/a": "1",
    "dimensionless": "1",
}
_BY_KIND: dict[str, dict[str, str]] = {"temperature": {"c": "degC", "f": "degF", "k": "K"}, "force": {"kn": "kN"},
                                       "speed": {"kn": "knot"}, "length": {'"': "in", "inch": "in", "inches": "in"}}
_MOMENTS = {"nm": ("N", "m"), "n m": ("N", "m"), "n·m": ("N", "m"), "n*m": ("N", "m"), "n-m": ("N", "m"),
            "lbf ft": ("lbf", "ft"), "lbf·ft": ("lbf", "ft"), "lbf*ft": ("lbf", "ft"), "ft lbf": ("lbf", "ft"),
            "ft-lbf": ("lbf", "ft"), "lbf-ft": ("lbf", "ft"), "kgf m": ("kgf", "m"), "knm": ("kN", "m")}
# fmt: on
_COUNTS = frozenset(("count", "counts", "ct", "cts"))


def spelled(unit: str, kind: Kind | None = None) -> str:
    """Write a unit as our files write it.

    Examples
    --------
    >>> spelled("kph"), spelled("C", "temperature"), spelled("m²"), spelled("KN", "force")
    ('km/h', 'degC', 'm^2', 'kN')
    """
    text = " ".join(unit.split()).strip("[](){} ")
    folded = text.casefold()
    if kind and folded in _BY_KIND.get(kind, {}):
        return _BY_KIND[kind][folded]
    known = _WORDS.get(folded, "")
    return known or text


def moment_unit(unit: str) -> tuple[str, str] | None:
    """Split the unit of a moment into its force and its length, or say that it is none."""
    return _MOMENTS.get(" ".join(unit.split()).casefold())


def counts(unit: str) -> bool:
    """Return whether a unit is counts, thousandths or ten-thousandths of a coefficient: nobody can know which."""
    return unit.strip().casefold() in _COUNTS


@lru_cache(maxsize=4096)
def unit_like(text: str) -> bool:
    """Return whether a cell of a row could be a unit.

    Examples
    --------
    >>> [unit_like(text) for text in ("N", "[km/h]", "-", "12", "base", "counts")]
    [True, True, True, False, False, True]
    """
    bare = text.strip().strip("[](){} ")
    if not bare or len(bare) > 14 or re.search(r"^[\d.,]+$", bare):
        return False
    if bare.casefold() in _WORDS or counts(bare) or moment_unit(bare):
        return True
    if bare.casefold() in ("c", "f", "k", "text", "yes/no", "string", "hh:mm", "h:m", "#"):
        return True
    if not re.fullmatch(r"[A-Za-zµ°%²³/*^·\d. -]+", bare) or bare.isdigit():
        return False
    return known_unit(spelled(bare)) and dimension_of(spelled(bare)) is not None
