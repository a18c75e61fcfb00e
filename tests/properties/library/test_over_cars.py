"""A part over cars: days of one car first, no more said than the cars allow."""

import numpy as np
import pytest

from balance.decide.library.over_cars import part_over_cars
from balance.decide.library.pooled import average_over_days, pool_effects

EFFECTS = np.array(
    [
        [-8.0, 60.0, 8.0, 52.0],
        [-4.0, 75.0, 9.0, 71.0],
        [-9.0, 40.0, 5.0, 31.0],
        [-6.0, 66.0, 8.0, 60.0],
        [-7.0, 52.0, 6.0, 45.0],
        [-5.0, 58.0, 7.0, 53.0],
    ]
)
COVARIANCE = np.diag([4.0, 6.0, 1.0, 10.0])


def over(cars, known=None):
    covariances = np.array([COVARIANCE] * len(cars))
    if known is not None:
        covariances[~np.array(known)] = np.nan
    return part_over_cars(cars, EFFECTS[: len(cars)], covariances)


@pytest.mark.parametrize("cars", range(1, 7))
def test_so_many_cars_allow_so_much(cars):
    found = over([f"car {k}" for k in range(cars)])
    assert (found.cars, found.known) == (cars, cars)
    for one in found.pooled:
        assert np.isfinite(one.mean) == (
            cars >= 3
        )  # the design: a mean from three cars on, the range from five
        assert np.isfinite(one.next_interval).all() == (cars >= 5)
    assert found.ratio.ratio.value is None or cars >= 3


def test_one_car_on_six_days_counts_once():
    found = over(["one"] * 6)
    assert (found.cars, found.known) == (1, 1)
    assert np.isnan(found.pooled[1].mean)


def test_each_channel_is_pooled_over_the_means_of_the_cars():
    cars = ["a", "b", "c", "a", "d", "b"]
    _, mean, variance = average_over_days(cars, EFFECTS[:, 1], [6.0] * 6)
    assert over(cars).pooled[1].mean == pytest.approx(pool_effects(mean, variance).mean, rel=1e-12)


def test_a_car_of_unknown_repeatability_is_counted_and_not_pooled():
    found = over(["a", "b", "c", "d", "e"], known=[True, True, True, True, False])
    assert (found.cars, found.known) == (5, 4)
    assert found.pooled[0].cars == 4
    assert over(["a", "b"], known=[False, False]).pooled == ()


def test_no_cars():
    found = part_over_cars([], np.empty((0, 4)), np.empty((0, 4, 4)))
    assert (found.cars, found.known, found.ratio) == (0, 0, None)
