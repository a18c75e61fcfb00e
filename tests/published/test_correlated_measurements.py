"""Two measurements that share part of their error, combined by generalised least squares.

The formula: L. Lyons, D. Gibaut, P. Clifford, "How to combine correlated estimates of a single physical quantity", Nuclear
Instruments and Methods in Physics Research A 270 (1988) 110-117, for two of them; from memory. The puzzle: R. W. Peelle,
"Peelle's pertinent puzzle", Oak Ridge National Laboratory (1987): 1.5 and 1.0, each 10 % uncertain by itself and 20 %
together, give 0.88 with 0.22, outside the two; from memory.
"""

import numpy as np
import pytest

from balance.decide.library.one_day import one_effect_per_size


def combined(values, covariance):
    effects = np.array(values, float)[:, None]
    found = one_effect_per_size(
        ["one"] * len(values), effects, np.array(covariance)[:, :, None, None], [()] * len(values)
    )
    return found.weights[0], found.effects[0, 0], found.covariance[0, 0, 0, 0]


def test_the_puzzle(printed):
    values = np.array([1.5, 1.0])
    _, mean, variance = combined(values, np.diag((0.1 * values) ** 2) + 0.2**2 * np.outer(values, values))
    for found, text in ((mean, "0.88"), (np.sqrt(variance), "0.22")):
        figure = printed(text)
        assert found == pytest.approx(figure.value, rel=0, abs=figure.half)


@pytest.mark.parametrize("correlation", [-0.9, 0.0, 0.4, 0.8, 0.99])
@pytest.mark.parametrize(("one", "other"), [(1.0, 1.0), (1.0, 2.0), (3.0, 0.5)])
def test_two_correlated_measurements(correlation, one, other):
    shared = correlation * one * other
    weights, mean, variance = combined([84.0, 76.0], [[one**2, shared], [shared, other**2]])
    whole = one**2 + other**2 - 2 * shared
    first = (other**2 - shared) / whole
    assert weights == pytest.approx([first, 1 - first], rel=1e-9, abs=1e-9)
    assert mean == pytest.approx(84.0 * first + 76.0 * (1 - first), rel=1e-9)
    assert variance == pytest.approx(one**2 * other**2 * (1 - correlation**2) / whole, rel=1e-8)
