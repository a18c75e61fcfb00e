"""Curves through tested settings: through every mean, never beyond them, as another implementation has them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from balance.compare.monotone_cubic import monotone_cubic
from balance.model.errors import DomainError

STEPS = st.lists(st.floats(0.5, 5.0), min_size=1, max_size=8)
VALUE = st.floats(-3.0, 3.0).map(lambda v: round(v, 3))


@given(STEPS, st.data())
def test_it_passes_through_the_means_and_stays_between_them(steps, data):
    knots = np.cumsum([0.0, *steps])
    values = np.array(data.draw(st.lists(VALUE, min_size=knots.size, max_size=knots.size)))
    curve = monotone_cubic(knots, values)
    np.testing.assert_array_equal(curve(knots), values)
    for k in range(knots.size - 1):
        inside = curve(np.linspace(knots[k], knots[k + 1], 21))
        low, high = sorted(values[k : k + 2])
        assert np.all((inside >= low - 1e-12) & (inside <= high + 1e-12))
        rise = np.sign(values[k + 1] - values[k])
        assert np.all(np.diff(inside) * rise >= -1e-12)


@given(STEPS, st.data())
def test_it_is_the_curve_of_another_implementation(steps, data):
    knots = np.cumsum([0.0, *steps])
    values = np.array(data.draw(st.lists(VALUE, min_size=knots.size, max_size=knots.size)))
    points = np.linspace(knots[0], knots[-1], 57)
    np.testing.assert_allclose(
        monotone_cubic(knots, values)(points), PchipInterpolator(knots, values)(points), atol=1e-12
    )


def test_many_curves_at_once_are_the_curves_one_by_one():
    rng = np.random.default_rng(1)
    knots, values = np.array([0.0, 1.0, 3.0, 4.0]), rng.normal(size=(3, 20, 4))
    together = monotone_cubic(knots, values)(np.linspace(0.0, 4.0, 9))
    for index in np.ndindex(3, 20):
        alone = monotone_cubic(knots, values[index])(np.linspace(0.0, 4.0, 9))
        np.testing.assert_allclose(together[index], alone, rtol=1e-13, atol=1e-15)


@pytest.mark.parametrize("steps", [5, 9, 17])
def test_it_follows_a_smooth_response(steps):
    """A section's lift, 2 pi sin of the angle to where it bends over: closer with every angle tested between."""

    def lift(angle):
        return 2.0 * np.pi * np.sin(angle) * (1.0 - (angle / 0.5) ** 4)

    knots, points = np.linspace(-0.1, 0.3, steps), np.linspace(-0.1, 0.3, 201)
    error = np.abs(monotone_cubic(knots, lift(knots))(points) - lift(points)).max()
    assert error < 0.8 * (4.0 / (steps - 1)) ** 2 * 0.1


@pytest.mark.parametrize("points", [[-0.1], [2.1], [np.nan]])
def test_nothing_is_given_beyond_what_was_tested(points):
    with pytest.raises(DomainError, match="which was tested"):
        monotone_cubic([0.0, 2.0], [1.0, 2.0])(points)


@pytest.mark.parametrize("knots", [[1.0], [1.0, 1.0], [2.0, 1.0]])
def test_knots_have_to_rise(knots):
    with pytest.raises(DomainError, match="two or more that rise"):
        monotone_cubic(knots, knots)
