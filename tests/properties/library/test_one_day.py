"""A part compared several times on one day enters once: by generalised least squares, for each of its sizes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from balance.decide.library.one_day import _interaction_covariance, one_effect_per_size
from balance.decide.plan.prior import PAIR_SHARE
from balance.model.errors import DomainError

CHANNELS = 3


@st.composite
def comparisons(draw, most=6):
    """Make effects of comparisons over means that some of them share, with the covariance that follows."""
    count = draw(st.integers(1, most))
    means = draw(st.integers(count + 1, count + 4))
    effects = draw(arrays(float, (count, CHANNELS), elements=st.floats(-100.0, 100.0)))
    # independent means of readings; the first comparisons share baselines, and each has a mean of its own
    errors = draw(arrays(float, (means, CHANNELS), elements=st.floats(0.5, 10.0)))
    weights = np.zeros((count, means))
    for row in range(count):
        weights[row, row] = 1.0
        weights[row, draw(st.integers(count, means - 1))] = -1.0
    covariance = np.zeros((count, count, CHANNELS, CHANNELS))
    for channel in range(CHANNELS):
        covariance[:, :, channel, channel] = weights * errors[:, channel] ** 2 @ weights.T
    sizes = draw(st.lists(st.sampled_from(["25 mm", "40 mm"]), min_size=count, max_size=count))
    settings = st.sets(st.sampled_from(["wing 4", "wing 8", "splitter"]))
    return sizes, effects, covariance, draw(st.lists(settings, min_size=count, max_size=count))


def variances_of_one_size(day, size):
    """Give the rows of one size and their covariance, summed over the channels, interactions in it."""
    sizes, effects, covariance, differing = day
    rows = [row for row, one in enumerate(sizes) if one == size]
    level = np.broadcast_to(effects[rows].mean(axis=0), (len(rows), CHANNELS))
    channels = np.arange(CHANNELS)
    own = covariance[np.ix_(rows, rows)][:, :, channels, channels]
    return rows, (own + _interaction_covariance(level, [differing[row] for row in rows])).sum(axis=2)


@given(day=comparisons())
def test_by_another_library(day):
    from statsmodels.regression.linear_model import GLS

    found = one_effect_per_size(*day)
    for place, size in enumerate(found.sizes):
        rows, sigma = variances_of_one_size(day, size)
        fitted = GLS(day[1][rows, 0], np.ones(len(rows)), sigma=sigma).fit()
        assert found.effects[place, 0] == pytest.approx(fitted.params[0], rel=1e-6, abs=1e-6)
        variance = np.trace(found.covariance[place, place])
        assert variance == pytest.approx(fitted.normalized_cov_params[0, 0], rel=1e-6)


@given(day=comparisons(), data=st.data())
def test_the_order_of_comparisons_does_not_matter(day, data):
    sizes, effects, covariance, differing = day
    order = data.draw(st.permutations(range(len(sizes))))
    here = one_effect_per_size(*day)
    there = one_effect_per_size(
        [sizes[k] for k in order],
        effects[order],
        covariance[np.ix_(order, order)],
        [differing[k] for k in order],
    )
    place = [there.sizes.index(one) for one in here.sizes]
    assert there.effects[place] == pytest.approx(here.effects, rel=1e-6, abs=1e-6)
    assert there.covariance[np.ix_(place, place)] == pytest.approx(here.covariance, rel=1e-6, abs=1e-6)


@given(day=comparisons())
def test_sums_of_channels_stay_sums(day):
    sizes, effects, covariance, differing = day
    summed = np.append(effects, effects[:, :1] + effects[:, 1:2], axis=1)
    wider = np.zeros((*covariance.shape[:2], 4, 4))
    wider[:, :, :3, :3] = covariance
    wider[:, :, 3, 3] = covariance[:, :, 0, 0] + covariance[:, :, 1, 1]
    found = one_effect_per_size(sizes, summed, wider, differing).effects
    assert found[:, 3] == pytest.approx(found[:, 0] + found[:, 1], rel=1e-9, abs=1e-9)


@given(day=comparisons())
def test_weights_belong_to_their_own_size_and_no_comparison_alone_is_better(day):
    found = one_effect_per_size(*day)
    own = np.array([[one == name for name in found.sizes] for one in day[0]], float)
    assert found.weights @ own == pytest.approx(np.eye(len(found.sizes)), abs=1e-9)
    for place, size in enumerate(found.sizes):
        _, sigma = variances_of_one_size(day, size)
        assert np.trace(found.covariance[place, place]) <= sigma.diagonal().min() * (1 + 1e-9)


@given(day=comparisons(), again=st.integers(1, 4))
def test_one_comparison_told_twice_is_not_two(day, again):
    """Its covariance is singular then: the same readings say nothing new."""
    sizes, effects, covariance, differing = day
    rows = [*range(len(sizes)), *[0] * again]
    once = one_effect_per_size(*day)
    more = one_effect_per_size(
        [sizes[k] for k in rows],
        effects[rows],
        covariance[np.ix_(rows, rows)],
        [differing[k] for k in rows],
    )
    # the level that the 15 % are of is a plain mean, and moves; without a difference in settings nothing does
    if not any(differing):
        assert more.effects == pytest.approx(once.effects, rel=1e-6, abs=1e-6)
        assert more.covariance == pytest.approx(once.covariance, rel=1e-6, abs=1e-6)
    alone = one_effect_per_size(sizes[:1], effects[:1], covariance[:1, :1], [()])
    rows = [0] * (again + 1)
    told = one_effect_per_size(
        [sizes[0]] * len(rows), effects[rows], covariance[np.ix_(rows, rows)], [()] * len(rows)
    )
    assert told.effects == pytest.approx(alone.effects, rel=1e-9, abs=1e-9)
    assert told.covariance == pytest.approx(alone.covariance, rel=1e-9, abs=1e-9)


@given(day=comparisons())
def test_unknown_scatter_gives_plain_means_and_no_covariance(day):
    sizes, effects, covariance, differing = day
    found = one_effect_per_size(sizes, effects, np.full_like(covariance, np.nan), differing)
    for place, size in enumerate(found.sizes):
        own = [row for row, one in enumerate(sizes) if one == size]
        assert found.effects[place] == pytest.approx(effects[own].mean(axis=0), rel=1e-12, abs=1e-12)
    assert np.all(np.isnan(found.covariance[:, :, 0, 0]))


def test_a_channel_of_unknown_scatter_leaves_the_weights_to_the_others():
    covariance = np.zeros((2, 2, 2, 2))
    covariance[:, :, 0, 0] = np.diag([1.0, 3.0])
    covariance[:, :, 1, 1] = np.nan
    found = one_effect_per_size(["a", "a"], [[10.0, 1.0], [20.0, 2.0]], covariance, [(), ()])
    assert found.effects.tolist() == pytest.approx(np.array([[12.5, 1.25]]))
    assert found.covariance[0, 0, 0, 0] == pytest.approx(0.75)
    assert np.isnan(found.covariance[0, 0, 1, 1])


def test_what_settings_do_to_a_part_is_shared_by_those_that_differ_alike():
    """Two comparisons at one other wing angle say less together than at two: what that angle does is in both."""
    covariance = np.zeros((2, 2, 1, 1))
    covariance[:, :, 0, 0] = np.eye(2)
    effects = [[100.0], [100.0]]
    alike = one_effect_per_size(["a"] * 2, effects, covariance, [{"wing 4"}, {"wing 4"}])
    apart = one_effect_per_size(["a"] * 2, effects, covariance, [{"wing 4"}, {"wing 8"}])
    share = (PAIR_SHARE * 100.0) ** 2
    assert alike.covariance.item() == pytest.approx(0.5 + share)
    assert apart.covariance.item() == pytest.approx(0.5 + share / 2)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (([], np.zeros((0, 1)), np.zeros((0, 0, 1, 1)), []), "found 0 sizes"),
        ((["a"], [[1.0]], np.zeros((1, 1, 1, 1)), []), "0 conditions"),
        ((["a"], [[1.0]], np.zeros((1, 1)), [()]), "a covariance of shape (1, 1)"),
        ((["a"], [[np.inf]], np.zeros((1, 1, 1, 1)), [()]), "not finite"),
    ],
)
def test_what_does_not_belong_together_is_refused(arguments, words):
    with pytest.raises(DomainError) as refused:
        one_effect_per_size(*arguments)
    assert words in str(refused.value)
