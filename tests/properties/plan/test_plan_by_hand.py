"""What a plan rests on, at its bounds and by hand: what parts are believed to do, times, the clock, gains, and doubts.

Loads and times are invented. What is assumed where nothing was stated is common practice, no source.
"""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import nctdtrinc, stdtrit
from scipy.stats import norm

from balance.decide.day.day import reduce_day
from balance.decide.plan.belief import ReadingNoise, believe
from balance.decide.plan.candidates import candidates
from balance.decide.plan.change_times import clock_time, stated_times, time_now, times_of_day
from balance.decide.plan.clock import planned_order
from balance.decide.plan.configuration import configuration, configurations_of_day, distinct, values_of
from balance.decide.plan.day_belief import belief_before, belief_of_day, covariance_of_noise
from balance.decide.plan.expected_gain import expected_gain, log_unit_loss, unit_loss
from balance.decide.plan.judged_reading import judge_run
from balance.decide.plan.merit import merit_of_day
from balance.decide.plan.next_run import PLANS, next_runs
from balance.decide.plan.part_contrasts import DriftShared, smallest_detectable_parts
from balance.decide.plan.parts_to_know import known_parts, lack_after, parts_to_know
from balance.decide.plan.planned_day import plan_day
from balance.decide.plan.prior import prior_of
from balance.decide.plan.worth import moved_by_reading, weigh, worth_by_points
from balance.model.plans import DayPlan, ExpectedEffect, Hours, Know, WantedRun
from balance.model.records import Adjuster, Setting

PRESSURE = 1500.0
HOUR = 3600.0
BARE = configuration({})


def day_of(make_session, rows, **more):
    """Reduce a day of (label, settings, (front, rear, drag) in N, further fields of the run)."""
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


# --- what parts are believed to do


def at(*values, name="lip"):
    return [configuration({} if value is None else {name: value}) for value in values]


def test_a_part_that_may_be_absent_is_alike_at_near_values():
    """0.07 of 1 m² for a small part; 1 - |difference| over twice the 6 mm that are tried: 1, 1/2 and 2/3 of its square."""
    prior = prior_of(at(4.0, 8.0, 10.0), BARE, 1.0)
    some = at(None, 4.0, 8.0, 10.0)
    unit = (prior.covariance(some, some)[0] - 1.0) / 0.07**2
    expected = [[0, 0, 0, 0], [0, 1, 2 / 3, 1 / 2], [0, 2 / 3, 1, 5 / 6], [0, 1 / 2, 5 / 6, 1]]
    assert unit == pytest.approx(np.array(expected), abs=1e-9)


def test_a_setting_that_is_never_absent_walks_from_where_it_started():
    """Started at 4 of 2 to 8 mm: a random walk to either side, with a variance of the way over the 6 mm."""
    start = configuration({"ride": 4.0})
    prior = prior_of(at(2.0, 6.0, 8.0, name="ride"), start, 1.0)
    some = at(4.0, 2.0, 6.0, 8.0, name="ride")
    unit = (prior.covariance(some, some)[1] - 1.0) / 0.07**2
    expected = np.array([[0, 0, 0, 0], [0, 2, 0, 0], [0, 0, 2, 2], [0, 0, 2, 4]]) / 6.0
    assert unit == pytest.approx(expected, abs=1e-9)


def test_texts_are_alike_or_they_are_not_and_the_start_s_own_does_nothing():
    start = configuration({"tape": "none"})
    prior = prior_of(at("a", "b", name="tape"), start, 1.0)
    some = at("none", "a", "b", name="tape")
    unit = (prior.covariance(some, some)[0] - 1.0) / 0.07**2
    assert unit == pytest.approx(np.diag([0.0, 1.0, 1.0]), abs=1e-9)


def test_a_setting_of_one_value_alone_has_no_way_to_go():
    start = configuration({"ride": 4.0})
    prior = prior_of([start], start, 1.0)
    assert prior.covariance([start], [start])[0, 0, 0] == pytest.approx(1.0)


def test_variances_are_those_on_the_diagonal():
    some = [
        configuration(one)
        for one in (
            {},
            {"wing": 4.0},
            {"wing": 8.0, "lip": 5.0},
            {"lip": 9.0, "tape": "a"},
            {"wing": 6.0, "lip": 7.0, "tape": "b"},
        )
    ]
    prior = prior_of(some, BARE, 0.8)
    covariance = prior.covariance(some, some)
    assert prior.variance(some) == pytest.approx(np.einsum("caa->ca", covariance), rel=1e-12)
    assert covariance == pytest.approx(covariance.transpose(0, 2, 1), rel=1e-12)


@pytest.mark.parametrize(
    ("name", "values", "large"),
    [
        ("wing_angle", (4.0,), True),
        ("Front_Splitter", (4.0,), True),
        ("rear_spoiler", (4.0,), True),
        ("diffuser", ("on",), True),
        ("gurney", (4.0,), False),
        ("canards", ("wing like",), False),  # what a value says names no part
        ("configuration", ("big wing",), True),  # but for a label, which has nothing else
        ("configuration", ("taped",), False),
    ],
)
def test_large_parts_are_told_by_their_names(name, values, large):
    (setting,) = prior_of(at(*values, name=name), BARE, 0.5).settings
    assert setting.scale == pytest.approx(0.5 * np.array([0.2, 0.2, 0.04] if large else [0.07, 0.07, 0.014]))


