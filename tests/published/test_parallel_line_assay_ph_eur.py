"""Fieller's interval of a ratio of two uncertain means: European Pharmacopoeia 5.3, example 5.1.1.

Readings and results as given with the package "pla" (CRAN). Doses of standard S and unknown T stand in the ratio 1:4;
the logarithm of the potency is the difference of the means over the common slope.
"""

import numpy as np
import pytest

from balance.compare.ratios import KINDS, fieller
from balance.compare.student import student_factor

S1 = [300, 310, 330, 290, 364, 328, 390, 360, 342, 306]
S2 = [289, 221, 267, 236, 250, 231, 229, 269, 233, 259]
T1 = [310, 290, 360, 341, 321, 370, 303, 334, 295, 315]
T2 = [230, 210, 280, 261, 241, 290, 223, 254, 216, 235]
DOSE_STEP = np.log(4.0)
RESIDUAL_VARIANCE, DEGREES = 738.536, 36


@pytest.fixture
def assay():
    """Difference of means, slope per ln dose, and their variances; the two are independent."""
    difference = np.mean(T1 + T2) - np.mean(S1 + S2)
    slope = (np.mean(S2 + T2) - np.mean(S1 + T1)) / DOSE_STEP
    return difference, slope, RESIDUAL_VARIANCE * 2 / 20, RESIDUAL_VARIANCE * 2 / 20 / DOSE_STEP**2


def test_residual_variance_and_slope_of_the_readings(assay):
    groups = np.array([S1, S2, T1, T2], float)
    _, slope, *_ = assay
    assert slope == pytest.approx(-58.97, rel=0, abs=5e-3)
    assert np.sum(np.var(groups, axis=1, ddof=1)) / 4 == pytest.approx(RESIDUAL_VARIANCE, rel=0, abs=5e-4)


def test_potency_and_its_interval(assay):
    difference, slope, above, below = assay
    kind, low, high = fieller(difference, slope, above, below, 0.0, student_factor(DEGREES))
    assert KINDS[int(kind)] == "bounded"
    assert np.exp(difference / slope) == pytest.approx(1.11181, rel=0, abs=5e-6)
    assert np.exp(low) == pytest.approx(0.824973, rel=0, abs=5e-7)
    assert np.exp(high) == pytest.approx(1.51357, rel=0, abs=5e-6)


@pytest.mark.parametrize(
    ("widened", "shape", "turned"),
    [(1.0, "bounded", "outside"), (100.0, "whole line", "whole line"), (0.001, "bounded", "bounded")],
)
def test_turned_round_every_end_is_its_reciprocal(assay, widened, shape, turned):
    """The property holds for all three shapes; the assay's scatter is widened or narrowed to reach them."""
    difference, slope, above, below = assay
    t = student_factor(DEGREES)
    kind, low, high = fieller(difference, slope, widened * above, widened * below, 0.0, t)
    other, one, two = fieller(slope, difference, widened * below, widened * above, 0.0, t)
    assert (KINDS[int(kind)], KINDS[int(other)]) == (shape, turned)
    if shape != "whole line":
        assert sorted([1 / float(low), 1 / float(high)]) == pytest.approx([float(one), float(two)], rel=1e-12)
