"""What is no part, what a drift is taken out of, and confidence sets of ratios at their edges: by hand."""

from dataclasses import replace

import numpy as np
import pytest

from balance.compare.contrasts import Changes
from balance.compare.increments import find_increments
from balance.compare.ratios import (
    CASES,
    KINDS,
    RatioCase,
    RatioKind,
    cost_ratios,
    fieller,
    ratio_case,
    rounded_ratios,
)
from balance.model.records import Setting
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2


def compare(session, **options):
    fits = fits_of_session(session, reduce_session(session))
    return find_increments(session, fits, dynamic_pressure=PRESSURE, **options)


def wings(make_session, *runs):
    """Runs of a wing at angles, each with a stated baseline or none."""
    fields = [
        {"settings": {"wing": Setting(value=angle, unit="deg")} if angle else {}, "baseline": baseline}
        for angle, baseline in runs
    ]
    readings = [(300.0, 400.0 + 10.0 * angle, 600.0) for angle, _ in runs]
    return make_session(readings, configurations=["car"] * len(runs), runs=fields)


def test_a_run_with_as_many_parts_as_its_later_baseline_is_no_bare_car(make_session):
    """Run 1 finds no baseline but run 2 after it: the wing stands on both, only its angle differs."""
    found = compare(wings(make_session, (4.0, None), (8.0, "3"), (12.0, None)))
    first = found.pairs[0]
    assert (first.run, first.baseline, first.later) == (0, 1, True)
    assert (first.mirrors, first.bare, first.shows_part) == (None, False, True)


def test_a_run_with_fewer_parts_than_its_later_baseline_is_bare(make_session):
    found = compare(wings(make_session, (0.0, None), (8.0, "3"), (12.0, None)))
    first = found.pairs[0]
    assert (first.run, first.baseline, first.later) == (0, 1, True)
    assert first.bare
    assert not first.shows_part


def test_a_load_is_no_contrast_that_a_drift_is_taken_out_of(make_session):
    """A-B-A-C-A-D-A that drifts by 5 N a run: a difference of two runs is one, a single run and a sum are not."""
    own = {"A": 500.0, "B": 540.0, "C": 480.0, "D": 700.0}
    wiggle = (0.4, 0.0, -0.5, 0.0, 0.3, 0.0, -0.2)
    loads = [own[kind] + 5.0 * k + w for k, (kind, w) in enumerate(zip("ABACADA", wiggle, strict=True))]
    session = make_session(
        [(load, load, load) for load in loads], configurations=list("ABACADA"), deviation=(None, None, None)
    )
    drifts = compare(session).drifts
    assert drifts.offered
    weights = np.zeros((3, 7))
    weights[0, [1, 0]] = 1.0, -1.0
    weights[1, 1] = 1.0
    weights[2, [1, 3]] = 0.5, 0.5
    assert drifts.taken_from(weights).tolist() == [True, False, False]
    np.testing.assert_array_equal(drifts.correct(weights)[1:], weights[1:])


def ends(*figures):
    kind, low, high = fieller(*figures)
    return KINDS[int(kind)], float(low), float(high)


def test_nothing_over_a_change_that_is_surely_nothing_is_resolved_or_any_ratio():
    """(x - 0 r)^2 <= t^2 Vx: with x = 100 against 10 no ratio at all, so the gap is the whole line; with 5 every one."""
    assert ends(100.0, 0.0, 25.0, 0.0, 0.0, 2.0) == (RatioKind.OUTSIDE, -np.inf, np.inf)
    assert ends(-100.0, 0.0, 25.0, 0.0, 0.0, 2.0) == (RatioKind.OUTSIDE, -np.inf, np.inf)
    assert ends(5.0, 0.0, 25.0, 0.0, 0.0, 2.0)[0] is RatioKind.WHOLE_LINE
    assert ends(0.0, 0.0, 0.0, 0.0, 0.0, 2.0)[0] is RatioKind.WHOLE_LINE


@pytest.mark.parametrize(("sign", "below"), [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)])
def test_a_bounded_set_keeps_both_ends_whatever_the_signs(sign, below):
    """384 r^2 - 2 2000 r + 9900 = 0 for (100 - 20 r)^2 = 4 (25 + 4 r^2): r = (2000 -+ root of 198400)/384."""
    near, far = (2000.0 - np.sqrt(198_400.0)) / 384.0, (2000.0 + np.sqrt(198_400.0)) / 384.0
    expected = (near, far) if sign * below > 0.0 else (-far, -near)
    kind, low, high = ends(sign * 100.0, below * 20.0, 25.0, 4.0, 0.0, 2.0)
    assert kind is RatioKind.BOUNDED
    assert (low, high) == pytest.approx(expected, rel=1e-12)


