"""A part on each car: days of one car are one effect, the same that is pooled over cars."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from balance.decide.library.each_car import effect_of_each_car
from balance.decide.library.over_cars import part_over_cars

AREAS = arrays(float, (6, 4), elements=st.floats(-1.0, 1.0))
VARIANCES = arrays(float, (6, 4), elements=st.floats(1e-6, 1e-2))
CARS = st.lists(st.sampled_from("abcd"), min_size=6, max_size=6)


def covariances(variances):
    return np.array([np.diag(one) for one in variances])


@given(CARS, AREAS, VARIANCES, st.lists(st.booleans(), min_size=6, max_size=6))
def test_known_cars_are_those_that_are_pooled(cars, effects, variances, known):
    variances = np.where(np.array(known)[:, None], variances, np.nan)
    each = effect_of_each_car(cars, effects, covariances(variances), np.full((6, 4), 9.0))
    over = part_over_cars(cars, effects, covariances(variances))
    assert [one.car for one in each] == list(dict.fromkeys(cars))
    assert len(each) == over.cars
    told = [one for one in each if np.isfinite(one.std).all()]
    assert len(told) == over.known
    for k, pooled in enumerate(over.pooled):
        assert sorted(one.effect[k] for one in told) == pytest.approx(sorted(pooled.values))
        assert sorted(one.std[k] ** 2 for one in told) == pytest.approx(sorted(pooled.variances))


@given(CARS, AREAS, VARIANCES)
def test_every_effect_belongs_to_one_car(cars, effects, variances):
    each = effect_of_each_car(cars, effects, covariances(variances), np.full((6, 4), 9.0))
    assert sorted(k for one in each for k in one.effects) == list(range(6))
    for one in each:
        assert {cars[k] for k in one.effects} == {one.car}
        assert one.effect == pytest.approx(effects[list(one.effects)].mean(axis=0))


def test_the_effective_degrees_of_freedom():
    """JCGM 100:2008, G.4.1, formula (G.2b), by hand: u^4 / sum(u_i^4 / v_i) with u_i^2 = 1 and 3, v_i = 4 and 12."""
    variances = np.array([[1.0] * 4, [3.0] * 4])
    (one,) = effect_of_each_car(["a", "a"], np.zeros((2, 4)), covariances(variances), [[4.0] * 4, [12.0] * 4])
    assert one.degrees_of_freedom == pytest.approx([16.0] * 4)  # (1 + 3)^2 / (1/4 + 9/12)
    assert one.std == pytest.approx([1.0] * 4)  # sqrt(1 + 3) / 2
    assert one.half() == pytest.approx(
        [2.120] * 4, abs=5e-4
    )  # Student's t of 16, JCGM 100:2008, table G.2: 2.12


def test_two_sizes_of_one_day_are_not_two_days():
    """Both rest on the same baseline: the same interval as for one of them, when both are equally well known."""
    some = [[1.0] * 4, [3.0] * 4]
    (one,) = effect_of_each_car(
        ["a", "a"], some, covariances(np.full((2, 4), 4.0)), [[7.0] * 4, [9.0] * 4], days=["May", "May"]
    )
    assert one.effect == pytest.approx([2.0] * 4)
    assert one.std == pytest.approx([2.0] * 4)
    assert one.degrees_of_freedom == pytest.approx([7.0] * 4)
    over = part_over_cars(["a", "a"], some, covariances(np.full((2, 4), 4.0)), days=["May", "May"])
    assert [pooled.variances.tolist() for pooled in over.pooled] == [[4.0]] * 4


def test_one_day_keeps_its_own_degrees_of_freedom():
    (one,) = effect_of_each_car(["a"], [[1.0] * 4], covariances(np.ones((1, 4))), [[7.0] * 4])
    assert one.degrees_of_freedom == pytest.approx([7.0] * 4)


def test_without_repeatability_there_is_a_mean_and_no_interval():
    (one,) = effect_of_each_car(
        ["a", "a"], [[1.0] * 4, [2.0] * 4], np.full((2, 4, 4), np.nan), [[np.nan] * 4] * 2
    )
    assert one.effect == pytest.approx([1.5] * 4)
    assert np.isnan(one.std).all()
    assert np.isnan(one.half()).all()


def test_no_cars():
    assert effect_of_each_car([], [], [], []) == ()
