"""Ten studies and the range for the next one.

R. D. Riley, J. P. T. Higgins, J. J. Deeks, "Interpretation of random effects meta-analyses", British Medical Journal 342
(2011) d549, the made-up studies of its figure. Their 95 % intervals have the half widths below, over the normal quantile
1.959964; the results are those that a public statistics library documents for them.
"""

from statistics import NormalDist

import numpy as np
import pytest

import balance

VALUES = [0.0, 0.1, -0.4, -0.8, -0.63, 0.22, -0.34, -0.51, 0.03, -0.81]
HALF_WIDTHS = [0.83, 0.43, 0.05, 0.39, 0.59, 0.59, 0.14, 0.2, 0.24, 0.59]
STANDARD_ERRORS = "0.423477 0.219392 0.025511 0.198983 0.301026 0.301026 0.07143 0.102043 0.122451 0.301026"


def test_mean_spread_and_range_for_the_next(printed):
    errors = np.array(HALF_WIDTHS) / NormalDist().inv_cdf(0.975)
    assert errors == pytest.approx([float(text) for text in STANDARD_ERRORS.split()], rel=0, abs=5.1e-7)
    pooled = balance.pool_effects(VALUES, errors**2, "DL")
    for found, text in (
        (pooled.mean, "-0.3340597"),
        (pooled.between_variance, "0.02824971"),
        (pooled.next_interval_t[0], "-0.7597777"),
        (pooled.next_interval_t[1], "0.09165839"),
    ):
        figure = printed(text)
        assert found == pytest.approx(figure.value, rel=0, abs=figure.half), text
