"""What configurations, parts and settings are worth in seconds a lap, and newtons of drag for a newton of downforce."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from balance.decide.day.estimate import Estimate
from balance.decide.laps.lap import lap_of_areas, stuck
from balance.decide.laps.lap_car import POWER_STD, lap_car
from balance.decide.laps.lap_table import lap_table
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR
from balance.model.errors import DomainError
from balance.model.records import std_of
from balance.reduce.draws import spread

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike

    from balance.decide.laps.lap import Lap
    from balance.decide.laps.lap_car import LapCar
    from balance.model.records import Vehicle
    from balance.model.tracks import Track
    from balance.reduce.draws import SharedDraws

Array = NDArray[np.float64]
Way = Literal["laps", "table"]
LAP_DRAWS = 2_000
"""Draws behind the interval of a lap or of a difference of laps, read from the table."""
RATE_DRAWS = 100
"""Draws behind that of an exchange rate, five laps each."""
AGREE_SHARE, AGREE_TIME = 0.05, 0.003
"""A difference read from the table counts where it is this close to the laps' own. [1], [s]"""
ADDED = 0.02
"""Area by which a lap is asked what more of it does. [m^2]"""
_DRAWN = ("friction", "power", "front_exponent", "rear_exponent")


CarDraws = Mapping[str, Array]
"""What is not known of a car in a lap, by the names of the figures of `LapCar`: (draws,) each; the others are exact."""


def drawn_lap_car(vehicle: Vehicle, shared: SharedDraws, count: int) -> CarDraws:
    """Draw what is not known of a car in a lap.

    Parameters
    ----------
    vehicle : Vehicle
        The car, with friction and power. [1]
    shared : SharedDraws
        The car's draws. [1]
    count : int
        How many, at most those of the car. [1]

    Returns
    -------
    mapping of str to numpy.ndarray
        (count,) each; none of a figure that was stated exactly. [1]

    Notes
    -----
    Friction and exponents are the car's own draws, so that seconds and grip surplus hang together draw by draw. Power is
    normal, with the stated standard uncertainty, else with 2.5 % of the figure, which the car's assumptions say.

    References
    ----------
    JCGM 101:2008, 6.4.7; the assumed figure is common practice, no source.
    """
    count = min(count, shared.count)
    power = float(np.asarray(lap_car(vehicle).power))
    said = vehicle.uncertainties.get("drive.power")
    std = POWER_STD * power if said is None else std_of(said)
    normal = np.random.default_rng(shared.seed).standard_normal(count)
    known: dict[str, ArrayLike | None] = {
        "friction": shared.car.friction,
        "power": np.maximum(power + std * normal, power / 10.0) if std else None,
        "front_exponent": shared.car.grip[FRONT],
        "rear_exponent": shared.car.grip[REAR],
    }
    return {
        name: np.ravel(np.asarray(one, float))[:count]
        for name, one in known.items()
        if one is not None and np.ndim(one)
    }


def with_draws(car: LapCar, draws: CarDraws, count: int) -> LapCar:
    """Put the first draws of what is not known of a car in its place.

    Parameters
    ----------
    car : LapCar
        The car. [1]
    draws : mapping of str to numpy.ndarray
        (draws,) of its figures, by their names. [1]
    count : int
        How many are taken. [1]

    Returns
    -------
    LapCar
        Its figures (draws, 1), to be lapped with areas (3, draws, configurations). [1]

    Notes
    -----
    A figure that counts as exact stays one number.

    References
    ----------
    JCGM 101:2008, 6.4.7.
    """
    return car.with_figures({name: one[:count, None] for name, one in draws.items()})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LapWorths:
    """Laps of some configurations, (rows,), and what they are worth against one another [s].

    ``lap`` holds the nominal laps, each run outright. ``draws`` is (draws, rows) of lap times, nothing where the
    scatter is unknown; ``ways`` says of each row whether its draws were read from the common table, or from laps
    run for it alone, close about its areas. ``start`` is the row that the others are held against.
    """

    lap: Lap
    time: Estimate
    against_start: Estimate
    start: int
    draws: Array | None
    ways: tuple[Way, ...]
    confidence: float

    def between(self, rows: Sequence[int], bases: Sequence[int]) -> Estimate:
        """Give the seconds between some rows and others, negative where the row is faster: a part, a step of a setting."""
        run, base = np.asarray(rows, int), np.asarray(bases, int)
        drawn = None if self.draws is None else self.draws[:, run] - self.draws[:, base]
        value = self.lap.time[run] - self.lap.time[base]
        return Estimate.where_known(value, None if drawn is None else spread(drawn, self.confidence))


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """What more of an area does to the lap, and what less of it does, per area, each as a change toward more [s/m²]."""

    added: float
    taken: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ExchangeRate:
    """What downforce pays for on a track, at one configuration: newtons of drag that a newton of it is worth [1].

    ``front``, ``rear`` and ``balanced`` (both in the ratio of the weights) are single estimates; not a number where
    more drag costs no time, 0 for an axle that does not limit. The slopes are those of the lap time.
    """

    front: Estimate
    rear: Estimate
    balanced: Estimate
    front_slope: Slope
    rear_slope: Slope
    balanced_slope: Slope
    drag_slope: Slope


