"""The unit library behind a grammar of its own: loaded when the first unit that is not an ordinary one is read."""

from __future__ import annotations

import math
import re
import shutil
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from balance.model.kinds import KINDS

if TYPE_CHECKING:
    import pint

    ParsedUnit = pint.Unit

    from balance.model.kinds import Kind

LONGEST = 60  # characters of a quantity: far more than any real one, far less than an attack
_FACTOR = re.compile(r"[A-Za-zµΩ][A-Za-zµΩ_0-9]*(\^-?[1-9])?")
_SPELLINGS = {  # what people type, as the unit library writes it
    "**": "^",
    "·": "*",
    "⋅": "*",
    "μ": "µ",
    "°C": "degC",
    "°F": "degF",
    "°": "deg",
    "%": "percent",
}
_PLAIN_POWER = re.compile(r"(?<![A-Za-zµΩ])(m|cm|mm|ft|in)([23])(?![0-9A-Za-z])")
"""A length behind which its power stands plain, as a keyboard has it: kg/m3."""
_RAISED = str.maketrans("⁻¹²³", "-123")


def parsed_unit(unit: str) -> ParsedUnit | None:
    """Read a unit by a grammar of names, small powers, ``*`` and ``/``: nothing is ever evaluated."""
    text = unit.strip()
    if not text or len(text) > LONGEST:
        return None
    for typed, plain in _SPELLINGS.items():
        text = text.replace(typed, plain)
    text = _PLAIN_POWER.sub(r"\1^\2", text)
    text = re.sub(r"[⁻¹²³]+", lambda raised: "^" + raised.group().translate(_RAISED), text)
    text = re.sub(r"\s+", "*", re.sub(r"\s*([*/])\s*", r"\1", text))
    if text == "1":
        return _looked_up("dimensionless")
    names = text.removeprefix("1/")
    if not all(_FACTOR.fullmatch(part) for part in re.split(r"[*/]", names)):
        return None
    return _looked_up(text)


_OWN = {"Nm": "N*m", "kNm": "kN*m", "daNm": "daN*m"}
"""Names that the unit library reads in one way or another, or not at all, as its version goes: spelled out here."""


@lru_cache(maxsize=512)
def _looked_up(text: str) -> ParsedUnit | None:
    import pint  # noqa: PLC0415 - slow to load, and needed only when a unit is read

    try:
        parsed = _registry().parse_units("*".join(_OWN.get(part, part) for part in text.split("*")))
        root_of(parsed)
    except (pint.PintError, ValueError, TypeError, ArithmeticError, AttributeError, KeyError):
        return None
    return parsed


def linear_scale(name: str, si: str) -> tuple[float, float] | None:
    """Factor and offset of a unit, or None where it has none: logarithms, differences, mixed offsets."""
    import pint  # noqa: PLC0415 - slow to load, and needed only when a unit is read

    if "decibel" in name or "neper" in name or "delta_" in name:
        return None
    registry = _registry()
    offset_unit = name in ("degree_Celsius", "degree_Fahrenheit", "degree_Reaumur")
    try:
        factor = float(registry.convert(1.0, f"delta_{name}" if offset_unit else name, si))
        return _tidy(factor), float(registry.convert(0.0, name, si)) if offset_unit else 0.0
    except pint.PintError:
        return None


def root_of(unit: ParsedUnit) -> Any:
    """Return the base units that a unit is made of, which tell what it measures."""
    return _registry().get_root_units(unit)[1]


@lru_cache(maxsize=32)
def root_of_kind(kind: Kind) -> Any:
    """Return the base units of what is measured in a kind."""
    parsed = parsed_unit(KINDS[kind].si)
    return None if parsed is None else root_of(parsed)


def _tidy(factor: float) -> float:
    """Drop the last-bit noise of chained factors: a foot is 0.3048 m, not 0.30479999999999996."""
    short = float(f"{factor:.14g}")
    return short if math.isclose(short, factor, rel_tol=4e-16) else factor


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[Any]:
    import pint  # noqa: PLC0415 - slow to load, and needed only when a unit is read
    from platformdirs import user_cache_dir  # noqa: PLC0415 - goes with it

    folder = f"{user_cache_dir('axletrim')}/pint"
    try:
        return pint.UnitRegistry(cache_folder=folder)
    except Exception:  # noqa: BLE001 - a read-only, full or damaged cache costs time, never the answer
        shutil.rmtree(folder, ignore_errors=True)
        return pint.UnitRegistry()
