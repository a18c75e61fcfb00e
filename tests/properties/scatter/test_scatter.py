"""Draws against what is known exactly, and what more noise or one more baseline does."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.reduce.draws import coverage_interval, shared_draws, spread
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session
from balance.reduce.repeatability import _combine

COUNT = 200_000
FACILITY_PRESSURE = 0.5 * 1.2 * 50.0**2


def load_draws(session, rows):
    fits = fits_of_session(session, reduce_session(session))
    shared = shared_draws(session, fits.repeatability, count=COUNT)
    return fits.draws(np.eye(len(session.runs))[list(rows)], shared) * FACILITY_PRESSURE


def test_deviation_of_a_load_and_of_contrasts_is_exact(make_session):
    """s for a reading, s sqrt(sum w^2) for a contrast; five standard errors of a quantile of so many draws."""
    readings = [(300.0, 500.0, 600.0), (250.0, 520.0, 590.0), (310.0, 480.0, 640.0)]
    session = make_session(readings, deviation=(7.0, 9.0, 4.0), degrees=1e9)
    loads = load_draws(session, [0, 1, 2])
    slack = 5.0 * 1.0 / np.sqrt(COUNT)
    for channel, deviation in enumerate((7.0, 9.0, 4.0)):
        for weights in ([1, 0, 0], [1, -1, 0], [0.5, 0.5, -1], [1, -2, 1]):
            std, low, high = spread(loads[channel] @ np.array(weights))
            exact = deviation * np.sqrt(np.sum(np.square(weights)))
            assert std == pytest.approx(exact, rel=slack)
            centre = np.dot(weights, [r[channel] for r in readings])
            assert (low + high) / 2 == pytest.approx(centre, rel=0, abs=2.5 * slack * exact)
            assert (high - low) / 2 == pytest.approx(1.959964 * exact, rel=2 * slack)


@pytest.mark.parametrize("degrees", [2.0, 3.0, 5.0, 20.0])
def test_a_load_known_by_few_degrees_of_freedom_follows_students_t(make_session, degrees):
    """JCGM 101:2008, 6.4.9: scaled and shifted t."""
    session = make_session([(300.0, 500.0, 600.0)], deviation=(7.0, 9.0, 4.0), degrees=degrees)
    loads = load_draws(session, [0])
    for channel, (load, deviation) in enumerate(((300.0, 7.0), (500.0, 9.0), (600.0, 4.0))):
        scaled = (loads[channel, :, 0] - load) / deviation
        assert stats.kstest(scaled, "t", (degrees,)).pvalue > 1e-4
        for confidence in (0.6, 0.9, 0.95, 0.99):
            low, high = coverage_interval(scaled, confidence)
            quantile = stats.t.ppf((1 + confidence) / 2, degrees)
            tail = (1 - confidence) / 2
            error = np.sqrt(tail * (1 - tail) / COUNT) / stats.t.pdf(quantile, degrees)
            assert high == pytest.approx(quantile, rel=0, abs=5 * error)
            assert low == pytest.approx(-quantile, rel=0, abs=5 * error)


def test_one_chi_squared_is_shared_by_all_readings_and_channels_of_equal_degrees_of_freedom(make_session):
    session = make_session([(300.0, 500.0, 600.0)] * 40, degrees=3.0)
    loads = load_draws(session, range(40))
    widths = loads.std(axis=2)
    assert stats.spearmanr(widths[0], loads[0, :, :20].std(axis=1)).statistic > 0.9
    assert stats.spearmanr(widths[0], widths[1]).statistic > 0.9
    within = stats.chi2.ppf([0.001, 0.999], 39) / 39
    true_scale = np.sqrt(3.0 / stats.chi2.ppf([0.25, 0.75], 3.0))
    found = np.quantile(widths[0] / 7.0, [0.75, 0.25])
    assert np.all(found > true_scale * np.sqrt(within[0]))
    assert np.all(found < true_scale * np.sqrt(within[1]))


def test_a_systematic_part_widens_a_load_and_cancels_in_a_contrast(make_session):
    session = make_session(
        [(300.0, 500.0, 600.0), (250.0, 520.0, 590.0)], degrees=1e9, systematic=(20.0, None, None)
    )
    loads = load_draws(session, [0, 1])
    assert spread(loads[0, :, 0])[0] == pytest.approx(np.hypot(7.0, 20.0), rel=0.012)
    assert spread(loads[0, :, 0] - loads[0, :, 1])[0] == pytest.approx(7.0 * np.sqrt(2.0), rel=0.012)
    assert spread(loads[1, :, 0])[0] == pytest.approx(7.0, rel=0.012)


def test_channels_keep_the_correlation_of_their_repeats(make_session):
    common = np.random.default_rng(4).normal(0.0, 8.0, 12)
    own = np.random.default_rng(5).normal(0.0, 3.0, 12)
    readings = [(300.0 + c, 500.0 - c + o, 600.0 + 0.3 * o) for c, o in zip(common, own, strict=True)]
    between = [reading for k, one in enumerate(readings) for reading in (one, (1.0, 2.0, 3.0 + k))]
    names = [name for k in range(12) for name in ("baseline", f"part {k}")]
    session = make_session(between, deviation=(None, None, None), configurations=names)
    fits = fits_of_session(session, reduce_session(session))
    expected = np.corrcoef(np.array(readings).T)
    assert fits.repeatability.correlation == pytest.approx(expected, rel=1e-9)
    assert fits.repeatability.degrees_of_freedom == pytest.approx([11.0] * 4)
    shared = shared_draws(session, fits.repeatability, count=COUNT)
    drawn = fits.draws(np.eye(24)[:1], shared)[:, :, 0]
    normal = (drawn - drawn.mean(axis=1, keepdims=True)) / shared.scale.T
    assert np.corrcoef(normal) == pytest.approx(expected, abs=5.0 / np.sqrt(COUNT))


@pytest.mark.parametrize(("repeats", "told"), [(4, False), (5, True)])
def test_four_degrees_of_freedom_are_needed_to_tell_a_correlation(make_session, repeats, told):
    """Common practice, no source. Of front and rear that move as one it is 1, or nothing is said of it."""
    moved = [7.0, -3.0, 5.0, -6.0, 2.0]
    readings = [
        reading
        for k, step in enumerate(moved[:repeats])
        for reading in ((300.0 + step, 500.0 + step, 600.0 + k % 2), (1.0, 2.0, 3.0 + k))
    ]
    names = [name for k in range(repeats) for name in ("baseline", f"part {k}")]
    session = make_session(readings, deviation=(None, None, None), configurations=names)
    found = fits_of_session(session, reduce_session(session)).repeatability.correlation
    assert found[0, 1] == pytest.approx(1.0 if told else 0.0, abs=1e-12)


def test_the_facilitys_figure_knows_of_no_correlation(make_session):
    """S = (v0 diag(s0^2) + v S_repeats)/(v0 + v), by hand from the same repeats."""
    forces = np.random.default_rng(6).normal(0.0, 1.0, (5, 3)) @ np.array(
        [[7.0, 4.0, 0.0], [0.0, 5.0, 2.0], [0, 0, 3.0]]
    )
    readings = [tuple(row) for one in forces for row in (one + 500.0, one * 0.0)]
    names = [name for k in range(5) for name in ("baseline", f"part {k}")]
    session = make_session(readings, deviation=(7.0, 7.0, 4.0), degrees=20.0, configurations=names)
    found = fits_of_session(session, reduce_session(session)).repeatability
    pooled = (20.0 * np.diag([49.0, 49.0, 16.0]) + 4.0 * np.cov(forces.T)) / 24.0
    size = np.sqrt(np.diag(pooled))
    assert found.correlation == pytest.approx(pooled / np.outer(size, size), rel=1e-9)


@settings(max_examples=40)
@given(
    st.floats(50.0, 900.0),
    st.floats(50.0, 900.0),
    st.floats(1.0, 20.0),
    st.floats(1.3, 5.0),
    st.sampled_from([None, "rear", "front", "both"]),
)
def test_uncertainty_never_shrinks_as_noise_grows(
    make_session, make_vehicle, front, rear, noise, factor, driven
):
    car = make_vehicle(exact=True, driven=driven)
    quiet, loud = (
        assess(
            reduce_day(
                make_session([(front, rear, 600.0)], vehicle=car, deviation=(s, s, 0.6 * s)), draws=2000
            )
        )
        for s in (noise, noise * factor)
    )
    assert np.all(loud.stds > quiet.stds)
    for name in ("aero_balance", "neutral_steer_shift", "grip_surplus", "grip_surplus_driven"):
        one, other = getattr(quiet.handling, name), getattr(loud.handling, name)
        if one is None or np.isnan(other.value[0]):
            continue
        assert other.value == one.value
        assert other.std[0] > one.std[0], name
        assert other.high[0] - other.low[0] > one.high[0] - one.low[0], name
    narrow, wide = quiet.handling.verdicts[0], loud.handling.verdicts[0]
    assert wide.surplus == narrow.surplus
    assert wide.high - wide.low > narrow.high - narrow.low


@given(st.floats(0.5, 0.98), st.floats(0.001, 0.019))
def test_a_wider_confidence_makes_no_narrower_interval(confidence, more):
    draws = np.random.default_rng(1).standard_t(4, (1000, 3))
    low, high = coverage_interval(draws, confidence)
    wider_low, wider_high = coverage_interval(draws, confidence + more)
    assert np.all(wider_low <= low)
    assert np.all(wider_high >= high)


def test_the_middle_interval_holds_its_share_of_the_draws():
    draws = np.random.default_rng(2).permuted(np.arange(10_000.0))
    low, high = coverage_interval(draws, 0.95)
    assert np.count_nonzero((draws >= low) & (draws <= high)) == 9500
    assert low - 0.0 == 9999.0 - high


def half_widths(stated_degrees, degrees):
    """Half of the 95 % interval of one reading, over repeats drawn from the stated scatter of 1 N."""
    if degrees == 0:
        return np.array([stats.t.ppf(0.975, stated_degrees)])
    middle = (np.arange(20_000) + 0.5) / 20_000
    combined = [
        _combine(float(s), degrees, 1.0, stated_degrees)[:2]
        for s in np.sqrt(stats.chi2.ppf(middle, degrees) / degrees)
    ]
    deviation, left = np.array(combined).T
    return deviation * stats.t.ppf(0.975, left)


@pytest.mark.parametrize("stated_degrees", [4.0, 20.0])
def test_one_more_baseline_widens_no_typical_interval(stated_degrees):
    """The median from the first baseline on; the mean as well once there is a repeat at all."""
    widths = [half_widths(stated_degrees, degrees) for degrees in range(7)]
    assert np.all(np.diff([np.median(w) for w in widths]) <= 0.0)
    assert np.all(np.diff([np.mean(w) for w in widths[1:]]) <= 0.0)


def test_repeats_that_agree_are_pooled_and_those_that_do_not_stand_alone():
    """s^2 = (v0 s0^2 + v s^2)/(v0 + v) up to the 90 % point of F(v, v0)."""
    limit = stats.f.ppf(0.9, 3, 4)
    inside, outside = np.sqrt(limit * 0.999) * 7.0, np.sqrt(limit * 1.001) * 7.0
    assert _combine(inside, 3.0, 7.0, 4.0) == (
        pytest.approx(np.sqrt((4 * 49 + 3 * inside**2) / 7)),
        7.0,
        "facility and repeats",
    )
    assert _combine(outside, 3.0, 7.0, 4.0) == (outside, 3.0, "repeats")


@given(st.floats(0.1, 30.0), st.floats(-400.0, 900.0), st.floats(-400.0, 900.0))
def test_a_share_is_shown_only_where_downforce_is_clear(make_session, noise, front, rear):
    assume(abs(front + rear - 3.0 * noise * np.sqrt(2.0)) > 1e-6)
    session = make_session([(front, rear, 600.0)], deviation=(noise, noise, 4.0))
    found = assess(reduce_day(session, draws=100)).handling.aero_balance
    shown = front > 0.0 and rear > 0.0 and front + rear > 3.0 * noise * np.sqrt(2.0)
    if shown:
        assert found.value[0] == pytest.approx(front / (front + rear), rel=1e-12)
        assert found.std[0] > 0.0
    else:
        assert np.isnan([found.value[0], found.std[0], found.low[0], found.high[0]]).all()
