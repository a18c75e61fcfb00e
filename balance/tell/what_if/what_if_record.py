"""The record of `axletrim what-if`: what was asked, start and result, what changed, and what it rests on."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.decide.parts.part_place import mount_load, part_place, tyre_loads
from balance.files.formats.what_if_save import what_if_table
from balance.handling.axle_loads import static_axle_weights
from balance.model.channels import WITH_TOTAL
from balance.model.quantities import FORCES
from balance.tell.export.quantity_values import finite
from balance.tell.export.record_parts import ends, estimate_record
from balance.tell.library.library_record import from_library_record
from balance.tell.settings.trim_record import state_record
from balance.tell.what_if.assumption_text import assumption_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.car.car_state import CarState
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.laps.changed_laps import ChangedLap
    from balance.decide.what_if.what_if import WhatIfResult
    from balance.model.tracks import Track


def what_ifs_record(
    prepared: PreparedDay, results: Sequence[WhatIfResult], laps: Sequence[tuple[Track, ChangedLap]] = ()
) -> dict[str, Any]:
    """Return the record of some what-ifs, with their laps where a track was named."""
    return {
        "format": "axletrim-what-if/1",
        "draws": prepared.shared.count,
        "seed": prepared.shared.seed,
        "confidence": prepared.day.confidence,
        "what_ifs": [
            what_if_record(prepared, one) | (_lap(*laps[k]) if laps else {}) for k, one in enumerate(results)
        ],
    }


def _lap(track: Track, lap: ChangedLap) -> dict[str, Any]:
    found = lap.seconds
    low, high = finite(float(found.low)), finite(float(found.high))
    return {
        "lap": {
            "track": track.name,
            "start_lap_s": finite(lap.before),
            "lap_s": finite(lap.after),
            "against_start_s": finite(float(found.value)),
            "against_start_s_interval": None if low is None or high is None else [low, high],
        }
    }


def what_if_record(prepared: PreparedDay, result: WhatIfResult) -> dict[str, Any]:
    """Return the record of one what-if."""
    change: dict[str, Any] = {}
    for force in FORCES:
        place = WITH_TOTAL.index(force.std.rpartition(".")[2])
        change |= estimate_record(f"{force.key.removesuffix('_N')}_change_N", result.forces, (place,))
    for name in ("aero_balance", "grip_surplus", "neutral_steer_shift"):
        change |= estimate_record(f"{name}_change", getattr(result, name), (0,))
    top = result.result.vehicle.top_speed
    return {
        "name": result.what_if.name or None,
        "what_if": what_if_table(prepared.day.session, result.what_if),
        "from_library": [from_library_record(one) for one in result.what_if.library],
        "start": _state(result.start),
        "result": _state(result.result),
        "change": change,
        "changes_verdict": result.changes_verdict,
        "changes_range_verdict": result.changes_range_verdict,
        "parts": [
            _part(prepared, run, result.result.air_density) for run in dict.fromkeys(result.what_if.on)
        ],
        "top_speed_m_s": top,
        "tyres_at_top_speed": []
        if top is None
        else [
            {
                "axle": one.axle,
                "load_N": one.load,
                "capacity_N": one.capacity,
                "load_index": one.load_index,
                "speed_symbol": one.speed_symbol,
                "exceeded": one.exceeded,
            }
            for one in tyre_loads(
                result.result.areas,
                result.result.vehicle,
                speed=top,
                air_density=result.result.air_density,
            )
        ],
        "assumptions": assumption_lines(result.assumptions),
    }


def _state(state: CarState) -> dict[str, Any]:
    front, rear = static_axle_weights(state.vehicle.mass, state.vehicle.front_share)
    onsets = state.onsets
    onset = math.inf if onsets is None else float(onsets.speed[0])
    reached = onsets is not None and math.isfinite(onset)
    return {
        "speed_m_s": state.speed,
        "air_density_kg_m3": state.air_density,
        "mass_kg": state.vehicle.mass,
        "front_weight_share": state.vehicle.front_share,
        "weights_N": {"front": front, "rear": rear},
        **state_record(state),
        "grip_surplus_at_rest": state.surplus_at_rest,
        "static_margin_at_rest": state.static_margin,
        "grip_surplus_drag_at_ground": None if state.ground is None else finite(state.ground.at_ground),
        "onset_speed_m_s": onset if reached else None,
        "onset_speed_interval_m_s": None
        if not reached or onsets is None
        else ends(float(onsets.low[0]), float(onsets.high[0])),
        **_over_range(state),
        "onset_verdict": str(onsets.verdict[0]) if reached and onsets is not None else None,
        "power_speed_m_s": state.power_speed,
    }


def _over_range(state: CarState) -> dict[str, Any]:
    one = state.over_range
    if one is None:
        return {}
    return {
        "range_m_s": [one.start, one.end],
        "range_verdict": str(one.word),
        "range_verdict_at_m_s": finite(one.at),
        "leaves_band_at_m_s": finite(one.leaves),
        "leaves_band_at_m_s_interval": None
        if one.leaves_low is None or one.leaves_high is None
        else ends(one.leaves_low, one.leaves_high),
    }


def _part(prepared: PreparedDay, run: str, air_density: float) -> dict[str, Any]:
    place, load = part_place(prepared, run), mount_load(prepared, run, air_density=air_density)
    return {
        "run": place.run,
        "baseline": place.baseline,
        "height_m": place.height,
        "height_assumed": place.at_ground,
        "mounted_behind_rear_axle_m": place.mounted_at,
        "acts_far_from_mounting": place.mismatch,
        "behind_rear_axle_m": place.behind_rear_axle,
        "behind_rear_axle_m_interval": ends(place.low, place.high),
        "place_unresolved": list(place.unresolved),
        "mount_load_at_top_speed": None
        if load is None
        else {
            "speed_m_s": load.speed,
            "downforce_N": load.downforce,
            "drag_N": load.drag,
            "together_N": load.together,
            "ratio_to_tested": load.ratio,
        },
    }
