"""Downforce per drag of the parts of a stock-car programme: SAE 700036 (1970; number from memory), p. 23.

7 for a 1-inch lip spoiler at 45 degrees, 19 for the high wing: large ratios are taken as they stand.
"""

import pytest

from balance.compare.ratios import RatioCase, rounded_ratios


@pytest.mark.parametrize(
    ("printed", "downforce", "low", "high"),
    [
        # derived by hand, for 2 lbf of drag and both forces read to 1 lbf: 14 of 2, from 13.5 of 2.5 to 14.5 of 1.5
        (7.0, 14.0, 5.4, 9.6667),
        # 38 of 2, from 37.5 of 2.5 to 38.5 of 1.5
        (19.0, 38.0, 15.0, 25.6667),
    ],
)
def test_large_ratios_are_accepted_with_the_limits_that_rounding_leaves(printed, downforce, low, high):
    ratio = rounded_ratios([downforce], [2.0], [0.5], [0.5])[0]
    assert ratio.value == pytest.approx(printed, rel=1e-12)
    assert (ratio.low, ratio.high) == pytest.approx((low, high), rel=1e-5)
    assert ratio.case is RatioCase.MORE_FOR_MORE
