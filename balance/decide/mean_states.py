"""Handling of the means of sets of runs, nominal and drawn, so that any two can be differenced draw by draw."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.compare.contrasts import contrast_changes, mean_weights
from balance.decide.estimate import estimate_handling
from balance.handling.axle_state import axle_state
from balance.reduce.air import dynamic_pressure
from balance.reduce.drag_couple import couple_stds
from balance.reduce.draws import area_draws, shared_draws, with_drawn_couple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.day import Day
    from balance.decide.verdict import Verdict
    from balance.reduce.draws import SharedDraws
    from balance.reduce.repeatability import Repeatability

CHUNK = 20
"""Sets worked out at once: few enough for their draws to stay in a processor's cache."""


class MeanStates:
    """Aero balance, grip surplus and verdict of the mean over each set of runs.

    ``balance`` and ``surplus`` are (sets,), their draws (draws, sets) or nothing where the scatter is unknown.
    """

    def __init__(
        self,
        day: Day,
        scatter: Repeatability,
        sets: Sequence[tuple[int, ...]],
        speed: float,
        air_density: float,
    ) -> None:
        readings, vehicle = day.readings, day.session.vehicle
        shared = shared_draws(day.session, scatter, count=day.shared.count)
        weights = mean_weights(readings, sets)
        areas = (weights @ readings.areas).T
        loads = contrast_changes(weights, readings, scatter, dynamic_pressure=1.0)
        common = np.append(scatter.systematic, np.hypot(scatter.systematic[0], scatter.systematic[1]))
        pulled = np.outer(common, np.asarray(weights @ (1.0 / readings.force_pressure)))
        area_stds = np.hypot(np.hypot(loads.std.T, pulled), couple_stds(day.session, areas[2]))
        pressure = float(dynamic_pressure(speed, air_density))
        count = len(sets)
        self.balance, self.surplus = np.empty(count), np.empty(count)
        self.balance_draws: NDArray[np.float64] | None = None
        self.surplus_draws: NDArray[np.float64] | None = None
        if scatter.known:
            self.balance_draws = np.empty((shared.count, count))
            self.surplus_draws = np.empty((shared.count, count))
        self.verdicts: list[Verdict] = []
        for start in range(0, count, CHUNK):
            part = slice(start, min(start + CHUNK, count))
            draws = _mean_draws(day, scatter, shared, weights[part]) if scatter.known else None
            handling = estimate_handling(
                areas[:, part],
                draws,
                speed,
                air_density,
                area_stds[:, part],
                vehicle,
                shared,
                confidence=day.confidence,
            )
            self.verdicts += handling.verdicts
            self.balance[part] = handling.aero_balance.value
            self.surplus[part] = handling.nominal.grip_surplus
            if draws is not None and self.balance_draws is not None and self.surplus_draws is not None:
                drawn = axle_state(draws, pressure, vehicle, drawn=shared.car)
                with np.errstate(divide="ignore", invalid="ignore"):
                    self.balance_draws[:, part] = drawn.front_downforce / drawn.downforce
                self.surplus_draws[:, part] = drawn.grip_surplus


def _mean_draws(
    day: Day, scatter: Repeatability, shared: SharedDraws, weights: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Draw the areas of means, (3, draws, means): a mean shares the draws of each of its readings."""
    rows = np.flatnonzero(weights.any(axis=0))
    draws = area_draws(day.readings, scatter, shared, rows.tolist())
    return with_drawn_couple(np.asarray(draws @ weights[:, rows].T), shared)
