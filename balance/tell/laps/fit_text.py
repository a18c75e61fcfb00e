"""What a log tells of a car, in words: friction, power and grip exponent, and the lines that it offers to vehicle.toml."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.fit_log import EXPONENT_WANTED, LEAST_CORNERS
from balance.decide.laps.stations import find_corners
from balance.tell.figures import NONE, decimals_for, number
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.decide.laps.fit_log import Fitted, LogFit
    from balance.decide.laps.lap_car import LapCar
    from balance.model.records import Vehicle
    from balance.model.tracks import Track
    from balance.tell.figures import Show

_KILOWATT = 1000.0
_HEADS = {"tyres": "[tyres]", "drive": "[drive]"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """A line for vehicle.toml: its dotted key, and its value as it is typed."""

    key: str
    text: str


def offered_lines(fit: LogFit, vehicle: Vehicle) -> tuple[Offered, ...]:
    """List what a log offers to the car's file: what it tells, and no more."""
    found = []
    if fit.friction is not None:
        found.append(Offered(key="tyres.friction", text=_stated(fit.friction)))
    if fit.exponent is not None and fit.exponent.offered:
        places = _places(fit.exponent.half)
        text = f"{fit.exponent.value:.{places}f} ± {fit.exponent.half:.{places}f}"
        found.append(Offered(key="tyres.grip_load_exponent", text=text))
    if fit.power is not None and not vehicle.power_curve:
        found.append(Offered(key="drive.power", text=_stated(fit.power, _KILOWATT, "kW")))
    return tuple(found)


def changes_of(offered: tuple[Offered, ...]) -> Mapping[str, str]:
    """Return the lines as changes of vehicle.toml."""
    return {one.key: one.text for one in offered}


def offered_text(offered: tuple[Offered, ...]) -> list[str]:
    """Write the lines as they stand in a file, each under the head of its table."""
    lines, head = [], ""
    for one in offered:
        table, _, key = one.key.partition(".")
        if table != head:
            lines.append(_HEADS[table])
            head = table
        lines.append(f'{key} = "{one.text}"')
    return lines


def _stated(one: Fitted, scale: float = 1.0, unit: str = "") -> str:
    """Write a fitted figure as a file states it, ± half of its 95 % interval."""
    half = (one.high - one.low) / 2.0 / scale
    places = _places(half)
    behind = f" {unit}" if unit else ""
    return f"{one.value / scale:.{places}f}{behind} ± {max(half, 10.0**-places):.{places}f}{behind}"


def _places(half: float) -> int:
    """Choose decimals for half of an interval: two of its digits where the first is a 1 or a 2, else one."""
    return decimals_for(half / 3.0, fallback=2, most=3)


def fit_lines(fit: LogFit, vehicle: Vehicle, show: Show) -> list[str]:
    """State friction, power and exponent, each with its interval and with what it rests on, or that this log cannot tell."""
    return [_friction_line(fit), _power_line(fit, vehicle, show), _exponent_line(fit)]


def _friction_line(fit: LogFit) -> str:
    one = fit.friction
    if one is None:
        return f"Friction: this log cannot tell, fewer than {LEAST_CORNERS} corners answer to it."
    places = _places((one.high - one.low) / 2.0)
    low, high = number(one.low, places), number(one.high, places)
    exponent = _exponents(fit.car)
    return (
        f"Friction at the static load: {number(one.value, places)} ({low} to {high}), the median of {_told(one)} corners "
        f"that differ by sd {number(100.0 * one.spread, 1)} %; it holds for a grip exponent of {exponent}."
    )


