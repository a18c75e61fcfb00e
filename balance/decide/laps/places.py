"""Named places that stand on a track: the speed that the car has there as it started."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.corners import lowest_near
from balance.decide.laps.lap import lap_of_areas
from balance.decide.laps.lap_car import lap_car
from balance.model.errors import DomainError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.laps.lap import Lap
    from balance.model.records import Session
    from balance.model.tracks import Track


def with_place_speeds(session: Session, start: NDArray[np.float64]) -> Session:
    """Give each place that stands on a track its speed.

    Parameters
    ----------
    session : Session
        As read from its files; of a car with friction and power where a place stands on a track. [1]
    start : numpy.ndarray
        (3,) front downforce, rear downforce and drag area of the car as it started. [m^2]

    Returns
    -------
    Session
        The same where no place stands on a track. [1]

    Raises
    ------
    InputError
        If the car's friction or power is not stated.
    DomainError
        If the car does not get round a track, or a place is not on it.

    Notes
    -----
    The lowest speed within 20 m of the place. One speed for all configurations, that of the start, else verdicts would
    chase themselves.

    References
    ----------
    Common practice, no source.
    """
    if all(place.track is None for place in session.places):
        return session
    car, laps = lap_car(session.vehicle), dict[str, "Lap"]()

    def lapped(track: Track) -> Lap:
        density = track.density(session.facility.air_density)
        lap = lap_of_areas(track, car, start, air_density=density)
        if not np.isfinite(lap.time):
            raise DomainError(
                f"places: lap of {track.name}: found a car that does not get past {float(lap.stopped_at):,.0f} m, "
                "expected one that does; check friction, power and the track"
            )
        return lap

    places = []
    for place in session.places:
        if place.track is not None and place.distance is not None:
            if place.track.name not in laps:
                laps[place.track.name] = lapped(place.track)
            speed = float(lowest_near(laps[place.track.name], place.distance))
            places.append(replace(place, speed=speed))
        else:
            places.append(place)
    return replace(session, places=tuple(places))