def changes_of(total, drag, *, std, correlation, degrees=1e9):
    """Make one contrast of a total and a drag that scatter as told, the axles alike."""
    change = np.array([[total / 2.0, total / 2.0, drag, total]])
    stds = np.array([[std[0], std[0], std[1], std[0]]])
    known = np.full((1, 4), degrees)
    return Changes(
        weights=np.ones((1, 1)),
        change=change,
        std=stds,
        low=change - 2.0 * stds,
        high=change + 2.0 * stds,
        resolved=np.ones((1, 4), bool),
        degrees=known,
        correlation=correlation,
        correlation_known=True,
        refit_assumed=np.zeros(4, bool),
        rounding=np.zeros((1, 4)),
        dynamic_pressure=PRESSURE,
        confidence=0.95,
    )


@pytest.mark.parametrize("correlation", [0.0, 0.5, -0.8])
def test_a_cost_ratio_knows_how_downforce_and_drag_move_together(correlation):
    """(100 - 20 r)^2 = t^2 (25 - 2 r c 5 x 2 + 4 r^2), t = 1.959964: the roots of that quadratic."""
    found = cost_ratios(changes_of(100.0, 20.0, std=(5.0, 2.0), correlation=correlation))[0]
    t2 = 1.959964**2
    roots = np.roots([400.0 - 4.0 * t2, -2.0 * (2000.0 - t2 * correlation * 10.0), 10_000.0 - 25.0 * t2])
    assert found.value == pytest.approx(5.0)
    assert (found.low, found.high) == pytest.approx(sorted(roots.tolist()), rel=1e-6)


def test_a_cost_ratio_is_as_sure_as_the_less_sure_of_the_two():
    """Degrees of freedom 4 and 30: Student's t of 4 at 95 %, 2.776445 (tables)."""
    one = changes_of(100.0, 20.0, std=(5.0, 2.0), correlation=0.0)
    t2 = 2.776445**2
    roots = np.roots([400.0 - 4.0 * t2, -4000.0, 10_000.0 - 25.0 * t2])
    for degrees in ([4.0, 4.0, 30.0, 4.0], [30.0, 30.0, 4.0, 30.0]):
        found = cost_ratios(replace(one, degrees=np.array([degrees])))[0]
        assert (found.low, found.high) == pytest.approx(sorted(roots.tolist()), rel=1e-6)


@pytest.mark.parametrize(("repeats", "said"), [(4, True), (5, False)])
def test_downforce_and_drag_taken_as_independent_are_said_to_be(make_session, repeats, said):
    """Four degrees of freedom are needed to tell a correlation; common practice, no source."""
    moved = [7.0, -3.0, 5.0, -6.0, 2.0]
    readings = [
        reading
        for k, step in enumerate(moved[:repeats])
        for reading in ((300.0 + step, 500.0 + 2.0 * step, 600.0 + step / 2.0), (1.0, 2.0, 3.0 + k))
    ]
    names = [name for k in range(repeats) for name in ("baseline", f"part {k}")]
    found = compare(make_session(readings, deviation=(None, None, None), configurations=names))
    assert ("downforce and drag taken as independent" in found.notes) is said
    # all three move as one: total downforce and drag do so too
    correlation, known = found.repeatability.downforce_drag_correlation
    assert known is not said
    assert correlation == pytest.approx(0.0 if said else 1.0, abs=1e-9)


def test_nothing_is_said_of_independence_where_no_scatter_is_known(make_session):
    found = compare(make_session([(1.0, 2.0, 3.0), (2.0, 3.0, 4.0)], deviation=(None, None, None)))
    assert "downforce and drag taken as independent" not in found.notes


@pytest.mark.parametrize(
    ("downforce", "drag", "case"),
    [
        (1.0, 1.0, RatioCase.MORE_FOR_MORE),
        (-1.0, -1.0, RatioCase.LESS_FOR_LESS),
        (1.0, -1.0, RatioCase.MORE_AND_LESS),
        (-1.0, 1.0, RatioCase.LESS_AND_MORE),
        *((one, other, RatioCase.UNCHANGED) for one, other in ((0, 0), (0, 1), (0, -1), (1, 0), (-1, 0))),
    ],
)
def test_which_way_downforce_and_drag_went(downforce, drag, case):
    assert CASES[int(ratio_case(downforce, drag))] is case
    one = rounded_ratios([downforce], [drag], [0.0], [0.0])[0]
    assert one.case is case
    assert one.value == (1.0 if case in (RatioCase.MORE_FOR_MORE, RatioCase.LESS_FOR_LESS) else None)