def effect(setting, value, mean, std):
    return ExpectedEffect(setting=setting, value=value, mean=mean, std=std)


def test_what_was_stated_of_some_values_leaves_the_others_as_usual():
    """A text of which nothing was said may do as much as any small part, 0.07 of 1 m²; a number lies between its neighbours."""
    said = (effect("tape", "a", (0.01, None, 0.0), (0.02, 0.1, 0.01)),)
    spoken = prior_of(at("a", name="tape"), BARE, 1.0, expected=said).settings[0]
    silent = prior_of(at("a", "b", name="tape"), BARE, 1.0, expected=said).settings[0]
    assert spoken.scale == pytest.approx([0.02, 0.1, 0.01])
    assert silent.scale == pytest.approx([0.07, 0.1, 0.014])
    assert spoken.mean(["a", "b", None, 3.0]) == pytest.approx(np.array([[0.01, 0.0, 0.0], *[[0.0] * 3] * 3]))


def test_a_stated_effect_is_of_what_is_not_the_start():
    start = configuration({"ride": 4.0})
    said = (
        effect("ride", 4.0, (0.5, 0.5, 0.5), (0.1,) * 3),
        effect("ride", 8.0, (0.1, 0.2, 0.3), (0.1,) * 3),
    )
    prior = prior_of(at(8.0, name="ride"), start, 1.0, expected=said)
    found = prior.mean([start, *at(6.0, 8.0, 9.0, name="ride")])
    assert found == pytest.approx(
        np.array([[0, 0, 1], [0.3, 0.35, 1.4], [0.1, 0.2, 1.3], [0.1, 0.2, 1.3]], float)
    )


def test_before_the_day_the_level_is_known_less_closely_by_its_size():
    """A quarter of the drag area for either axle and a fifth for drag where nothing was run; all of it once a run levels it."""
    assert prior_of([], BARE, 0.8, run=False).level_std == pytest.approx([0.2, 0.2, 0.16])
    assert prior_of([], BARE, 0.8).level_std == pytest.approx([0.8] * 3)


@pytest.mark.parametrize(
    ("fits", "readings", "expected"), [(1, 1, 7.0), (2, 1, 3.5), (1, 3, 5.0), (2, 3, 2.5)]
)
def test_a_mean_of_fits_of_readings_has_their_variance(fits, readings, expected):
    noise = ReadingNoise(fit=np.full(3, 4.0), reading=np.full(3, 3.0))
    assert noise.of_mean(fits, readings) == pytest.approx([expected] * 3)


# --- configurations


def test_configurations_are_told_apart_by_settings_then_by_labels_that_name_something(make_session):
    rows = [
        ("base", {}, (1.0, 2.0, 900.0)),
        ("taped", {}, (1.0, 2.0, 900.0)),
        ("base again", {}, (1.0, 2.0, 900.0)),
        ("tape off", {}, (1.0, 2.0, 900.0)),
        ("wing", {"wing": 4.0}, (1.0, 2.0, 900.0)),
        ("wing sealed", {"wing": 4.0}, (1.0, 2.0, 900.0)),
    ]
    found = [dict(one.settings) for one in configurations_of_day(day_of(make_session, rows))]
    label = "configuration"
    assert found == [{}, {label: "taped"}, {}, {}, {"wing": 4.0}, {"wing": 4.0}]


def test_configurations_by_hand():
    one = configuration({"wing": 4, "lip": "on"})
    assert one.settings == (("lip", "on"), ("wing", 4.0))
    assert (one.value("wing"), one.value("tape")) == (4.0, None)
    assert one.put("wing", None) == configuration({"lip": "on"})
    assert one.put("wing", 8.0).changed(configuration({"wing": 4.0, "tape": "a"})) == ("lip", "tape", "wing")
    several = distinct([configuration({"wing": 10.0}), configuration({"wing": 9.0}), BARE, BARE])
    assert several == (BARE, configuration({"wing": 9.0}), configuration({"wing": 10.0}))  # by number
    assert values_of("wing", [*several, configuration({"wing": "off"})]) == (9.0, 10.0, "off")


# --- times


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("9:05:30", 32730.0),
        ("09h05", 32700.0),
        ("23:59", 86340.0),
        ("0:00", 0.0),
        ("24:00", None),
        ("9:60", None),
        ("after 14.30", 52200.0),
    ],
)
def test_times_of_day(text, expected):
    assert clock_time(text) == expected


@pytest.mark.parametrize(
    ("stated", "move", "fit", "assumed"),
    [
        ({}, 300.0, 600.0, ("wing_angle",)),
        ({"wing_angle": 120.0}, 120.0, 120.0, ()),
        ({"wing": 900.0}, 300.0, 900.0, ()),  # from value to value no longer than is assumed
        ({"wing": 200.0}, 200.0, 200.0, ()),
        ({"wing": 900.0, "wing_angle": 120.0}, 120.0, 900.0, ()),
    ],
)
def test_times_of_a_setting(stated, move, fit, assumed):
    found = stated_times(DayPlan(reading=240.0, changes=stated), ["wing_angle"])
    bare, four, eight = at(None, 4.0, 8.0, name="wing_angle")
    assert (found.between(four, eight), found.between(bare, four), found.between(four, bare)) == (
        move,
        fit,
        fit,
    )
    assert found.between(four, four) == 0.0
    assert (found.reading, found.assumed) == (240.0, assumed)
    assert stated_times(DayPlan(), []).reading == 300.0
    assert stated_times(DayPlan(), []).assumed == ("reading",)
    assert found.table([bare, four], [eight]).tolist() == [[fit], [move]]


