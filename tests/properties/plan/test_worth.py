"""What a run is worth: against simulation and closed forms, and what must hold of any worth.

Beliefs are invented; expected values come from up to 10^6 draws of the definition, made here without the product's formulas, or
from closed forms for one number (P. Frazier, W. Powell, S. Dayanik, 2009).
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm, qmc, t

from balance.decide.day.day import reduce_day
from balance.decide.plan.belief import ReadingNoise, believe
from balance.decide.plan.change_times import ChangeTimes, clock_time, stated_times, times_of_day
from balance.decide.plan.configuration import configuration, distinct
from balance.decide.plan.day_belief import belief_of_day, covariance_of_noise
from balance.decide.plan.expected_gain import expected_gain
from balance.decide.plan.merit import _mean_beyond, merit_of_day, merit_of_track
from balance.decide.plan.next_run import next_runs, time_left
from balance.decide.plan.parts_to_know import known_parts, lack_after, parts_to_know
from balance.decide.plan.prior import prior_of
from balance.decide.plan.sobol import _sobol_points, normal_points
from balance.decide.plan.worth import (
    _log_pair_worth,
    log_bounds,
    moved_by_reading,
    share_best,
    weigh,
    worth_by_points,
)
from balance.model.errors import DomainError, InputError
from balance.model.plans import Choose, DayPlan, Hours, Know, WantedRun
from balance.model.records import HALF_95, Setting

NOISE = ReadingNoise(fit=np.array([4e-5, 5e-5, 1e-5]), reading=np.array([1e-5, 2e-5, 0.5e-5]))
EVERY = distinct(
    configuration(one)
    for one in (
        {},
        {"wing": 2.0},
        {"wing": 5.0},
        {"wing": 8.0},
        {"splitter": 60.0},
        {"splitter": 60.0, "wing": 5.0},
        {"splitter": 60.0, "wing": 8.0},
        {"vents": "open", "wing": 5.0},
        {"splitter": 60.0, "vents": "open", "wing": 8.0},
    )
)
TRUE = {"wing": (-0.05, 0.25, 0.03), "splitter": (0.25, -0.02, 0.015), "vents": (0.03, 0.0, -0.005)}


@pytest.fixture
def merit(make_session):
    return merit_of_day(make_session([(1.0, 2.0, 900.0)]))


def belief_from(count, seed):
    rng = np.random.default_rng(seed)
    runs = [EVERY[k] for k in rng.permutation(len(EVERY))[:count]]
    areas = np.array([0.05, -0.05, 0.9]) + np.array(
        [sum((np.array(TRUE[name]) for name in one.names), np.zeros(3)) for one in runs]
    )
    areas = areas + 0.05 * rng.standard_normal(areas.shape) * np.array([1.0, 1.0, 0.2])
    covariance = covariance_of_noise(
        NOISE,
        fits=np.arange(count),
        blocks=np.zeros(count, int),
        order=np.arange(count, dtype=float),
        drag_area=0.9,
    )
    return believe(prior_of(EVERY, configuration({}), 0.9), runs, areas, covariance, NOISE)


def moves(covariance, own, noise):
    """How far what is believed moves for one standard deviation of what is read."""
    return covariance / np.sqrt(own + noise[:, None])[..., None]


def bounds_of(alternatives, covariance, own, noise):
    """The bounds where all alternatives were run."""
    run = np.arange(len(alternatives.configurations))
    of_runs = run[np.arange(own.shape[1]) % run.size]
    return log_bounds(alternatives, run, of_runs, moves(covariance, own, noise))


def simulated(belief, merit, alternatives, run, noise, count):
    """The definition: draw what is read, condition each alternative on it, take the best expected merit."""
    rng = np.random.default_rng(7)
    some = alternatives.configurations
    mean, covariance = belief.mean(some), belief.covariance([*some, run])
    z = rng.standard_normal((count, 3))
    total = np.full(count, -np.inf)
    slope, surplus = alternatives.about.slope, alternatives.about.surplus
    for k in range(len(some)):
        shift = np.empty((count, 3))
        left = np.empty(3)
        for channel in range(3):
            read = covariance[channel, -1, -1] + noise[channel]
            share = covariance[channel, k, -1] / read
            shift[:, channel] = share * np.sqrt(read) * z[:, channel]
            left[channel] = covariance[channel, k, k] - share * covariance[channel, k, -1]
        std = np.sqrt(left @ slope[k] ** 2)
        s = surplus[k] + shift @ slope[k]
        above, below = (s - merit.high) / std, (merit.low - s) / std
        cost = merit.beyond_rear * std * (above * norm.cdf(above) + norm.pdf(above))
        cost += merit.beyond_front * std * (below * norm.cdf(below) + norm.pdf(below))
        np.maximum(total, (mean[k] + shift) @ merit.weights - cost, out=total)
    return float(total.mean() - alternatives.merit.max())


@pytest.mark.parametrize("draws", [200_000, pytest.param(1_000_000, marks=pytest.mark.slow)])
def test_worth_is_that_of_many_draws(merit, draws):
    """Of one candidate within what its points miss, over many of them as good as exact."""
    found, wanted = [], []
    for seed in range(5):
        belief = belief_from(3, seed)
        alternatives = weigh(belief, merit, EVERY)
        covariance, own = moved_by_reading(belief, alternatives, EVERY)
        noise = NOISE.of_mean(1, 1)
        worth = [
            worth_by_points(alternatives, merit, moves(covariance, own, noise)[:, k], enough=1.0).worth
            for k in range(len(EVERY))
        ]
        k = int(np.argmax(worth))
        found.append(worth[k])
        wanted.append(simulated(belief, merit, alternatives, EVERY[k], noise, draws))
    ratios = np.array(found) / wanted
    assert sum(found) / sum(wanted) == pytest.approx(1.0, abs=0.01)
    assert np.abs(ratios - 1.0).max() < 0.05


def test_without_a_band_worth_is_the_exact_one_of_a_line(merit):
    """With one channel alone that counts and no band, merit moves along a line: the knowledge gradient is exact."""
    free = replace(merit, beyond_rear=0.0, beyond_front=0.0, weights=np.array([0.0, 1500.0, 0.0]))
    for seed in range(4):
        belief = belief_from(4, seed)
        alternatives = weigh(belief, free, EVERY)
        covariance, own = moved_by_reading(belief, alternatives, EVERY)
        noise = NOISE.of_mean(1, 2)
        for k in range(len(EVERY)):
            moved = 1500.0 * covariance[1, k] / np.sqrt(own[1, k] + noise[1])
            exact = expected_gain(alternatives.merit, moved)
            points = worth_by_points(
                alternatives, free, moves(covariance, own, noise)[:, k], enough=1.0
            ).worth
            assert points == pytest.approx(exact, rel=0.04, abs=0.3)
            logs = bounds_of(alternatives, covariance, own, noise)[k]
            assert logs <= expected_gain(alternatives.merit, moved, log=True) + 1e-9


def test_the_bound_of_two_independent_alternatives_is_exact(merit):
    free = replace(merit, beyond_rear=0.0, beyond_front=0.0, weights=np.array([0.0, 1500.0, 0.0]))
    belief = belief_from(4, 3)
    two = EVERY[:2]
    alternatives = weigh(belief, free, two)
    covariance, own = moved_by_reading(belief, alternatives, two)
    noise = NOISE.of_mean(1, 1)
    for k in range(2):
        moved = 1500.0 * covariance[1, k] / np.sqrt(own[1, k] + noise[1])
        assert bounds_of(alternatives, covariance, own, noise)[k] == pytest.approx(
            expected_gain(alternatives.merit, moved, log=True), abs=1e-9
        )


@given(st.integers(0, 10_000), st.integers(1, 6), st.sampled_from([(1, 1), (1, 4), (4, 1)]))
def test_worth_is_never_below_zero_nor_the_less_for_more_readings(seed, count, plan):
    merit = _merit_of_any_car()
    belief = belief_from(count, seed)
    alternatives = weigh(belief, merit, EVERY)
    covariance, own = moved_by_reading(belief, alternatives, EVERY)

    def worth(k, noise):
        return worth_by_points(alternatives, merit, moves(covariance, own, noise)[:, k], enough=1.0).worth

    for k in range(len(EVERY)):
        one, more = worth(k, NOISE.of_mean(1, 1)), worth(k, NOISE.of_mean(*plan))
        assert one >= 0.0
        assert more >= one * 0.97 - 0.5  # the points are few: no more than they miss


def test_nothing_is_worth_anything_where_nothing_can_change(merit):
    belief = belief_from(4, 1)
    one = weigh(belief, merit, EVERY[:1])
    covariance, own = moved_by_reading(belief, one, EVERY)
    noise = NOISE.of_mean(1, 1)
    assert np.all(bounds_of(one, covariance, own, noise) == -np.inf)
    for k in range(len(EVERY)):
        found = worth_by_points(one, merit, moves(covariance, own, noise)[:, k], enough=1.0)
        assert (found.worth, found.changes_choice, found.would_become) == (0.0, 0.0, None)
    alike = weigh(belief, merit, EVERY)
    found = worth_by_points(alike, merit, np.zeros((3, len(EVERY))), enough=1.0)
    assert found.worth == 0.0


@given(st.floats(-1e4, 1e4), st.integers(0, 50))
def test_a_constant_added_to_all_changes_no_worth(constant, seed):
    merit = _merit_of_any_car()
    belief = belief_from(4, seed)
    one = weigh(belief, merit, EVERY)
    other = replace(one, merit=one.merit + constant)
    covariance, own = moved_by_reading(belief, one, EVERY)
    noise = NOISE.of_mean(1, 1)
    bounds = [bounds_of(some, covariance, own, noise) for some in (one, other)]
    np.testing.assert_allclose(*bounds, rtol=1e-6, atol=1e-5)
    for k in (0, 4):
        points = [
            worth_by_points(some, merit, moves(covariance, own, noise)[:, k], enough=1.0)
            for some in (one, other)
        ]
        assert points[0].worth == pytest.approx(points[1].worth, abs=1e-6)


def _merit_of_any_car():
    from tests.properties.conftest import build_session

    return merit_of_day(build_session([(1.0, 2.0, 900.0)]))


def test_a_run_that_is_believed_better_than_all_before_is_worth_that_much(merit):
    belief = belief_from(4, 1)
    every = weigh(belief, merit, EVERY)
    last = int(np.argsort(every.merit)[-2])
    run = [one for k, one in enumerate(EVERY) if every.merit[k] <= every.merit[last]]
    stands = weigh(belief, merit, EVERY, run=set(run))
    assert stands.best == last
    lead = float(every.merit.max() - every.merit[last])
    new = int(np.argmax(every.merit))
    covariance, own = moved_by_reading(belief, stands, EVERY)
    noise = NOISE.of_mean(1, 1)
    found = worth_by_points(stands, merit, moves(covariance, own, noise)[:, new], enough=0.0)
    assert found.worth >= lead - 1e-9
    rows = np.array([k for k, one in enumerate(EVERY) if one in run])
    bounds = log_bounds(stands, rows, np.arange(len(EVERY)), moves(covariance, own, noise))
    assert bounds[new] >= np.log(lead) - 1e-9
    sure = _log_pair_worth(np.array([3.0, -3.0]), np.zeros(2))
    assert sure.tolist() == [pytest.approx(np.log(3.0)), -np.inf]


def test_points_are_those_of_another_sobol_and_standard_normal():
    np.testing.assert_array_equal(_sobol_points(256), qmc.Sobol(3, scramble=False).random(256))
    points = normal_points()
    np.testing.assert_allclose(points.mean(axis=0), 0.0, atol=1e-12)
    np.testing.assert_allclose(points.T @ points / len(points), np.eye(3), atol=1e-12)


@pytest.mark.parametrize(
    ("distance", "std"), [(0.3, 0.2), (-0.3, 0.2), (0.0, 1.0), (5.0, 0.1), (-1.0, 0.0), (1.0, 0.0)]
)
def test_the_mean_of_what_lies_beyond_an_edge(distance, std):
    draws = np.maximum(distance + std * np.random.default_rng(1).standard_normal(400_000), 0.0)
    found = float(_mean_beyond(np.array(distance), np.array(std)))
    assert found == pytest.approx(draws.mean(), abs=4.0 * draws.std() / np.sqrt(400_000) + 1e-12)


def test_one_newton_off_balance_costs_three_at_the_rear_and_six_at_the_front(make_session):
    """By the definition of the price; beyond the band a newton more moves the surplus by p/W of its axle, nearly."""
    merit = merit_of_day(make_session([(1.0, 2.0, 900.0)]))
    pressure = merit.dynamic_pressure

    def cost(front, rear):
        mean = np.array([[front, rear, 900.0]]) / pressure
        about = merit.linearised(mean)
        none = np.zeros(1)
        return float(mean[0] @ merit.weights - merit.expected(mean, about.surplus, none)[0])

    assert cost(0.0, 100.0) == 0.0
    assert cost(0.0, 1001.0) - cost(0.0, 1000.0) == pytest.approx(3.0, rel=0.03)
    assert cost(1001.0, 0.0) - cost(1000.0, 0.0) == pytest.approx(
        6.0, rel=0.35
    )  # the surplus flattens as loads grow


def test_shares_of_being_best_sum_to_one_and_follow_the_merit(merit):
    alternatives = weigh(belief := belief_from(7, 2), merit, EVERY)
    shares = share_best(belief, merit, alternatives)
    assert shares.sum() == pytest.approx(1.0)
    assert shares[alternatives.best] == shares.max()


# --- whole days


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


ROWS = [
    ("base", {}, (-80.0, -280.0, 1150.0), {"time": "09:00"}),
    ("splitter", {"splitter": 60.0}, (280.0, -300.0, 1170.0), {"time": "09:20"}),
    ("both", {"splitter": 60.0, "wing": 4.0}, (210.0, 90.0, 1210.0), {"time": "09:40"}),
    ("both", {"splitter": 60.0, "wing": 8.0}, (180.0, 300.0, 1240.0), {"time": "09:48"}),
    ("base", {}, (-82.0, -284.0, 1152.0), {"time": "10:20"}),
]
WANTED = (
    WantedRun(configuration="steep", settings={"splitter": 60.0, "wing": 12.0}),
    WantedRun(configuration="other label", settings={"splitter": 60.0, "wing": 8.0}),
    WantedRun(configuration="canards", settings={"canards": "pair"}, must=True),
)


@pytest.fixture
def day(make_session):
    return day_of(make_session, ROWS)


def ranked(day, plan, **more):
    return next_runs(belief_of_day(day, plan), plan, **more)


def test_candidates_are_wanted_runs_repeats_neighbours_and_unions(day):
    found = ranked(day, DayPlan(wanted=WANTED))
    kinds = {one.configuration: one.kind for one in found.runs}
    assert kinds[configuration(WANTED[0].settings)] == "wanted"
    assert kinds[configuration({})] == "baseline"
    assert kinds[found.best] == "best"
    assert (
        configuration(WANTED[1].settings) in kinds
    )  # run already, though of another label: a neighbour at most
    assert kinds[configuration(WANTED[1].settings)] != "wanted"
    assert kinds[configuration({"canards": "pair", "splitter": 60.0})] in ("union", "value")
    assert "between" in kinds.values()
    assert [one.label for one in found.runs if one.must] == ["canards"]


def test_holes_and_limits_of_an_adjuster_are_kept(make_session, make_vehicle):
    from balance.model.records import Adjuster

    holes = Adjuster(setting="wing", unit="deg", holes=(("1", 4.0), ("2", 5.0), ("3", 8.0)), high=8.0)
    day = day_of(make_session, ROWS, vehicle=make_vehicle(adjusters=(holes,)))
    found = ranked(day, DayPlan(wanted=WANTED))
    values = {one.configuration.value("wing") for one in found.runs}
    assert values <= {None, 4.0, 5.0, 8.0}
    assert 5.0 in values  # the hole nearest to the middle of 4 and 8


def test_the_list_does_not_hang_on_the_order_of_wanted_runs(day):
    one, other = (ranked(day, DayPlan(wanted=wanted)) for wanted in (WANTED, WANTED[::-1]))
    assert [(r.configuration, r.worth, r.readings) for r in one.runs] == [
        (r.configuration, r.worth, r.readings) for r in other.runs
    ]
    assert (one.best, one.share, one.enough, one.stop) == (other.best, other.share, other.enough, other.stop)


def test_ranks_go_by_worth_over_time_and_nothing_is_below_zero(day):
    found = ranked(day, DayPlan(wanted=WANTED))
    rates = [one.worth_rate for one in found.runs]
    assert all(a >= b - 1e-9 for a, b in pairwise(rates))
    assert min(one.worth for one in found.runs) >= 0.0
    for one in found.runs:
        assert (
            one.time
            >= sum(need.time for need in one.needs) + found.times.reading * one.fits * one.readings - 1e-6
        )
        if one.would_become is None:
            assert one.changes_choice == 0.0


def test_time_that_is_not_left_is_not_offered(day):
    hours = Hours(start=9 * 3600.0, end=11 * 3600.0, breaks=((37800.0, 38700.0),))
    plan = DayPlan(hours=hours, reading=300.0, wanted=WANTED)
    found = ranked(day, plan)
    assert found.time_left < 1800.0
    assert all(one.time <= found.time_left for one in found.runs)
    over = ranked(day, plan, now=11 * 3600.0)
    assert (over.time_left, over.runs, over.stop) == (0.0, (), True)


def test_it_says_to_stop_and_offers_the_best_against_the_start(day):
    found = ranked(day, DayPlan(wanted=WANTED, enough=1e6))
    assert found.stop
    assert found.verify[1] == configuration({})
    assert not ranked(day, DayPlan(wanted=WANTED, enough=0.0)).stop


def test_to_know_prefers_what_is_known_worst_and_stops_when_all_is_known(day):
    aim = Know(downforce=10.0, drag=5.0)
    found = ranked(day, DayPlan(wanted=WANTED, aim=aim))
    assert found.unit == "N2"
    assert found.runs[0].worth > 0.0
    assert not found.stop
    wide = ranked(day, DayPlan(wanted=WANTED, aim=Know(downforce=1e5, drag=1e5)))
    assert wide.stop
    assert {one.worth for one in wide.runs} == {0.0}


def test_a_track_needs_its_merit(day):
    with pytest.raises(InputError, match="expected an aim in loads"):
        ranked(day, DayPlan(aim=Choose(track="club")))


def test_what_it_would_take_lies_where_the_choice_flips(day):
    found = ranked(day, DayPlan(wanted=WANTED))
    told = [one for one in found.runs if one.takes is not None]
    assert told
    for one in told:
        assert one.takes.channel in (0, 1, 2)
        assert np.isfinite(one.takes.change)


# --- times


def test_times_are_stated_by_setting_and_by_the_first_word_of_its_name():
    plan = DayPlan(reading=240.0, changes={"wing": 600.0, "wing_angle": 180.0, "vents": 120.0})
    times = stated_times(plan, ["wing_angle", "wing_gurney", "vents", "canards"])
    on, steep = configuration({"wing_angle": 4.0}), configuration({"wing_angle": 8.0})
    bare = configuration({})
    assert (times.between(bare, on), times.between(on, steep), times.between(steep, bare)) == (
        600.0,
        180.0,
        600.0,
    )
    assert times.between(bare, configuration({"vents": "a"})) == 120.0
    assert times.assumed == ("canards",)


def test_times_are_learnt_from_the_clock(day):
    stand = belief_of_day(day, DayPlan())
    found = times_of_day(stand, DayPlan(reading=300.0))
    assert found.learnt
    # from 09:40 to 09:48 only the wing's angle was changed; all other gaps are 20 and 32 minutes long, 15 and 25 were assumed
    before = stated_times(DayPlan(reading=300.0), ["splitter", "wing"])
    assert found.moves["wing"] < before.moves["wing"]
    assert found.fits["wing"] > before.fits["wing"]
    assert found.fits["splitter"] > before.fits["splitter"]
    assert ChangeTimes().between(configuration({}), configuration({})) == 0.0


@pytest.mark.parametrize(
    ("text", "time"), [("9:05", 32700.0), ("14.30", 52200.0), ("", None), ("run 12", None)]
)
def test_times_of_day_are_read_out_of_what_was_typed(text, time):
    assert clock_time(text) == time


def test_breaks_that_are_over_take_no_time():
    hours = Hours(start=0.0, end=1000.0, breaks=((100.0, 200.0), (500.0, 600.0)))
    assert [time_left(hours, now) for now in (0.0, 150.0, 300.0, 550.0, 700.0, 2000.0)] == [
        800.0, 700.0, 600.0, 400.0, 300.0, 0.0,
    ]  # fmt: skip
    assert time_left(None, 3.0) is None


def test_one_gap_seen_counts_as_a_third_of_what_was_stated(make_session):
    rows = [
        ("wing 4", {"wing": 4.0}, (1.0, 2.0, 900.0), {"time": "09:00"}),
        ("wing 8", {"wing": 8.0}, (1.0, 2.0, 900.0), {"time": "09:08"}),
    ]
    plan = DayPlan(reading=300.0, changes={"wing": 300.0})
    found = times_of_day(belief_of_day(day_of(make_session, rows), plan), plan)
    # 480 s seen where 300 + 300 were stated: the 120 s too many over 3 + 2, taken off either
    assert (found.reading, found.moves["wing"]) == pytest.approx((276.0, 276.0))
    assert found.fits["wing"] == pytest.approx(300.0)


def test_a_gap_over_a_break_or_far_too_long_teaches_nothing(make_session):
    rows = [
        ("wing 4", {"wing": 4.0}, (1.0, 2.0, 900.0), {"time": "09:00"}),
        ("wing 8", {"wing": 8.0}, (1.0, 2.0, 900.0), {"time": "09:20"}),
        ("wing 4", {"wing": 4.0}, (1.0, 2.0, 900.0), {"time": "13:00"}),
    ]
    hours = Hours(start=0.0, end=86400.0, breaks=((33000.0, 33300.0),))
    plan = DayPlan(reading=300.0, changes={"wing": 300.0}, hours=hours)
    assert not times_of_day(belief_of_day(day_of(make_session, rows), plan), plan).learnt


def test_what_is_enough_is_a_share_of_the_gain_and_of_the_noise(day):
    found = ranked(day, DayPlan(wanted=WANTED))
    noise = found.belief.belief.noise.of_mean(1, 1)
    # one reading of merit: front and rear a newton each, drag five, at 1500 Pa; two of them, by t, a quarter
    one = 1500.0 * np.sqrt(noise[0] + noise[1] + 25.0 * noise[2])
    least = 0.25 * t.ppf(0.975, found.belief.belief.noise.degrees) * np.sqrt(2.0) * one
    assert found.enough == pytest.approx(max(0.02 * (found.merit - found.start_merit), least))
    assert ranked(day, DayPlan(wanted=WANTED, enough=12.5)).enough == 12.5


def test_labels_alone_are_said_and_make_no_unions(make_session):
    rows = [
        (label, {}, (10.0 * k, 0.0, 900.0 + k))
        for k, label in enumerate(("base", "wing", "splitter", "both"))
    ]
    found = ranked(day_of(make_session, rows), DayPlan())
    assert "labels" in found.notes
    assert {one.kind for one in found.runs} == {"baseline", "best"}


def test_a_gain_refuses_what_is_not_finite():
    for intercepts, slopes in (
        ([0.0, np.nan], [0.0, 1.0]),
        ([0.0, 1.0], [np.inf, 1.0]),
        ([1.0], [1.0, 2.0]),
        ([], []),
    ):
        with pytest.raises(DomainError):
            expected_gain(intercepts, slopes)


def test_merit_of_a_track_is_in_seconds(make_session):
    session = make_session([(1.0, 2.0, 900.0)])
    newtons = merit_of_day(session)
    seconds = merit_of_track(session, [-0.4, -0.5, 0.9], seconds_per_newton=2e-4)
    assert seconds.unit == "s"
    assert seconds.weights == pytest.approx([0.4, 0.5, -0.9])
    assert seconds.beyond_rear == pytest.approx(2e-4 * newtons.beyond_rear)
    assert seconds.beyond_front == pytest.approx(2e-4 * newtons.beyond_front)
    # by the definition: 3 W_r / p and 6 W_f / p of a car of 1200 kg, 52 % of it in front, with an exponent of 0.86
    assert newtons.beyond_rear == pytest.approx(3.0 * 1200.0 * 9.80665 * 0.48 / 0.86)
    assert newtons.beyond_front == pytest.approx(6.0 * 1200.0 * 9.80665 * 0.52 / 0.86)
    assert (newtons.low, newtons.high) == (-0.015, 0.03)
    with pytest.raises(DomainError, match="worth of drag"):
        merit_of_day(session, drag_worth=-1.0)
    assert merit_of_day(session, drag_worth=0.0).weights[2] == 0.0


def test_without_a_gain_what_is_enough_is_a_quarter_of_what_two_readings_tell(make_session):
    found = ranked(day_of(make_session, [ROWS[0], ROWS[4]]), DayPlan(wanted=WANTED))
    noise = found.belief.belief.noise.of_mean(1, 1)
    one = 1500.0 * np.sqrt(noise[0] + noise[1] + 25.0 * noise[2])
    assert found.enough == pytest.approx(
        0.25 * t.ppf(0.975, found.belief.belief.noise.degrees) * np.sqrt(2.0) * one
    )


# --- to know


def plain_belief(runs):
    """A belief of readings that share nothing, of any values: what is left open does not hang on them."""
    variance = NOISE.of_mean(1, 1)
    covariance = variance[:, None, None] * np.eye(len(runs))
    areas = np.random.default_rng(1).standard_normal((len(runs), 3))
    return believe(prior_of(EVERY, configuration({}), 0.9), runs, areas, covariance, NOISE)


def test_what_a_run_will_leave_open_is_what_the_belief_with_it_leaves_open():
    runs = [EVERY[k] for k in (0, 1, 4)]
    aim = Know(front=5.0, downforce=20.0, drag=4.0)
    parts = parts_to_know(EVERY, configuration({}))
    belief = plain_belief(runs)
    known = known_parts(belief, parts, aim, 1500.0)
    after = lack_after(belief, parts, known, EVERY, NOISE.of_mean(1, 1))
    for k, run in enumerate(EVERY):
        with_it = known_parts(plain_belief([*runs, run]), parts, aim, 1500.0)
        assert after[k] == pytest.approx(with_it.lack, rel=1e-6)
        assert after[k] <= known.lack


def test_parts_are_shown_by_the_run_with_the_fewest_other_changes():
    shown = {(part.name, part.value): part for part in parts_to_know(EVERY, configuration({}))}
    assert shown["splitter", 60.0].fitted == configuration({"splitter": 60.0})
    assert shown["splitter", 60.0].without == configuration({})
    vents = shown["vents", "open"]
    assert vents.fitted == configuration({"vents": "open", "wing": 5.0})
    assert vents.without == configuration({"wing": 5.0})
    assert len(shown) == 5


def test_half_widths_are_those_of_contrasts_and_downforce_is_of_both_axles():
    parts = parts_to_know([configuration({"splitter": 60.0})], configuration({}))
    prior = prior_of([configuration({"splitter": 60.0})], configuration({}), 0.9)
    belief = believe(prior, (), np.zeros((0, 3)), np.zeros((3, 0, 0)), NOISE)
    known = known_parts(belief, parts, Know(drag=6.0), 1500.0)
    front, rear, downforce, drag = known.half_width[0] / HALF_95
    # before any run the contrast is the part's own term: 0.20 and 0.04 of 0.9 m²
    assert (front, rear, drag) == pytest.approx((0.18, 0.18, 0.036))
    assert downforce == pytest.approx(0.18 * np.sqrt(2.0))
    assert known.wanted[0].tolist() == [np.inf, np.inf, np.inf, 6.0 / 1500.0]
    assert known.lack == pytest.approx((HALF_95 * 0.036 - 0.004) ** 2)
