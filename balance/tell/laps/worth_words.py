"""Seconds of a lap in words: how many digits they bear, what they rest on, and what a simulated lap is not."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from balance.model.records import HALF_95
from balance.reduce.stated_draws import friction_std
from balance.tell.figures import NONE, capital, number
from balance.tell.table import Cell

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from balance.decide.day.estimate import Estimate
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.laps.lap_car import LapCar
    from balance.decide.laps.worth import ExchangeRate
    from balance.model.records import Vehicle

MINUS_IS_FASTER = "Minus is faster."
NOT_A_LAP = (
    "A simulated lap has no driver, no tyre heat, no kerbs and no transients; seconds between two "
    "configurations are known more closely than the lap itself."
)
SURER = "simulated; differences are surer than the lap"
STUCK = "does not get round"
ITSELF = "the start"
_MOST_DECIMALS, _UNKNOWN_DECIMALS, _WHOLE_LAP_DECIMALS = 3, 2, 1


def seconds_decimals(low: float, high: float, *, unknown: int = _UNKNOWN_DECIMALS) -> int:
    """Choose the decimals of seconds: two significant figures of half their interval, three decimals at most.

    Examples
    --------
    >>> seconds_decimals(-0.28, -0.14), seconds_decimals(-0.4, -0.1), seconds_decimals(80.0, 96.0)
    (3, 2, 1)
    >>> seconds_decimals(-0.1996, 0.0), seconds_decimals(float("nan"), float("nan"))
    (2, 2)
    """
    half = (high - low) / 2.0
    if not math.isfinite(half) or half <= 0.0:
        return unknown
    rounded = float(f"{half:.1e}")  # 0.0998 has become 0.10, which bears two decimals
    return min(max(1 - math.floor(math.log10(rounded)), 0), _MOST_DECIMALS)


def within_noise(low: float, high: float) -> bool:
    """Tell whether the interval of a difference holds none at all."""
    return low <= 0.0 <= high


def seconds_figure(value: float, low: float, high: float, *, decimals: int | None = None) -> str:
    """Write a difference of seconds with its sign, ``~`` before one that is within noise.

    Examples
    --------
    >>> seconds_figure(-0.213, -0.34, -0.09), seconds_figure(0.012, -0.05, 0.08)
    ('−0.21', '~+0.012')
    """
    if math.isnan(value):
        return NONE
    if math.isinf(value):
        return STUCK
    places = seconds_decimals(low, high) if decimals is None else decimals
    text = number(value, places)
    sign = "+" if value > 0.0 and text.strip("0.") else ""
    return f"{'~' if within_noise(low, high) else ''}{sign}{text}"


def seconds_range(low: float, high: float, *, decimals: int | None = None) -> str:
    """Write the ends of an interval of seconds, nothing where it is not known.

    Examples
    --------
    >>> seconds_range(-0.34, -0.09), seconds_range(float("nan"), float("nan"))
    ('−0.34 to −0.09', '')
    """
    if math.isnan(low) or math.isnan(high):
        return ""
    places = seconds_decimals(low, high) if decimals is None else decimals
    return " to ".join("beyond" if math.isinf(end) else number(end, places) for end in (low, high))


def ends_of(estimate: Estimate, k: int | tuple[()] = ()) -> tuple[float, float, float]:
    """Take value, low and high of one entry of an estimate, of the only one if none is named."""
    value, low, high = (float(np.asarray(one)[k]) for one in (estimate.value, estimate.low, estimate.high))
    return value, low, high


def seconds_words(value: float, low: float, high: float) -> str:
    """Write a difference of seconds with unit and interval.

    Examples
    --------
    >>> seconds_words(-0.213, -0.34, -0.09), seconds_words(0.4, float("nan"), float("nan"))
    ('−0.21 s (−0.34 to −0.09)', '+0.40 s (repeatability not known)')
    """
    if not math.isfinite(value):
        return STUCK
    if _itself(value, low, high):
        return ITSELF
    between = seconds_range(low, high) or "repeatability not known"
    return f"{seconds_figure(value, low, high)} s ({between})"


def faster_words(value: float, low: float, high: float) -> str:
    """State how much faster or slower a lap is: the direction in a word, so that no sign has to be read.

    Examples
    --------
    >>> faster_words(-0.213, -0.34, -0.09), faster_words(0.012, -0.05, 0.08)
    ('0.21 s a lap faster (0.09 to 0.34)', 'no significant difference: +0.012 s a lap (−0.050 to 0.080)')
    """
    if not math.isfinite(value):
        return STUCK
    if _itself(value, low, high):
        return ITSELF
    if within_noise(low, high):
        figure = seconds_figure(value, low, high).removeprefix("~")
        return f"no significant difference: {figure} s a lap ({seconds_range(low, high)})"
    places = seconds_decimals(low, high)
    ends = sorted((abs(low), abs(high)))
    between = seconds_range(ends[0], ends[1], decimals=places) or "repeatability not known"
    return f"{number(abs(value), places)} s a lap {'faster' if value < 0.0 else 'slower'} ({between})"


def _itself(value: float, low: float, high: float) -> bool:
    """Tell what is held against itself: no draw differs."""
    return value == low == high == 0.0


def lap_words(value: float, low: float, high: float) -> str:
    """Write the time of a lap itself, which is known much worse than a difference of two.

    Examples
    --------
    >>> lap_words(94.83, 91.9, 97.8), lap_words(94.83, float("nan"), float("nan"))
    ('94.8 s (91.9 to 97.8)', '94.8 s')
    """
    if not math.isfinite(value):
        return STUCK
    places = seconds_decimals(low, high, unknown=_WHOLE_LAP_DECIMALS)
    between = seconds_range(low, high, decimals=places)
    return f"{number(value, places)} s" + (f" ({between})" if between else "")


def seconds_cell(value: float, low: float, high: float) -> Cell:
    """Make the cell of a difference of seconds: within noise it is muted, and says so by its mark."""
    if _itself(value, low, high):
        return Cell(ITSELF, "muted", value=value)
    text = seconds_figure(value, low, high)
    faint = not math.isfinite(value) or within_noise(low, high)
    stored = value if math.isfinite(value) else None
    return Cell(text, "muted" if faint else "", between=seconds_range(low, high), value=stored)


def half_cell(value: float, low: float, high: float) -> Cell:
    """Make the cell of a difference of seconds with half its interval behind ±, for a table with little room.

    Examples
    --------
    >>> half_cell(-0.213, -0.34, -0.08).text, half_cell(0.012, -0.05, 0.08).text
    ('−0.21 ±0.13', '~+0.012 ±0.065')
    """
    cell = seconds_cell(value, low, high)
    half = (high - low) / 2.0
    if not math.isfinite(value) or not math.isfinite(half) or half == 0.0:
        return cell
    return cell._replace(text=f"{cell.text} ±{number(half, seconds_decimals(low, high))}")


def half_unit(confidence: float) -> str:
    """Name the unit over such cells.

    Examples
    --------
    >>> half_unit(0.95)
    's, ± 95 %'
    """
    return f"s, ± {number(confidence * 100.0, 0)} %"


def rate_words(rate: ExchangeRate, force: str = "N") -> str:
    """State in one sentence what downforce pays for on the track; ``force`` is the unit shown.

    A newton of downforce against a newton of drag is the same ratio in every unit.
    """
    value, low, high = ends_of(rate.balanced)
    one = {"N": "one newton", "lbf": "one pound", "kgf": "one kilogram"}.get(force, f"one {force}")
    said = f"{one} of downforce, split as the weights,"
    if math.isnan(value):
        return f"{said} cannot be set against drag here: more drag costs no time on this track."
    if value == 0.0:
        return f"{said} pays for no drag here: neither axle's grip costs time on this track."
    places = seconds_decimals(low, high)
    between = seconds_range(low, high)
    whole = f"{said} pays for {number(value, places)} {force} of drag here"
    sentence = f"{whole} ({between})." if between else f"{whole} (repeatability not known)."
    axles = {"front": rate.front, "rear": rate.rear}
    idle = [axle for axle, own in axles.items() if float(np.asarray(own.value)) == 0.0]
    if len(idle) == 1:
        sentence += f" More on the {idle[0]} alone pays for none: that axle does not limit the lap."
    return sentence


def friction_words(vehicle: Vehicle, car: LapCar) -> str:
    """State the friction that seconds rest on."""
    friction = float(np.asarray(car.friction))
    said = vehicle.uncertainties.get("tyres.friction")
    if said is not None and (said.exact or not said.std):
        return f"with friction {number(friction, 2)}, taken as exact"
    return f"with friction {number(friction, 2)} ± {number(HALF_95 * friction_std(vehicle), 2)}"


def assumed_words(car: LapCar) -> str:
    """State what a lap assumes because nobody stated it, nothing where all is stated."""
    return f"Assumed: {'; '.join(car.assumed)}." if car.assumed else ""


def way_words(ways: Sequence[str]) -> str:
    """State how the intervals of seconds were got; where it differs, how many either way."""
    run = sum(one == "laps" for one in ways)
    if run == len(ways):
        return "Intervals are from laps run for each configuration."
    if not run:
        return "Intervals are read from a table of laps."
    return (
        f"Intervals are read from a table of laps, {run} of {len(ways)} from laps run for that configuration."
    )


def other_blocks(laps: DayLaps) -> int:
    """Count the configurations that were run in another block than the start."""
    block = [laps.run(k).block for k in range(len(laps.rows))]
    return sum(one != block[laps.start] for one in block)


def lap_notes(laps: DayLaps, *, force: str = "N", rate: ExchangeRate | None = None) -> Iterable[str]:
    """List what must stand wherever seconds stand: sign, what they rest on, how they were got, what a lap is not."""
    resting = friction_words(laps.day.session.vehicle, laps.car)
    confidence = number(laps.day.confidence * 100.0, 0)
    yield f"Seconds a lap, {resting}. {MINUS_IS_FASTER} Brackets are {confidence} % intervals."
    if rate is not None:
        yield capital(rate_words(rate, force))
    if laps.worths.draws is not None:
        yield way_words(laps.worths.ways)
    if others := other_blocks(laps):
        yield (
            f"{others} configuration{'s were' if others > 1 else ' was'} run in another block than the start: what "
            "changed between the blocks is in the seconds."
        )
    if any(price.mass for price in laps.day.session.vehicle.prices):
        yield (
            "Configurations are lapped at the car's stated weight; the mass of priced parts is in the seconds of "
            "packages alone."
        )
    if laps.car.assumed:
        yield assumed_words(laps.car)
    yield NOT_A_LAP
