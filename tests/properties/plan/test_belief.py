"""What is believed of runs not made: equal to an independent Gaussian process, and what must hold of any belief.

The peer is scikit-learn's GaussianProcessRegressor with the kernel of plan's section on belief written out once more, pair by
pair of configurations, from its definition.
"""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import Kernel

from balance.decide.day.day import reduce_day
from balance.decide.plan.belief import ReadingNoise, believe
from balance.decide.plan.configuration import configuration
from balance.decide.plan.day_belief import belief_before, belief_of_day, covariance_of_noise
from balance.decide.plan.prior import prior_of, with_scales
from balance.model.errors import InputError
from balance.model.plans import DayPlan, ExpectedEffect, WantedRun
from balance.model.records import Setting

FITTINGS = st.fixed_dictionaries(
    {},
    optional={
        "wing": st.sampled_from([2.0, 5.0, 8.0, 14.0]),
        "splitter": st.sampled_from([40.0, 60.0]),
        "vents": st.sampled_from(["open", "louvred"]),
        "canards": st.just("pair"),
    },
).map(configuration)
NOISE = ReadingNoise(fit=np.array([4e-5, 5e-5, 1e-5]), reading=np.array([1e-5, 2e-5, 0.5e-5]))
EXPECTED = (
    ExpectedEffect(setting="splitter", value=40.0, mean=(0.2, None, 0.01), std=(0.1, None, 0.01)),
    ExpectedEffect(setting="splitter", value=60.0, mean=(0.3, -0.02, None), std=(0.12, 0.03, None)),
    ExpectedEffect(setting="vents", value="open", mean=(-0.02, 0.0, -0.01), std=(0.02, 0.02, 0.01)),
)


def level_and_slopes(runs, seed=0):
    rng = np.random.default_rng(seed)
    return np.array([-0.08, -0.25, 1.0]) + 0.2 * rng.standard_normal((len(runs), 3))


