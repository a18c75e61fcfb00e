"""Changes, air and targets as people type them: "120 N at 160 km/h", "29 degC, 940 hPa", "3 points rearward"."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from balance.model.channels import CHANNELS
from balance.model.errors import UnitError, quoted
from balance.model.kinds import clean_number
from balance.model.what_ifs import Air, PlacedForce, StatedChange
from balance.units.stated import explicit, figure_of, parse_stated, split_conditions
from balance.units.text import dimension_of, parse_quantity

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.records import Stated

_AND = re.compile(r"\s*(?:,|;|\s+and\s+)\s*")
_POINTS = re.compile(
    r"(?:percentage\s+)?(?:\bpoints?|(?<=[\d)\s])pts?|(?<=[\d)\s])points?|%)(?![a-z])", re.IGNORECASE
)
_WAY = re.compile(r"\s*\b(rearward|forward)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedArea:
    """An area [m²] and the speed [m/s] and density [kg/m³] that its force was stated at, where it was a force.

    ``stated`` is the area with what was said of its uncertainty. [m^2]
    """

    area: float
    stated: Stated
    speed: float | None = None
    air_density: float | None = None


def read_change(text: str, *, air_density: float, at: StatedArea | None = None) -> StatedArea:
    """Read a change of load with the speed it holds at, or an area, which holds at any.

    Examples
    --------
    >>> round(read_change("120 N at 160 km/h", air_density=1.2).area, 6)
    0.10125
    >>> read_change("120 N", air_density=1.2)
    Traceback (most recent call last):
    ...
    balance.model.errors.UnitError: found '120 N', expected a force and its speed: 120 N at what speed?; write '120 N at 160 km/h', or whatever it is
    """
    load, conditions = split_conditions(text)
    if dimension_of(figure_of(load)[1]) == "area":
        if conditions is not None:
            raise UnitError(quoted(text), "an area without a speed: it holds at any")
        stated = parse_stated(load, "area")
        return StatedArea(area=stated.value, stated=stated)
    force = parse_stated(load, "force")
    speed = None if at is None else at.speed
    density = None if at is None else at.air_density
    if conditions is not None:
        first, *others = _AND.split(conditions)
        speed = parse_quantity(first, "speed")
        density = None
        if others:
            density = parse_quantity(others[0], "density")
        if len(others) > 1:
            raise UnitError(quoted(text), "a force, a speed and at most a density")
    if speed is None:
        plain = load.strip()
        raise UnitError(
            quoted(text),
            f"a force and its speed: {plain} at what speed?",
            f"write '{plain} at 160 km/h', or whatever it is",
        )
    density = air_density if density is None else density
    if not 0.0 < speed < 1e3 or not 0.0 < density < 10.0:
        raise UnitError(quoted(text), "a speed and a density above 0")
    pressure = 0.5 * density * speed**2
    area = replace(
        force, value=force.value / pressure, std=None if force.std is None else force.std / pressure
    )
    return StatedArea(area=area.value, stated=area, speed=speed, air_density=density)


def read_stated(texts: Mapping[str, str], *, air_density: float, note: str = "") -> StatedChange:
    """Read what was stated of a change at the axles and of drag."""
    areas: dict[str, float] = {}
    assumed: list[str] = []
    first: StatedArea | None = None
    for name in CHANNELS:
        one = read_change(texts[name], air_density=air_density) if name in texts else None
        if one is not None:
            areas[name] = one.area
            first = first if first is not None and first.speed is not None else one
        spread = texts.get(f"{name}_std")
        if one is not None and spread is None:
            areas[f"{name}_std"] = one.stated.std or 0.0
            assumed += [] if one.stated.explicit else [name]
        if spread is None:
            continue
        if one is None:
            raise UnitError(f"{name}_std {quoted(spread)}", f"the change of {name} that it belongs to")
        if one.stated.explicit:
            raise UnitError(
                f"{name} {quoted(texts[name])} and {name}_std {quoted(spread)}",
                "its uncertainty in one place",
                f"leave out {name}_std, or what stands behind the figure of {name}",
            )
        std = read_change(spread, air_density=air_density, at=one)
        if std.stated.explicit:
            raise UnitError(
                f"{name}_std {quoted(spread)}",
                "a standard uncertainty alone",
                f"write what is known of the change behind {name} itself",
            )
        areas[f"{name}_std"] = std.area
        if areas[f"{name}_std"] < 0.0:
            raise UnitError(quoted(spread), "a standard uncertainty of 0 or more")
    return StatedChange(
        **areas,
        speed=None if first is None else first.speed,
        air_density=None if first is None else first.air_density,
        note=note,
        assumed=tuple(assumed),
    )


def read_placed_force(
    downforce: str,
    drag: str | None,
    *,
    behind_rear_axle: Stated,
    height: Stated,
    air_density: float,
    note: str = "",
) -> PlacedForce:
    """Read a force at a place."""
    down = read_change(downforce, air_density=air_density)
    along = None if drag is None else read_change(drag, air_density=air_density, at=down)
    stated = {"downforce": down.stated, "behind_rear_axle": behind_rear_axle, "height": height}
    if along is not None:
        stated["drag"] = along.stated
    return PlacedForce(
        downforce=down.area,
        drag=0.0 if along is None else along.area,
        behind_rear_axle=behind_rear_axle.value,
        height=height.value,
        speed=down.speed,
        air_density=down.air_density,
        note=note,
        uncertainties=explicit(stated),
    )


def read_air(text: str) -> Air:
    """Read air as it is known.

    Examples
    --------
    >>> air = read_air("29 degC, 940 hPa")
    >>> round(air.temperature, 2), air.pressure
    (302.15, 94000.0)
    """
    kinds = {"temperature": "temperature", "pressure": "pressure", "fraction": "humidity"}
    kinds |= {"length": "altitude", "density": "density"}
    air = Air()
    for part in _AND.split(text.strip()):
        kind = dimension_of(figure_of(part)[1])
        name = kinds.get(kind or "")
        if name is None or kind is None:
            raise UnitError(
                quoted(part),
                "temperature, pressure, humidity, altitude or density with its unit",
                "as in '29 degC, 940 hPa'",
            )
        if getattr(air, name) is not None:
            raise UnitError(quoted(text), f"one {name}")
        stated = parse_stated(part, kind)
        if stated.std is not None:
            raise UnitError(
                f"an uncertainty in {quoted(text)}",
                "figures alone: they are chosen, not measured",
                "leave out the uncertainty",
            )
        said = {**air.uncertainties, **explicit({name: stated})}
        air = replace(air, **{name: stated.value}, uncertainties=said)
    return air


def read_offset(text: str) -> float:
    """Read a balance offset in words.

    Examples
    --------
    >>> read_offset("3 points rearward")
    -0.03
    """
    plain = clean_number(text)
    ways = _WAY.findall(plain)
    figure = _POINTS.sub("%", _WAY.sub("", plain))
    try:
        stated = parse_stated(figure if "%" in figure and len(ways) < 2 else "", "fraction")
    except UnitError:
        raise UnitError(
            quoted(text), "percentage points and a direction", "as in '3 points rearward'"
        ) from None
    if stated.std is not None:
        raise UnitError(
            f"an uncertainty in {quoted(text)}",
            "the figure alone: it is chosen, not measured",
            "leave out the uncertainty",
        )
    value, way = stated.value, "".join(ways).casefold()
    if not way and value != 0.0:
        figure = f"{abs(100.0 * value):g}"
        raise UnitError(
            quoted(text),
            "a direction: rearward or forward of the weight?",
            f"write '{figure} points rearward' or '{figure} points forward'",
        )
    if way and value < 0.0:
        raise UnitError(quoted(text), "points without a sign where a direction stands")
    return -value if way == "rearward" else value
