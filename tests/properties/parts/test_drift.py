"""A drift over the day: found from what came back, taken out of increments, never across a change of block."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.compare.contrasts import contrast_changes
from balance.compare.increments import find_increments
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2
ORDER = "ABACADA"
LOADS = {"A": 500.0, "B": 540.0, "C": 480.0, "D": 700.0}
WIGGLE = np.array([0.4, 0.0, -0.5, 0.0, 0.3, 0.0, -0.2])


def compare(session, *, across_blocks=False, **options):
    fits = fits_of_session(session, reduce_session(session), across_blocks=across_blocks)
    return find_increments(session, fits, dynamic_pressure=PRESSURE, **options)


def drifting(make_session, slope, *, noise=WIGGLE, order=ORDER, blocks=None):
    loads = [LOADS[kind] + slope * k + n for k, (kind, n) in enumerate(zip(order, noise, strict=True))]
    fields = [
        {"baseline": None if kind == "A" else "1", "block": blocks[k] if blocks else ""}
        for k, kind in enumerate(order)
    ]
    return make_session(
        [(load, load, load) for load in loads],
        configurations=list(order),
        runs=fields,
        deviation=(None, None, None),
    )


@settings(max_examples=30)
@given(st.floats(-20.0, 20.0))
def test_corrected_increments_do_not_know_the_drift(make_session, slope):
    still, moving = compare(drifting(make_session, 6.0)), compare(drifting(make_session, 6.0 + slope))
    if moving.corrected is not None:
        np.testing.assert_allclose(moving.corrected.change, still.corrected.change, rtol=0, atol=1e-8)
        np.testing.assert_allclose(moving.corrected.std, still.corrected.std, rtol=1e-8)


def test_a_resolved_drift_is_offered_not_applied_and_both_figures_stand(make_session):
    session = drifting(make_session, 5.0)
    plain, asked = compare(session), compare(session, correct_drift=True)
    assert plain.drifts.offered
    assert plain.changes is plain.uncorrected
    assert asked.changes is asked.corrected
    np.testing.assert_array_equal(asked.uncorrected.change, plain.uncorrected.change)
    last = [p.run for p in plain.pairs].index(5)
    true = LOADS["D"] - LOADS["A"]
    assert plain.uncorrected.change[last, 0] == pytest.approx(true + 2 * 5.0, abs=1.0)
    assert plain.corrected.change[last, 0] == pytest.approx(true, abs=1.0)
    assert plain.corrected.std[last, 0] < plain.uncorrected.std[last, 0]
    assert plain.corrected.degrees[last, 0] == plain.uncorrected.degrees[last, 0] - 1


def test_the_corrected_increment_is_that_of_one_least_squares_fit(make_session):
    """Against a plain design matrix: one mean a configuration and one slope."""
    session = drifting(make_session, 5.0)
    increments = compare(session)
    kinds = sorted(set(ORDER))
    design = np.zeros((len(ORDER), len(kinds) + 1))
    for row, kind in enumerate(ORDER):
        design[row, kinds.index(kind)] = 1.0
        design[row, -1] = row
    loads = np.array([run.reading.front for run in session.runs])
    fit, residual, *_ = np.linalg.lstsq(design, loads, rcond=None)
    degrees = len(ORDER) - design.shape[1]
    covariance = np.linalg.inv(design.T @ design) * residual[0] / degrees
    contrast = np.zeros(len(kinds) + 1)
    contrast[[kinds.index("D"), kinds.index("A")]] = 1.0, -1.0
    row = [p.run for p in increments.pairs].index(5)
    assert increments.corrected.change[row, 0] == pytest.approx(contrast @ fit, rel=1e-9)
    assert increments.corrected.std[row, 0] == pytest.approx(
        np.sqrt(contrast @ covariance @ contrast), rel=1e-9
    )
    drift = increments.drifts.blocks[0]
    assert drift.slope[0] == pytest.approx(fit[-1], rel=1e-9)
    assert drift.std[0] == pytest.approx(np.sqrt(covariance[-1, -1]), rel=1e-9)
    assert drift.degrees_of_freedom == degrees


def test_no_drift_is_found_where_nothing_came_back(make_session):
    assert compare(drifting(make_session, 5.0, order="AAABCDD")).drifts.blocks == ()


def test_an_unresolved_drift_is_not_offered_even_when_asked_for(make_session):
    noise = np.array([30.0, 0.0, -40.0, 0.0, 35.0, 0.0, -20.0])
    increments = compare(drifting(make_session, 0.5, noise=noise), correct_drift=True)
    assert increments.corrected is None
    assert not increments.drift_corrected
    assert not increments.drifts.blocks[0].offered


def test_drift_does_not_cross_a_change_of_block_unless_told(make_session):
    blocks = ["am"] * 4 + ["pm"] * 3
    session = drifting(make_session, 5.0, blocks=blocks)
    apart, told = compare(session), compare(session, across_blocks=True)
    assert [d.block for d in apart.drifts.blocks] == ["am", "pm"]
    assert all(d.degrees_of_freedom == 0 for d in apart.drifts.blocks)
    assert not apart.drifts.offered
    assert len(told.drifts.blocks) == 1
    assert told.drifts.offered


def test_void_runs_take_their_time(make_session):
    """With one run in the middle void, the same loads still give the same slope per run."""
    session = drifting(make_session, 5.0, noise=np.zeros(7))
    runs = (*session.runs[:3], replace(session.runs[3], status="void"), *session.runs[4:])
    drift = compare(replace(session, runs=runs)).drifts.blocks[0]
    assert drift.slope[0] == pytest.approx(5.0, rel=1e-9)
    assert drift.span == 6
    assert [b.runs for b in drift.brackets] == [("1", "2", "3"), ("5", "6", "7")]


@pytest.mark.parametrize(
    ("order", "expected"),
    [
        ("ABA", [("A-B-A", "123")]),
        ("ABBA", [("A-B-B-A", "1234")]),
        ("ABACCA", [("A-B-A", "123"), ("A-B-B-A", "3456")]),
        ("ABAB", [("A-B-A", "123"), ("A-B-A", "234")]),
        ("AABA", [("A-B-A", "234")]),
        ("ABCA", []),
        ("AAAB", []),
        ("ABBC", []),
        ("AABB", []),
    ],
)
def test_orders_in_which_a_steady_drift_cancels(make_session, order, expected):
    """The weighing cycles of OIML R111-1, annex C (from memory); where none came back there is no drift to cancel."""
    found = compare(drifting(make_session, 5.0, noise=np.zeros(len(order)), order=order)).drifts.blocks
    brackets = [(b.pattern, "".join(b.runs)) for drift in found for b in drift.brackets]
    assert brackets == expected


def test_the_interval_of_a_drift_is_students_on_either_side(make_session):
    """Seven runs less four means and a slope leave two degrees of freedom: 4.302653 at 95 % (tables)."""
    (drift,) = compare(drifting(make_session, 5.0)).drifts.blocks
    assert drift.degrees_of_freedom == 2
    assert drift.high - drift.slope == pytest.approx(4.302653 * drift.std, rel=1e-6)
    assert drift.slope - drift.low == pytest.approx(4.302653 * drift.std, rel=1e-6)
    assert drift.returned == (("1", "3", "5", "7"),)
    assert (drift.span, drift.block) == (6, "")
    assert drift.slope[3] == pytest.approx(2.0 * drift.slope[0])
    assert drift.resolved.all()


def test_a_drift_is_taken_out_in_its_own_block_alone(make_session):
    """The morning drifts by 5 N a run, the afternoon by nothing that can be told: increments of the one are corrected."""
    order = "ABACADA" * 2
    loads = [
        LOADS[kind] + 5.0 * k * (k < 7) + n
        for k, (kind, n) in enumerate(zip(order, [*WIGGLE, 9.0, 0, -11.0, 0, 8.0, 0, -7.0], strict=True))
    ]
    fields = [
        {"block": "am" if k < 7 else "pm", "baseline": None if kind == "A" else ("1" if k < 7 else "8")}
        for k, kind in enumerate(order)
    ]
    session = make_session(
        [(load, load, load) for load in loads],
        configurations=list(order),
        runs=fields,
        deviation=(None, None, None),
    )
    found = compare(session, correct_drift=True)
    assert [drift.offered for drift in found.drifts.blocks] == [True, False]
    # fourteen runs less four means, the step between the blocks and a slope in each
    assert [(drift.span, drift.degrees_of_freedom) for drift in found.drifts.blocks] == [(6, 7), (6, 7)]
    runs = [pair.run for pair in found.pairs]
    part = {k: found.corrected.change[row, 0] for row, k in enumerate(runs)}
    measured = {k: found.uncorrected.change[row, 0] for row, k in enumerate(runs)}
    assert part[5] == pytest.approx(LOADS["D"] - LOADS["A"], abs=1.0)
    assert measured[5] == pytest.approx(LOADS["D"] - LOADS["A"] + 10.0, abs=1.0)
    for k in (8, 10, 12):
        assert part[k] == measured[k]
    assert [bool(found.taken[runs.index(k)]) for k in (1, 3, 5, 8, 10, 12)] == [True] * 3 + [False] * 3


@pytest.mark.parametrize("order", ["ABBAC", "ABCAD"])
def test_nothing_lies_in_between_in_a_bracket_not_even_a_void_run(make_session, order):
    """The third run is void: the B before it does not stand half way between the two A."""
    session = drifting(make_session, 5.0, noise=np.zeros(5), order=order)
    runs = tuple(replace(run, status="void") if k == 2 else run for k, run in enumerate(session.runs))
    (drift,) = compare(replace(session, runs=runs)).drifts.blocks
    assert drift.brackets == ()


def test_an_interval_is_of_95_per_cent_where_nothing_else_is_asked(make_session):
    """Student's t of 20 degrees of freedom, 2.085963 (tables), of a difference of two readings of 7 N."""
    session = make_session([(300.0, 500.0, 600.0), (350.0, 480.0, 620.0)])
    fits = fits_of_session(session, reduce_session(session))
    found = contrast_changes([[-1.0, 1.0]], fits, dynamic_pressure=PRESSURE)
    assert found.high[0, 0] - found.change[0, 0] == pytest.approx(2.085963 * 7.0 * np.sqrt(2.0), rel=1e-6)
    assert found.confidence == 0.95
