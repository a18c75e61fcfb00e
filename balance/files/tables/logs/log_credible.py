"""Whether the figures of a log can be, and which unit they are in where nothing says it: by what a car can do on a road."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.files.tables.logs.log_words import COLUMNS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from numpy.typing import NDArray

    from balance.model.driven_log import LogPiece

    Array = NDArray[np.float64]
    Places = NDArray[Any]

# What is credible of a car on a track, SI: common practice, no source.
_CREDIBLE: Mapping[str, tuple[float, float]] = {
    "time": (0.0005, 2.0),  # from sample to sample
    "speed": (18.0, 110.0),  # the highest, but for one sample in a hundred
    "yaw_rate": (0.1, 3.5),
    "lateral_acceleration": (2.5, 60.0),
    "roll": (0.002, 0.35),
}
_WORDS: Mapping[str, str] = {
    "time": "from sample to sample",
    "speed": "at most",
    "yaw_rate": "at most",
    "lateral_acceleration": "at most",
    "roll": "at most",
}
_ALIKE = 0.1  # of a length, between two ways to it
_LAP_TURNS = (5.0, 7.6)  # rad: about once round
_MOST_TURNS = 6.0 * np.pi  # no road turns thrice more to one side than to the other in a lap
_MOVING = 8.0  # m/s


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """What figures are held against: time and speed where they are known in SI, and laps, or all of it where none are known."""

    time: Array | None
    speed: Array | None
    pieces: Sequence[LogPiece]
    laps_known: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A figure of a column in SI, what would be credible, and whether it is."""

    value: float
    low: float
    high: float
    words: str
    beyond: float = np.inf
    """Above it nothing can be right, where what is merely unusual is no fault."""

    @property
    def holds(self) -> bool:
        """Whether it is credible."""
        return self.low <= self.value <= self.high


def judged(name: str, values: Places, against: Against) -> tuple[Judged, ...]:
    """Judge figures of a column, as they are in SI; places are x and y in one, x + iy."""
    found = []
    if name == "time":
        steps = np.diff(values)
        rising = steps[steps > 0.0]
        found.append(_held(name, float(np.median(rising)) if rising.size else np.nan))
    elif name in _CREDIBLE:
        found.append(_held(name, _most(values)))
    way = _way(name, values, against)
    if way is not None:
        found.append(
            Judged(value=way, low=1.0 - _ALIKE, high=1.0 + _ALIKE, words="of what speed over time makes")
        )
    if name in ("yaw_rate", "lateral_acceleration"):
        turned = turned_in_a_lap(name, values, against) if against.laps_known else None
        if turned is not None:
            low, high = _LAP_TURNS
            found.append(
                Judged(value=abs(turned), low=low, high=high, words="turned in a lap", beyond=_MOST_TURNS)
            )
    return tuple(one for one in found if np.isfinite(one.value))


def likely_units(name: str, raw: Places, against: Against) -> list[str]:
    """List the units in which figures would be credible, those first in which all else agrees too."""
    agreeing, credible = [], []
    for unit, scale in COLUMNS[name].units.items():
        found = judged(name, raw * scale, against)
        if all(one.holds for one in found):
            agreeing.append(unit)
        if all(one.holds for one in found if one.words != "turned in a lap"):
            credible.append(unit)
    return agreeing if len(agreeing) == 1 else credible


def turned_in_a_lap(name: str, values: Array, against: Against) -> float | None:
    """Give how far the car turns in a lap, by the median of the laps [rad]; nothing where it cannot be told."""
    time, speed = against.time, against.speed
    if time is None or speed is None:
        return None
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = values if name == "yaw_rate" else values / np.where(speed > _MOVING, speed, np.nan)
    return _median_over(against.pieces, lambda part: _summed(time[part], rate[part]))


def ratio_to(values: Array, others: Array) -> float:
    """Give by how much values are larger than others that should be the same, with the sign of their relation."""
    there = np.isfinite(values) & np.isfinite(others)
    total = float(np.sum(others[there] ** 2))
    return float(np.sum(values[there] * others[there]) / total) if total > 0.0 else np.nan


def _held(name: str, value: float) -> Judged:
    low, high = _CREDIBLE[name]
    return Judged(value=value, low=low, high=high, words=_WORDS[name])


def _most(values: Array) -> float:
    there = np.abs(values[np.isfinite(values)])
    return float(np.quantile(there, 0.99)) if there.size else np.nan


def _way(name: str, values: Places, against: Against) -> float | None:
    """Give the way that a column makes over that of speed and time, by the median of the laps."""
    time, speed = against.time, against.speed
    if time is None or speed is None or name not in ("distance", "x"):
        return None

    def ratio(part: slice) -> float:
        here = values[part]
        steps = np.diff(here[np.isfinite(here)])
        made = np.abs(steps) if name == "x" else np.maximum(steps, 0.0)
        driven = _summed(time[part], speed[part])
        return float(np.sum(made)) / driven if driven > 0.0 else np.nan

    return _median_over(against.pieces, ratio)


def _summed(time: Array, rate: Array) -> float:
    """Sum a rate over time, over what is missing too."""
    there = np.isfinite(rate) & np.isfinite(time)
    if np.count_nonzero(there) < 10:
        return np.nan
    t, r = time[there], rate[there]
    return float(np.sum(np.diff(t) * (r[1:] + r[:-1]) / 2.0))


def _median_over(pieces: Sequence[LogPiece], figure: Callable[[slice], float]) -> float | None:
    found = [figure(slice(one.first, one.beyond)) for one in pieces]
    there = [one for one in found if np.isfinite(one)]
    return float(np.median(there)) if there else None
