"""What a day is reduced with, and which run stands for a row: by hand."""

import numpy as np
import pytest
from scipy.special import nctdtrinc
from scipy.stats import t

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.day_scatter import scatter_of_day
from balance.decide.day.own_draws import Source, own_normals
from balance.decide.day.sweeps import sweep
from balance.decide.parts.parts import assess_parts
from balance.handling.axle_state import axle_state
from balance.model.errors import DomainError

DRAWS = 20_000


@pytest.mark.parametrize(
    ("confidence", "taken"), [(0.5, True), (0.499, False), (0.999, True), (0.9991, False)]
)
def test_an_interval_holds_between_half_and_999_of_1000_of_the_draws(make_session, confidence, taken):
    session = make_session([(100.0, 300.0, 600.0)])
    if taken:
        assert reduce_day(session, draws=100, confidence=confidence).confidence == confidence
    else:
        with pytest.raises(DomainError, match=r"expected 0\.5 to 0\.999"):
            reduce_day(session, draws=100, confidence=confidence)


def test_a_days_scatter_is_within_its_blocks_unless_asked_for_across(make_session):
    """99, 101 N and 109, 111 N, each fitted anew: within two blocks the root of 4/2, two degrees; across them of 104/3, three."""
    order = [("a", 99.0, "am"), ("b", 0.0, "am"), ("a", 101.0, "am")]
    order += [("c", 0.0, "pm"), ("a", 109.0, "pm"), ("d", 0.0, "pm"), ("a", 111.0, "pm")]
    names, fronts, blocks = zip(*order, strict=True)
    session = make_session(
        [(front, 300.0, 600.0) for front in fronts],
        configurations=names,
        deviation=(None,) * 3,
        runs=[{"block": one} for one in blocks],
    )
    day = reduce_day(session, draws=100)
    within, across = scatter_of_day(day).scatter, scatter_of_day(day, across_blocks=True).scatter
    assert (within.deviation[0], within.degrees_of_freedom[0]) == pytest.approx((np.sqrt(2.0), 2.0))
    assert (across.deviation[0], across.degrees_of_freedom[0]) == pytest.approx((np.sqrt(104.0 / 3.0), 3.0))


def test_a_sweep_of_a_mean_is_told_by_the_first_of_its_readings(make_session):
    readings = [(100.0, 300.0, 600.0), (90.0, 310.0, 610.0), (104.0, 302.0, 602.0)]
    day = reduce_day(make_session(readings, configurations=["a", "b", "a"]), draws=100)
    (mean,) = [row for row, members in enumerate(day.rows.members) if members == (0, 2)]
    assert sweep(day, mean, np.array([40.0])).run.label == "1"
    assert sweep(day, 2, np.array([40.0])).run.label == "3"


def test_a_sweep_is_named_by_its_runs(make_session):
    readings = [(100.0, 300.0, 600.0), (90.0, 310.0, 610.0), (104.0, 302.0, 602.0)]
    day = reduce_day(make_session(readings, configurations=["a", "b", "a"]), draws=100)
    (mean,) = [row for row, members in enumerate(day.rows.members) if members == (0, 2)]
    assert sweep(day, mean, np.array([40.0])).name == "a (mean of runs 1, 3)"
    assert sweep(day, 1, np.array([40.0])).name == "b (run 2)"


@pytest.mark.parametrize(("row", "known"), [(-1, False), (0, True), (2, True), (3, False)])
def test_a_sweep_is_of_a_row_that_there_is(make_session, row, known):
    day = reduce_day(make_session([(100.0, 300.0, 600.0)] * 3), draws=100)
    if known:
        assert sweep(day, row, np.array([40.0])).run.label == str(row + 1)
    else:
        with pytest.raises(DomainError, match="expected 0 to 2"):
            sweep(day, row, np.array([40.0]))


@pytest.mark.parametrize(("front", "shown"), [(22.0, False), (23.0, True)])
def test_an_aero_balance_has_a_meaning_from_three_standard_uncertainties(make_session, front, shown):
    """Axles of 10 N each make a total of 14.14 N, three times that 42.4 N; the rear has 20 N."""
    day = reduce_day(make_session([(front, 20.0, 600.0)], deviation=(10.0, 10.0, 4.0)), draws=100)
    found = assess(day).handling.aero_balance.value[0]
    assert found == pytest.approx(front / (front + 20.0) if shown else np.nan, nan_ok=True)


