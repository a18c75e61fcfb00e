"""Fits and readings: one variance for everything, blocks as fixed effects, and rows that are of their own block."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.compare.increments import find_increments
from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.reduce.draws import shared_draws, spread
from balance.reduce.fit_design import fit_design
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2
TRUE = {"A": 500.0, "B": 540.0, "C": 470.0, "D": 610.0}


def session_of(make_session, order, blocks=None, noise=None, *, shift=0.0, stated=False, **fields):
    noise = np.zeros(len(order)) if noise is None else noise
    blocks = blocks or "x" * len(order)
    loads = [
        TRUE[kind] + n + shift * (block == "y") for kind, n, block in zip(order, noise, blocks, strict=True)
    ]
    return make_session(
        [(load, load, load) for load in loads],
        configurations=list(order),
        runs=[{"block": block, **{k: v[i] for k, v in fields.items()}} for i, block in enumerate(blocks)],
        deviation=(7.0, 7.0, 4.0) if stated else (None, None, None),
    )


def fits_of(make_session, *given_, **named):
    session = session_of(make_session, *given_, **named)
    return session, fits_of_session(session, reduce_session(session))


def test_components_by_hand(make_session):
    """AABBA, front 1, 3 | 0, 0 | 5: fit means 2, 0, 5; within 2/2 = 1 N²; between 2 (1.5²)/1 = 4.5 N²; h = (1/2)(1/2 + 1)."""
    noise = np.array([1.0, 3.0, 0.0, 0.0, 5.0])
    _, fits = fits_of(make_session, "AABBA", noise=noise)
    scatter = fits.scatter
    assert [len(rows) for rows in fits.fits] == [2, 2, 1]
    assert (scatter.within_degrees, scatter.between_degrees) == (2, 1)
    assert scatter.within[0, 0] == pytest.approx(1.0)
    assert scatter.between[0, 0] == pytest.approx(4.5)
    assert scatter.shared == pytest.approx(0.5 * (1 / 2 + 1))
    one = 4.5 + 1.0 * (1.0 - 0.75)
    assert fits.repeatability.deviation[0] == pytest.approx(np.sqrt(one))
    mean = fits.means([(0, 1, 4)])[0]
    assert mean == pytest.approx([0.25, 0.25, 0.0, 0.0, 0.5])
    variance, degrees = fits.variance(mean[None])
    of_two = max(4.5, one - 1.0 * (1.0 - 1 / 2))  # repeats alone: never below what the fit means show
    assert variance[0, 0] * PRESSURE**2 == pytest.approx(0.25 * (of_two + one))
    assert degrees[0, 0] == 1


def test_two_readings_of_one_fit_know_nothing_of_fitting(make_session):
    noise = np.array([1.0, 3.0, 0.0, 0.0, 5.0])
    _, fits = fits_of(make_session, "AABBA", noise=noise)
    variance, degrees = fits.variance(np.array([[1.0, -1.0, 0.0, 0.0, 0.0]]))
    assert variance[0, 0] * PRESSURE**2 == pytest.approx(2.0 * 1.0)
    assert degrees[0, 0] == 2


@settings(max_examples=20)
@given(st.lists(st.floats(-1.0, 1.0), min_size=7, max_size=7))
def test_draws_are_as_wide_as_the_variance_says(make_session, weights):
    """Five standard errors of a quantile of 20,000 draws; one reading's scatter as Student's t says, not normal."""
    weights = np.array([weights])
    if np.max(np.abs(weights)) < 0.1:
        weights[0, 0] = 1.0
    noise = np.array([3.0, -2.0, 4.0, 0.0, -5.0, 1.0, 2.0])
    session, fits = fits_of(make_session, "AABBAAC", noise=noise, stated=True)
    shared = shared_draws(session, fits.repeatability, count=20_000)
    drawn = fits.draws(weights, shared)[:, :, 0]
    plain = drawn - (weights @ fits.readings.areas).T
    normal = plain / shared.scale.T
    expected = np.sqrt(fits.variance(weights)[0][0, :3])
    assert spread(normal.T)[0] == pytest.approx(expected, rel=5.0 * 1.3 / np.sqrt(20_000))


@given(st.floats(-300.0, 300.0))
def test_a_change_of_block_is_out_of_what_is_compared_over_it(make_session, shift):
    """B of the morning against D of the afternoon, through A, which was run in both."""
    order, blocks = "ABAADA", "xxxyyy"
    baseline = [None, None, None, None, "2", None]
    session, fits = fits_of(make_session, order, blocks, shift=shift, baseline=baseline)
    found = {i.run: i for i in find_increments(session, fits, dynamic_pressure=PRESSURE)}
    assert found["5"].drag.change == pytest.approx(TRUE["D"] - TRUE["B"], abs=1e-9)
    assert any("compared through what was run in both" in note for note in found["5"].notes)


def test_without_a_common_configuration_no_change_is_given(make_session):
    session, fits = fits_of(make_session, "ABACDC", "xxxyyy", baseline=[None, None, None, None, "2", None])
    increments = find_increments(session, fits, dynamic_pressure=PRESSURE)
    assert "5" not in {i.run for i in increments}
    assert increments.untied == (("5", "2"),)
    assert any("blocks not tied" in note for note in increments.notes)


def test_one_drifted_afternoon_neither_widens_nor_shifts_the_morning(make_session):
    noise = np.array([0.0, 1.0, -1.0, 2.0, 0.5, -0.5, 1.0])
    apart = [fits_of(make_session, "ABAABAA", "xxxxyyy", noise, shift=shift)[1] for shift in (0.0, 200.0)]
    first, second = (one.repeatability.deviation for one in apart)
    np.testing.assert_allclose(first, second, rtol=1e-9)
    rows = [find.means([find.sets[0]]) @ find.readings.areas for find in apart]
    np.testing.assert_allclose(rows[0], rows[1], rtol=1e-12)


def test_a_configuration_of_two_blocks_is_two_rows_that_say_so(make_session):
    session = session_of(make_session, "AABA", "xxyy", shift=30.0, stated=True)
    day = reduce_day(session, draws=100)
    table = assess(day, rows=day.rows.configurations)
    names = [table.name(row) for row in range(len(table.rows))]
    assert names == ["A, x (mean of runs 1, 2)", "B", "A, y"]


def test_a_suspect_reading_enters_no_mean_and_no_scatter(make_session):
    noise = np.array([1.0, 0.0, 900.0, 3.0])
    plain = fits_of(make_session, "ABA", noise=noise[[0, 1, 3]])[1]
    marked = fits_of(make_session, "ABAA", noise=noise, status=["good", "good", "suspect", "good"])[1]
    np.testing.assert_allclose(marked.repeatability.deviation, plain.repeatability.deviation)
    assert marked.sets[2] == (0, 3)


@given(st.lists(st.floats(-5.0, 5.0), min_size=6, max_size=6), st.floats(0.1, 10.0))
def test_more_scatter_never_narrows_a_contrast(make_session, noise, factor):
    noise = np.array(noise) + np.arange(6) * 0.1
    contrast = np.array([[0.5, -1.0, 0.5, 0.0, 0.0, 0.0]])
    small, large = (
        fits_of(make_session, "ABABCA", noise=k * noise)[1].variance(contrast)[0] for k in (1.0, 1.0 + factor)
    )
    assert np.all(large >= small - 1e-18)


@pytest.mark.parametrize("seed", range(12))
def test_the_design_is_that_of_plain_least_squares(seed):
    """By numpy's pseudo-inverse and matrix rank: blocks that sum to one, and a drift of quite another size in each."""
    rng = np.random.default_rng(seed)
    kinds = rng.integers(0, 4, 14)
    blocks = np.repeat([0, 1, 2], [5, 5, 4])
    columns = np.column_stack(
        [*(blocks == one for one in range(3)), 100.0 * np.arange(14) * (blocks == 1)]
    ).astype(float)
    dummies = (kinds[:, None] == np.unique(kinds)).astype(float)
    found = fit_design(kinds, columns)
    own = columns - dummies @ np.linalg.pinv(dummies) @ columns
    inverse = np.linalg.pinv(own, rcond=1e-10)
    assert found.told == pytest.approx(inverse @ own, abs=1e-9)
    whole = np.column_stack([dummies, columns])
    assert found.degrees_of_freedom == 14 - np.linalg.matrix_rank(whole)
    loads = rng.normal(0.0, 1.0, (14, 3))
    assert found.residuals(loads) == pytest.approx(
        loads - whole @ np.linalg.pinv(whole, rcond=1e-10) @ loads, abs=1e-9
    )
    hat = whole @ np.linalg.pinv(whole, rcond=1e-10)
    assert found.leftover == pytest.approx(1.0 - np.diag(hat), abs=1e-9)
    for combination in (np.array([1.0, -1.0, 0.0, 0.0]), np.array([0.0, 0.0, 0.0, 1.0]), np.ones(4)):
        told = np.allclose(combination @ inverse @ own, combination, atol=1e-7)
        weights = found.weights(combination)
        assert (weights is not None) is told
        if told:
            assert weights == pytest.approx(combination @ inverse, abs=1e-9)
