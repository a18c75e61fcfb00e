"""Speeds of a sweep: whole steps, by hand; each is judged as if it stood alone, however many are taken at once."""

import numpy as np
import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.join_estimates import CHUNK
from balance.decide.day.sweeps import speed_range, sweep
from balance.model.errors import DomainError

FORCES = [(100.0, 500.0, 600.0)]


@pytest.fixture
def day(make_session, make_vehicle):
    def make(draws=100, **car):
        return reduce_day(make_session(FORCES, vehicle=make_vehicle(**car)), draws=draws)

    return make


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({"stop": 20.0, "step": 5.0}, [10.0, 15.0, 20.0]),  # from two steps
        ({"stop": 18.0, "step": 5.0}, [10.0, 15.0, 18.0]),  # the last is always there
        ({"stop": 6.0, "step": 5.0}, [6.0]),  # not even two steps
        ({"start": 3.0, "stop": 9.0, "step": 3.0}, [3.0, 6.0, 9.0]),
        ({"start": 9.0, "stop": 9.0, "step": 3.0}, [9.0]),
    ],
)
def test_whole_steps_from_the_start(day, asked, expected):
    assert speed_range(day(), **asked).tolist() == expected


@pytest.mark.parametrize(("car", "last"), [({"top_speed": 61.0}, 61.0), ({}, 50.0)])
def test_it_ends_at_the_top_speed_or_at_the_fastest_tested(day, car, last):
    assert speed_range(day(**car), step=10.0)[-1] == last


def test_ten_thousand_speeds_and_no_more(day):
    made = day()
    assert speed_range(made, start=1.0, stop=10_000.0, step=1.0).size == 10_000
    with pytest.raises(DomainError, match="at most 10,000"):
        speed_range(made, start=1.0, stop=10_001.0, step=1.0)


@pytest.mark.parametrize("draws", [CHUNK // 2, CHUNK + 1])
def test_each_speed_is_judged_as_it_is_alone(day, draws):
    """Two speeds in each chunk and an odd one, or more draws than a chunk holds: the same draws all the same."""
    made = day(draws)
    speeds = [20.0, 40.0, 60.0]
    together = sweep(made, 0, speeds).handling
    for k, speed in enumerate(speeds):
        alone = assess(made, speed=speed).handling
        for name in ("value", "std", "low", "high"):
            found, expected = (getattr(one.grip_surplus, name) for one in (together, alone))
            assert found[k] == pytest.approx(expected[0], rel=1e-12)
        assert together.verdicts[k].word is alone.verdicts[0].word
    assert np.all(together.grip_surplus.std > 0.0)
