"""Our F distribution against scipy's, an independent implementation."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import fdtr

from balance.reduce.repeatability import f_share_below


@given(st.floats(0.0, 200.0), st.floats(1.0, 300.0), st.floats(1.0, 300.0))
def test_share_below_is_that_of_another_implementation(ratio, degrees, other):
    assert f_share_below(ratio, degrees, other) == pytest.approx(float(fdtr(degrees, other, ratio)), abs=1e-6)


def test_an_infinite_ratio_is_above_all():
    assert f_share_below(float("inf"), 3.0, 20.0) == pytest.approx(1.0, abs=1e-6)
