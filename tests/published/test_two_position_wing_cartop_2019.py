"""Rear wing at its two end positions on a road car: maker's figures in WEB CARTOP no. 431021 (2019).

Drag coefficient 0.35 to 0.39, rear lift coefficient -0.03 to -0.14, printed to 0.01: 2.75 rear downforce per drag, and
from the rounding alone anything from 2.0 to 4.0.
"""

import pytest

from balance.compare.ratios import RatioCase, RatioKind, rounded_ratios


def test_ratio_with_the_limits_that_rounding_leaves():
    ratio = rounded_ratios([0.14 - 0.03], [0.39 - 0.35], [0.005 + 0.005], [0.005 + 0.005])[0]
    assert ratio.value == pytest.approx(2.75, rel=1e-9)
    assert (ratio.low, ratio.high) == pytest.approx((2.0, 4.0), rel=1e-9)
    assert ratio.kind is RatioKind.BOUNDED
    assert ratio.case is RatioCase.MORE_FOR_MORE
    assert ratio.limits_from == "rounding"
