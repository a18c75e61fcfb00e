"""Laps of a day as a plain record for JSON: SI, stable keys, never a number that is not one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from balance.decide.laps.day_laps import fastest_in_balance
from balance.tell.export.quantity_values import finite
from balance.tell.export.records_json import settings_record

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.decide.day.estimate import Estimate
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.laps.buying import ForSale
    from balance.decide.laps.changed_laps import SettingSteps
    from balance.decide.laps.corners import CornerPace, StraightPace
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.laps.packages import Packages
    from balance.decide.laps.worth import ExchangeRate

_LOADS = ("front", "rear", "balanced")


def lap_record(
    laps: DayLaps,
    positions: Sequence[int],
    ranges: Mapping[int, RangeVerdict],
    *,
    at: int,
    rate: ExchangeRate,
    steps: Sequence[SettingSteps] = (),
    sold: tuple[ForSale, Packages | None] | None = None,
) -> dict[str, Any]:
    """Return the record of `axletrim lap --json`; ``ranges`` are verdicts by row of the day, ``at`` is where drag is priced."""
    day, worths = laps.day, laps.worths
    corners, straights = laps.corners(), laps.straights()
    best = fastest_in_balance(laps, ranges)
    return {
        "format": "axletrim-lap/1",
        "track": laps.track.name,
        "length_m": laps.track.length,
        "air_density_kg_m3": laps.air_density,
        "friction": finite(float(np.asarray(laps.car.friction))),
        "confidence": day.confidence,
        "start": _name(laps, laps.start),
        "fastest_in_balance": None if best is None else _name(laps, best),
        "at": _name(laps, at),
        "assumed": list(laps.car.assumed),
        "configurations": [_configuration(laps, one, ranges, corners, straights) for one in positions],
        "parts": [
            {
                "run": day.readings.labels[pair.run],
                "baseline": day.readings.labels[pair.baseline],
                "differs": list(pair.differs),
                "seconds": finite(float(part.seconds.value)),
                "seconds_interval": _interval(part.seconds),
                "by": part.way,
            }
            for part in laps.parts
            for pair in [laps.increments.pairs[part.increment]]
        ]
        if laps.increments is not None
        else [],
        "settings": [
            {
                "setting": one.setting,
                "unit": one.unit,
                "about": one.about,
                "step": one.step,
                "less_s": finite(float(one.less.value)),
                "less_s_interval": _interval(one.less),
                "more_s": finite(float(one.more.value)),
                "more_s_interval": _interval(one.more),
            }
            for one in steps
        ],
        **({} if sold is None else {"packages": _packages(*sold), "not_run": list(sold[0].untested)}),
        "intervals_by": [worths.ways[one] for one in positions],
        "gradient_s_per_m2": {
            name: {"added": finite(one.added), "taken": finite(one.taken)}
            for name in (*_LOADS, "drag")
            for one in [getattr(rate, f"{name}_slope")]
        },
        "drag_paid_by_downforce": {
            **{name: finite(float(getattr(rate, name).value)) for name in _LOADS},
            **{f"{name}_interval": _interval(getattr(rate, name)) for name in _LOADS},
        },
    }


def _name(laps: DayLaps, position: int) -> str:
    return laps.day.configuration_of(laps.rows[position])


def _configuration(
    laps: DayLaps,
    position: int,
    ranges: Mapping[int, RangeVerdict],
    corners: Sequence[CornerPace],
    straights: Sequence[StraightPace],
) -> dict[str, Any]:
    row, lap = laps.rows[position], laps.lap
    day, worths = laps.day, laps.worths
    members, over = day.rows.members[row], ranges[row]
    stuck = not np.isfinite(lap.time[position])
    return {
        "name": _name(laps, position),
        "runs": [day.readings.labels[one] for one in members],
        "settings": settings_record(day.readings.runs[members[0]]),
        "lap_s": finite(float(lap.time[position])),
        "lap_s_interval": _interval(worths.time, position),
        "against_start_s": finite(float(worths.against_start.value[position])),
        "against_start_s_interval": _interval(worths.against_start, position),
        "range_verdict": over.word.value,
        "top_speed_m_s": None if stuck else finite(float(lap.speed[position].max())),
        "stopped_at_m": finite(float(lap.stopped_at[position])),
        "corners": [
            {
                "number": pace.corner.number,
                "name": pace.corner.name or str(pace.corner.number),
                "distance_m": finite(float(pace.at[position])),
                "lowest_speed_m_s": None if stuck else finite(float(pace.lowest[position])),
                "limited_by": str(pace.limited_by[position]),
                "limit_m_s": finite(float(pace.limit[position])),
                "limit_without_air_m_s": finite(float(pace.without_air[position])),
                "time_s": finite(float(pace.time[position])),
            }
            for pace in corners
        ],
        "straights": [
            {
                "leads_to_corner": pace.before or None,
                "fastest_m_s": finite(float(pace.fastest[position])),
                "level_top_speed_m_s": finite(float(pace.top[position])),
                "drag_limited": bool(pace.drag_limited[position]),
            }
            for pace in straights
        ],
    }


def _packages(sale: ForSale, found: Packages | None) -> list[dict[str, Any]]:
    """List the packages that no other beats; ``in_limits`` is a share of draws, ``trimmed_to`` in its column's unit."""
    return [
        {
            "parts": list(one.parts),
            "price": one.price,
            "currency": sale.currency or None,
            "mass_kg": one.mass,
            "trimmed_to": finite(one.trimmed_to),
            "against_start_s": finite(one.seconds),
            "against_start_s_interval": None
            if one.seconds_low is None or one.seconds_high is None
            else [finite(one.seconds_low), finite(one.seconds_high)],
            "grip_surplus": finite(one.surplus),
            "grip_surplus_at_m_s": finite(one.worst_at),
            "in_limits": finite(one.in_band),
            "run_together": one.run_together,
        }
        for one in (() if found is None else found.front)
    ]


def _interval(one: Estimate, position: int | tuple[()] = ()) -> list[float] | None:
    ends = [float(np.asarray(end)[position]) for end in (one.low, one.high)]
    return ends if all(np.isfinite(ends)) else None
