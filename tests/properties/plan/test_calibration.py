"""The 95 % range of what a run should read holds 95 % of readings: on days drawn from the prior, and on invented cars.

The shares wanted are the meaning of a 95 % range; how far they may be off is common practice, no source.
"""

import numpy as np
import pytest

from balance.decide.day.day import reduce_day
from balance.decide.plan.belief import ReadingNoise, believe
from balance.decide.plan.configuration import configuration
from balance.decide.plan.day_belief import DayBelief, belief_of_day, covariance_of_noise, scaled
from balance.decide.plan.expected_reading import expected_readings
from balance.decide.plan.prior import prior_of
from balance.model.plans import DayPlan
from tests.plan_cars import EVERY, FAMILIES, PRESSURE, InventedCar, InventedDay, session_of

NOISE = ReadingNoise(fit=np.full(3, 1.6e-5), reading=np.full(3, 0.9e-5), degrees=20.0)


def held_on_a_day_drawn_from_the_prior(seed, count=16):
    """Draw loads and noise from what is believed, and tell which readings lie in the range that those before expect."""
    rng = np.random.default_rng([3, seed])
    start = configuration({})
    runs = [start, *(EVERY[k] for k in rng.integers(len(EVERY), size=count - 1))]
    prior = prior_of(EVERY, start, 1.0)
    order = np.arange(count, dtype=float)
    at = {"fits": np.arange(count), "blocks": np.zeros(count, int), "order": order}
    whole = prior.covariance(runs, runs) + covariance_of_noise(NOISE, **at, drag_area=1.0)
    drawn = np.stack(
        [np.linalg.cholesky(whole[c] + 1e-12 * np.eye(count)) @ rng.standard_normal(count) for c in range(3)],
        1,
    )
    areas = prior.mean(runs) + drawn
    held = []
    for row in range(1, count):
        some = {key: value[:row] for key, value in at.items()}
        noise = covariance_of_noise(NOISE, **some, drag_area=1.0)
        read = runs[:row], areas[:row], noise
        belief = believe(scaled(prior, *read, runs[:row]), *read, NOISE)
        stand = DayBelief(session=None, belief=belief, start=start)
        (expected,) = expected_readings(stand, [runs[row]])
        held.append(np.abs(areas[row] - expected.mean[:3]) <= expected.half_width()[:3])
    return np.array(held)


@pytest.mark.slow
def test_on_days_drawn_from_the_prior_the_range_holds_93_to_97_in_100():
    held = np.array([held_on_a_day_drawn_from_the_prior(seed) for seed in range(200)])
    by_run = held.mean(axis=(0, 2))
    print("held by run number, from the second:", np.round(100.0 * by_run).astype(int).tolist())  # noqa: T201 - a table for whoever looks
    assert 0.93 <= held.mean() <= 0.97


def held_on_an_invented_car(seed, count=18):
    """Run an invented car at random, neighbours by one change mostly, and tell which readings lie in their range."""
    rng = np.random.default_rng([4, seed])
    day = InventedDay(InventedCar(seed), rng)
    fitted = configuration({})
    held = []
    for row in range(count):
        if row:
            rows = day.rows
            stand = belief_of_day(reduce_day(session_of(rows), draws=100), DayPlan(), others=EVERY)
            (expected,) = expected_readings(stand, [fitted])
        day.run(fitted)
        if row:
            read = np.array(day.rows[-1][1:]) / PRESSURE
            held.append(np.abs(read - expected.mean[:3]) <= expected.half_width()[:3])
        if rng.random() < 0.15:
            fitted = configuration({})
            continue
        name = list(FAMILIES)[rng.integers(len(FAMILIES))]
        value = FAMILIES[name][rng.integers(len(FAMILIES[name]))]
        off = fitted.value(name) is not None and rng.random() < 0.4
        fitted = fitted.put(name, None if off else value)
        if fitted.value("gurney_height") is not None and fitted.value("wing_angle") is None:
            fitted = fitted.put("wing_angle", 8.0)
    return np.array(held)


def test_on_a_few_invented_cars_the_range_holds_nine_in_ten():
    held = np.array([held_on_an_invented_car(seed) for seed in range(4)])
    assert held.mean() >= 0.85


@pytest.mark.slow
def test_on_invented_cars_the_range_holds_nine_in_ten_over_all_runs():
    held = np.array([held_on_an_invented_car(100 + seed) for seed in range(60)])
    by_run = held.mean(axis=(0, 2))
    print("held by run number, from the second:", np.round(100.0 * by_run).astype(int).tolist())  # noqa: T201 - a table for whoever looks
    assert held.mean() >= 0.90
