"""Axle loads of a car's configurations, turned into balance, verdicts and settings.

In a notebook::

    import balance
    day = balance.reduce_day(balance.load_session("vehicles/my_car/spring_day"))
    table = balance.assess(day, speed=51.4)          # SI throughout: m/s, N, kg, K, fractions
    table.handling.grip_surplus.value                # arrays, one entry per run
    balance.table_record(table)                      # the same as `axletrim table --json`, a dict
    balance.parts_record(balance.assess_parts(day))  # the same as `axletrim parts --json`
    balance.frame(table)                             # the same as a pandas frame, its units in .attrs
    track = balance.read_track("vehicles/my_car/tracks/upper_field_loop")
    balance.simulate_lap(track, day.session.vehicle, front_area=0.2, rear_area=0.3, drag_area=0.7, air_density=1.2).time
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from balance.decide.day.assessment import assess
    from balance.decide.day.day import reduce_day
    from balance.decide.day.day_scatter import scatter_of_day
    from balance.decide.day.sweeps import sweep
    from balance.decide.laps.lap import simulate_lap
    from balance.decide.laps.lap_car import LapCar
    from balance.decide.library.pooled import pool_effects
    from balance.decide.parts.parts import assess_parts
    from balance.decide.plan.expected_gain import expected_gain
    from balance.files.formats.track import read_track
    from balance.files.loader import load_session
    from balance.model.glossary import explain
    from balance.model.tracks import track_of_segments
    from balance.tell.export.records_json import sweep_record, table_record
    from balance.tell.frames import frame
    from balance.tell.parts.parts_json import parts_record

_HOMES = {
    "LapCar": "balance.decide.laps.lap_car",
    "assess": "balance.decide.day.assessment",
    "assess_parts": "balance.decide.parts.parts",
    "expected_gain": "balance.decide.plan.expected_gain",
    "explain": "balance.model.glossary",
    "frame": "balance.tell.frames",
    "load_session": "balance.files.loader",
    "parts_record": "balance.tell.parts.parts_json",
    "pool_effects": "balance.decide.library.pooled",
    "read_track": "balance.files.formats.track",
    "reduce_day": "balance.decide.day.day",
    "scatter_of_day": "balance.decide.day.day_scatter",
    "simulate_lap": "balance.decide.laps.lap",
    "sweep": "balance.decide.day.sweeps",
    "sweep_record": "balance.tell.export.records_json",
    "table_record": "balance.tell.export.records_json",
    "track_of_segments": "balance.model.tracks",
}

__all__ = [
    "LapCar",
    "assess",
    "assess_parts",
    "expected_gain",
    "explain",
    "frame",
    "load_session",
    "parts_record",
    "pool_effects",
    "read_track",
    "reduce_day",
    "scatter_of_day",
    "simulate_lap",
    "sweep",
    "sweep_record",
    "table_record",
    "track_of_segments",
]


def __getattr__(name: str) -> Any:
    """Load a public name from its home the first time it is used."""
    if name not in _HOMES:
        raise AttributeError(f"module 'balance' has no attribute '{name}'")
    return getattr(import_module(_HOMES[name]), name)
