"""What configurations, parts and settings are worth in seconds a lap, and newtons of drag for a newton of downforce."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.decide.day.estimate import Estimate
from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.lap_car import POWER_STD, lap_car, with_figures
from balance.decide.laps.lap_table import lap_table
from balance.decide.laps.stations import USUAL_STEP
from balance.model.channels import CHANNELS, DRAG, FRONT, REAR
from balance.model.errors import DomainError
from balance.reduce.draws import spread
from balance.reduce.stated_draws import std_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import ArrayLike, NDArray

    from balance.decide.laps.lap import Lap
    from balance.decide.laps.lap_car import LapCar
    from balance.decide.laps.lap_table import LapTable
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CarDraws:
    """What is not known of a car in a lap, (draws,) each; nothing where it counts as exact.

    ``friction`` [1] and ``power`` [W] as fitted or stated, ``front_exponent`` and ``rear_exponent`` of grip [1].
    """

    friction: Array | None = None
    power: Array | None = None
    front_exponent: Array | None = None
    rear_exponent: Array | None = None

    def first(self, count: int) -> CarDraws:
        """Take the first draws."""
        return CarDraws(
            **{name: None if (one := getattr(self, name)) is None else one[:count] for name in _DRAWN}
        )

    def applied(self, car: LapCar, *, axes: int = 1) -> LapCar:
        """Put the draws in a car's place, draws as first of some axes."""
        named = {name: getattr(self, name) for name in _DRAWN}
        return with_figures(
            car, {name: one.reshape(-1, *(1,) * (axes - 1)) for name, one in named.items() if one is not None}
        )


