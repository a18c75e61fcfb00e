"""What each corner of a lap costs or brings against another configuration, with how sure that is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.estimate import Estimate
from balance.decide.laps.corners import corner_paces
from balance.decide.laps.day_laps import day_car_draws
from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.worth import with_draws
from balance.reduce.draws import spread

if TYPE_CHECKING:
    from balance.decide.laps.day_laps import DayLaps

CORNER_DRAWS = 100
"""Draws behind the interval of the seconds of a corner, two laps each."""


def corner_losses(laps: DayLaps, position: int, base: int | None = None) -> tuple[Estimate, ...]:
    """Find the time that a configuration loses in each corner against another, the start if none is named.

    Time from the corner's start to its end, both configurations lapped outright with the draws that they share.

    JCGM 101:2008 for the draws.
    """
    pair = [position, laps.start if base is None else base]
    nominal = [one.time[pair[0]] - one.time[pair[1]] for one in laps.corners()]
    draws = laps.day.draws([laps.rows[one] for one in pair])
    if draws is None:
        return tuple(Estimate.where_known(np.asarray(one), None) for one in nominal)
    car = with_draws(laps.car, day_car_draws(laps.day), CORNER_DRAWS)
    drawn = lap_of_areas(laps.track, car, draws[:, :CORNER_DRAWS], air_density=laps.air_density)
    return tuple(
        Estimate.where_known(value, spread(pace.time[:, :1] - pace.time[:, 1:], laps.day.confidence)).at(0)
        for value, pace in zip(np.array(nominal)[:, None], corner_paces(drawn), strict=True)
    )
