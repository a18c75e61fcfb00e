"""What loads are worth to a day that is to choose the least lap time: by the slopes of the lap where it is fastest."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.lap_car import lap_car
from balance.decide.laps.worth import exchange_rate
from balance.decide.plan.merit import merit_of_track
from balance.model.errors import DomainError
from balance.reduce.air import dynamic_pressure

if TYPE_CHECKING:
    from balance.decide.plan.day_belief import DayBelief
    from balance.decide.plan.merit import Merit
    from balance.model.tracks import Track


def merit_on_track(stand: DayBelief, track: Track) -> Merit:
    """State what loads are worth on a track.

    The slopes are those of the configuration that is expected to be the fastest of those that were run: that of
    downforce split as the weights, the mean of added and taken away, for either axle, since what one axle has over the
    other is priced by the band; that of drag by adding. The lap has a kink in balance, so that a slope of one axle
    alone would say there that neither gains anything.
    """
    session = stand.session
    facility = session.facility
    car = lap_car(session.vehicle)
    density = track.density(facility.air_density)
    areas = stand.belief.mean(list(stand.tried) or [stand.start]).T
    times = lap_of_areas(track, car, areas, air_density=density).time
    if np.all(np.isnan(times)):
        raise DomainError(f"lap of {track.name}: found no configuration that gets round, expected one")
    rate = exchange_rate(track, car, areas[:, int(np.nanargmin(times))], air_density=density)
    gained = -(rate.balanced_slope.added + rate.balanced_slope.taken) / 2.0
    if not gained > 0.0:
        raise DomainError(
            f"lap of {track.name}: found that downforce costs time there, expected that it gains some; "
            "choose by drag instead: choose = { drag_worth = 5.0 }"
        )
    pressure = float(dynamic_pressure(facility.speed, facility.air_density))
    return merit_of_track(
        session,
        [-gained, -gained, max(rate.drag_slope.added, 0.0)],
        seconds_per_newton=gained / pressure,
    )
