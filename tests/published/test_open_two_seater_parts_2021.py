"""A row that gains downforce and loses drag: Y. Yamamoto, design project "formula-ppoino" (2021), rear deck study.

Deck 50 mm higher against control: Cl -0.1923 to -0.1941, Cd 0.5688 to 0.5684. There is no efficiency of that step.
"""

import pytest

from balance.compare.ratios import RatioCase, rounded_ratios

CONTROL, DECK = {"cl": -0.1923, "cd": 0.5688}, {"cl": -0.1941, "cd": 0.5684}


@pytest.mark.parametrize("resolution", [0.0, 0.0001])
def test_the_step_has_no_ratio(resolution):
    ratio = rounded_ratios(
        [CONTROL["cl"] - DECK["cl"]], [DECK["cd"] - CONTROL["cd"]], [resolution], [resolution]
    )[0]
    assert ratio.value is None
    assert ratio.case is RatioCase.MORE_AND_LESS
