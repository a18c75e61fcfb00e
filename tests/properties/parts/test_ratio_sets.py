"""Fieller's set of a ratio, whatever its shape."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from balance.compare.ratios import KINDS, RatioKind, fieller, rounded_ratios

CHANGE = st.floats(-500.0, 500.0)
DEVIATION = st.floats(0.1, 60.0)
CORRELATION = st.floats(-0.95, 0.95)


def both_ways(x, y, sx, sy, r, t=2.1):
    c = r * sx * sy
    return fieller(x, y, sx**2, sy**2, c, t), fieller(y, x, sy**2, sx**2, c, t)


def holds(ratio, x, y, sx, sy, r, t=2.1):
    return (x - ratio * y) ** 2 <= t**2 * (sx**2 - 2 * ratio * r * sx * sy + ratio**2 * sy**2)


@given(CHANGE, CHANGE, DEVIATION, DEVIATION, CORRELATION, st.floats(-60.0, 60.0))
def test_a_ratio_is_in_the_set_if_the_data_do_not_contradict_it(x, y, sx, sy, r, ratio):
    (kind, low, high), _ = both_ways(x, y, sx, sy, r)
    near = [end for end in (float(low), float(high)) if np.isfinite(end)]
    assume(all(abs(ratio - end) > 1e-6 * (1 + abs(end)) for end in near))
    inside = {
        RatioKind.BOUNDED: bool(low <= ratio <= high),
        RatioKind.OUTSIDE: not low < ratio < high,
        RatioKind.WHOLE_LINE: True,
    }[KINDS[int(kind)]]
    assert inside is bool(holds(ratio, x, y, sx, sy, r))


@given(CHANGE, CHANGE, DEVIATION, DEVIATION, CORRELATION)
def test_turned_round_the_set_is_that_of_the_reciprocals(x, y, sx, sy, r):
    assume(abs(abs(x) - 2.1 * sx) > 1e-6)
    assume(abs(abs(y) - 2.1 * sy) > 1e-6)
    (kind, low, high), (other, one, two) = both_ways(x, y, sx, sy, r)
    clear_below, clear_above = abs(y) > 2.1 * sy, abs(x) > 2.1 * sx
    shapes = (KINDS[int(kind)], KINDS[int(other)])
    if clear_below and clear_above:
        assert shapes == (RatioKind.BOUNDED, RatioKind.BOUNDED)
    elif clear_below or clear_above:
        assert set(shapes) == {RatioKind.BOUNDED, RatioKind.OUTSIDE}
    else:
        assert shapes[0] is shapes[1]
    if shapes[0] is not RatioKind.WHOLE_LINE:
        assume(min(abs(float(low)), abs(float(high))) > 1e-9)
        ends = sorted((1 / float(low), 1 / float(high)))
        assert ends == pytest.approx([float(one), float(two)], rel=1e-6)


@given(CHANGE, CHANGE, st.sampled_from([0.0, 0.5, 5.0]), st.sampled_from([0.0, 0.5, 5.0]))
def test_degenerate_scatter_gives_a_shape_and_no_warning(x, y, sx, sy):
    for a, b in ((x, y), (0.0, y), (x, 0.0), (0.0, 0.0)):
        (kind, low, high), _ = both_ways(a, b, sx, sy, 0.0)
        shape = KINDS[int(kind)]
        assert (shape is RatioKind.WHOLE_LINE) == bool(np.isnan(low))
        if shape is not RatioKind.WHOLE_LINE:
            assert low <= high


def test_unknown_scatter_has_no_set():
    kind, low, high = fieller(10.0, 5.0, np.nan, np.nan, 0.0, np.nan)
    assert KINDS[int(kind)] is RatioKind.NONE
    assert np.isnan(low)
    assert np.isnan(high)


@pytest.mark.parametrize(("x", "low", "high"), [(5.0, -np.inf, 1.25), (-5.0, -1.25, np.inf)])
def test_a_half_line_leaves_out_the_rest(x, low, high):
    """Change of drag just at its own interval: (x - 2 r)^2 <= 4 r^2 holds for r >= x/4, or r <= x/4."""
    kind, one, two = fieller(x, 2.0, 0.0, 1.0, 0.0, 2.0)
    assert KINDS[int(kind)] is RatioKind.OUTSIDE
    assert (float(one), float(two)) == (low, high)


@given(CHANGE, CHANGE, st.floats(0.0, 5.0), st.floats(0.0, 5.0), st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_rounding_limits_hold_every_ratio_that_rounds_to_the_figures(x, y, rx, ry, i, j):
    true_x, true_y = x + i * rx, y + j * ry
    assume(abs(true_y) > 1e-9)
    ratio = rounded_ratios([x], [y], [rx], [ry])[0]
    true = true_x / true_y
    slack = 1e-9 * (1 + abs(true))
    if ratio.kind is RatioKind.BOUNDED:
        assert ratio.low - slack <= true <= ratio.high + slack
    elif ratio.kind is RatioKind.OUTSIDE:
        assert true <= ratio.low + slack or true >= ratio.high - slack
