"""Degrees of freedom of a sum of variances: JCGM 100:2008 (GUM), G.4.1, example (from memory).

y = b X1 X2 X3, the inputs means of 10, 5 and 15 readings with relative standard uncertainties of 0.25, 0.57 and 0.82 %.
"""

import numpy as np
import pytest

from balance.reduce.joined_fits import effective_degrees


def test_a_product_of_three_means():
    variances = np.square(np.array([0.25, 0.57, 0.82]))
    assert np.sqrt(variances.sum()) == pytest.approx(1.03, rel=0, abs=5e-3)
    found = effective_degrees(variances, np.array([10.0, 5.0, 15.0]) - 1.0)
    assert float(found) == pytest.approx(19.0, rel=0, abs=0.05)