@pytest.mark.parametrize(("draws", "taken"), [(99, False), (100, True)])
def test_a_hundred_draws_at_least(make_session, draws, taken):
    session = make_session([(100.0, 300.0, 600.0)])
    if taken:
        assert reduce_day(session, draws=draws).shared.count == draws
    else:
        with pytest.raises(DomainError, match="at least 100"):
            reduce_day(session, draws=draws)


def test_a_configuration_of_several_blocks_is_told_with_its_block(make_session):
    """Loads are of their own block; one that was run in a single block needs no name of it."""
    runs = [{"block": one} for one in ("am", "", "", "am")]
    day = reduce_day(
        make_session([(100.0, 300.0, 600.0)] * 4, configurations=["a", "a", "b", "c"], runs=runs), draws=100
    )
    assert [day.configuration_of(row) for row in range(4)] == ["a, am", "a, no block", "b", "c"]


@pytest.mark.parametrize("source", Source)
def test_what_has_draws_of_its_own_shares_none_with_the_readings(make_session, source):
    """Independent draws have no correlation: five standard errors of 20,000 draws are 5 / root(20,000) = 0.035."""
    readings = [(100.0, 300.0, 600.0), (104.0, 302.0, 602.0), (90.0, 310.0, 610.0)]
    day = reduce_day(make_session(readings, configurations=["a", "a", "b"]), draws=DRAWS)
    drawn = day.draws(range(len(day.rows.members))).transpose(0, 2, 1).reshape(-1, DRAWS)
    own = np.vstack([own_normals(day.shared, source, number, 3) for number in range(4)])
    together = np.corrcoef(np.vstack([drawn, own]))[: len(drawn), len(drawn) :]
    assert np.max(np.abs(together)) < 0.035


def test_what_a_day_can_show_by_hand(make_session):
    """A base of 300 and 310 N, a part between, the base of another block alone: 50 N² of one degree beside 49 N² of 20."""
    order = [("a", 300.0, "am"), ("b", 420.0, "am"), ("a", 310.0, "am"), ("a", 900.0, "pm")]
    session = make_session(
        [(front, 300.0, 600.0) for _, front, _ in order],
        configurations=[name for name, *_ in order],
        runs=[{"block": block} for *_, block in order],
        deviation=(7.0, 7.0, 4.0),
    )
    found = scatter_of_day(reduce_day(session, draws=100))
    assert [one.rows for one in found.sets] == [(0, 2, 3)]
    one = np.sqrt((20.0 * 49.0 + 50.0) / 21.0)
    assert found.scatter.deviation[0] == pytest.approx(one)
    assert found.least_significant[0] == pytest.approx(t.ppf(0.975, 21.0) * np.sqrt(2.0) * one)
    assert found.detectable[0] == pytest.approx(
        nctdtrinc(21.0, 0.2, t.ppf(0.975, 21.0)) * np.sqrt(2.0) * one, rel=1e-6
    )
    nothing = [np.nan] * 4
    expected = [[-5.0, 0.0, 0.0, -5.0], nothing, [5.0, 0.0, 0.0, 5.0], nothing]
    np.testing.assert_allclose(found.deviations, expected, atol=1e-9)
    # n = 2 (d s / size)², rounded up
    factor = nctdtrinc(21.0, 0.2, t.ppf(0.975, 21.0))
    assert [row[0] for row in found.repeats_needed([10.0, 20.0])] == [
        int(np.ceil(2.0 * (factor * one / size) ** 2)) for size in (10.0, 20.0)
    ]