def believed(runs, start=None, **more):
    """A belief of readings in which each is a fit of its own, the third and fourth but one, with two blocks."""
    start = configuration({}) if start is None else start
    fits = np.arange(len(runs))
    if len(runs) > 3:
        fits[3] = fits[2]
    blocks = (np.arange(len(runs)) > len(runs) // 2).astype(int)
    order = np.arange(len(runs), dtype=float)
    prior = prior_of([*runs, *more.pop("others", ())], start, 1.0, **more)
    covariance = covariance_of_noise(NOISE, fits=fits, blocks=blocks, order=order, drag_area=1.0)
    return believe(prior, runs, level_and_slopes(runs), covariance, NOISE), covariance


class WrittenOut(Kernel):
    """The additive kernel of second order, from its definition, and the covariance of what readings share besides.

    Rows are numbers of configurations, and of readings: -1 for what is no reading.
    """

    def __init__(self, prior, channel, configurations, shared):
        self.prior, self.channel, self.configurations, self.shared = prior, channel, configurations, shared

    def is_stationary(self):
        return False

    def diag(self, rows):
        return np.array([self(row[None], row[None])[0, 0] for row in rows])

    def __call__(self, rows, others=None, eval_gradient=False):  # noqa: ARG002, FBT002 - the peer's signature
        others = rows if others is None else others
        return np.array([[self.pair(a, b) for b in others] for a in rows])

    def pair(self, first, second):
        (a, reading), (b, other) = first.astype(int), second.astype(int)
        total = self.prior.level_std[self.channel] ** 2
        units = [
            (s.scale[self.channel], self.unit(s, self.configurations[a], self.configurations[b]))
            for s in self.prior.settings
        ]
        total += sum(scale**2 * unit for scale, unit in units)
        for (one, x), (two, y) in itertools.combinations(units, 2):
            total += (0.15 * min(one, two)) ** 2 * x * y
        if reading >= 0 and other >= 0 and reading != other:
            total += self.shared[reading, other]
        return total

    @staticmethod
    def unit(setting, one, other):
        x, y = one.value(setting.name), other.value(setting.name)
        if setting.reference is None:
            if x is None or y is None:
                return 0.0
            if isinstance(x, str):
                return float(x == y)
            return 1.0 - abs(x - y) / (2.0 * setting.span) if setting.span else 1.0
        if isinstance(x, str):
            return float(x == y != setting.reference)
        base = setting.reference
        walked = abs(x - base) + abs(y - base) - abs(x - y)
        return walked / (2.0 * setting.span) if setting.span else 0.0


@settings(max_examples=40)  # the peer takes its time
@given(
    st.lists(FITTINGS, min_size=1, max_size=8),
    st.lists(FITTINGS, min_size=1, max_size=5),
    st.booleans(),
    st.booleans(),
)
def test_mean_and_covariance_are_those_of_another_gaussian_process(runs, asked, never_absent, stated):
    start = configuration({"height": 30.0, "seal": "long"} if never_absent else {})
    if never_absent:
        runs, asked = (
            [
                configuration(
                    {**dict(one.settings), "height": 30.0 + 5.0 * k, "seal": "short" if k % 2 else "long"}
                )
                for k, one in enumerate(some)
            ]
            for some in (runs, asked)
        )
    belief, covariance = believed(runs, start, others=asked, expected=EXPECTED if stated else ())
    every = [*runs, *asked]
    at = np.array([[k, k] for k in range(len(runs))])
    new = np.array([[len(runs) + k, -1] for k in range(len(asked))])
    prior_means = belief.prior.mean(every)
    for channel in range(3):
        kernel = WrittenOut(belief.prior, channel, every, covariance[channel])
        peer = GaussianProcessRegressor(
            kernel, alpha=np.diag(covariance[channel]), optimizer=None, copy_X_train=False
        ).fit(at, level_and_slopes(runs)[:, channel] - prior_means[: len(runs), channel])
        mean, cov = peer.predict(new, return_cov=True)
        np.testing.assert_allclose(
            belief.mean(asked)[:, channel], mean + prior_means[len(runs) :, channel], rtol=0.0, atol=1e-9
        )
        np.testing.assert_allclose(belief.covariance(asked)[channel], cov, rtol=0.0, atol=1e-9)
        np.testing.assert_allclose(
            belief.std(asked)[:, channel] ** 2, np.maximum(np.diag(cov), 0.0), rtol=0.0, atol=1e-9
        )


@given(st.lists(FITTINGS, min_size=1, max_size=8), st.lists(FITTINGS, min_size=1, max_size=5))
def test_a_reading_more_never_makes_blinder(runs, asked):
    start = configuration({})
    prior = prior_of([*runs, *asked], start, 1.0)

    def stds(count):
        covariance = covariance_of_noise(
            NOISE,
            fits=np.arange(count),
            blocks=np.zeros(count, int),
            order=np.zeros(count),
            drag_area=1.0,
        )
        return believe(prior, runs[:count], level_and_slopes(runs)[:count], covariance, NOISE).std(asked)

    assert np.all(stds(len(runs)) <= stds(len(runs) - 1) + 1e-9)


@given(st.permutations(range(6)))
def test_the_order_of_readings_of_one_place_does_not_matter(order):
    runs = [
        configuration(one)
        for one in ({}, {"wing": 2.0}, {"wing": 8.0}, {"vents": "open"}, {"wing": 2.0, "vents": "open"}, {})
    ]
    areas = level_and_slopes(runs)
    asked = [configuration({"wing": 5.0, "vents": "open"})]

    def means(some):
        covariance = covariance_of_noise(
            NOISE, fits=np.arange(6), blocks=np.zeros(6, int), order=np.zeros(6), drag_area=1.0
        )
        prior = prior_of([*runs, *asked], runs[0], 1.0)
        return believe(prior, [runs[k] for k in some], areas[list(some)], covariance, NOISE).mean(asked)

    np.testing.assert_allclose(means(order), means(range(6)), rtol=0.0, atol=1e-9)


def test_what_is_not_fitted_does_nothing_and_a_part_alone_adds_its_own_variance():
    # by the definitions: 0.20 of the drag area for a wing, 0.07 for other parts, 0.15 of the smaller for a pair
    wing, both = configuration({"wing": 5.0}), configuration({"wing": 5.0, "canards": "pair"})
    start = configuration({})
    prior = prior_of([wing, both], start, 1.0)
    covariance = prior.covariance([start, wing, both], [start, wing, both])[0]
    assert covariance[0] == pytest.approx([1.0, 1.0, 1.0])
    assert covariance[1, 1] == pytest.approx(1.0 + 0.2**2)
    assert covariance[2, 2] == pytest.approx(1.0 + 0.2**2 + 0.07**2 + (0.15 * 0.07) ** 2)
    assert covariance[1, 2] == pytest.approx(1.0 + 0.2**2)
    drag = prior.covariance([both], [both])[2, 0, 0]
    assert drag == pytest.approx(1.0 + 0.04**2 + 0.014**2 + (0.15 * 0.014) ** 2)


def test_scales_follow_effects_seen_as_two_to_one():
    prior = prior_of([configuration({"wing": 5.0})], configuration({}), 1.0)
    (setting,) = with_scales(prior, {"wing": np.array([0.5, 0.0, 0.04])}).settings
    # sqrt((2 sd^2 + d^2)/3) by hand: sqrt((0.08 + 0.25)/3), sqrt(0.08/3), and the same where d is the sd itself
    assert setting.scale == pytest.approx([0.33166248, 0.16329932, 0.04], abs=5e-9)


def test_between_two_stated_values_the_mean_lies_on_the_line():
    known = [configuration({"splitter": 50.0}), configuration({"vents": "open"})]
    prior = prior_of(known, configuration({}), 1.0, expected=EXPECTED)
    some = [configuration({"splitter": at}) for at in (30.0, 40.0, 50.0, 60.0, 70.0)]
    assert prior.mean(some)[:, 0] == pytest.approx([0.2, 0.2, 0.25, 0.3, 0.3])
    assert prior.mean([configuration({}), configuration({"vents": "open"})])[:, 0] == pytest.approx(
        [0.0, -0.02]
    )
    (setting,) = (one for one in prior.settings if one.name == "splitter")
    assert setting.scale == pytest.approx(
        [0.12, 0.2, 0.04]
    )  # the larger stated; the usual one where one was silent


def day_of(make_session, rows, **more):
    labels, settings, forces, fields = zip(*[(*row, {})[:4] for row in rows], strict=True)
    runs = [
        {
            "settings": {
                name: Setting(value=value, unit="" if isinstance(value, str) else "deg")
                for name, value in one.items()
            },
            **extra,
        }
        for one, extra in zip(settings, fields, strict=True)
    ]
    return reduce_day(make_session(forces, configurations=labels, runs=runs, **more), draws=100)


PRESSURE = 0.5 * 1.2 * 50.0**2


def test_a_day_is_believed_nearly_as_it_was_read(make_session):
    day = day_of(
        make_session,
        [
            ("base", {}, (-80.0, -280.0, 1150.0)),
            ("wing 4", {"wing": 4.0}, (-150.0, 100.0, 1190.0)),
            ("wing 8", {"wing": 8.0}, (-180.0, 300.0, 1220.0)),
            ("base", {}, (-78.0, -284.0, 1152.0)),
        ],
    )
    stand = belief_of_day(day, DayPlan())
    assert stand.start == configuration({})
    between = [configuration({"wing": at}) for at in (4.0, 6.0, 8.0)]
    mean, std = stand.belief.mean(between) * PRESSURE, stand.belief.std(between) * PRESSURE
    assert mean[0] == pytest.approx([-150.0, 100.0, 1190.0], abs=5.0)
    assert mean[1] == pytest.approx(
        [-165.0, 200.0, 1205.0], abs=8.0
    )  # half way: a random walk expects the line
    assert np.all(std[1] > 3.0 * std[0])


def test_labels_alone_are_one_setting(make_session):
    rows = [
        ("base", {}, (1.0, 2.0, 900.0)),
        ("wing", {}, (3.0, 2.0, 900.0)),
        ("base again", {}, (1.0, 2.0, 900.0)),
    ]
    stand = belief_of_day(day_of(make_session, rows), DayPlan())
    assert [dict(one.settings) for one in stand.fitted] == [{}, {"configuration": "wing"}, {}]


def test_a_run_of_another_block_is_shifted_and_never_moves_the_effects(make_session):
    morning = [
        ("base", {}, (-80.0, -280.0, 1150.0), {"block": "am"}),
        ("wing", {"wing": 4.0}, (-150.0, 100.0, 1190.0), {"block": "am"}),
    ]
    afternoon = [("base", {}, (-60.0, -260.0, 1160.0), {"block": "pm"})]
    stand = belief_of_day(day_of(make_session, [*morning, *afternoon]), DayPlan())
    base, wing = stand.belief.mean([configuration({}), configuration({"wing": 4.0})]) * PRESSURE
    assert base == pytest.approx([-60.0, -260.0, 1160.0], abs=4.0)  # as it reads now
    assert wing - base == pytest.approx(
        [-70.0, 380.0, 40.0], abs=8.0
    )  # as it was measured within the morning


def test_before_the_first_run_sizes_come_from_the_frontal_area(make_session, make_vehicle):
    plan = DayPlan(wanted=(WantedRun(settings={"wing": 5.0}),))
    day = make_session([(1.0, 2.0, 900.0)], vehicle=make_vehicle(frontal_area=2.0))
    stand = belief_before(day, plan)
    assert stand.belief.prior.drag_area == pytest.approx(0.7)  # 0.35 of the frontal area
    assert stand.belief.mean([configuration({})])[0] == pytest.approx([0.0, 0.0, 0.7])
    with pytest.raises(InputError, match="state frontal_area"):
        belief_before(make_session([(1.0, 2.0, 900.0)]), plan)


def test_noise_is_fits_readings_drift_and_blocks_by_hand():
    found = covariance_of_noise(
        NOISE,
        fits=np.array([0, 1, 1, 2]),
        blocks=np.array([0, 1, 1, 1]),
        order=np.array([0.0, 1.0, 2.0, 3.0]),
        drag_area=1.0,
    )[0]
    fit, reading, step = 4e-5, 1e-5, 0.2**2 * 5e-5  # a step of the drift: 0.2 of one reading of one fit
    shift = 0.03**2  # of the drag area, for a block that is over
    assert found[0] == pytest.approx([fit + reading + shift, 0.0, 0.0, 0.0])
    assert found[1] == pytest.approx([0.0, fit + reading + 3 * step, fit + 2 * step, step])
    assert found[3] == pytest.approx([0.0, step, step, fit + reading + step])
    double = covariance_of_noise(
        NOISE,
        fits=np.arange(1),
        blocks=np.zeros(1, int),
        order=np.zeros(1),
        drag_area=1.0,
        over=np.array([2.0]),
    )
    assert double[0, 0, 0] == pytest.approx(4.0 * (fit + reading + step))  # at half the dynamic pressure


def test_a_scatter_that_nobody_knows_is_assumed_and_said(make_session):
    rows = [("base", {}, (-80.0, -280.0, 1150.0)), ("wing", {"wing": 4.0}, (-150.0, 100.0, 1190.0))]
    unknown = belief_of_day(day_of(make_session, rows, deviation=(None, None, None)), DayPlan()).belief.noise
    assert np.sqrt(unknown.reading) == pytest.approx([0.005] * 3)
    assert np.sqrt(unknown.fit) == pytest.approx([0.010] * 3)
    assert unknown.assumed == ("scatter",)
    stated = belief_of_day(day_of(make_session, rows), DayPlan()).belief.noise
    assert np.sqrt(stated.of_mean(1, 1)) * PRESSURE == pytest.approx([7.0, 7.0, 4.0])
    assert np.sqrt(stated.fit / stated.reading) == pytest.approx([2.0] * 3)
    assert stated.assumed == ("refit",)
