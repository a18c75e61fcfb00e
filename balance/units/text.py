"""Text to SI and back: the only place that knows units.

The unit library stands behind ``library.py``. Showing needs none: ``shown.py`` holds exact factors.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.model.errors import UnitError, did_you_mean, quoted
from balance.model.kinds import KINDS, NUMBER, clean_number
from balance.units.library import LONGEST, linear_scale, parsed_unit, root_of, root_of_kind
from balance.units.shown import SI, US

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.kinds import Kind
    from balance.units.library import ParsedUnit

_CHECK = "check the figure and its unit"
_SLIPS = {"kmh": "km/h", "kmph": "km/h", "bhp": "hp", "ps": "metric_horsepower", "sqft": "ft^2", "sqm": "m^2"}


def parse_quantity(text: str, kind: Kind, *, bare: bool = False) -> float:
    """Read a quantity with its unit into SI.

    Examples
    --------
    >>> parse_quantity("2575 mm", "length")
    2.575
    >>> parse_quantity("20 °C", "temperature")
    293.15
    >>> parse_quantity("1290", "mass")
    Traceback (most recent call last):
    ...
    balance.model.errors.UnitError: found '1290' without a unit, expected a mass with its unit; write '1290 kg' or '1290 lb', whichever it is
    """
    plain = clean_number(text)
    match = NUMBER.match(plain) if len(plain) <= LONGEST else None
    unit = plain[match.end() :].strip() if match else ""
    if match is None or unit[:1].isdigit() or unit[:1] in (",", "."):
        raise _not_a_quantity(plain, kind)
    value = float(match.group())
    if not math.isfinite(value):
        raise UnitError(quoted(plain), f"{KINDS[kind].article} that is finite", _CHECK)
    if not unit and kind == "fraction" and bare:
        if not 0 <= value <= 1:
            raise UnitError(quoted(plain), "a fraction from 0 to 1, or a percentage with %")
        return value
    if not unit and kind != "number":
        figure = f"{100 * value:g}" if kind == "fraction" and abs(value) <= 1 else match.group()
        first, *others = (f"'{figure} {name}'" for name in KINDS[kind].common[:2])
        mend = f"write {first}" + (f" or {others[0]}, whichever it is" if others else "")
        raise UnitError(f"{quoted(plain)} without a unit", f"{KINDS[kind].article} with its unit", mend)
    factor, offset = unit_scale(unit, kind)
    si = value * factor + offset
    if not math.isfinite(si):
        raise UnitError(quoted(plain), f"{KINDS[kind].article} that is finite", _CHECK)
    return si


def _not_a_quantity(text: str, kind: Kind) -> UnitError:
    about = KINDS[kind]
    sample = "a number" if kind == "number" else f"{about.article} as in '12.5 {about.common[0]}'"
    if not text:
        return UnitError("nothing", sample)
    if re.match(r"[+-]?[0-9]+,[0-9]", text):
        mend = "a comma for a point? write the decimal point as '.', and no marks between thousands"
        return UnitError(quoted(text), sample, mend)
    return UnitError(quoted(text), sample, _CHECK)


@lru_cache(maxsize=512)
def unit_scale(unit: str, kind: Kind) -> tuple[float, float]:
    """Return what turns a figure in a unit into SI: ``si = figure * factor + offset``.

    Examples
    --------
    >>> unit_scale("lbf", "force")
    (4.4482216152605, 0.0)
    >>> unit_scale("lb", "force")
    Traceback (most recent call last):
    ...
    balance.model.errors.UnitError: found the unit 'lb', which measures a mass, expected a force unit; write 'lbf'
    """
    ordinary = ORDINARY.get(kind, {}).get(unit)
    if ordinary is not None:
        return ordinary
    about = KINDS[kind]
    if kind == "number":
        if unit.strip() in ("", "1"):
            return 1.0, 0.0
        raise UnitError(f"the unit {quoted(unit)}", "a plain number without a unit")
    parsed = parsed_unit(unit)
    if parsed is None:
        raise _unknown(unit, kind)
    if root_of(parsed) != root_of_kind(kind):
        raise _wrong_dimension(unit, parsed, kind)
    scale = linear_scale(str(parsed), about.si)
    if scale is None:
        raise _unknown(unit, kind)
    return scale


def known_unit(unit: str) -> bool:
    """Return whether a text names a unit.

    Examples
    --------
    >>> known_unit("N/mm"), known_unit("kmh")
    (True, False)
    """
    return _ordinary_kind(unit) is not None or parsed_unit(unit) is not None


def dimension_of(unit: str) -> Kind | None:
    """State what a unit measures.

    Examples
    --------
    >>> dimension_of("deg"), dimension_of("lb"), dimension_of("N/mm"), dimension_of("%")
    ('angle', 'mass', None, 'fraction')
    """
    if (ordinary := _ordinary_kind(unit)) is not None:
        return ordinary
    parsed = parsed_unit(unit)
    if parsed is None:
        return None
    root = root_of(parsed)
    kinds: tuple[Kind, ...] = tuple(KINDS)  # type: ignore[arg-type]  # its keys are the kinds
    return next((kind for kind in kinds if root_of_kind(kind) == root), None)


def difference_scale(unit: str, other: str) -> float | None:
    """Return what turns a difference in one unit into another's, or None where they measure different things.

    Examples
    --------
    >>> difference_scale("degF", "degC"), difference_scale("hPa", "Pa"), difference_scale("Pa", "mm")
    (0.5555555555555556, 100.0, None)
    """
    if unit.strip() == other.strip():
        return 1.0
    kind = dimension_of(unit)
    if kind != dimension_of(other):
        return None
    if kind is not None:
        return unit_scale(unit, kind)[0] / unit_scale(other, kind)[0]
    one, its = parsed_unit(unit), parsed_unit(other)
    if one is None or its is None or root_of(one) != root_of(its):
        return None
    scale = linear_scale(str(one), str(its))
    return None if scale is None else scale[0]


def _ordinary_kind(unit: str) -> Kind | None:
    """Find an ordinary unit without the unit library."""
    name = unit.strip()
    return next((kind for kind in ORDINARY if name in ORDINARY[kind]), None)


def suggest_unit(unit: str, kind: Kind | None = None) -> str:
    """Propose the unit that was probably meant.

    Examples
    --------
    >>> suggest_unit("kmh"), suggest_unit("N/s2")
    ("write 'km/h'", "write 'N/s^2'")
    """
    typed = unit.strip()
    raised = re.sub(r"(?<=[A-Za-z])([23])(?![0-9A-Za-z])", r"^\1", typed)
    for better in (_SLIPS.get(typed.casefold(), ""), raised if raised != typed else ""):
        if better and known_unit(better) and kind in (None, dimension_of(better)):
            return f"write '{better}'"
    kinds = (KINDS[kind],) if kind else tuple(KINDS.values())
    common = [name for about in kinds for name in about.common]
    return did_you_mean(typed, common)


def _unknown(unit: str, kind: Kind) -> UnitError:
    expected = f"{KINDS[kind].article} unit such as {', '.join(KINDS[kind].common[:3])}"
    return UnitError(f"the unknown unit {quoted(unit)}", expected, suggest_unit(unit, kind) or _CHECK)


def _wrong_dimension(unit: str, parsed: ParsedUnit, kind: Kind) -> UnitError:
    measured = dimension_of(unit)
    found = f"the unit {quoted(unit)}" + (f", which measures {KINDS[measured].article}" if measured else "")
    forces = {"pound": "lbf", "kilogram": "kgf"}
    if kind == "force" and str(parsed) in forces:
        return UnitError(found, "a force unit", f"write '{forces[str(parsed)]}'")
    such_as = ", ".join(KINDS[kind].common[:3])
    return UnitError(found, f"{KINDS[kind].article} unit such as {such_as}", _CHECK)


_POUND_FORCE, _INCH, _FOOT = US.unit("force").scale, US.unit("length").scale, US.unit("distance").scale

_ORDINARY: Mapping[Kind, Mapping[str, float]] = {
    "mass": {"kg": 1.0, "lb": US.unit("mass").scale},
    "length": {"m": 1.0, "mm": 0.001, "cm": 0.01, "in": _INCH, "ft": _FOOT},
    "speed": {"m/s": 1.0, "km/h": SI.unit("speed").scale, "mph": US.unit("speed").scale},
    "force": {"N": 1.0, "kN": 1000.0, "lbf": _POUND_FORCE, "kgf": 9.80665, "daN": 10.0, "kp": 9.80665},
    "area": {"m^2": 1.0, "m²": 1.0, "m2": 1.0, "ft^2": US.unit("area").scale, "ft2": US.unit("area").scale},
    "power": {"W": 1.0, "kW": 1000.0, "hp": US.unit("power").scale},
    "angle": {"rad": 1.0, "deg": math.pi / 180.0},
    "temperature": dict.fromkeys(("K", "degC", "°C"), 1.0)
    | dict.fromkeys(("degF", "°F"), US.unit("temperature").scale),
    "pressure": {"Pa": 1.0, "hPa": 100.0, "mbar": 100.0, "kPa": 1000.0, "inHg": US.unit("pressure").scale},
    "density": dict.fromkeys(("kg/m^3", "kg/m³", "kg/m3"), 1.0)
    | dict.fromkeys(("lb/ft^3", "lb/ft3"), US.unit("density").scale),
    "fraction": {"%": 0.01},
}
_ZERO = dict.fromkeys(("degC", "°C"), SI.unit("temperature").offset) | dict.fromkeys(
    ("degF", "°F"), US.unit("temperature").offset
)
ORDINARY: Mapping[Kind, Mapping[str, tuple[float, float]]] = MappingProxyType(
    {
        kind: {unit: (scale, _ZERO.get(unit, 0.0)) for unit, scale in units.items()}
        for kind, units in _ORDINARY.items()
    }
)
"""Units that are read without the unit library: factor and zero in SI."""