def clocked(make_session, *gaps):
    """A wing of 4 and 8 degrees in turn, read at 9:00 and so many seconds apart."""
    clock, rows = 9 * HOUR, []
    for k, gap in enumerate((0.0, *gaps)):
        clock += gap
        time = f"{int(clock // HOUR):02d}:{int(clock % HOUR // 60):02d}:{int(clock % 60):02d}"
        rows.append(("wing", {"wing": (4.0, 8.0)[k % 2]}, (1.0, 2.0, 900.0), {"time": time}))
    return day_of(make_session, rows)


STATED = DayPlan(reading=300.0, changes={"wing": 300.0})


@pytest.mark.parametrize(("gap", "learnt"), [(1800.0, True), (1801.0, False), (1.0, True)])
def test_gaps_up_to_three_times_what_is_believed_are_learnt_from(make_session, gap, learnt):
    """A change and a reading are believed to take 600 s; as in a line with a weight of 3 for what was stated, each is moved
    by a fifth of what the gap is off, and never below a tenth of itself."""
    found = times_of_day(belief_of_day(clocked(make_session, gap), STATED), STATED)
    assert found.learnt is learnt
    expected = max(300.0 + (gap - 600.0) / 5.0, 30.0) if learnt else 300.0
    assert (found.reading, found.moves["wing"]) == pytest.approx((expected, expected))


def test_many_short_gaps_never_make_a_time_less_than_a_tenth(make_session):
    found = times_of_day(belief_of_day(clocked(make_session, *[10.0] * 40), STATED), STATED)
    assert found.reading == pytest.approx(30.0)


def test_what_the_clock_has_shown_is_no_longer_assumed(make_session):
    plan = DayPlan()
    stand = belief_of_day(clocked(make_session, 500.0), plan)
    assert times_of_day(stand, plan, [configuration({"lip": 5.0})]).assumed == ("lip",)
    silent = belief_of_day(clocked(make_session, 5000.0), plan)
    assert times_of_day(silent, plan, [configuration({"lip": 5.0})]).assumed == ("reading", "lip", "wing")


@pytest.mark.parametrize(
    ("now", "begins", "expected"),
    [
        (None, 8.0, 9 * HOUR + 600.0 + 300.0),  # a reading after the last that has a time
        (None, 10.0, 10 * HOUR),
        (12 * HOUR, 8.0, 12 * HOUR),
        (7 * HOUR, 8.0, 8 * HOUR),
    ],
)
def test_what_time_it_is(make_session, now, begins, expected):
    plan = DayPlan(reading=300.0, hours=Hours(start=begins * HOUR, end=18 * HOUR))
    stand = belief_of_day(clocked(make_session, 600.0), plan)
    assert time_now(stand, plan, stated_times(plan, []), now) == expected
    untimed = belief_of_day(day_of(make_session, [("base", {}, (1.0, 2.0, 900.0))]), plan)
    assert time_now(untimed, plan, stated_times(plan, []), None) == begins * HOUR


# --- the clock


def test_a_day_by_the_clock(make_session):
    """From 9:05 on: 10 minutes to fit or take off, 5 for a reading; the baseline after two runs, after the break, and last.

    A break at 9:40 to 10:00: what would not be over by then waits for it.
    """
    wanted = tuple(WantedRun(configuration=name, settings={name: "on"}) for name in ("a", "b", "c"))
    plan = DayPlan(
        hours=Hours(start=9 * HOUR, end=17 * HOUR, breaks=((9 * HOUR + 2400.0, 10 * HOUR),)),
        reading=300.0,
        changes=dict.fromkeys("abc", 600.0),
        baseline_every=2,
        wanted=wanted,
    )
    day = day_of(make_session, [("base", {}, (1.0, 2.0, 900.0), {"time": "09:00"})])
    found = planned_order(belief_of_day(day, plan), plan).typed
    begun = [((slot.start - 9 * HOUR) / 60.0, slot.kind, slot.label, slot.changes) for slot in found.slots]
    assert begun == [
        (5.0, "run", "a", 1),  # to 9:20
        (40.0, "break", "", 0),  # b would take a off and itself on, 25 minutes: to 9:45
        (60.0, "baseline", "", 1),  # to 10:15
        (75.0, "run", "b", 1),  # to 10:30
        (90.0, "run", "c", 2),  # to 10:55
        (115.0, "baseline", "", 1),  # to 11:10
    ]
    assert found.end == 9 * HOUR + 130.0 * 60.0
    assert found.time == pytest.approx(60.0 * (15 + 15 + 15 + 25 + 15))
    assert (found.change_time, found.changes) == (60.0 * (10 + 10 + 10 + 20 + 10), 6)