_DRAWN: tuple[Literal["friction", "power", "front_exponent", "rear_exponent"], ...] = (
    "friction",
    "power",
    "front_exponent",
    "rear_exponent",
)


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
    CarDraws
        (count,) each; nothing where it was stated exactly. [1]

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

    def first(value: ArrayLike) -> Array | None:
        return np.ravel(np.asarray(value, float))[:count] if np.ndim(value) else None

    return CarDraws(
        friction=first(shared.car.friction),
        power=np.maximum(power + std * normal, power / 10.0) if std else None,
        front_exponent=first(shared.car.grip[FRONT]),
        rear_exponent=first(shared.car.grip[REAR]),
    )


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
    table: LapTable | None
    confidence: float

    def between(self, rows: Sequence[int], bases: Sequence[int]) -> Estimate:
        """Give the seconds between some rows and others, negative where the row is faster: a part, a step of a setting."""
        run, base = np.asarray(rows, int), np.asarray(bases, int)
        drawn = None if self.draws is None else self.draws[:, run] - self.draws[:, base]
        return _estimate(self.lap.time[run] - self.lap.time[base], drawn, self.confidence)


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
    step: float = USUAL_STEP,
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
    car_draws : CarDraws, optional
        What is not known of the car, as many draws. [1]
    confidence : float, optional
        Share of the draws inside an interval. [1]
    step : float, optional
        Length from one station to the next, at most. [m]

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
    lap = lap_of_areas(track, car, areas, air_density=air_density, step=step)
    if not np.isfinite(lap.time[start]):
        raise DomainError(
            f"lap of {track.name}: found a car that does not get past {float(lap.stopped_at[start]):,.0f} m, "
            "expected one that does"
        )
    times, table, ways = None, None, ("laps",) * areas.shape[1]
    if draws is not None:
        times, table, ways = _drawn_times(lap, draws[:, :LAP_DRAWS], start, step)
    if car_draws is not None:
        count = LAP_DRAWS if times is None else len(times)
        moved = _moved_by_car(lap, car_draws.first(count), step)
        times = lap.time + moved if times is None else times + moved
    difference = None if times is None else times - times[:, [start]]
    return LapWorths(
        lap=lap,
        time=_estimate(lap.time, times, confidence),
        against_start=_estimate(lap.time - lap.time[start], difference, confidence),
        start=start,
        draws=times,
        ways=ways,
        table=table,
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
    step: float = USUAL_STEP,
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
    car_draws : CarDraws, optional
        What is not known of the car, as many draws. [1]
    confidence : float, optional
        Share of the draws inside an interval. [1]
    step : float, optional
        Length from one station to the next, at most. [m]

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
        return lap_of_areas(track, lapped, moved, air_density=air_density, step=step).time

    times = timed(areas, steps, car)
    ways = directions.shape[-1]
    more, less = (times[1 : 1 + ways] - times[0]) / ADDED, (times[0] - times[1 + ways :]) / ADDED
    rates = _rates(more[:-1], more[-1])
    drawn = None
    if draws is not None or car_draws is not None:
        base = areas[:, None] if draws is None else draws[:, :RATE_DRAWS]
        lapped = car if car_draws is None else car_draws.first(RATE_DRAWS).applied(car, axes=2)
        found = timed(base, steps[:, : 1 + ways], lapped)
        slopes_drawn = (found[..., 1:] - found[..., :1]) / ADDED
        drawn = _rates(slopes_drawn[..., :-1], slopes_drawn[..., -1:])
    names = ("front", "rear", "balanced", "drag")
    slopes = {
        name: Slope(added=float(a), taken=float(t)) for name, a, t in zip(names, more, less, strict=True)
    }
    values = _estimate(rates, drawn, confidence)
    front, rear, balanced = (
        Estimate(value=values.value[k], std=values.std[k], low=values.low[k], high=values.high[k])
        for k in range(len(rates))
    )
    return ExchangeRate(
        front=front,
        rear=rear,
        balanced=balanced,
        front_slope=slopes["front"],
        rear_slope=slopes["rear"],
        balanced_slope=slopes["balanced"],
        drag_slope=slopes["drag"],
    )


def _rates(downforce: Array, drag: Array) -> Array:
    """Turn slopes of the lap over downforce, and over drag, into rates: none below 0, none where drag costs no time."""
    with np.errstate(divide="ignore", invalid="ignore"):
        rates = np.where(drag > 1e-6, np.maximum(-downforce / drag, 0.0), np.nan)
    return np.asarray(rates)


def _drawn_times(lap: Lap, draws: Array, start: int, step: float) -> tuple[Array, LapTable, tuple[Way, ...]]:
    """Give lap times of draws, (draws, rows), each row centred on its own nominal lap."""
    areas = lap.areas
    density = float(lap.air_density.flat[0])
    fits = np.isfinite(lap.time)
    spanned = np.concatenate(
        [areas[:, fits], *np.quantile(draws[:, :, fits], (0.001, 0.999), axis=1)], axis=1
    )
    table = lap_table(lap.track, lap.car, spanned, air_density=density, step=step)
    read = table.read(areas)
    times = lap.time + table.read(draws) - read
    difference = lap.time - lap.time[start]
    off = np.abs(read - read[start] - difference)
    agrees = off <= np.maximum(AGREE_SHARE * np.abs(difference), AGREE_TIME)
    for row in np.flatnonzero(~agrees & fits):
        one = draws[:, :, row]
        narrow = np.concatenate([areas[:, [row]], np.quantile(one, (0.001, 0.999), axis=1).T], axis=1)
        own = lap_table(lap.track, lap.car, narrow, air_density=density, step=step)
        times[:, row] = lap.time[row] + own.read(one) - own.read(areas[:, row])
    times = np.where(np.isnan(times), np.inf, times)  # who does not get round takes for ever
    return times, table, tuple("table" if agreed else "laps" for agreed in agrees.tolist())


def _moved_by_car(lap: Lap, drawn: CarDraws, step: float) -> Array:
    """Give how far what is not known of the car moves each row's lap, (draws, rows)."""
    moves: list[tuple[tuple[str, ...], Array]] = []
    if drawn.friction is not None:
        moves.append((("friction",), drawn.friction - float(np.asarray(lap.car.friction))))
    if drawn.power is not None:
        moves.append((("power",), drawn.power - float(np.asarray(lap.car.power))))
    if drawn.front_exponent is not None and drawn.rear_exponent is not None:
        front = drawn.front_exponent - float(np.asarray(lap.car.front_exponent))
        rear = drawn.rear_exponent - float(np.asarray(lap.car.rear_exponent))
        moves.append((("front_exponent", "rear_exponent"), (front + rear) / 2.0))
        moves.append((("rear_exponent",), rear - front))
    count = next((len(one) for _, one in moves), 1)
    total = np.zeros((count, lap.time.size))
    ends: list[tuple[tuple[str, ...], float]] = []
    for names, by in moves:
        reach = float(np.quantile(np.abs(by), 0.68)) or 1e-9
        ends += [(names, -reach), (names, reach)]
    if not ends:
        return total
    changed: dict[str, ArrayLike] = {
        name: float(np.asarray(getattr(lap.car, name)))
        + np.array([by if name in names else 0.0 for names, by in ends])[:, None]
        for name in _DRAWN
    }
    times = (
        lap_of_areas(
            lap.track,
            with_figures(lap.car, changed),
            lap.areas,
            air_density=float(lap.air_density.flat[0]),
            step=step,
        ).time
        - lap.time
    )
    for k, (_, by) in enumerate(moves):
        down, up, reach = times[2 * k], times[2 * k + 1], ends[2 * k + 1][1]
        part = (by / reach)[:, None]
        total = total + np.where(part > 0.0, part * up, -part * down)
    return total


def _estimate(value: Array, draws: Array | None, confidence: float) -> Estimate:
    """Put nominal values and their draws together; nothing is known of how sure they are without draws."""
    hidden = np.full(np.shape(value), np.nan)
    if draws is None:
        return Estimate(value=value, std=hidden, low=hidden, high=hidden)
    std, low, high = spread(draws, confidence)
    known = np.isfinite(value)
    return Estimate(
        value=value,
        std=np.where(known, std, np.nan),
        low=np.where(known, low, np.nan),
        high=np.where(known, high, np.nan),
    )
