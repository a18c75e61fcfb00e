"""Downforce per drag of the parts of a stock-car programme: SAE 700036 (1970; number from memory), p. 23.

7 for a 1-inch lip spoiler at 45 degrees, 19 for the high wing: large ratios are taken as they stand.
"""

import pytest

from balance.compare.ratios import RatioCase, rounded_ratios


@pytest.mark.parametrize("printed_ratio", [7.0, 19.0])
@pytest.mark.parametrize("drag", [2.0, 13.0])
def test_large_ratios_are_accepted(printed_ratio, drag):
    ratio = rounded_ratios([printed_ratio * drag], [drag], [0.0], [0.0])[0]
    assert ratio.value == pytest.approx(printed_ratio, rel=1e-12)
    assert ratio.case is RatioCase.MORE_FOR_MORE