@pytest.mark.parametrize(("end", "kept"), [(9 * HOUR + 130.0 * 60.0, 3), (9 * HOUR + 130.0 * 60.0 - 1.0, 2)])
def test_a_day_that_ends_with_the_last_reading_holds_it(make_session, end, kept):
    wanted = tuple(WantedRun(configuration=name, settings={name: "on"}) for name in ("a", "b", "c"))
    plan = DayPlan(
        hours=Hours(start=9 * HOUR, end=end, breaks=((9 * HOUR + 2400.0, 10 * HOUR),)),
        reading=300.0,
        changes=dict.fromkeys("abc", 600.0),
        baseline_every=2,
        wanted=wanted,
    )
    day = day_of(make_session, [("base", {}, (1.0, 2.0, 900.0), {"time": "09:00"})])
    found = planned_order(belief_of_day(day, plan), plan)
    assert sum(slot.kind == "run" for slot in found.cheapest.slots) == kept
    assert [job.label for job in found.dropped] == (["c"] if kept == 2 else [])


def test_a_day_not_begun_starts_with_its_baseline_only_where_baselines_are_wanted(make_session, make_vehicle):
    session = make_session([(1.0, 2.0, 900.0)], vehicle=make_vehicle(frontal_area=2.0))
    for every, first in ((None, "run"), (3, "baseline")):
        plan = DayPlan(wanted=(WantedRun(configuration="a", settings={"a": "on"}),), baseline_every=every)
        slots = planned_order(belief_before(session, plan), plan).cheapest.slots
        assert slots[0].kind == first
        assert slots[-1].kind == ("run" if every is None else "baseline")
        assert next(slot.start for slot in slots) == 0.0


# --- gains


@pytest.mark.parametrize("z", [-30.0, -15.0, -10.001, -9.999, -5.0, -1.0, 0.0, 0.5, 3.0, 12.0])
def test_the_unit_loss_is_the_integral_that_it_stands_for(z):
    """The mean of max(z + Z, 0) of a standard normal Z, with its far tail in logarithms by quadrature of t exp(z t - t²/2)."""
    if z < 0.0:
        tail, _ = quad(lambda t: t * np.exp(z * t - t * t / 2.0), 0.0, np.inf, epsabs=0.0, epsrel=1e-10)
        expected = norm.logpdf(z) + np.log(tail)
    else:
        expected = np.log(quad(lambda t: t * norm.pdf(t - z), 0.0, z + 40.0, points=[z], epsrel=1e-10)[0])
    assert float(log_unit_loss(z)) == pytest.approx(expected, abs=1e-6)
    if z > -10.0:
        assert float(unit_loss(np.asarray(z))) == pytest.approx(np.exp(expected), rel=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_a_gain_is_the_mean_of_the_greatest_line(seed):
    """By quadrature over the standard normal number that moves all lines."""
    rng = np.random.default_rng(seed)
    a, b = rng.normal(0.0, 2.0, (2, rng.integers(2, 7)))
    if seed % 3 == 0:
        b[1] = b[0]  # parallel lines
    breaks = sorted((a[i] - a[j]) / (b[j] - b[i]) for i in range(a.size) for j in range(i) if b[i] != b[j])
    ends = [-9.0, *[one for one in breaks if -9.0 < one < 9.0], 9.0]
    mean = sum(
        quad(lambda z: np.max(a + b * z) * norm.pdf(z), one, other, epsabs=1e-11)[0]
        for one, other in itertools.pairwise(ends)
    )
    assert expected_gain(a, b) == pytest.approx(mean - a.max(), abs=1e-8)
    assert expected_gain(a, b, log=True) == pytest.approx(np.log(expected_gain(a, b)), abs=1e-9)


def test_one_line_or_parallel_ones_gain_nothing():
    assert (expected_gain([1.0], [2.0]), expected_gain([1.0, 3.0], [2.0, 2.0])) == (0.0, 0.0)
    assert expected_gain([1.0], [2.0], log=True) == -np.inf


@pytest.mark.parametrize("driven", [None, "rear"])
def test_slopes_of_merit_are_its_differences(make_session, make_vehicle, driven):
    """A central difference of the expected merit with the surplus going along its line."""
    merit = merit_of_day(make_session([(1.0, 2.0, 900.0)], vehicle=make_vehicle(driven=driven)))
    means = np.array([[0.05, -0.05, 0.9], [0.3, 0.1, 0.8], [0.1, 0.5, 0.9], [0.2, 0.19, 0.7]])
    about, std = merit.linearised(means), np.array([0.01, 0.02, 0.005, 0.03])
    found = merit.slopes(about, std)
    for channel in range(3):
        step = np.zeros(3)
        step[channel] = 1e-5
        ends = [
            merit.expected(means + side * step, about.surplus + side * about.slope @ step, std)
            for side in (1.0, -1.0)
        ]
        assert found[:, channel] == pytest.approx((ends[0] - ends[1]) / 2e-5, rel=1e-5)
        more, less = (merit.linearised(means + side * step).surplus for side in (1.0, -1.0))
        assert about.slope[:, channel] == pytest.approx((more - less) / 2e-5, rel=1e-4, abs=1e-7)


def test_merit_of_a_car_far_inside_or_outside_its_band_is_by_hand(make_session, make_vehicle):
    """At 1500 Pa with a drag that costs five times itself; 1 % of the rear beyond the band costs 3 W_r/p of it, in front 6 W_f/p."""
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0))
    merit = merit_of_day(make_session([(1.0, 2.0, 900.0)], vehicle=car))
    mean = np.array([[0.1, 0.1, 0.5]] * 3)
    surplus = np.array([0.0, 0.04, -0.035])  # the band ends at 3 % and -1.5 %
    plain = 1500.0 * (0.2 - 5.0 * 0.5)
    found = merit.expected(mean, surplus, np.zeros(3))
    assert found == pytest.approx([plain, plain - 3.0 * 5000.0 * 0.01, plain - 6.0 * 5000.0 * 0.02])


