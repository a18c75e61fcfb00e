"""The invented hatchback, lapped on an invented track."""

from pathlib import Path

import pytest

import balance
from balance.decide.laps.day_laps import lap_day
from balance.decide.parts.parts import assess_parts
from balance.model.tracks import TrackPlace, track_of_segments

HATCH = Path(__file__).parents[3] / "vehicles" / "brindlow_hatch" / "tunnel_day"
LENGTHS = (300.0, 60.0, 200.0, 90.0, 500.0, 120.0, 150.0, 70.0, 400.0, 157.0)
TURNS = (0.0, 1 / 40, 0.0, 1 / 60, 0.0, 1 / 90, 0.0, -1 / 30, 0.0, 1 / 50)
"""Lengths [m] and curvature [1/m] of an invented loop; elementary, no source."""


@pytest.fixture(scope="session")
def loop():
    """Build a closed track with five corners, one of which has a name."""
    return track_of_segments("loop", LENGTHS, TURNS, places=(TrackPlace(name="hairpin", distance=330.0),))


@pytest.fixture(scope="session")
def hatch_laps(loop):
    """Lap the hatchback's configurations."""
    day = balance.reduce_day(balance.load_session(HATCH))
    return lap_day(day, loop, increments=assess_parts(day, speed=41.0).increments)
