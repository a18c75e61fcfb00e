"""The middle of values, against numpy's own median."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays

from balance.reduce.median import median

FIGURES = st.floats(-1e9, 1e9) | st.sampled_from([np.inf, np.nan])


@given(arrays(float, array_shapes(min_dims=1, max_dims=2, max_side=9), elements=FIGURES))
def test_it_is_numpys_to_the_last_digit(values):
    with np.errstate(invalid="ignore"):
        np.testing.assert_array_equal(median(values), np.median(values, axis=0))


# by hand: the middle of 1, 2, 4 and of 1, 2, 4, 10
@pytest.mark.parametrize(
    ("values", "middle"), [([4.0, 1.0, 2.0], 2.0), ([10.0, 4.0, 1.0, 2.0], 3.0), ([7.0], 7.0)]
)
def test_by_hand(values, middle):
    assert float(median(values)) == middle