# --- the next run


ROWS = [
    ("base", {}, (-80.0, -280.0, 1150.0)),
    ("splitter", {"splitter": 60.0}, (280.0, -300.0, 1170.0)),
    ("both", {"splitter": 60.0, "wing": 4.0}, (210.0, 90.0, 1210.0)),
    ("both", {"splitter": 60.0, "wing": 8.0}, (180.0, 300.0, 1240.0)),
    ("base", {}, (-82.0, -284.0, 1152.0)),
]
PLAN = DayPlan(
    reading=240.0,
    changes={"splitter": 900.0, "wing": 500.0, "canards": 700.0},
    wanted=(
        WantedRun(configuration="steep", settings={"splitter": 60.0, "wing": 12.0}),
        WantedRun(configuration="canards", settings={"canards": "pair"}),
    ),
)


def test_a_run_takes_its_change_each_further_fit_two_more_and_its_readings(make_session):
    """The car stands bare: fits of what is on it already cost the least of all fittings, on and off."""
    stand = belief_of_day(day_of(make_session, ROWS), PLAN)
    found = next_runs(stand, PLAN)
    assert PLANS == ((1, 1), (1, 2), (1, 4), (1, 8), (2, 1), (4, 1))
    assert {(one.fits, one.readings) for one in found.runs} <= set(PLANS)
    assert found.runs
    for one in found.runs:
        change = sum(need.time for need in one.needs)
        again = 2.0 * (change if change > 0.0 else 500.0)
        assert one.time == pytest.approx(change + again * (one.fits - 1) + 240.0 * one.fits * one.readings)
        assert one.worth_rate == pytest.approx(one.worth / one.time)
        for need in one.needs:
            assert (need.before, need.after) == (None, one.configuration.value(need.setting))
            assert need.time == PLAN.changes[need.setting]


def test_what_it_takes_is_where_another_configuration_becomes_the_best(make_session):
    """Every belief moved by what is read in that one channel, as two normal numbers that hang together move one another."""
    stand = belief_of_day(day_of(make_session, ROWS), PLAN)
    found = next_runs(stand, PLAN)
    belief, merit = stand.belief, merit_of_day(stand.session)
    told = [one for one in found.runs if one.takes is not None]
    assert len(told) >= 3
    for one in told:
        channel, run = one.takes.channel, one.configuration
        some = list(distinct([*stand.tried, stand.start, run]))
        every = weigh(belief, merit, some)
        best = some.index(found.best)
        read = belief.std([run])[0] ** 2 + belief.noise.of_mean(one.fits, one.readings)
        threshold = belief.mean([found.best])[0, channel] + one.takes.change
        away = threshold - belief.mean([run])[0, channel]
        assert bool(away > 0.0) is one.takes.more
        covariance = belief.covariance([run], some)[:, 0]
        left = np.sum(
            np.square(every.about.slope) * (every.variance - np.square(covariance).T / read), axis=1
        )
        steps = [(channel, times * away, changed) for times, changed in ((0.9, False), (1.1, True))]
        # no other channel, nor the other side, turns the choice by a reading that is as far off in its own scatter
        apart = 0.9 * abs(away) / np.sqrt(read[channel])
        steps += [(k, side * apart * np.sqrt(read[k]), False) for k in range(3) for side in (1.0, -1.0)]
        for k, step, changed in steps:
            moved = np.zeros((len(some), 3))
            moved[:, k] = covariance[k] / read[k] * step
            surplus = every.about.surplus + np.sum(moved * every.about.slope, axis=1)
            after = merit.expected(every.mean + moved, surplus, np.sqrt(np.maximum(left, 0.0)))
            assert (int(np.argmax(after)) != best) is changed


@pytest.mark.parametrize(
    ("low", "high", "kept"),
    [(4.0, 8.0, {4.0, 6.0, 8.0}), (4.1, 8.0, {6.0, 8.0}), (None, 7.9, {4.0, 6.0}), (5.0, None, {6.0, 8.0})],
)
def test_limits_themselves_may_be_used(low, high, kept):
    tried = [BARE, *at(4.0, 8.0, name="wing")]
    limits = Adjuster(setting="wing", unit="deg", low=low, high=high)
    found = candidates(tried, BARE, tried[2], (), lambda some: np.zeros(len(some)), adjusters=(limits,))
    assert {one.configuration.value("wing") for one in found} - {None} == kept


# --- a reading judged


STEEP = ("wing 8", {"splitter": 60.0, "wing": 8.0})


def judged(make_session, label, settings, reading, *, rows=ROWS, **fields):
    day = day_of(make_session, [*rows, (label, settings, reading, fields)])
    return judge_run(day.session, DayPlan(), str(len(rows) + 1))


