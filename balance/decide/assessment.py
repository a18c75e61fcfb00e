"""A whole session at one speed and density: what every screen, table and report reads."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from balance.decide.conditions import reference_conditions
from balance.decide.estimate import HandlingEstimates, estimate_handling
from balance.decide.joining import CHUNK, join_estimates
from balance.decide.onsets import Onsets, estimate_onsets
from balance.reduce.air import dynamic_pressure
from balance.reduce.draws import area_draws

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from balance.decide.day import Day


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Assessment:
    """Every used run of a session at one speed and density, in running order; arrays are (runs,)."""

    day: Day
    speed: float
    air_density: float
    dynamic_pressure: float
    handling: HandlingEstimates
    onsets: Onsets

    @property
    def stds(self) -> NDArray[np.float64]:
        """Standard uncertainty of front, rear, drag and total at this speed, (4, runs) [N]."""
        return self.handling.stds.T

    @property
    def labels(self) -> tuple[str, ...]:
        """Labels of the runs, in running order."""
        return self.day.readings.labels


def assess(
    day: Day,
    *,
    speed: float | None = None,
    air_density: float | None = None,
    drawn: bool = True,
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
    areas = day.readings.areas.T
    vehicle = day.session.vehicle
    known, count = drawn and day.repeatability.known, areas.shape[1]
    width = max(1, CHUNK // day.shared.count) if known else count
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
                speed,
                density,
                total_std[:, rows.start : rows.stop],
                vehicle,
                day.shared,
                confidence=day.confidence,
            )
        )
        onsets.append(estimate_onsets(part, draws, density, vehicle, day.shared, confidence=day.confidence))
    joined = join_estimates(handling)
    if day.repeatability.known and not drawn:
        awaited = tuple(replace(verdict, awaited=True) for verdict in joined.verdicts)
        joined = replace(joined, verdicts=awaited)
    return Assessment(
        day=day,
        speed=speed,
        air_density=density,
        dynamic_pressure=float(dynamic_pressure(speed, density)),
        handling=joined,
        onsets=join_estimates(onsets),
    )
