"""A car whose front truly overpowers its rear is hardly ever called in balance: simulated days of known truth."""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.range_seen import Seen, range_limits
from balance.decide.day.range_verdict import RANGE_DRAWS
from balance.decide.day.verdict import VerdictWord
from balance.reduce.stated_draws import GRIP_RANGE
from tests.properties.conftest import build_vehicle

pytestmark = pytest.mark.slow

SEED, DAYS = 1, 2_000
MOST = 0.001
"""Share of days on which such a car may be called in balance."""
BEYOND = (0.005, 0.03)
"""The spread of the truths: the least grip surplus over the range lies this far beyond the limit of the front's side."""
SHARE_STD, GRIP_APART = 0.003, 0.05
SCATTER = np.array([7.0, 7.0, 4.0])
PRESSURE, DENSITY = 0.5 * 1.2 * 50.0**2, 1.2
REAR, DRAG = 250.0, 1050.0
STRUCTURES = {
    "no facility's figure, refitted": ("ABABAB", False),
    "a right facility's figure, one reading": ("AB", True),
    "a right facility's figure, refitted": ("ABAB", True),
    "untouched repeats alone": ("AABB", False),
}


def true_car(rng):
    """Draw a car as its stated figures leave it open: load exponents in their assumed range, weight share about the stated."""
    front = rng.uniform(*GRIP_RANGE)
    rear = np.clip(front + rng.uniform(-GRIP_APART, GRIP_APART), *GRIP_RANGE)
    share = 0.52 + SHARE_STD * rng.standard_normal()
    return build_vehicle(grip=(front, rear), exact=True, front_share=share, top_speed=60.0)


def front_that_overpowers(session, car, beyond):
    """Find the front downforce at which the least surplus over the range is so far beyond the limit."""
    fronts = np.linspace(0.0, 1500.0, 301)
    areas = np.array([fronts, np.full(301, REAR), np.full(301, DRAG)]) / PRESSURE
    true = replace(session, vehicle=car)
    least = Seen(true, areas, range_limits(true, areas[2], DENSITY), DENSITY, None).least
    wanted = -car.target.front_tolerance - beyond
    return float(np.interp(-wanted, -least, fronts))


@pytest.mark.parametrize("structure", STRUCTURES)
def test_a_front_that_overpowers_is_hardly_ever_called_in_balance(make_session, record_property, structure):
    order, stated = STRUCTURES[structure]
    rng, called = np.random.default_rng(SEED), 0
    session = make_session(
        [(0.0, REAR, DRAG)] * len(order),
        vehicle=build_vehicle(top_speed=60.0),
        configurations=list(order),
        deviation=tuple(SCATTER) if stated else (None, None, None),
    )
    for _ in range(DAYS):
        front = front_that_overpowers(session, true_car(rng), rng.uniform(*BEYOND))
        loads = np.array([(front, REAR, DRAG) if kind == "B" else (-80.0, -100.0, 1000.0) for kind in order])
        read = loads + rng.standard_normal((len(order), 3)) * SCATTER
        runs = tuple(
            replace(run, reading=type(run.reading)(front=f, rear=r, drag=d))
            for run, (f, r, d) in zip(session.runs, read.tolist(), strict=True)
        )
        day = reduce_day(replace(session, runs=runs), draws=RANGE_DRAWS)
        row = day.rows.standing[order.index("B")]
        (verdict,) = assess(day, rows=[row]).ranges
        called += verdict.word is VerdictWord.IN_BALANCE
    record_property("called in balance", f"{called} of {DAYS}")
    assert called <= MOST * DAYS
