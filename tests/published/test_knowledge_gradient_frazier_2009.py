"""The exact worth of a reading that moves all alternatives along one line.

P. Frazier, W. Powell, S. Dayanik, "The knowledge-gradient policy for correlated normal beliefs", INFORMS Journal on
Computing 21(4) (2009). Inputs and identities as in the author's published test code; values recomputed from them in two
ways outside this project.
"""

import math

import numpy as np
import pytest

import balance
from balance.decide.plan.expected_gain import _upper_envelope

A = (-0.6712, -0.2684, 0.1389, 0.2616, 0.0531, -0.0500, 0.1266, 0.3320, 0.5411, 0.7563)
B = (0.0053, 0.0505, 0.1070, 0.1872, 0.1168, 0.0723, 0.0438, 0.0344, 0.0253, 0.0165)


@pytest.mark.parametrize(
    ("intercepts", "slopes", "gain"),
    [
        ((0.0,) * 5, (1.0, 0.0, 0.0, 0.0, 0.0), "0.3989422804"),
        ((0.0, 0.0), (0.0, 5.0), "1.9947114020"),
        ((2.0, 1.0, 0.0), (0.0, 1.0, 3.0), "0.453358941473"),
        (A, B, "9.30813466512e-05"),
    ],
)
def test_gain(printed, intercepts, slopes, gain):
    wanted = printed(gain)
    assert balance.expected_gain(intercepts, slopes) == pytest.approx(wanted.value, abs=wanted.half, rel=0.0)
    logarithm = balance.expected_gain(intercepts, slopes, log=True)
    assert logarithm == pytest.approx(math.log(wanted.value), abs=wanted.half / wanted.value)


def test_logarithm_and_the_lines_that_are_kept():
    assert balance.expected_gain(A, B, log=True) == pytest.approx(-9.2820368, abs=5e-8)
    kept, _ = _upper_envelope(np.array(A), np.array(B))
    assert [line + 1 for line in kept] == [1, 10, 4]  # counted from 1


@pytest.mark.parametrize("slopes", [(0.3, -1.2, 2.0), (1.0, 1.0), (4.0, 0.0, 0.5, -3.0)])
def test_equal_intercepts(slopes):
    # (largest less smallest slope) over the square root of 2 pi: the paper's identity for equal means
    wanted = (max(slopes) - min(slopes)) / math.sqrt(2.0 * math.pi)
    assert balance.expected_gain([7.0] * len(slopes), slopes) == pytest.approx(wanted, rel=1e-12)


def test_independent_alternatives():
    # means, standard deviations and noise variance of the test code; values computed outside this project by the closed
    # form s f(-|mean less the best other|/s), s = variance / sqrt(variance + noise)
    means, stds = np.array([1.0, 1.5, 2.0, 2.0, 3.0]), np.array([2.5, 2.5, 2.5, 2.0, 1.0])
    wanted = (0.2499746, 0.3629170, 0.5106515, 0.3223418, 0.0251273)
    for k, gain in enumerate(wanted):
        slopes = np.zeros(5)
        slopes[k] = stds[k] ** 2 / math.sqrt(stds[k] ** 2 + 1.0)
        assert balance.expected_gain(means, slopes) == pytest.approx(gain, abs=5e-8)
