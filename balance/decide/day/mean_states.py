"""Handling of means of readings, nominal and drawn, so that any two can be differenced draw by draw."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.estimate import estimate_handling
from balance.decide.day.judged_means import judge_means
from balance.handling.axle_state import axle_state
from balance.reduce.air import dynamic_pressure

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.day.day import Day
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.day.verdict import Verdict

CHUNK = 20
"""Sets worked out at once: few enough for their draws to stay in a processor's cache."""


class MeanStates:
    """Aero balance, grip surplus and verdict of means of readings, from their weights, (means, readings).

    ``balance`` and ``surplus`` are (means,), their draws (draws, means) or nothing where the scatter is unknown;
    ``verdicts`` are those at the speed, ``ranges`` those over all speeds that the car sees.
    """

    def __init__(
        self,
        day: Day,
        weights: NDArray[np.float64],
        speed: float,
        air_density: float,
    ) -> None:
        fits, vehicle, shared = day.fits, day.session.vehicle, day.shared
        areas = (weights @ fits.readings.areas).T
        area_stds = fits.stds(weights)
        pressure = float(dynamic_pressure(speed, air_density))
        count = len(weights)
        self.balance, self.surplus = np.empty(count), np.empty(count)
        self.balance_draws: NDArray[np.float64] | None = None
        self.surplus_draws: NDArray[np.float64] | None = None
        if fits.known:
            self.balance_draws = np.empty((shared.count, count))
            self.surplus_draws = np.empty((shared.count, count))
        self.verdicts: list[Verdict] = []
        self.ranges: list[RangeVerdict] = []
        for start in range(0, count, CHUNK):
            part = slice(start, min(start + CHUNK, count))
            draws = fits.draws(weights[part], shared)
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
            self.ranges += judge_means(day, weights[part], areas[:, part], draws, air_density)
            self.balance[part] = handling.aero_balance.value
            self.surplus[part] = handling.nominal.grip_surplus
            if draws is not None and self.balance_draws is not None and self.surplus_draws is not None:
                drawn = axle_state(draws, pressure, vehicle, drawn=shared.car)
                with np.errstate(divide="ignore", invalid="ignore"):
                    self.balance_draws[:, part] = drawn.front_downforce / drawn.downforce
                self.surplus_draws[:, part] = drawn.grip_surplus
