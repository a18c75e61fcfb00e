"""One configuration, or one reading, at many speeds, and which speeds those are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.conditions import reference_conditions
from balance.decide.day.estimate import HandlingEstimates, estimate_handling
from balance.decide.day.join_estimates import CHUNK, join_estimates
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.day.day import Day
    from balance.model.records import Run


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sweep:
    """One row of a day at many speeds; arrays are (speeds,)."""

    day: Day
    row: int
    speeds: NDArray[np.float64]
    air_density: float
    handling: HandlingEstimates

    @property
    def run(self) -> Run:
        """The run; of a mean, the first of its readings."""
        return self.day.readings.runs[self.day.rows.members[self.row][0]]

    @property
    def name(self) -> str:
        """Its configuration and its runs."""
        named = self.day.name_of(self.row)
        return named if len(self.day.rows.members[self.row]) > 1 else f"{named} (run {self.run.label})"

    @property
    def stds(self) -> NDArray[np.float64]:
        """Standard uncertainty of front, rear, drag and total, (4, speeds) [N]."""
        return self.handling.stds.T


def sweep(
    day: Day, row: int, speeds: NDArray[np.float64], *, air_density: float | None = None, drawn: bool = True
) -> Sweep:
    """Assess one run at many speeds.

    Parameters
    ----------
    day : Day
        The reduced session. [1]
    row : int
        Which of the day's rows: a reading or a mean. [1]
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
    speeds, count = np.asarray(speeds, float), len(day.rows.members)
    if not 0 <= row < count:
        raise DomainError(f"row: found {row}, expected 0 to {count - 1}")
    if speeds.ndim != 1 or speeds.size == 0:
        raise DomainError(f"speeds: found an array of shape {speeds.shape}, expected a list of one or more")
    reference_conditions(day.session, float(np.min(speeds)), air_density)
    _, density = reference_conditions(day.session, float(np.max(speeds)), air_density)
    areas = day.areas([row])
    draws = day.draws([row]) if drawn else None
    width = speeds.size if draws is None else max(1, CHUNK // day.shared.count)
    chunks = [speeds[start : start + width] for start in range(0, speeds.size, width)]
    parts = [
        estimate_handling(
            areas,
            None if draws is None else _repeated(draws, chunk.size),
            chunk,
            density,
            day.stds([row]),
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
    )


def _repeated(draws: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """Repeat one run's draws for several speeds, each speed's draws side by side in memory, ready to sort."""
    return np.repeat(draws.transpose(0, 2, 1), count, axis=1).transpose(0, 2, 1)


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
