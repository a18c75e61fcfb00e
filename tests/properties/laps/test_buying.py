"""What there is to buy: effects that add up to what is believed, needs, rivals, and which packages were run."""

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from balance.decide.day.day import reduce_day
from balance.decide.laps.buying import Shelf, _drawn_together, buying_of_day
from balance.decide.laps.packages import _areas, _permitted
from balance.decide.plan.configuration import configuration
from balance.decide.plan.day_belief import belief_of_day
from balance.files.loader import load_session
from balance.model.plans import DayPlan
from balance.model.records import Price
from balance.model.tracks import track_of_segments

HATCH = Path(__file__).parents[3] / "vehicles" / "brindlow_hatch" / "tunnel_day"
TRACK = track_of_segments("loop", [400.0, 150.0] * 2, [0.0, 0.02] * 2)


@pytest.fixture(scope="module")
def day():
    return reduce_day(load_session(HATCH), draws=2000)


@pytest.fixture(scope="module")
def sale(day):
    return buying_of_day(day, DayPlan(), TRACK)


def test_two_parts_and_what_they_do_together_come_to_what_is_believed_of_both(day, sale):
    """Expected values: the belief itself, asked for the whole car at once; a sum of parts and pairs must meet it for pairs."""
    values = {"splitter 60 mm": ("splitter_length", 60.0), "bonnet louvres": ("vents", "bonnet louvres")}
    buying = sale.buying
    bits = _permitted(buying.parts)
    areas = _areas(buying, bits)
    names = [one.name for one in buying.parts]
    cars = [
        configuration(dict(values[name] for name in some))
        for count in range(3)
        for some in combinations(values, count)
    ]
    believed = belief_of_day(day, DayPlan(), others=cars).belief.mean(cars)
    for k, some in enumerate(one for count in range(3) for one in combinations(values, count)):
        package = sum(1 << names.index(name) for name in some)
        found = areas[:, list(bits).index(package)]
        assert found == pytest.approx(believed[k], abs=2e-4), some


def test_needs_and_rivals_hold(sale):
    parts = {one.name: one for one in sale.buying.parts}
    assert parts["Gurney flap"].needs == ("wing",)
    assert parts["splitter 40 mm"].excludes == ("splitter 60 mm",)
    assert ("Gurney flap", "wing") not in sale.buying.together
    assert ("wing", "Gurney flap") not in sale.buying.together
    assert ("splitter 40 mm", "splitter 60 mm") not in sale.buying.together
    assert sale.untested == ()


def test_a_price_without_a_value_is_trimmed_and_what_was_run_together_is_known(sale):
    trimming = sale.buying.trimming
    assert (trimming.part, trimming.name) == ("wing", "wing_angle")
    assert trimming.values.tolist() == [2.0, 5.0, 8.0, 11.0, 14.0]
    assert trimming.effects[:, 0] == pytest.approx(np.zeros(3), abs=1e-12)
    assert frozenset({"splitter 60 mm", "wing", "Gurney flap"}) in sale.buying.tested
    assert frozenset({"splitter 40 mm", "wing"}) not in sale.buying.tested


def test_a_part_that_was_not_run_or_needs_one_is_not_sold():
    start = configuration({})
    tried = [start, configuration({"wing": 5.0})]
    prices = (
        Price(name="wing", setting="wing", value=None, price=1.0),
        Price(name="flap", setting="flap", value=None, price=1.0, needs=("wing",)),
        Price(name="lip", setting="wing", value=7.0, price=1.0, needs=("flap",)),
        Price(name="end plates", setting="wing", value=5.0, price=1.0, needs=("flap",)),
    )
    shelf = Shelf(prices, start, tried)
    assert list(shelf.prices) == ["wing"]
    assert shelf.trimmed == ""


def test_a_part_that_the_car_has_is_not_sold():
    start = configuration({"wing": 5.0})
    shelf = Shelf(
        [Price(name="wing", setting="wing", value=None, price=1.0)], start, [start, configuration({})]
    )
    assert list(shelf.prices) == []


def test_draws_have_the_mean_and_the_covariance_they_are_drawn_from():
    rng = np.random.default_rng(4)
    root = rng.normal(0.0, 0.01, (3, 4, 4))
    root[:, 3] = root[:, 2]  # two alike: no Cholesky factor
    covariance = root @ root.transpose(0, 2, 1)
    mean = rng.normal(0.0, 0.3, (4, 3))
    drawn = _drawn_together(mean, covariance, 40_000, seed=7)
    assert drawn.mean(axis=1) == pytest.approx(mean.T, abs=5e-4)
    for channel in range(3):
        assert np.cov(drawn[channel].T) == pytest.approx(covariance[channel], abs=2e-5)
        assert drawn[channel, :, 2] - drawn[channel, :, 3] == pytest.approx(
            np.full(40_000, mean[2, channel] - mean[3, channel]), abs=1e-8
        )
