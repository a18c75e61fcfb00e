"""A day on a customer's track: laps of its configurations, seconds of its parts, what drag is paid by there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.compare.increments import side_weights
from balance.decide.day.verdict import VerdictWord
from balance.decide.laps.corners import corner_paces, straight_paces
from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.lap_car import lap_car
from balance.decide.laps.worth import (
    LAP_DRAWS,
    CarDraws,
    ExchangeRate,
    LapWorths,
    drawn_lap_car,
    exchange_rate,
    lap_worths,
)
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from collections.abc import Hashable, Mapping

    from numpy.typing import NDArray

    from balance.compare.increments import Increments
    from balance.decide.day.day import Day
    from balance.decide.day.estimate import Estimate
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.laps.corners import CornerPace, StraightPace
    from balance.decide.laps.lap import Lap
    from balance.decide.laps.lap_car import LapCar
    from balance.model.records import Run
    from balance.model.tracks import Track

    Array = NDArray[np.float64]

CHUNK = 20
"""Means whose draws are made at once, to keep their memory small."""


class PartSeconds(NamedTuple):
    """What a comparison of the day is worth a lap: its position among the increments, and seconds, negative faster."""

    increment: int
    seconds: Estimate
    way: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayLaps:
    """A day on one track, in its own air or the facility's [kg/m³].

    ``rows`` are the rows of the day that were lapped: its configurations; ``start`` is the one, by its position, that the
    others are held against. ``lap`` holds laps of the rows, each run outright, ``worths`` their seconds against the start;
    behind them stand the sides of the comparisons. ``parts`` are those of the ``increments`` that show what something did,
    in running order, each once. ``car.assumed`` says in words what nobody stated.
    """

    day: Day
    track: Track
    car: LapCar
    rows: tuple[int, ...]
    start: int
    lap: Lap
    worths: LapWorths
    parts: tuple[PartSeconds, ...]
    increments: Increments | None
    air_density: float

    def run(self, position: int) -> Run:
        """Return the first run of one of the rows, by its position."""
        return self.day.readings.runs[self.day.rows.members[self.rows[position]][0]]

    def corners(self) -> tuple[CornerPace, ...]:
        """Return the corners, each with one entry a row."""
        return corner_paces(self.lap)

    def straights(self) -> tuple[StraightPace, ...]:
        """Return the straights, each with one entry a row."""
        return straight_paces(self.lap)

    def rate(self, position: int) -> ExchangeRate:
        """Find what downforce pays for at one of the rows, by its position."""
        row = self.rows[position]
        draws = self.day.draws([row])
        return exchange_rate(
            self.track,
            self.car,
            self.day.areas([row])[:, 0],
            None if draws is None else draws.squeeze(axis=2),
            air_density=self.air_density,
            car_draws=day_car_draws(self.day),
            confidence=self.day.confidence,
        )


def day_car_draws(day: Day) -> CarDraws:
    """Draw what is not known of a day's car in a lap.

    Parameters
    ----------
    day : Day
        The reduced session, of a car with friction and power. [1]

    Returns
    -------
    mapping of str to numpy.ndarray
        2,000 each, at most those of the day. [1]

    Notes
    -----
    Seconds and grip surplus then hang together draw by draw.

    References
    ----------
    JCGM 101:2008, 6.4.7.
    """
    return drawn_lap_car(day.session.vehicle, day.shared, LAP_DRAWS)


def lap_day(
    day: Day,
    track: Track,
    *,
    start: int | None = None,
    increments: Increments | None = None,
    air_density: float | None = None,
) -> DayLaps:
    """Lap the configurations of a day, and say what its parts are worth.

    A part is the difference of the laps of the two sides of its comparison, draw by draw, with the draws that both
    sides share.

    JCGM 101:2008 for the draws.
    """
    car = lap_car(day.session.vehicle)
    density = track.density(day.session.facility.air_density) if air_density is None else air_density
    rows = tuple(day.rows.configurations)
    begun = day.rows.standing[0] if start is None else start
    if begun not in rows:
        raise DomainError(f"start: found row {begun}, expected one of a configuration")
    weights = [*day.rows.weighted(rows)]
    where: dict[Hashable, int] = {}
    compared: list[tuple[int, int, int]] = []
    for k, pair in enumerate(increments.pairs if increments is not None else ()):
        if not pair.shows_part:
            continue
        sides = []
        named = (pair.runs, (pair.baseline_runs, pair.between))
        for key, own in zip(named, side_weights(day.fits, pair), strict=True):
            if where.setdefault(key, len(weights)) == len(weights):
                weights.append(own)
            sides.append(where[key])
        compared.append((k, sides[0], sides[1]))
    lapped = lap_worths(
        track,
        car,
        np.asarray((np.array(weights) @ day.readings.areas).T),
        _drawn(day, np.array(weights)),
        air_density=density,
        start=rows.index(begun),
        car_draws=day_car_draws(day),
        confidence=day.confidence,
    )
    compared = list({(run, base): (k, run, base) for k, run, base in reversed(compared)}.values())[::-1]
    parts = [
        PartSeconds(
            increment=k,
            seconds=lapped.between([run], [base]).at(0),
            way="table" if lapped.ways[run] == lapped.ways[base] == "table" else "laps",
        )
        for k, run, base in compared
    ]
    return DayLaps(
        day=day,
        track=track,
        car=car,
        rows=rows,
        start=rows.index(begun),
        lap=lap_of_areas(track, car, day.areas(rows), air_density=density),
        worths=lapped,
        parts=tuple(parts),
        increments=increments,
        air_density=density,
    )


def stuck_at(day: Day, track: Track, start: int) -> float | None:
    """Find where a configuration gets stuck, before a day is lapped against it: how far along the line, in metres.

    By a lap of its nominal areas.
    """
    density = track.density(day.session.facility.air_density)
    lap = lap_of_areas(track, lap_car(day.session.vehicle), day.areas([start]), air_density=density)
    where = float(lap.stopped_at.flat[0])
    return where if np.isfinite(where) else None


def _drawn(day: Day, weights: Array) -> Array | None:
    """Draw means of readings, (3, draws, means), a few at a time; nothing where the scatter is unknown."""
    parts: list[Array] = []
    for k in range(0, len(weights), CHUNK):
        some = day.fits.draws(weights[k : k + CHUNK], day.shared)
        if some is None:
            return None
        parts.append(some[:, :LAP_DRAWS].copy())
    return np.concatenate(parts, axis=2)


def fastest_in_balance(laps: DayLaps, ranges: Mapping[int, RangeVerdict]) -> int | None:
    """Find the fastest of the configurations that are in balance over the car's range of speeds, by its position.

    Safety is not for sale: a configuration outside its limits is not the fastest, whatever its lap. One whose readings
    are suspect stands back.
    """
    times = np.where(offered(laps, ranges), laps.lap.time, np.nan)
    return None if np.all(np.isnan(times)) else int(np.nanargmin(times))


def offered(laps: DayLaps, ranges: Mapping[int, RangeVerdict]) -> tuple[bool, ...]:
    """Tell of each configuration whether it may be shown as the fastest: in balance over the range, by no suspect reading.

    Whoever does not get round is told by the lap.
    """
    runs = laps.day.readings.runs
    return tuple(
        ranges[row].word is VerdictWord.IN_BALANCE
        and not ranges[row].dangerous
        and all(runs[one].status != "suspect" for one in laps.day.rows.members[row])
        for row in laps.rows
    )


def by_seconds(laps: DayLaps, ranges: Mapping[int, RangeVerdict]) -> tuple[int, ...]:
    """Put the configurations in the order of their laps, behind them those that are not offered.

    Last of all stands what is past the oversteer limit, at it, or unloaded; what does not get round is last of its
    kind.
    """
    fit = offered(laps, ranges)
    times = np.where(np.isfinite(laps.lap.time), laps.lap.time, np.inf)

    def place(k: int) -> tuple[bool, bool, float]:
        over = ranges[laps.rows[k]]
        loose = over.dangerous or VerdictWord.FRONT_OVERPOWERS in (over.edge, over.leaves_to)
        return not fit[k], loose, float(times[k])

    return tuple(sorted(range(len(laps.rows)), key=place))
