"""One function serves a scalar, a table, a sweep and draws: all give the same figures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.handling.axle_loads import aero_balance
from balance.handling.axle_state import axle_state
from balance.handling.onset import onset_pressure
from balance.reduce.car_figures import CarFigures

QUANTITIES = (
    "front_downforce",
    "rear_downforce",
    "downforce",
    "drag",
    "front_added_load",
    "rear_added_load",
    "front_load_share",
    "neutral_steer_shift",
    "grip_surplus",
    "grip_surplus_driven",
    "decisive_surplus",
)
SIZES = st.tuples(st.integers(1, 4), st.integers(1, 5), st.integers(1, 5))


@given(st.integers(0, 2**32 - 1), SIZES, st.sampled_from(["front", "rear", "both"]))
def test_batch_equals_loop(make_vehicle, seed, sizes, driven):
    draws, runs, speeds = sizes
    rng = np.random.default_rng(seed)
    car = make_vehicle(driven=driven, static_margin=0.02)
    areas = rng.uniform(-0.8, 1.5, (3, draws, runs, 1))
    areas[2] = np.abs(areas[2])
    pressure = rng.uniform(1.0, 6000.0, speeds)
    stiffness = tuple(rng.uniform(0.6, 0.9, (draws, 1, 1)) for _ in "fr")
    grip = tuple(rng.uniform(0.8, 0.95, (draws, 1, 1)) for _ in "fr")
    mass, share, margin = (
        rng.uniform(*ends, (draws, 1, 1)) for ends in ((900.0, 1500.0), (0.4, 0.6), (-0.05, 0.05))
    )
    drawn = CarFigures(mass=mass, front_share=share, static_margin=margin, stiffness=stiffness, grip=grip)
    whole = axle_state(areas, pressure, car, drawn=drawn)
    for d in range(draws):
        own = CarFigures(
            mass=float(mass[d, 0, 0]),
            front_share=float(share[d, 0, 0]),
            static_margin=float(margin[d, 0, 0]),
            stiffness=tuple(float(e[d, 0, 0]) for e in stiffness),
            grip=tuple(float(e[d, 0, 0]) for e in grip),
        )
        table = axle_state(areas[:, d], pressure, car, drawn=own)
        for name in QUANTITIES:
            assert getattr(whole, name).shape == (draws, runs, speeds)
            same(getattr(table, name), getattr(whole, name)[d])
        for r in range(runs):
            run = axle_state(areas[:, d, r], pressure, car, drawn=own)
            for v in range(speeds):
                alone = axle_state(areas[:, d, r, 0], float(pressure[v]), car, drawn=own)
                for name in QUANTITIES:
                    same(getattr(run, name)[v], getattr(whole, name)[d, r, v])
                    same(getattr(alone, name), getattr(whole, name)[d, r, v])


@given(st.integers(0, 2**32 - 1), st.integers(1, 8))
def test_table_of_runs_equals_runs_alone(make_vehicle, seed, runs):
    rng = np.random.default_rng(seed)
    areas = rng.uniform(-0.5, 1.5, (3, runs))
    whole = axle_state(areas, 1500.0, make_vehicle())
    for k in range(runs):
        alone = axle_state(areas[:, k], 1500.0, make_vehicle())
        for name in QUANTITIES[:-2]:
            same(getattr(alone, name), getattr(whole, name)[k])
        same(aero_balance(areas[0, k], areas[1, k]), aero_balance(areas[0], areas[1])[k])


@pytest.mark.parametrize("difference", [0.0, 0.02])
@given(seed=st.integers(0, 2**32 - 1))
def test_onsets_of_a_batch_are_those_of_its_members(difference, seed):
    rng = np.random.default_rng(seed)
    front, rear = rng.uniform(-2e-4, 2e-4, (2, 6, 4))
    exponent = rng.uniform(0.8, 0.95, (6, 1))
    edge = np.where(rear > front, 0.03, -0.015)
    whole = onset_pressure(front, rear, edge, front_exponent=exponent, rear_exponent=exponent + difference)
    for i, j in np.ndindex(front.shape):
        alone = onset_pressure(
            front[i, j],
            rear[i, j],
            edge[i, j],
            front_exponent=exponent[i, 0],
            rear_exponent=exponent[i, 0] + difference,
        )
        assert alone == pytest.approx(whole[i, j], rel=1e-9)


def same(one, other):
    np.testing.assert_allclose(one, other, rtol=2e-15, atol=1e-15)
