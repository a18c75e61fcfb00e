"""Cost ratios as people in this trade state them: common practice, no source. Figures in lbf."""

import numpy as np
import pytest

from balance.compare.ratios import CASES, KINDS, RatioCase, RatioKind, fieller, ratio_case, rounded_ratios
from balance.compare.student import student_factor


@pytest.mark.parametrize(
    ("downforce", "drag", "expected", "half", "case"),
    [
        (280.0, 13.5, 20.7, 0.05, RatioCase.MORE_FOR_MORE),
        (58.0, 3.5, 16.6, 0.05, RatioCase.MORE_FOR_MORE),
        (-14.0, -21.0, 0.67, 0.005, RatioCase.LESS_FOR_LESS),
        (-3.0, -2.0, 1.5, 0.05, RatioCase.LESS_FOR_LESS),
    ],
)
def test_gained_per_drag_or_given_up_per_drag_saved(downforce, drag, expected, half, case):
    ratio = rounded_ratios([downforce], [drag], [0.0], [0.0])[0]
    assert ratio.value == pytest.approx(expected, rel=0, abs=half)
    assert ratio.case is case


def test_half_a_pound_less_with_more_drag_is_a_loss_with_no_ratio():
    ratio = rounded_ratios([-0.5], [1.0], [0.0], [0.0])[0]
    assert ratio.value is None
    assert ratio.case is RatioCase.LESS_AND_MORE
    assert CASES[int(ratio_case(-0.5, 1.0))] is RatioCase.LESS_AND_MORE


def test_three_pounds_for_two_are_inside_the_scatter_of_most_days():
    """Standard deviation of a reading 7 N an axle and 4 N in drag, known by 20 degrees of freedom."""
    newton = 4.4482216
    downforce_variance, drag_variance = 2 * (7.0**2 + 7.0**2), 2 * 4.0**2
    kind, low, high = fieller(
        -3.0 * newton, -2.0 * newton, downforce_variance, drag_variance, 0.0, student_factor(20)
    )
    assert KINDS[int(kind)] is RatioKind.WHOLE_LINE
    assert np.isnan(low)
    assert np.isnan(high)