def lap_worths(
    track: Track,
    car: LapCar,
    areas: Array,
    draws: Array | None = None,
    *,
    air_density: float,
    start: int = 0,
    car_draws: CarDraws | None = None,
    confidence: float = 0.95,
) -> LapWorths:
    """Lap some configurations, and say what they are worth against the start.

    Parameters
    ----------
    track : Track
        The track. [1]
    car : LapCar
        The car. [1]
    areas : numpy.ndarray
        (3, rows) front downforce, rear downforce and drag area. [m^2]
    draws : numpy.ndarray, optional
        (3, draws, rows) of the same; the first 2,000 are used. [m^2]
    air_density : float
        Density of the air. [kg/m^3]
    start : int, optional
        The row that the others are held against. [1]
    car_draws : mapping, optional
        What is not known of the car, as many draws. [1]
    confidence : float, optional
        Share of the draws inside an interval. [1]

    Returns
    -------
    LapWorths
        Times and differences. [1]

    Raises
    ------
    DomainError
        If there is no such start, or the start does not get round.

    Notes
    -----
    Nominal laps are run. Draws of the areas are read from a table, where it gives a row's difference to the start
    within 5 % or 3 ms of the laps' own, else from laps that are run for that row alone, close about its areas. What
    is not known of the car moves each row by laps that are run with the figure one standard uncertainty up and
    down, linear between and beyond: most of it is common to all rows and cancels in differences.

    References
    ----------
    JCGM 101:2008 for the draws.
    """
    if not 0 <= start < areas.shape[1]:
        raise DomainError(f"start: found row {start}, expected one of {areas.shape[1]}")
    lap = lap_of_areas(track, car, areas, air_density=air_density)
    if not np.isfinite(lap.time[start]):
        raise stuck(track, lap.stopped_at[start])
    times: Array | None = None
    ways: tuple[Way, ...] = ("laps",) * areas.shape[1]
    if draws is not None:
        times, ways = _drawn_times(lap, draws[:, :LAP_DRAWS], start)
    if car_draws is not None:
        count = LAP_DRAWS if times is None else len(times)
        moved = _moved_by_car(lap, {name: one[:count] for name, one in car_draws.items()})
        times = lap.time + moved if times is None else times + moved
    over = None if times is None else spread(times, confidence)
    between = None if times is None else spread(times - times[:, [start]], confidence)
    return LapWorths(
        lap=lap,
        time=Estimate.where_known(lap.time, over),
        against_start=Estimate.where_known(lap.time - lap.time[start], between),
        start=start,
        draws=times,
        ways=ways,
        confidence=confidence,
    )


def exchange_rate(
    track: Track,
    car: LapCar,
    areas: Array,
    draws: Array | None = None,
    *,
    air_density: float,
    car_draws: CarDraws | None = None,
    confidence: float = 0.95,
) -> ExchangeRate:
    """Find what downforce pays for on a track, at one configuration.

    Parameters
    ----------
    track : Track
        The track. [1]
    car : LapCar
        The car. [1]
    areas : numpy.ndarray
        (3,) front downforce, rear downforce and drag area. [m^2]
    draws : numpy.ndarray, optional
        (3, draws) of the same; the first 100 are used, five laps each. [m^2]
    air_density : float
        Density of the air. [kg/m^3]
    car_draws : mapping, optional
        What is not known of the car, as many draws. [1]
    confidence : float, optional
        Share of the draws inside an interval. [1]

    Returns
    -------
    ExchangeRate
        Newtons of drag that a newton of downforce pays for, and the slopes of the lap time. [1]

    Notes
    -----
    ``(dT/dfront) / (-dT/ddrag)``, each by adding 0.02 m²: a lap has a kink where it is in balance, so that what is
    added and what is taken away are told apart and no middle is taken. An axle that limits neither corner, drive
    nor braking pays for nothing: 0, never below.

    References
    ----------
    Common practice, no source.
    """
    share = float(np.asarray(car.front_share))
    unit = np.eye(len(CHANNELS))
    balanced_load = share * unit[FRONT] + (1.0 - share) * unit[REAR]
    directions = np.stack([unit[FRONT], unit[REAR], balanced_load, unit[DRAG]], axis=1)
    steps = ADDED * np.concatenate([np.zeros((len(CHANNELS), 1)), directions, -directions], axis=1)

    def timed(base: Array, sides: Array, lapped: LapCar) -> Array:
        moved = base[..., None] + sides.reshape(len(CHANNELS), *(1,) * (base.ndim - 1), -1)
        return lap_of_areas(track, lapped, moved, air_density=air_density).time

    times = timed(areas, steps, car)
    ways = directions.shape[-1]
    more, less = (times[1 : 1 + ways] - times[0]) / ADDED, (times[0] - times[1 + ways :]) / ADDED
    rates = _rates(more[:-1], more[-1])
    drawn = None
    if draws is not None or car_draws is not None:
        base = areas[:, None] if draws is None else draws[:, :RATE_DRAWS]
        found = timed(base, steps[:, : 1 + ways], with_draws(car, car_draws or {}, RATE_DRAWS))
        slopes_drawn = (found[..., 1:] - found[..., :1]) / ADDED
        drawn = spread(_rates(slopes_drawn[..., :-1], slopes_drawn[..., -1:]), confidence)
    values = Estimate.where_known(rates, drawn)
    front, rear, balanced, drag = (
        Slope(added=float(a), taken=float(t)) for a, t in zip(more, less, strict=True)
    )
    return ExchangeRate(
        front=values.at(0),
        rear=values.at(1),
        balanced=values.at(2),
        front_slope=front,
        rear_slope=rear,
        balanced_slope=balanced,
        drag_slope=drag,
    )