def _power_line(fit: LogFit, vehicle: Vehicle, show: Show) -> str:
    one = fit.power
    if one is None:
        return f"Power: this log cannot tell, fewer than {LEAST_CORNERS} straights are long enough and free of wheelspin."
    value, low, high = (show.bare("power", watts) for watts in (one.value, one.low, one.high))
    losses = number(100.0 * float(np.asarray(fit.car.losses)), 0)
    text = (
        f"Power of the engine: {value} {show.unit('power')} ({low} to {high}), the median of {_told(one)} straights that "
        f"differ by sd {number(100.0 * one.spread, 1)} %; losses of {losses} % on the way are counted in."
    )
    if vehicle.power_curve:
        stated = max(watts for _, watts in vehicle.power_curve)
        text += f" The stated power_curve would have to be {number(one.value / stated, 2)} times as high."
    return text


def _exponent_line(fit: LogFit) -> str:
    one = fit.exponent
    if one is None:
        return f"Grip exponent: this log cannot tell, fewer than {LEAST_CORNERS} corners are driven at the limit."
    if not one.offered:
        return (
            f"Grip exponent: this log cannot tell, ± {number(one.half, 2)} where ± {EXPONENT_WANTED:g} is wanted, the "
            f"driver's 3 % between slow and fast corners counted in; {_exponents(fit.car)} stays."
        )
    unusual = f", {one.told}" if one.unusual else ""
    return (
        f"Grip exponent: {number(one.value, 2)} ± {number(one.half, 2)}{unusual}, the driver's 3 % between slow and fast "
        "corners counted in; the friction holds for it."
    )


def _exponents(car: LapCar) -> str:
    front, rear = (float(np.asarray(one)) for one in (car.front_exponent, car.rear_exponent))
    return f"{front:.3g}" if front == rear else f"{front:.3g} front, {rear:.3g} rear"


def _told(one: Fitted) -> int:
    return int(np.count_nonzero(np.isfinite(one.each)))


def corner_fits(track: Track, fit: LogFit, show: Show) -> Table:
    """Lay out the corners: the lowest speed measured, how the laps differ, and the friction that it says."""
    columns = (
        Column("corner", "corner", width=8, flexible=True),
        Column("lowest", "slowest", unit=show.unit("speed"), align="right"),
        Column("sd", "sd of laps", unit=show.unit("speed"), align="right", priority=1),
        Column("friction", "friction", align="right"),
    )
    several = len(fit.corner_speeds) > 1
    rows = []
    for k, corner in enumerate(find_corners(track)):
        speeds = fit.corner_speeds[:, k]
        std = float(np.std(speeds, ddof=1)) if several else np.nan
        says = np.nan if fit.friction is None else float(fit.friction.each[k])
        rows.append(
            [
                Cell(f"{corner.number} {corner.name}".strip()),
                Cell(show.bare("speed", float(np.mean(speeds)))),
                Cell(show.bare("speed", std, decimals=1) if several else NONE),
                Cell(number(says, 2)),
            ]
        )
    return table_of(columns, rows)


def straight_fits(fit: LogFit, show: Show) -> Table:
    """Lay out the straights that tell power, and what each says."""
    columns = (
        Column("straight", "straight"),
        Column("power", "power", unit=show.unit("power"), align="right"),
    )
    if fit.power is None:
        return table_of(columns, [])
    rows = [
        [Cell(name.removeprefix("straight ")), Cell(show.bare("power", float(value)))]
        for name, value in zip(fit.power.places, fit.power.each, strict=True)
        if np.isfinite(value)
    ]
    return table_of(columns, rows)


def fit_notes(fit: LogFit, track: Track) -> list[str]:
    """State what the fit assumes of the car, and how well it takes the line to be known."""
    own = ("friction is known", "power is known")
    notes = [f"assumed: {words}" for words in fit.car.assumed if not words.startswith(own)]
    line = (
        "how well the radii of this line are known shows in how the corners differ, and nowhere else"
        if track.curvature_std is None
        else "the interval of friction holds how well the traced line is known, by its noise and its smoothing"
    )
    return [
        *notes,
        line,
        "a lap here knows no driver, tyre heat, kerbs or gears: friction and power are those that make it as fast as the log",
    ]
