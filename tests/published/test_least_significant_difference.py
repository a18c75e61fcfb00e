"""Least significant difference over s for n repeats a side: two-sided 95 % t with 2n - 2 degrees of freedom.

Quantiles of Student's t as tabulated in JCGM 100:2008 (GUM), table G.2, times sqrt(2/n).
"""

import numpy as np
import pytest

from balance.compare.resolution import least_significant_difference
from balance.compare.student import student_factor

TABLE_G_2 = {2: "4.30", 4: "2.78", 6: "2.45", 8: "2.31", 10: "2.23", 20: "2.09", 50: "2.01"}
EXPECTED = {2: "4.303", 3: "2.267", 4: "1.730", 5: "1.458", 6: "1.286"}


@pytest.mark.parametrize(("degrees", "quantile"), TABLE_G_2.items())
def test_quantiles(printed, degrees, quantile):
    assert float(student_factor(degrees)) == pytest.approx(printed(quantile).value, rel=0, abs=5e-3)


@pytest.mark.parametrize(("repeats", "over_s"), EXPECTED.items())
def test_least_significant_difference_over_s(printed, repeats, over_s):
    found = least_significant_difference(1.0, 2 * repeats - 2, repeats, repeats)
    assert float(found) == pytest.approx(printed(over_s).value, rel=0, abs=printed(over_s).half)


def test_unknown_scatter_has_none():
    assert np.isnan(least_significant_difference(np.nan, np.nan))
