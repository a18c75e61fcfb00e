"""A whole session at one speed and density: what every screen, table and report reads."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, TypeVar, cast

import numpy as np

from balance.decide.conditions import reference_conditions
from balance.decide.estimate import HandlingEstimates, estimate_handling
from balance.decide.onsets import Onsets, estimate_onsets
from balance.errors import DomainError
from balance.reduce.air import dynamic_pressure
from balance.reduce.draws import DECISION_DRAWS, area_draws, shared_draws
from balance.reduce.readings import Readings, reduce_session
from balance.reduce.repeatability import Repeatability, repeatability
from balance.reduce.repeats import configurations

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.records import Session, Vehicle
    from balance.reduce.draws import SharedDraws

_T = TypeVar("_T")
_CHUNK = 50_000  # numbers in one array of draws: small enough to stay in a processor's cache


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Day:
    """A session reduced once: readings, scatter, and the draws that all its figures share."""

    session: Session
    readings: Readings
    repeatability: Repeatability
    shared: SharedDraws
    configurations: tuple[tuple[int, ...], ...]
    """Rows of each configuration's runs, in the order of their first run."""
    group_of: tuple[int, ...]
    """For each row, its configuration."""
    confidence: float = 0.95

    @property
    def total_std(self) -> NDArray[np.float64]:
        """Standard uncertainty of front, rear, drag and total area of each reading, (4, runs), in m²."""
        systematic = self.repeatability.systematic
        common = np.append(systematic, np.hypot(systematic[0], systematic[1]))
        wide = np.hypot(self.repeatability.deviation, common)
        return np.asarray(wide[:, None] / self.readings.force_pressure)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assessment:
    """Every used run of a session at one speed and density, in running order; arrays are (runs,).

    ``stds`` holds the standard uncertainty of front, rear, drag and total as (4, runs) forces at this speed [N].
    """

    day: Day
    speed: float
    air_density: float
    dynamic_pressure: float
    handling: HandlingEstimates
    onsets: Onsets
    stds: NDArray[np.float64]

    @property
    def labels(self) -> tuple[str, ...]:
        """Labels of the runs, in running order."""
        return self.day.readings.labels


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sweep:
    """One run at many speeds; arrays are (speeds,). ``stds`` as in `Assessment`, (4, speeds) [N]."""

    day: Day
    row: int
    speeds: NDArray[np.float64]
    air_density: float
    handling: HandlingEstimates
    stds: NDArray[np.float64]


def reduce_day(session: Session, *, draws: int = DECISION_DRAWS, confidence: float = 0.95) -> Day:
    """Reduce a session once, for whatever is asked of it later.

    Parameters
    ----------
    session : Session
        As read from its files. [1]
    draws : int, optional
        Number of draws behind every interval, at least 100. [1]
    confidence : float, optional
        Share of the draws inside an interval, between 0.5 and 0.999. [1]

    Returns
    -------
    Day
        Readings, repeatability and shared draws. [1]

    Raises
    ------
    DomainError
        If the number of draws or the confidence makes no interval, or every run is void.

    Notes
    -----
    Scatter first, then the draws that every figure of the session shares.

    References
    ----------
    JCGM 101:2008, 7.2 (number of trials).
    """
    if draws < 100:
        raise DomainError(f"draws: found {draws}, expected at least 100")
    if not 0.5 <= confidence <= 0.999:
        raise DomainError(f"confidence: found {confidence:g}, expected 0.5 to 0.999")
    if not session.used:
        raise DomainError(
            f"session: found {len(session.runs)} runs, none that counts, expected at least one not void"
        )
    readings = reduce_session(session)
    scatter = repeatability(session, readings)
    shared = shared_draws(session, scatter, count=draws)
    groups = configurations(readings.runs)
    group_of = {row: k for k, rows in enumerate(groups) for row in rows}
    return Day(
        session=session,
        readings=readings,
        repeatability=scatter,
        shared=shared,
        configurations=groups,
        group_of=tuple(group_of[row] for row in range(len(readings.runs))),
        confidence=confidence,
    )