@pytest.mark.parametrize("channel", range(3))
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_reading_is_inside_95_or_99_7_in_100_or_outside(make_session, channel, side):
    expected = judged(make_session, *STEEP, (180.0, 300.0, 1240.0)).expected
    for share, times, inside in [
        (0.95, 0.99, "95"),
        (0.95, 1.01, "99.7"),
        (0.997, 0.99, "99.7"),
        (0.997, 1.01, "outside"),
    ]:
        reading = expected.mean[:3].copy()
        reading[channel] += side * times * expected.half_width(share)[channel]
        found = judged(make_session, *STEEP, tuple(reading * PRESSURE))
        assert (found.by_channel[channel], found.inside) == (inside, inside)
        assert [found.by_channel[k] for k in range(3) if k != channel] == ["95", "95"]
        assert found.read[3] == pytest.approx(found.read[0] + found.read[1])


@pytest.mark.parametrize(("share", "asked"), [(1.39, False), (1.41, True), (0.61, False), (0.59, True)])
def test_a_first_drag_is_asked_about_beyond_two_fifths_of_the_baseline_s(make_session, share, asked):
    """The median of 1150 and 1152 N."""
    found = judged(make_session, "lip", {"lip": 5.0}, (-80.0, -282.0, share * 1151.0))
    causes = [one for one in found.likely if one.kind == "drag"]
    assert bool(causes) is asked
    if asked:
        assert (causes[0].channels, causes[0].factor) == ((2,), pytest.approx(share))


@pytest.mark.parametrize(("earlier", "run"), [(1, "5"), (2, "4"), (3, None)])
def test_a_reading_typed_again_is_one_of_the_last_two(make_session, earlier, run):
    reading = ROWS[-earlier][2]
    found = judged(
        make_session, "lip and base", {"splitter": 60.0, "wing": 4.0} if earlier != 3 else {}, reading
    )
    assert [one.run for one in found.likely if one.kind == "typed again"] == ([run] if run else [])


@pytest.mark.parametrize(("total", "asked"), [(519.0, False), (521.0, True), (441.0, False), (439.0, True)])
def test_a_total_is_its_axles_within_four_standard_deviations(make_session, total, asked):
    """Both axles of 7 N make 9.9 N, four times that 39.6 N, of 480 N; nothing was repeated."""
    rows = [row for row in ROWS if row[1]] + [ROWS[0]]
    found = judged(make_session, *STEEP, (180.0, 300.0, 1240.0), rows=rows, total=total)
    assert ("total" in [one.kind for one in found.likely]) is asked


@pytest.mark.parametrize(("total", "asked"), [(485.9, False), (486.1, True), (473.9, True), (474.1, False)])
def test_a_total_of_unknown_scatter_is_its_axles_within_a_fiftieth_of_the_larger(make_session, total, asked):
    """2 % of 300 N are 6 N."""
    rows = [row for row in ROWS[:4] if row[1]] + [ROWS[0]]
    labels = [(f"car {k}", *row[1:]) for k, row in enumerate(rows)]
    day = day_of(
        make_session,
        [*labels, ("car 9", {"lip": 3.0}, (180.0, 300.0, 1240.0), {"total": total})],
        deviation=(None, None, None),
    )
    found = judge_run(day.session, DayPlan(), "5")
    assert ("total" in [one.kind for one in found.likely]) is asked


# --- what a day can show


@pytest.mark.parametrize(("degrees", "known"), [(0.0, False), (0.99, False), (1.0, True), (4.0, True)])
def test_a_part_that_can_be_shown_needs_a_degree_of_freedom(degrees, known):
    """Of a base and a part, each fitted once, there is none but the facility's."""
    noise = ReadingNoise(fit=np.full(3, 3e-5), reading=np.full(3, 1e-5))
    (found,) = smallest_detectable_parts([BARE, configuration({"lip": "on"})], BARE, noise, degrees)
    assert bool(np.all(np.isfinite(found.difference))) is known
    (again,) = smallest_detectable_parts([BARE, configuration({"lip": "on"}), BARE], BARE, noise, 0.0)
    assert np.all(np.isfinite(again.difference))  # the base came back: one


def test_each_channel_is_known_as_closely_as_is_wanted_of_it():
    """Front, rear, both together and drag, in newtons at 1500 Pa."""
    belief = believe(
        prior_of([configuration({"lip": 5.0})], BARE, 0.9),
        (),
        np.zeros((0, 3)),
        np.zeros((3, 0, 0)),
        ReadingNoise(fit=np.ones(3), reading=np.ones(3)),
    )
    parts = parts_to_know([configuration({"lip": 5.0})], BARE)
    found = known_parts(belief, parts, Know(front=15.0, rear=30.0, downforce=45.0, drag=6.0), 1500.0)
    assert found.wanted == pytest.approx(np.array([[0.01, 0.02, 0.03, 0.004]]))


