"""What must hold of a part pooled over several cars, whatever it did on them."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import integrate, special

import balance
from balance.decide.library.pooled import average_over_days
from balance.model.errors import DomainError, UnknownName

WAYS = ("REML", "PM", "DL")
ENDS = ("interval", "plain_interval", "next_interval", "next_interval_t")
ways = st.sampled_from(WAYS)


@st.composite
def several_cars(draw, least=5, most=12):
    """Make effects of some cars and their variances, the standard deviations up to 100 to 1 apart."""
    count = draw(st.integers(least, most))
    values = draw(arrays(float, count, elements=st.floats(-100.0, 100.0)))
    errors = draw(arrays(float, count, elements=st.floats(0.2, 20.0)))
    return values, np.square(errors)


def figures(pooled):
    """Give all that is in the unit of the values."""
    ends = [end for name in ENDS for end in getattr(pooled, name)]
    return np.array([pooled.mean, pooled.std, pooled.between_std, *ends])


def about(expected, values, variances):
    """Allow for rounding in figures as large as these; a variance between cars near 0 is a root of rounding."""
    size = float(np.abs(values).max() + np.sqrt(variances.max()))
    return pytest.approx(expected, rel=1e-6, abs=1e-6 * size)


@given(between=ways, cars=several_cars(), shift=st.floats(-1e3, 1e3))
def test_a_shift_moves_every_place_and_no_width(between, cars, shift):
    values, variances = cars
    here = balance.pool_effects(values, variances, between)
    there = balance.pool_effects(values + shift, variances, between)
    moved = figures(here) + shift
    moved[1:3] -= shift
    assert figures(there) == about(moved, np.append(values, shift), variances)
    assert there.heterogeneity == pytest.approx(here.heterogeneity, rel=1e-6, abs=1e-6)


@given(between=ways, cars=several_cars(), scale=st.floats(1e-6, 1e6))
def test_another_unit_changes_the_unit_alone(between, cars, scale):
    values, variances = cars
    here = figures(balance.pool_effects(values, variances, between))
    there = figures(balance.pool_effects(values * scale, variances * scale**2, between))
    assert there / scale == about(here, values, variances)


@given(between=ways, cars=several_cars())
def test_mirrored_every_end_is_the_other(between, cars):
    values, variances = cars
    here = balance.pool_effects(values, variances, between)
    there = balance.pool_effects(-values, variances, between)
    for name in ENDS:
        low, high = getattr(here, name)
        assert getattr(there, name) == about((-high, -low), values, variances)


@given(between=ways, cars=several_cars(), data=st.data())
def test_the_order_of_cars_does_not_matter(between, cars, data):
    values, variances = cars
    order = data.draw(st.permutations(range(len(values))))
    here = figures(balance.pool_effects(values, variances, between))
    there = figures(balance.pool_effects(values[order], variances[order], between))
    assert there == about(here, values, variances)


@given(between=ways, cars=several_cars(), value=st.floats(-100.0, 100.0))
def test_equal_cars_do_not_differ(between, cars, value):
    _, variances = cars
    pooled = balance.pool_effects(np.full(len(variances), value), variances, between)
    assert pooled.between_variance == 0.0
    assert pooled.heterogeneity == pytest.approx(0.0, abs=1e-12)
    assert pooled.mean == pytest.approx(value, rel=1e-12, abs=1e-12)
    assert pooled.std == pytest.approx(1.0 / math.sqrt(np.sum(1.0 / variances)), rel=1e-12)
    low, high = pooled.next_interval
    # what five or more equal cars cannot exclude: the next one may still differ
    assert low < pooled.interval[0] < value < pooled.interval[1] < high


@given(between=ways, cars=several_cars(), exact=st.floats(1e-12, 1e-9))
def test_exactly_known_cars_are_a_plain_sample(between, cars, exact):
    values, variances = cars
    count = len(values)
    assume(np.ptp(values) > 1.0)
    pooled = balance.pool_effects(values, variances * exact, between)
    plain = np.std(values, ddof=1)
    # the moments of unequal variances, however small, weigh cars unequally
    if between == "DL":
        assert pooled.between_variance > 0.0
    else:
        assert pooled.between_std == pytest.approx(plain, rel=1e-3)
    assert pooled.mean == pytest.approx(values.mean(), abs=1e-3 * plain)
    if between != "DL":
        half = special.stdtrit(count - 1, 0.975) * plain / math.sqrt(count)
        assert pooled.interval == pytest.approx((values.mean() - half, values.mean() + half), abs=2e-3 * half)
    assert all(np.isfinite(figures(pooled)))


@given(between=ways, cars=several_cars())
def test_intervals_lie_in_one_another(between, cars):
    values, variances = cars
    pooled = balance.pool_effects(values, variances, between)
    assert pooled.between_variance >= 0.0
    assert values.min() <= pooled.mean + 1e-9
    assert pooled.mean <= values.max() + 1e-9
    low, high = pooled.interval
    # never narrower than the plain one, which the factor of Hartung and Knapp alone can be with few cars
    assert low <= pooled.plain_interval[0] < pooled.mean < pooled.plain_interval[1] <= high
    assert pooled.next_interval_t[0] < pooled.mean < pooled.next_interval_t[1]
    assert pooled.next_interval[0] < pooled.next_interval[1]


@given(cars=several_cars())
def test_more_confidence_is_a_wider_interval(cars):
    narrow, wide = (balance.pool_effects(*cars, confidence=share) for share in (0.8, 0.95))
    for name in ENDS:
        (low, high), (lower, higher) = getattr(narrow, name), getattr(wide, name)
        assert lower < low < high < higher


@given(cars=several_cars())
def test_the_range_for_the_next_is_of_the_likelihood_however_the_mean_was_found(cars):
    ranges = [balance.pool_effects(*cars, between).next_interval for between in WAYS]
    assert ranges[0] == ranges[1] == ranges[2]


def restricted_density(values, variances, deviation):
    """Give the restricted likelihood of a deviation between cars, and mean and variance of the mean under it."""
    spread = variances + deviation**2
    weight = 1.0 / spread
    mean = np.sum(weight * values) / weight.sum()
    log = -0.5 * (np.log(spread).sum() + np.log(weight.sum()) + np.sum(weight * (values - mean) ** 2))
    return log, mean, 1.0 / weight.sum()


@pytest.mark.parametrize(
    ("values", "errors"),
    [
        ([126.0, 42.0, 88.0, 61.0, 104.0], [8.0, 6.0, 7.0, 8.0, 7.0]),
        ([10.0, 11.0, 9.0, 10.5, 9.5, 10.0], [3.0, 3.0, 2.0, 4.0, 3.0, 3.0]),
        ([0.0, 5.0, 1.0, -4.0, 30.0, 2.0, 3.0], [0.1, 5.0, 1.0, 2.0, 9.0, 0.5, 3.0]),
        (list(range(20)), [0.5] * 20),
    ],
)
def test_the_next_car_leaves_as_much_below_as_above_by_another_integration(values, errors):
    values, variances = np.array(values, float), np.square(errors)
    top = max(restricted_density(values, variances, one)[0] for one in np.geomspace(1e-3, 1e3, 2000))

    def integrated(of):
        """Sum over all deviations, e^x - 1: adaptively, in pieces."""

        def density(x):
            deviation = math.expm1(x)
            log, mean, variance = restricted_density(values, variances, deviation)
            return math.exp(log - top + x) * of(mean, math.hypot(deviation, math.sqrt(variance)))

        return sum(integrate.quad(density, x, x + 1, epsabs=1e-14, epsrel=1e-12)[0] for x in range(20))

    whole = integrated(lambda _mean, _std: 1.0)
    low, high = balance.pool_effects(values, variances).next_interval
    for end, below in ((low, 0.025), (high, 0.975)):
        share = integrated(lambda mean, std, end=end: special.ndtr((end - mean) / std)) / whole
        assert share == pytest.approx(below, abs=1e-10)


@given(cars=several_cars(least=3, most=3))
def test_how_many_cars_allow_what(cars):
    values, variances = cars
    one, two = (balance.pool_effects(values[:count], variances[:count]) for count in (1, 2))
    three = balance.pool_effects(values, variances)
    four = balance.pool_effects(np.append(values, 1.0), np.append(variances, 1.0))
    five = balance.pool_effects(np.append(values, [1.0, 2.0]), np.append(variances, [1.0, 1.0]))
    for few in (one, two):
        assert np.all(np.isnan(figures(few)))
        assert math.isnan(few.heterogeneity)
        assert few.values.tolist() == values[: few.cars].tolist()
    for some in (three, four):
        assert np.all(np.isfinite([some.mean, some.std, some.between_std, *some.interval]))
        assert np.all(np.isnan(some.next_interval))
    assert np.all(np.isfinite(figures(five)))


@given(cars=several_cars(least=3), data=st.data())
def test_one_car_on_several_days_is_one_car(cars, data):
    values, variances = cars
    names = [f"car {k}" for k in range(len(values))]
    again = data.draw(st.integers(0, len(values) - 1))
    days = data.draw(st.integers(2, 6))
    every = [*names, *[names[again]] * (days - 1)]
    found, mean, variance = average_over_days(
        every,
        np.append(values, [values[again]] * (days - 1)),
        np.append(variances, [variances[again]] * (days - 1)),
    )
    assert found == tuple(names)
    assert mean == pytest.approx(values, rel=1e-12)
    assert variance[again] == pytest.approx(variances[again] / days, rel=1e-12)
    pooled = balance.pool_effects(mean, variance)
    assert pooled.cars == len(values)


def test_days_of_a_car_keep_their_covariance():
    effects = [[80.0, 8.0], [40.0, 5.0], [90.0, 10.0]]
    covariances = [[[8.0, 2.0], [2.0, 4.0]], [[9.0, 0.0], [0.0, 1.0]], [[4.0, 1.0], [1.0, 2.0]]]
    cars, mean, covariance = average_over_days(["a", "b", "a"], effects, covariances)
    assert cars == ("a", "b")
    assert mean.tolist() == [[85.0, 9.0], [40.0, 5.0]]
    assert covariance.tolist() == [[[3.0, 0.75], [0.75, 1.5]], [[9.0, 0.0], [0.0, 1.0]]]


@given(st.floats(0.1, 9.0), st.floats(0.1, 9.0), st.floats(0.1, 9.0))
def test_two_sizes_of_a_day_are_no_better_known_than_one_wholly_common_to_them(one, other, another_day):
    """JCGM 100:2008 (GUM), 5.2.2, note 1: where all inputs are wholly correlated, uncertainties add up, not variances."""
    _, mean, variance = average_over_days(
        ["a"] * 3, [80.0, 90.0, 40.0], [one, other, another_day], ["May", "May", "June"]
    )
    assert mean == pytest.approx([62.5])  # of two days, 85 and 40
    common = ((one**0.5 + other**0.5) / 2.0) ** 2
    assert variance[0] >= (common + another_day) / 4.0 * (1.0 - 1e-12)
    assert variance[0] <= (max(one, other) + another_day) / 4.0 * (1.0 + 1e-12)


@given(values=arrays(float, 6, elements=st.floats()), variances=arrays(float, 6, elements=st.floats()))
def test_finite_or_refused(values, variances):
    try:
        pooled = balance.pool_effects(values, variances)
    except DomainError:
        return
    assert np.all(np.isfinite(figures(pooled)))


@pytest.mark.parametrize(
    ("values", "variances", "words"),
    [
        ([], [], "found 0 values and 0 variances"),
        ([1.0, 2.0], [1.0], "found 2 values and 1 variances"),
        ([1.0, np.nan, 3.0], [1.0, 1.0, 1.0], "not finite"),
        ([1.0, 2.0, 3.0], [1.0, np.inf, 1.0], "not finite"),
        ([1.0, 2.0, 3.0], [1.0, 0.0, 1.0], "a variance of 0, expected all above 0"),
        ([1.0, 2.0, 1e80], [1.0, 1.0, 1.0], "found a figure of 1e+80"),
    ],
)
def test_what_cannot_be_pooled_is_refused(values, variances, words):
    with pytest.raises(DomainError) as refused:
        balance.pool_effects(values, variances)
    assert words in str(refused.value)


def test_an_unknown_way_and_a_confidence_of_nothing_are_refused():
    with pytest.raises(UnknownName, match="expected one of: REML, PM, DL"):
        balance.pool_effects([1.0], [1.0], "ML")
    with pytest.raises(DomainError, match="confidence"):
        balance.pool_effects([1.0], [1.0], confidence=1.0)


def test_days_without_a_car_are_refused():
    with pytest.raises(DomainError, match="1 cars, 2 effects and 2 variances"):
        average_over_days(["a"], [1.0, 2.0], [1.0, 2.0])
