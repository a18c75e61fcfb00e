"""What is expected of a part on the next car: its 95 % range as a normal distribution, and nothing of too few cars."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from balance.decide.library.next_car import next_car
from balance.decide.library.over_cars import part_over_cars

Z = 1.959964
"""Standard normal deviate of 95 %, two-sided: JCGM 100:2008, table G.1 gives 1.960."""
CHANNELS = 4


@st.composite
def parts(draw, most=8):
    cars = draw(st.integers(1, most))
    effects = draw(
        st.lists(
            st.lists(st.floats(-0.2, 0.2), min_size=CHANNELS, max_size=CHANNELS), min_size=cars, max_size=cars
        )
    )
    stds = draw(st.lists(st.floats(1e-3, 0.05), min_size=cars, max_size=cars))
    names = [str(k) for k in range(cars)]
    return names, np.array(effects), np.array([np.eye(CHANNELS) * std**2 for std in stds])


@given(parts())
def test_the_range_of_the_next_car_comes_back(part):
    names, effects, covariances = part
    over = part_over_cars(names, effects, covariances)
    found = next_car(over)
    assert (found is None) == (len(names) < 5)
    if found is not None:
        for k, pooled in enumerate(over.pooled[:3]):
            low, high = pooled.next_interval
            np.testing.assert_allclose(found.mean[k] - Z * found.std[k], low, rtol=1e-5, atol=1e-7)
            np.testing.assert_allclose(found.mean[k] + Z * found.std[k], high, rtol=1e-5, atol=1e-7)
            assert found.std[k] > 0.0
        front, rear = found.std[:2]
        low, high = over.pooled[3].next_interval
        total = (high - low) / (2.0 * Z)
        assert -1.0 <= found.front_rear <= 1.0
        if abs(front - rear) < total < front + rear:  # as any two that go together allow
            together = np.sqrt(front**2 + rear**2 + 2.0 * found.front_rear * front * rear)
            np.testing.assert_allclose(together, total, rtol=1e-4)


@given(parts(), st.integers(1, 4))
def test_more_days_of_one_car_are_no_more_cars(part, days):
    """A car that ran on several days with the same result counts once: five cars are needed all the same."""
    names, effects, covariances = part
    again = [names[0]] * days
    over = part_over_cars(
        [*names, *again],
        np.concatenate([effects, np.repeat(effects[:1], days, axis=0)]),
        np.concatenate([covariances, np.repeat(covariances[:1], days, axis=0)]),
    )
    assert (next_car(over) is None) == (len(names) < 5)


def test_a_car_of_unknown_repeatability_does_not_count():
    effects = np.linspace(0.01, 0.05, 5)[:, None] * np.ones(CHANNELS)
    known = np.repeat(np.eye(CHANNELS)[None] * 1e-5, 5, axis=0)
    assert next_car(part_over_cars("abcde", effects, known)) is not None
    unknown = known.copy()
    unknown[2] = np.nan
    assert next_car(part_over_cars("abcde", effects, unknown)) is None