@pytest.mark.parametrize("enough", [0.0, 20.0, 100.0])
def test_how_often_a_reading_changes_the_choice_is_that_of_the_normal_distribution(make_session, enough):
    """Of two cars whose lead moves by one normal number: it is turned by more than is enough in Phi(-(lead + enough)/std)."""
    merit = merit_of_day(make_session([(1.0, 2.0, 900.0)]))
    free = replace(merit, beyond_rear=0.0, beyond_front=0.0, weights=np.array([0.0, 1500.0, 0.0]))
    two = distinct([BARE, configuration({"wing": 5.0})])
    noise = ReadingNoise(fit=np.full(3, 4e-5), reading=np.full(3, 1e-5))
    belief = believe(
        prior_of(two, BARE, 0.9), two[:1], np.array([[0.0, 0.03, 0.9]]), np.full((3, 1, 1), 5e-5), noise
    )
    alternatives = weigh(belief, free, two)
    covariance, own = moved_by_reading(belief, alternatives, two)
    k = 1
    moved = covariance[:, k] / np.sqrt(own[:, k] + noise.of_mean(1, 1))[:, None]
    found = worth_by_points(alternatives, free, moved, enough=enough)
    step = 1500.0 * (covariance[1, k, 1] - covariance[1, k, 0]) / np.sqrt(own[1, k] + 5e-5)
    lead = alternatives.merit[alternatives.best] - alternatives.merit[1 - alternatives.best]
    assert found.changes_choice == pytest.approx(norm.cdf(-(lead + enough) / abs(step)), abs=0.02)
    assert found.would_become == 1 - alternatives.best


def test_a_block_that_is_over_shifts_by_a_share_of_the_drag_area():
    """3 % of 0.5 m²; one that is going on is the level itself."""
    noise = ReadingNoise(fit=np.zeros(3), reading=np.zeros(3))
    found = covariance_of_noise(
        noise, fits=np.arange(3), blocks=np.array([0, 0, 1]), order=np.arange(3.0), drag_area=0.5
    )
    expected = np.zeros((3, 3))
    expected[:2, :2] = 0.015**2
    assert found == pytest.approx(np.array([expected] * 3))


def test_untouched_repeats_tell_a_reading_from_a_fit(make_session):
    """Two readings 2 N apart have 2 N², whatever fitting adds: with those of other fits as in the day's own scatter."""
    rows = [
        ("a", {}, (300.0, 500.0, 600.0)),
        ("a", {}, (302.0, 502.0, 602.0)),
        ("b", {"lip": 5.0}, (0.0, 0.0, 600.0)),
        ("a", {}, (321.0, 521.0, 621.0)),
    ]
    day = day_of(make_session, rows, deviation=(None, None, None))
    noise = belief_of_day(day, DayPlan()).belief.noise
    assert noise.reading * PRESSURE**2 == pytest.approx([2.0] * 3)
    # fit means of 301 and 321 N have 200 N², and one reading 2 (1 - 3/4) more
    assert noise.of_mean(1, 1) * PRESSURE**2 == pytest.approx([200.5] * 3)
    assert noise.assumed == ()
    assert noise.degrees == 1.0


def test_a_break_is_no_baseline_where_none_is_asked_for(make_session):
    wanted = tuple(WantedRun(configuration=name, settings={name: "on"}) for name in ("a", "b"))
    plan = DayPlan(
        hours=Hours(start=9 * HOUR, end=17 * HOUR, breaks=((9 * HOUR + 2400.0, 10 * HOUR),)),
        reading=300.0,
        changes=dict.fromkeys("ab", 600.0),
        wanted=wanted,
    )
    day = day_of(make_session, [("base", {}, (1.0, 2.0, 900.0), {"time": "09:00"})])
    found = planned_order(belief_of_day(day, plan), plan).typed
    begun = [((slot.start - 9 * HOUR) / 60.0, slot.kind, slot.label) for slot in found.slots]
    assert begun == [(5.0, "run", "a"), (40.0, "break", ""), (60.0, "run", "b")]


def test_to_know_a_run_is_worth_the_lack_that_it_takes_away(make_session):
    """The squares of what half-widths are too wide by, in N² at 1500 Pa; enough is a fiftieth of them."""
    plan = DayPlan(
        reading=240.0, changes=PLAN.changes, wanted=PLAN.wanted, aim=Know(downforce=10.0, drag=5.0)
    )
    stand = belief_of_day(day_of(make_session, ROWS), plan)
    found = next_runs(stand, plan)
    some = [*distinct([*stand.tried, stand.start]), *(configuration(one.settings) for one in plan.wanted)]
    parts = parts_to_know(some, stand.start)
    known = known_parts(stand.belief, parts, plan.aim, PRESSURE)
    assert found.enough == pytest.approx(0.02 * known.lack * PRESSURE**2)
    for one in found.runs:
        noise = stand.belief.noise.of_mean(one.fits, one.readings)
        (after,) = lack_after(stand.belief, parts, known, [one.configuration], noise)
        assert one.worth == pytest.approx(max(0.0, known.lack - after) * PRESSURE**2, rel=1e-9)


def test_what_is_to_be_verified_is_the_best_against_the_start_once_it_is_time_to_stop(make_session):
    stand = belief_of_day(day_of(make_session, ROWS), PLAN)
    enough, never = (next_runs(stand, replace(PLAN, enough=one)) for one in (1e9, 0.0))
    assert (enough.stop, enough.verify) == (True, (enough.best, BARE))
    assert enough.best != BARE
    assert (never.stop, never.verify) == (False, ())
    # a part that costs both axles their downforce: the start itself is the best
    worse = [ROWS[0], ("lip", {"lip": 5.0}, (-900.0, -900.0, 1500.0)), ROWS[4]]
    stand = belief_of_day(day_of(make_session, worse), DayPlan())
    start = next_runs(stand, DayPlan(enough=1e9))
    assert (start.best, start.stop, start.verify) == (BARE, True, ())


# --- a planned day


