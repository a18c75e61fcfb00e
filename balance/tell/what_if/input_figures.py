"""Figures of a what-if that are one number each: where they stand, in the unit shown, and in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from balance.model.what_ifs import stated_at
from balance.reduce.air import dynamic_pressure
from balance.reduce.standard_atmosphere import density_of
from balance.tell.figures import number
from balance.units.stated import uncertainty_text

if TYPE_CHECKING:
    from balance.decide.car.prepared_day import PreparedDay
    from balance.model.records import Stated
    from balance.model.what_ifs import PlacedForce, StatedChange, WhatIf
    from balance.tell.figures import Show

SHOWN = 3
"""Digits of an uncertainty that are shown."""
_EXACT = 13  # digits with which it can be typed again


class Scalar(NamedTuple):
    """A figure of a what-if that is one number: its field, its key in what_if.toml, its kind, and its step."""

    field: str
    file_key: str
    name: str
    kind: str
    step: float
    step_us: float
    example: str


SCALARS = (  # the order of the fields above
    Scalar("mass", "mass", "mass", "mass", 5.0, 10.0, "1200 kg"),
    Scalar("front_share", "front_share", "front weight", "percent", 0.5, 0.5, "55 %"),
    Scalar("speed", "speed", "speed", "speed", 5.0, 5.0, "185 km/h"),
    Scalar("air", "air", "air", "density", 0.01, 0.0005, "29 degC, 940 hPa"),
    Scalar("target_surplus", "target_surplus", "target", "percent", 0.5, 0.5, "1 %"),
    Scalar("grip_exponent", "grip_load_exponent", "grip exp.", "number", 0.01, 0.01, "0.86"),
    Scalar("stiffness_exponent", "stiffness_load_exponent", "stiffness exp.", "number", 0.01, 0.01, "0.75"),
)


def scalar_value(
    one: Scalar, prepared: PreparedDay, what_if: WhatIf, speed: float, show: Show
) -> tuple[float, float]:
    """Return a figure as it stands and as the start has it."""
    vehicle, facility = prepared.day.session.vehicle, prepared.day.session.facility
    start = {
        "mass": vehicle.mass,
        "front_share": vehicle.front_share,
        "speed": speed,
        "air": facility.air_density,
        "target_surplus": vehicle.target.grip_surplus,
        "grip_exponent": vehicle.grip_exponent.front,
        "stiffness_exponent": vehicle.stiffness_exponent.front,
    }[one.field]
    own = getattr(what_if, one.field)
    if one.field == "air" and own is not None:
        own = density_of(own)[0]
    both = (start if own is None else float(own), start)
    if one.kind == "percent":
        return 100.0 * both[0], 100.0 * both[1]
    if one.kind == "number":
        return both
    unit = show.system.unit(one.kind)
    return unit.from_si(both[0]), unit.from_si(both[1])


def scalar_words(one: Scalar, value: float, show: Show) -> str:
    """Write a figure with its unit."""
    if one.kind == "percent":
        return f"{number(value, 1)} %"
    if one.kind == "number":
        return number(value, 2)
    return f"{number(value, show.decimals(one.kind))} {show.unit(one.kind)}"


def exact_words(kind: str, value: float, show: Show) -> str:
    """Write a quantity so that it is not changed when it is typed again."""
    return f"{show.system.unit(kind).from_si(value):.10g} {show.unit(kind)}"


def exact_scalar(one: Scalar, value: float, show: Show) -> str:
    """Write a figure so that it is not changed when it is typed again."""
    unit = {"percent": "%", "number": ""}.get(one.kind)
    return f"{value:.10g} {show.unit(one.kind) if unit is None else unit}".rstrip()


def said_words(
    kind: str, said: Stated | None, show: Show, pressure: float = 1.0, digits: int = _EXACT
) -> str:
    """Write what was said of the uncertainty of a figure, as it can be typed behind it again."""
    if kind in ("percent", "number"):
        factor, unit = (100.0, "%") if kind == "percent" else (1.0, "")
    else:
        factor, unit = pressure / show.system.unit(kind).scale, show.unit(kind)
    return uncertainty_text(said, factor, unit, digits)


def speed_and_pressure(prepared: PreparedDay, change: StatedChange | PlacedForce) -> tuple[float, float]:
    """Return the speed that a change was stated at, and its dynamic pressure."""
    speed, density = stated_at(prepared.day.session.facility, change)
    return speed, float(dynamic_pressure(speed, density))