@pytest.mark.parametrize("confidence", [0.6, 0.9, 0.99])
def test_a_day_s_confidence_is_behind_every_interval(make_session, confidence):
    """Student's t for contrasts; of draws the share that lies inside."""
    readings = [(300.0, 500.0, 600.0), (350.0, 480.0, 620.0)]
    session = make_session(readings, runs=[{}, {"baseline": "1"}], degrees=20.0)
    day = reduce_day(session, draws=4_000, confidence=confidence)
    parts = assess_parts(day)
    row = [pair.run for pair in parts.increments.pairs].index(1)
    changes = parts.increments.changes
    half = t.ppf((1.0 + confidence) / 2.0, 20.0) * 7.0 * np.sqrt(2.0)
    assert changes.high[row, 0] - changes.change[row, 0] == pytest.approx(half)
    assert changes.change[row, 0] - changes.low[row, 0] == pytest.approx(half)
    scatter = scatter_of_day(day)
    assert scatter.least_significant[0] == pytest.approx(half)
    table = assess(day)
    draws = axle_state(day.draws([0, 1]), 1500.0, day.session.vehicle, drawn=day.shared.car).grip_surplus
    found = table.handling.grip_surplus
    inside = np.mean((draws >= found.low) & (draws <= found.high), axis=0)
    assert inside == pytest.approx([confidence] * 2, abs=0.002)
    difference = draws[:, 1] - draws[:, 0]
    assert np.mean(
        (difference >= parts.grip_surplus.low[row]) & (difference <= parts.grip_surplus.high[row])
    ) == pytest.approx(confidence, abs=0.002)
    swept = sweep(day, 0, np.array([50.0])).handling.grip_surplus
    assert (swept.low[0], swept.high[0]) == (found.low[0], found.high[0])


@pytest.mark.parametrize(
    ("speed", "density", "wrong"),
    [
        (999.0, 9.99, None),
        (0.1, 0.01, None),
        (1000.0, None, "speed"),
        (0.0, None, "speed"),
        (None, 0.0, "air density"),
        (None, 10.0, "air density"),
    ],
)
def test_speeds_and_air_that_there_are(make_session, speed, density, wrong):
    day = reduce_day(make_session([(100.0, 300.0, 600.0)]), draws=100)
    if wrong is None:
        found = assess(day, speed=speed, air_density=density)
        assert (found.speed, found.air_density) == (speed, density)
    else:
        with pytest.raises(DomainError, match=wrong):
            assess(day, speed=speed, air_density=density)
    usual = assess(day)
    assert (usual.speed, usual.air_density, usual.dynamic_pressure) == (50.0, 1.2, 1500.0)


@pytest.mark.parametrize(("source", "number"), [(one, k) for one in Source for k in (0, 1)])
def test_every_figure_that_was_stated_has_draws_of_its_own(make_session, source, number):
    """Standard normal, and shared with no other source or place in a list: five standard errors of 20,000 draws."""
    day = reduce_day(make_session([(100.0, 300.0, 600.0)]), draws=DRAWS)
    own = own_normals(day.shared, source, number, 2)
    assert own.shape == (2, DRAWS)
    assert np.mean(own, axis=1) == pytest.approx([0.0, 0.0], abs=0.036)
    assert np.std(own, axis=1) == pytest.approx([1.0, 1.0], abs=0.026)
    others = [
        own_normals(day.shared, a, k, 2) for a in Source for k in (0, 1, 2) if (a, k) != (source, number)
    ]
    assert np.max(np.abs(np.corrcoef(np.vstack([own, *others]))[:2, 2:])) < 0.036


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize(("share", "off"), [(0.99, False), (1.01, True), (1.2, True)])
def test_an_axle_is_off_the_ground_at_the_speed_where_the_air_lifts_its_weight(
    make_session, make_vehicle, axle, share, off
):
    lift = -share * 1200.0 * 9.80665 * (0.52 if axle == "front" else 0.48)
    reading = (lift, 0.0, 600.0) if axle == "front" else (0.0, lift, 600.0)
    day = reduce_day(make_session([reading], vehicle=make_vehicle(exact=True)), draws=100)
    found = assess(day).handling
    assert (found.verdicts[0].word == "axle off the ground") is off
    assert np.isnan(found.grip_surplus.value[0]) == off
    faster = assess(day, speed=52.0).handling.verdicts[0].word
    assert (faster == "axle off the ground") is True
