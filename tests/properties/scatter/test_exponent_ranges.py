"""The ranges that load exponents are drawn over; common practice, no source, each figure written out here."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from balance.decide.day.day import reduce_day
from balance.model.records import Triple
from balance.reduce.stated_draws import drawn_car, standard_draws

COUNT = 100_000
STANDARD = standard_draws(np.random.default_rng(7), COUNT)
RANGES = {
    # lowest and highest assumed exponent, the most by which rear less front departs from 0, half range about a stated one
    "stiffness": (0.60, 0.90, 0.10, 0.075),
    "grip": (0.80, 0.95, 0.05, 0.0375),
}


def is_uniform(draws, low, high):
    return stats.kstest(draws[:, 0], "uniform", (low, high - low)).pvalue > 1e-4


@pytest.mark.parametrize("kind", list(RANGES))
def test_assumed_exponents_are_uniform_over_their_range_and_apart_by_a_difference_of_their_own(
    make_vehicle, kind
):
    low, high, apart, _ = RANGES[kind]
    front, rear = getattr(drawn_car(make_vehicle(), STANDARD), kind)
    middle, difference = (front + rear) / 2.0, rear - front
    assert is_uniform(middle, low, high)
    assert is_uniform(difference, -apart, apart)
    assert np.min(middle) == pytest.approx(low, abs=1e-4)
    assert np.max(middle) == pytest.approx(high, abs=1e-4)
    assert np.max(np.abs(difference)) == pytest.approx(apart, abs=1e-4)
    assert abs(np.corrcoef(middle[:, 0], difference[:, 0])[0, 1]) < 5.0 / np.sqrt(COUNT)


@pytest.mark.parametrize("kind", list(RANGES))
def test_stated_exponents_are_uniform_about_what_was_stated(make_vehicle, kind):
    *_, half = RANGES[kind]
    car = drawn_car(make_vehicle(stiffness=(0.70, 0.78), grip=(0.84, 0.90), assumed=False), STANDARD)
    stated = {"stiffness": (0.70, 0.78), "grip": (0.84, 0.90)}[kind]
    for drawn, value in zip(getattr(car, kind), stated, strict=True):
        assert is_uniform(drawn, value - half, value + half)
        assert np.ptp(drawn) == pytest.approx(2.0 * half, abs=1e-4)


def test_stiffness_and_grip_are_drawn_apart(make_vehicle):
    car = drawn_car(make_vehicle(), STANDARD)
    for stiffness in car.stiffness:
        for grip in car.grip:
            assert abs(np.corrcoef(stiffness[:, 0], grip[:, 0])[0, 1]) < 5.0 / np.sqrt(COUNT)


def test_a_days_own_draws_are_of_these_ranges(make_session, make_vehicle):
    """10,000 draws of a sum of two: within a thousandth of the whole range of either axle, half the difference beyond."""
    car = reduce_day(make_session([(300.0, 400.0, 600.0)], vehicle=make_vehicle()), draws=10_000).shared.car
    for kind, (low, high, apart, _) in RANGES.items():
        for drawn in getattr(car, kind):
            assert low - apart / 2.0 <= np.min(drawn) < low
            assert high < np.max(drawn) <= high + apart / 2.0


def test_repeats_that_read_alike_scatter_by_their_last_digit(make_session):
    """Half of the last digit, uniform: over the root of 3 (JCGM 100:2008, 4.3.7); the total of two axles adds in squares."""
    session = make_session(
        [(300.0, 400.0, 600.0), (310.0, 420.0, 610.0), (300.0, 400.0, 600.0)],
        configurations=["a", "b", "a"],
        deviation=(None, None, None),
    )
    typed = Triple(front=0.5, rear=0.05, drag=5.0)
    day = reduce_day(
        replace(session, runs=tuple(replace(run, resolution=typed) for run in session.runs)), draws=100
    )
    by_hand = np.array([0.5, 0.05, 5.0, np.hypot(0.5, 0.05)]) / np.sqrt(3.0)
    np.testing.assert_allclose(day.repeatability.deviation, by_hand, rtol=1e-9)
