"""What a day can show: power by simulation, and repeats that are enough and not one more."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import nctdtrinc
from scipy.stats import t

from balance.compare.resolution import (
    least_significant_difference,
    repeats_to_resolve,
    smallest_detectable_difference,
)
from balance.model.errors import DomainError


@pytest.mark.parametrize("degrees", [2.0, 5.0, 25.0])
def test_four_days_in_five_resolve_the_detectable_difference(degrees):
    """200,000 days of known truth; five standard errors of the share are 0.45 %."""
    rng = np.random.default_rng(20260514)
    days = 200_000
    s = 7.0 * np.sqrt(rng.chisquare(degrees, days) / degrees)
    true = smallest_detectable_difference(7.0, degrees, 2, 3)
    found = true + 7.0 * np.sqrt(1 / 2 + 1 / 3) * rng.standard_normal(days)
    resolved = np.abs(found) > s * least_significant_difference(1.0, degrees, 2, 3)
    assert np.mean(resolved) == pytest.approx(0.8, rel=0, abs=0.0045)


@given(st.floats(2.0, 200.0), st.floats(0.5, 30.0), st.floats(1.0, 100.0))
def test_the_repeats_are_enough_and_one_fewer_are_not(size, deviation, degrees):
    n = repeats_to_resolve(size, deviation, degrees)
    if n is None:
        assert smallest_detectable_difference(deviation, degrees, 1000, 1000) > size
    else:
        assert smallest_detectable_difference(deviation, degrees, n, n) <= size * (1 + 1e-9)
        if n > 1:
            assert smallest_detectable_difference(deviation, degrees, n - 1, n - 1) > size


def test_unknown_scatter_needs_nobody_knows_how_many():
    assert repeats_to_resolve(10.0, np.nan, np.nan) is None
    assert np.isnan(smallest_detectable_difference(np.nan, np.nan))


@pytest.mark.parametrize("size", [0.0, np.nan])
def test_a_part_of_no_size_is_refused(size):
    with pytest.raises(DomainError, match="size of the part: found"):
        repeats_to_resolve(size, 7.0, 20.0)


@pytest.mark.parametrize(("size", "told"), [(1.001, True), (0.999, False)])
def test_more_than_a_thousand_repeats_are_no_plan(size, told):
    """n = 2 (d s / size)²: with s such that a part of 1 N takes just 1000; common practice, no source."""
    factor = float(nctdtrinc(20.0, 0.2, t.ppf(0.975, 20.0)))
    deviation = np.sqrt(1000.0 / 2.0) / factor
    found = repeats_to_resolve(size, deviation, 20.0)
    assert found == (int(np.ceil(1000.0 / size**2)) if told else None)
    assert repeats_to_resolve(-1000.0, deviation, 20.0) == 1
