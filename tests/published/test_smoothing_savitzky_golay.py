"""Weights of a local quadratic: A. Savitzky, M. J. E. Golay, Analytical Chemistry 36 (1964) 1627-1639, table I."""

import pytest

from balance.decide.laps.smoothing import _quadratic_weights
from balance.model.errors import DomainError


@pytest.mark.parametrize(
    ("weights", "over"),
    [
        ([-3, 12, 17, 12, -3], 35),
        ([-2, 3, 6, 7, 6, 3, -2], 21),
        ([-21, 14, 39, 54, 59, 54, 39, 14, -21], 231),
    ],
)
def test_weights_are_the_printed_ones(weights, over):
    """Five points as given with the source; seven and nine from memory of the same table."""
    assert _quadratic_weights(len(weights)) * over == pytest.approx(weights)


@pytest.mark.parametrize("points", [1, 4])
def test_no_middle_no_weights(points):
    with pytest.raises(DomainError, match="odd"):
        _quadratic_weights(points)