def assess(
    day: Day,
    *,
    speed: float | None = None,
    air_density: float | None = None,
    drawn: bool = True,
    vehicle: Vehicle | None = None,
) -> Assessment:
    """Assess every run of a day at one speed and density.

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    speed : float, optional
        Speed at which forces are stated; the facility's if absent. [m/s]
    air_density : float, optional
        Density at which forces are stated; the facility's if absent. [kg/m^3]
    drawn : bool, optional
        Whether to draw; without, values stand alone: a first answer while the draws are made. [1]
    vehicle : Vehicle, optional
        The car loaded in another way: air loads stay, weights are its own, the set-up is that of the day's car. [1]

    Returns
    -------
    Assessment
        One entry per used run. [1]

    Raises
    ------
    DomainError
        If speed or density is not above 0.

    Notes
    -----
    Forces are area coefficients times the dynamic pressure asked for.

    References
    ----------
    JCGM 101:2008 for the uncertainties.
    """
    speed, density = reference_conditions(day.session, speed, air_density)
    pressure = float(dynamic_pressure(speed, density))
    areas = day.readings.areas.T
    set_up = None if vehicle is None else day.session.vehicle
    car = day.session.vehicle if vehicle is None else vehicle
    known, count = drawn and day.repeatability.known, areas.shape[1]
    width = max(1, _CHUNK // day.shared.count) if known else count
    handling: list[HandlingEstimates] = []
    onsets: list[Onsets] = []
    total_std = day.total_std
    for start in range(0, count, width):
        rows = range(start, min(start + width, count))
        part = areas[:, rows.start : rows.stop]
        draws = area_draws(day.readings, day.repeatability, day.shared, rows) if known else None
        handling.append(
            estimate_handling(
                part,
                draws,
                np.array([pressure]),
                total_std[3, rows.start : rows.stop],
                car,
                day.shared,
                confidence=day.confidence,
                set_up=set_up,
            )
        )
        onsets.append(
            estimate_onsets(part, draws, density, car, day.shared, confidence=day.confidence, set_up=set_up)
        )
    return Assessment(
        day=day,
        speed=speed,
        air_density=density,
        dynamic_pressure=pressure,
        handling=join_estimates(handling),
        onsets=join_estimates(onsets),
        stds=total_std * pressure,
    )


def sweep(
    day: Day, row: int, speeds: NDArray[np.float64], *, air_density: float | None = None, drawn: bool = True
) -> Sweep:
    """Assess one run at many speeds.

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    row : int
        Position of the run among the used ones. [1]
    speeds : numpy.ndarray
        (speeds,) speeds above 0. [m/s]
    air_density : float, optional
        Density; the facility's if absent. [kg/m^3]
    drawn : bool, optional
        Whether to draw, as in `assess`. [1]

    Returns
    -------
    Sweep
        One entry per speed. [1]

    Raises
    ------
    DomainError
        If a speed or the density is not above 0, there is no speed, or no such run.

    Notes
    -----
    The run's draws are those of `assess`, so that no run has two verdicts.

    References
    ----------
    JCGM 101:2008 for the uncertainties.
    """
    speeds, count = np.asarray(speeds, float), len(day.readings.runs)
    if not 0 <= row < count:
        raise DomainError(f"row: found {row}, expected 0 to {count - 1}")
    if speeds.ndim != 1 or speeds.size == 0:
        raise DomainError(f"speeds: found an array of shape {speeds.shape}, expected a list of one or more")
    reference_conditions(day.session, float(np.min(speeds)), air_density)
    _, density = reference_conditions(day.session, float(np.max(speeds)), air_density)
    pressure = dynamic_pressure(speeds, density)
    areas = day.readings.areas[[row]].T
    known = drawn and day.repeatability.known
    draws = area_draws(day.readings, day.repeatability, day.shared, [row]) if known else None
    width = max(1, _CHUNK // day.shared.count) if known else pressure.size
    chunks = [pressure[start : start + width] for start in range(0, pressure.size, width)]
    parts = [
        estimate_handling(
            areas,
            None if draws is None else _repeated(draws, chunk.size),
            chunk,
            day.total_std[3, [row]],
            day.session.vehicle,
            day.shared,
            confidence=day.confidence,
        )
        for chunk in chunks
    ]
    return Sweep(
        day=day,
        row=row,
        speeds=speeds,
        air_density=density,
        handling=join_estimates(parts),
        stds=day.total_std[:, [row]] * pressure,
    )


def _repeated(draws: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """Repeat one run's draws for several speeds, each speed's draws side by side in memory, ready to sort."""
    return np.repeat(draws.transpose(0, 2, 1), count, axis=1).transpose(0, 2, 1)


def join_estimates(parts: list[_T]) -> _T:
    """Join results of neighbouring runs or speeds into one.

    Parameters
    ----------
    parts : list
        Estimates of one kind, each of some runs or speeds. [1]

    Returns
    -------
    same kind
        All runs or speeds, in order. [1]

    Notes
    -----
    Field by field: arrays and tuples are joined end to end.

    References
    ----------
    Common practice, no source.
    """
    if len(parts) == 1:
        return parts[0]
    first = parts[0]
    joined: dict[str, Any] = {}
    for field in fields(cast("Any", first)):
        pieces = [getattr(part, field.name) for part in parts]
        if isinstance(pieces[0], np.ndarray):
            joined[field.name] = np.concatenate(pieces)
        elif isinstance(pieces[0], tuple):
            joined[field.name] = tuple(item for piece in pieces for item in piece)
        else:
            joined[field.name] = None if pieces[0] is None else join_estimates(pieces)
    return type(first)(**joined)


def speed_range(
    day: Day, *, start: float | None = None, stop: float | None = None, step: float = 10.0 / 3.6
) -> NDArray[np.float64]:
    """Choose the speeds of a sweep.

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    start : float, optional
        First speed; two steps if absent. [m/s]
    stop : float, optional
        Last speed; the car's top speed if absent, else the fastest tested or named. [m/s]
    step : float, optional
        Distance between speeds. [m/s]

    Returns
    -------
    numpy.ndarray
        (speeds,) from start to stop; stop is always among them. [m/s]

    Raises
    ------
    DomainError
        If the step is not above 0, stop is below start, or there would be more than 10,000 speeds.

    Notes
    -----
    Whole steps from start.

    References
    ----------
    Common practice, no source.
    """
    session = day.session
    fastest = max([float(day.readings.speed.max()), *(place.speed for place in session.places)])
    stop = stop if stop is not None else session.vehicle.top_speed or fastest
    start = min(2.0 * step, stop) if start is None else start
    if not step > 0.0:
        raise DomainError(f"step: found {step:g} m/s, expected above 0")
    if not 0.0 < start <= stop:
        raise DomainError(f"speeds: found {start:g} to {stop:g} m/s, expected above 0 and rising")
    count = int((stop - start) / step + 1e-9) + 1
    if count > 10_000:
        raise DomainError(f"speeds: found {count}, expected at most 10,000; take a wider step")
    speeds = start + step * np.arange(count)
    return np.asarray(speeds if np.isclose(speeds[-1], stop) else np.append(speeds, stop), float)
