"""Seconds of a car that was changed: a what-if against its start, and a setting a step more or less than it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.estimate import Estimate
from balance.decide.laps.day_laps import day_car_draws
from balance.decide.laps.lap import lap_of_areas, stuck
from balance.decide.laps.lap_car import lap_car
from balance.decide.laps.worth import drawn_lap_car, lap_worths
from balance.decide.settings.families import find_families
from balance.decide.settings.response import fit_response
from balance.model.errors import DomainError
from balance.reduce.draws import spread

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.car.car_state import CarState
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.day.day import Day
    from balance.decide.settings.response import Response
    from balance.model.tracks import Track

    Array = NDArray[np.float64]

STATE_DRAWS = 200
"""Draws behind the seconds of a changed car, two laps each."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChangedLap:
    """Laps of a car before and after a change [s], and the seconds between them, negative faster."""

    before: float
    after: float
    seconds: Estimate


def lap_states(track: Track, before: CarState, after: CarState, *, confidence: float = 0.95) -> ChangedLap:
    """Lap a car before and after a change.

    Laps are run for each of 200 draws of loads, friction, power and load exponents, the same for both cars; weights are
    nominal. Air is the track's own where it states one, else each car's.

    JCGM 101:2008 for the draws.
    """
    states = (before, after)
    cars = [lap_car(one.vehicle) for one in states]
    own = {
        name: np.array([float(np.asarray(getattr(one, name))) for one in cars])
        for name in ("mass", "front_share", "friction", "front_exponent", "rear_exponent", "power")
    }
    density = np.array([track.density(one.air_density) for one in states])
    areas = np.stack([one.areas for one in states], axis=1)
    nominal = lap_of_areas(track, cars[0].with_figures(own), areas, air_density=density)
    if np.any(off := ~np.isfinite(nominal.time)):
        raise stuck(track, nominal.stopped_at[off][0])
    found = None
    if before.draws is not None and after.draws is not None:
        count = min(STATE_DRAWS, before.shared.count)
        each = [drawn_lap_car(one.vehicle, one.shared, count) for one in states]
        shared = {
            name: np.stack([one[name] for one in each], axis=1) for name in each[0].keys() & each[1].keys()
        }
        both = np.stack([before.draws[:, :count], after.draws[:, :count]], axis=2)
        times = lap_of_areas(track, cars[0].with_figures(own | shared), both, air_density=density).time
        differences = np.where(np.isnan(times), np.inf, times) @ np.array([-1.0, 1.0])
        found = spread(np.nan_to_num(differences, nan=np.inf), confidence)
    seconds = Estimate.where_known(nominal.time[1] - nominal.time[0], found)
    return ChangedLap(before=nominal.time[0], after=nominal.time[1], seconds=seconds)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SettingSteps:
    """What a setting costs a lap a step below and a step above where it is [s]; not a number beyond what was tested.

    ``about`` is where it is and ``step`` how far, in the unit of its column.
    """

    setting: str
    unit: str
    about: float
    step: float
    less: Estimate
    more: Estimate


def lap_setting(day: Day, track: Track, response: Response, about: float) -> SettingSteps:
    """Find the time lost or gained by a step of a setting too much or too little.

    The curve's own draws, so that what all its settings share cancels.

    JCGM 101:2008 for the draws.
    """
    low, high = response.tested
    if not low <= about <= high:
        raise DomainError(f"{response.family.setting}: found {about:g}, expected {low:g} to {high:g}")
    step = 1.0 if response.family.unit == "deg" else float(f"{(high - low) / 10.0:.0e}")
    sides = [about, *(one for one in (about - step, about + step) if low <= one <= high)]
    worths = lap_worths(
        track,
        lap_car(day.session.vehicle),
        response.curve(np.array(sides)),
        None if response.drawn is None else response.drawn(np.array(sides)),
        air_density=track.density(day.session.facility.air_density),
        car_draws=day_car_draws(day),
        confidence=day.confidence,
    )

    def side(value: float) -> Estimate:
        if value in sides:
            return worths.against_start.at(sides.index(value))
        return Estimate.where_known(np.asarray(np.nan), None)

    return SettingSteps(
        setting=response.family.setting,
        unit=response.family.unit,
        about=about,
        step=step,
        less=side(about - step),
        more=side(about + step),
    )


def lap_settings(prepared: PreparedDay, track: Track, run: str) -> tuple[SettingSteps, ...]:
    """Find what a step of each setting of a run is worth a lap, where the setting's curve was measured.

    The curve through the runs that differ in the setting alone.
    """
    held = prepared.day.readings.runs[prepared.row(run)].settings
    found = []
    for name, setting in held.items():
        if not setting.numeric or isinstance(setting.value, str):
            continue
        family = next((one for one in find_families(prepared, name) if run in one.labels), None)
        if family is not None:
            response = fit_response(prepared, family)
            found.append(lap_setting(prepared.day, track, response, float(setting.value)))
    return tuple(found)
