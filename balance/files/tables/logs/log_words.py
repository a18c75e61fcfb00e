"""What the columns of a driver's log are called, what they measure, and in which units."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from balance.files.tables.header.head import HeaderTongue
from balance.files.tables.header.header_words import header_words
from balance.files.tables.header.meanings import BRACKETS, TAIL, Meaning, words_of
from balance.files.tables.header.unit_words import spelled, unit_like
from balance.model.errors import UnitError, quoted
from balance.units.text import unit_scale

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.model.kinds import Kind

_GRAVITY = 9.80665  # exact: standard gravity, CGPM 1901


@dataclass(frozen=True, slots=True, kw_only=True)
class LogColumn:
    """A column that a log may have: what it is in words, its units by what makes them SI, the likeliest first.

    ``kind`` is a kind of quantity that files have too, whose other units are known as well.
    """

    words: str
    units: Mapping[str, float]
    kind: Kind | None = None


_LENGTHS = {"m": 1.0, "km": 1000.0, "ft": 0.3048, "mi": 1609.344}  # exact: international foot and mile, 1959
_ANGLES = {"deg": math.pi / 180.0, "rad": 1.0}
_SPEEDS = {"km/h": 1.0 / 3.6, "m/s": 1.0, "mph": 0.44704, "knot": 1852.0 / 3600.0}  # exact, by definition
COLUMNS: Mapping[str, LogColumn] = MappingProxyType(
    {
        "time": LogColumn(words="time", units={"s": 1.0, "ms": 0.001, "min": 60.0}),
        "distance": LogColumn(words="distance", units=_LENGTHS, kind="length"),
        "speed": LogColumn(words="speed", units=_SPEEDS, kind="speed"),
        "yaw_rate": LogColumn(words="yaw rate", units={"deg/s": math.pi / 180.0, "rad/s": 1.0}),
        "lateral_acceleration": LogColumn(
            words="lateral acceleration", units={"g": _GRAVITY, "m/s^2": 1.0, "ft/s^2": 0.3048}
        ),
        "roll": LogColumn(words="roll", units=_ANGLES, kind="angle"),
        "x": LogColumn(words="place x", units=_LENGTHS, kind="length"),
        "y": LogColumn(words="place y", units=_LENGTHS, kind="length"),
        "latitude": LogColumn(words="latitude", units=_ANGLES, kind="angle"),
        "longitude": LogColumn(words="longitude", units=_ANGLES, kind="angle"),
        "lap": LogColumn(words="lap", units={}),
    }
)
"""By our names, as they are typed; ``lap`` is the number of the lap, or a mark where one begins."""
_OTHER_SPELLINGS = MappingProxyType(
    {
        **dict.fromkeys(("sec", "secs", "second", "seconds"), "s"),
        **dict.fromkeys(("msec", "millis", "millisecond", "milliseconds"), "ms"),
        **dict.fromkeys(("minute", "minutes"), "min"),
        **dict.fromkeys(("m/s2", "m/s²", "m/s/s", "m/sec2", "m/sec^2", "ms-2", "m s-2", "m/s**2"), "m/s^2"),
        **dict.fromkeys(("ft/s2", "ft/s²", "ft/s/s"), "ft/s^2"),
        **dict.fromkeys(("gs", "g's", "gee", "g-force"), "g"),
        **dict.fromkeys(("°/s", "º/s", "deg/sec", "dps", "degree/s", "degrees/s", "degrees/sec"), "deg/s"),
        **dict.fromkeys(("rad/sec", "rads/s"), "rad/s"),
        **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
        **dict.fromkeys(("mile", "miles"), "mi"),
    }
)
_NAMES = MappingProxyType({name: key for key, names in header_words("log").items() for name in names})
_OWN_UNITS = frozenset(unit for column in COLUMNS.values() for unit in column.units)


def log_unit(unit: str) -> str:
    """Write a unit of a log as our files write it.

    Examples
    --------
    >>> log_unit("[°/s]"), log_unit("G"), log_unit("kph"), log_unit("m/s²")
    ('deg/s', 'g', 'km/h', 'm/s^2')
    """
    text = " ".join(unit.split()).strip("[](){} ")
    return _OTHER_SPELLINGS.get(text.casefold(), "g" if text == "G" else spelled(text))


def scale_of(name: str, unit: str) -> float:
    """Return what turns a figure of a column into SI.

    Examples
    --------
    >>> scale_of("lateral_acceleration", "g")
    9.80665
    >>> scale_of("speed", "g")
    Traceback (most recent call last):
    ...
    balance.model.errors.UnitError: found the unit 'g', which measures a mass, expected a speed unit such as km/h, mph, m/s; check the figure and its unit
    """
    column, plain = COLUMNS[name], log_unit(unit)
    if plain in column.units:
        return column.units[plain]
    if column.kind is not None:
        return unit_scale(plain, column.kind)[0]
    raise UnitError(f"the unit {quoted(unit)}", f"one of {column.words}: {', '.join(column.units)}")


@lru_cache(maxsize=4096)
def log_unit_like(text: str) -> bool:
    """Return whether a cell of a row could be a unit of a log."""
    return unit_like(text) or log_unit(text) in _OWN_UNITS


@lru_cache(maxsize=4096)
def log_meaning(header: str) -> tuple[Meaning, str, str]:
    """State which column of a log a header means, and split its unit off.

    Examples
    --------
    >>> [log_meaning(header)[0].name for header in ("GPS Speed (km/h)", "G_lat", "lat_acc_g", "Runde", "Throttle [%]")]
    ['speed', 'lateral_acceleration', 'lateral_acceleration', 'lap', '']
    >>> log_meaning("Yaw rate, deg/s")[1:]
    ('Yaw rate', 'deg/s')
    """
    text = " ".join(header.split())
    bracketed, tail = BRACKETS.search(text), TAIL.search(text)
    parted = [(text, "")]
    if bracketed and bracketed.start() > 0:
        inside = next(group for group in bracketed.groups() if group is not None)
        parted.append((text[: bracketed.start()], inside.strip()))
    elif tail and tail.start() > 0 and log_unit_like(tail[1]):
        parted.append((text[: tail.start()], tail[1]))
    for name, unit in parted:
        if (key := _NAMES.get(words_of(name))) is not None:
            return Meaning(quantity="recorded", name=key), name, unit
    name, unit = parted[-1] if bracketed else parted[0]
    return Meaning(), name, unit


OF_LOGS = HeaderTongue(log_meaning, log_unit_like)
"""The header of a driver's log."""