def _rates(downforce: Array, drag: Array) -> Array:
    """Turn slopes of the lap over downforce, and over drag, into rates: none below 0, none where drag costs no time."""
    with np.errstate(divide="ignore", invalid="ignore"):
        rates = np.where(drag > 1e-6, np.maximum(-downforce / drag, 0.0), np.nan)
    return np.asarray(rates)


def _drawn_times(lap: Lap, draws: Array, start: int) -> tuple[Array, tuple[Way, ...]]:
    """Give lap times of draws, (draws, rows), each row centred on its own nominal lap."""
    areas = lap.areas
    density = float(lap.air_density.flat[0])
    fits = np.isfinite(lap.time)
    spanned = np.concatenate(
        [areas[:, fits], *np.quantile(draws[:, :, fits], (0.001, 0.999), axis=1)], axis=1
    )
    table = lap_table(lap.track, lap.car, spanned, air_density=density)
    read = table.read(areas)
    times = lap.time + table.read(draws) - read
    difference = lap.time - lap.time[start]
    off = np.abs(read - read[start] - difference)
    agrees = off <= np.maximum(AGREE_SHARE * np.abs(difference), AGREE_TIME)
    for row in np.flatnonzero(~agrees & fits):
        one = draws[:, :, row]
        narrow = np.concatenate([areas[:, [row]], np.quantile(one, (0.001, 0.999), axis=1).T], axis=1)
        own = lap_table(lap.track, lap.car, narrow, air_density=density)
        times[:, row] = lap.time[row] + own.read(one) - own.read(areas[:, row])
    times = np.where(np.isnan(times), np.inf, times)  # who does not get round takes for ever
    return times, tuple("table" if agreed else "laps" for agreed in agrees.tolist())


def _moved_by_car(lap: Lap, drawn: CarDraws) -> Array:
    """Give how far what is not known of the car moves each row's lap, (draws, rows)."""
    base = {name: float(np.asarray(getattr(lap.car, name))) for name in _DRAWN}
    apart = {name: one - base[name] for name, one in drawn.items()}
    moves: list[tuple[tuple[str, ...], Array]]
    moves = [((name,), apart[name]) for name in ("friction", "power") if name in apart]
    if {"front_exponent", "rear_exponent"} <= apart.keys():
        front, rear = apart["front_exponent"], apart["rear_exponent"]
        moves.append((("front_exponent", "rear_exponent"), (front + rear) / 2.0))
        moves.append((("rear_exponent",), rear - front))
    if not moves:
        return np.zeros((1, lap.time.size))
    reaches = [float(np.quantile(np.abs(by), 0.68)) or 1e-9 for _, by in moves]
    changed: dict[str, ArrayLike] = {}
    for name, figure in base.items():
        ends = [
            side * reach if name in names else 0.0
            for (names, _), reach in zip(moves, reaches, strict=True)
            for side in (-1.0, 1.0)
        ]
        changed[name] = figure + np.array(ends)[:, None]
    density = float(lap.air_density.flat[0])
    times = (
        lap_of_areas(lap.track, lap.car.with_figures(changed), lap.areas, air_density=density).time - lap.time
    )
    total = np.zeros((len(moves[0][1]), lap.time.size))
    for (_, by), reach, down, up in zip(moves, reaches, times[::2], times[1::2], strict=True):
        part = (by / reach)[:, None]
        total += np.where(part > 0.0, part * up, -part * down)
    return total