def test_three_baselines_more_show_what_repeats_would_buy(make_session):
    """Five parts, each fitted once, against one baseline, or against four: root(1 + 1/n) of one reading of one fit.

    The power of 80 in 100 is that of the noncentral t (scipy), with 20 degrees of freedom of the facility and one more for
    each baseline that comes back.
    """
    wanted = tuple(WantedRun(configuration=name, settings={name: "on"}) for name in "abcde")
    day = day_of(make_session, [("base", {}, (1.0, 2.0, 900.0))])
    found = plan_day(day.session, day, DayPlan(wanted=wanted))

    def detectable(baselines):
        degrees = 20.0 + baselines - 1.0
        factor = nctdtrinc(degrees, 0.2, stdtrit(degrees, 0.975))
        return factor * np.sqrt(1.0 + 1.0 / baselines) * np.array([7.0, 7.0, 4.0, 7.0 * np.sqrt(2.0)])

    assert len(found.order.detectable) == len(found.more) == 5
    for now, more in zip(found.order.detectable, found.more, strict=True):
        assert now.difference * PRESSURE == pytest.approx(detectable(1.0))
        assert more.difference * PRESSURE == pytest.approx(detectable(4.0))
    assert found.start == BARE
    assert found.made == (False,) * 5


def test_what_was_made_is_said_and_every_configuration_is_called_by_its_first_label(make_session):
    rows = [("base", {}, BASE_READ), ("the lip", {"lip": 5.0}, BASE_READ), ("base again", {}, BASE_READ)]
    day = day_of(make_session, rows)
    wanted = (WantedRun(settings={"lip": 5.0}), WantedRun(settings={"lip": 7.0}))
    found = plan_day(day.session, day, DayPlan(wanted=wanted))
    assert found.made == (True, False)
    assert dict(found.names) == {BARE: "base", configuration({"lip": 5.0}): "the lip"}
    assert found.why_not == ""


BASE_READ = (-80.0, -70.0, 900.0)


def test_a_day_of_which_nothing_is_known_says_why_there_is_no_plan(make_session):
    session = day_of(make_session, [("base", {}, BASE_READ)]).session
    plan = DayPlan(wanted=(WantedRun(settings={"lip": 5.0}),), hours=Hours(start=9 * HOUR, end=17 * HOUR))
    found = plan_day(session, None, plan)
    assert (found.stand, found.found, found.order, found.start) == (None, None, None, None)
    assert "frontal area" in found.why_not
    assert (found.now, found.made) == (9 * HOUR, (False,))
    assert plan_day(session, None, plan, now=10 * HOUR).now == 10 * HOUR
    assert plan_day(session, None, replace(plan, hours=None)).now == 0.0


def test_a_configuration_believed_to_be_loose_is_a_danger_and_so_is_one_that_was(make_session, make_vehicle):
    """10 kN, half on either axle, exponent 1: 400 N in front and 100 N at the rear are -5.6 %, and 100 N each are 0."""
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0), exact=True, top_speed=50.0)
    rows = [
        ("base", {}, (100.0, 100.0, 900.0)),
        ("splitter", {"splitter": 60.0}, (400.0, 100.0, 910.0)),
        ("lip", {"lip": 5.0}, (100.0, 110.0, 905.0)),
    ]
    day = day_of(make_session, rows, vehicle=car, deviation=(1.0,) * 3)
    both = configuration({"splitter": 60.0, "lip": 5.0})
    wanted = (WantedRun(settings=dict(both.settings)), WantedRun(settings={"lip": 7.0}))
    found = plan_day(day.session, day, DayPlan(wanted=wanted))
    splitter = configuration({"splitter": 60.0})
    for one, verdict in ((splitter, "front overpowers rear"), (both, None)):
        danger = found.dangers[one]
        assert (None if danger.verdict is None else str(danger.verdict.word)) == verdict
    assert found.dangers[splitter].surplus == pytest.approx(1.02 / 1.08 - 1.0, rel=1e-9)
    assert found.dangers[both].surplus == pytest.approx(1.02 / 1.08 - 1.0, abs=0.006)
    assert BARE not in found.dangers
    assert configuration({"lip": 7.0}) not in found.dangers


AGAIN = ("both", {"splitter": 60.0, "wing": 8.0})
"""A repeat of the fourth run."""


@pytest.mark.parametrize(
    ("factor", "asked"),
    [(1.075, False), (1.09, True), (3.9, True), (4.1, False), (1.0 / 1.09, True), (1.0 / 4.1, False)],
)
def test_all_forces_scaled_alike_by_8_per_cent_to_four_times_are_another_speed(make_session, factor, asked):
    expected = judged(make_session, *AGAIN, (180.0, 300.0, 1240.0)).expected
    found = judged(make_session, *AGAIN, tuple(factor * expected.mean[:3] * PRESSURE))
    speeds = [one for one in found.likely if one.kind == "speed"]
    assert bool(speeds) is asked
    for one in speeds:
        assert one.channels == (0, 1, 2)
        assert one.factor == pytest.approx(factor)


def test_a_part_is_confused_with_a_drift_beyond_three_tenths():
    """A correlation of the part's contrast with the order of running, either way."""
    assert [DriftShared("lip", None, one).confused for one in (0.3, 0.301, -0.3, -0.301, 0.0)] == [
        False,
        True,
        False,
        True,
        False,
    ]
