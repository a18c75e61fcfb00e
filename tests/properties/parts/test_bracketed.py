"""Two baselines around a run: a steady drift is out of the part, and the interval is that of the contrast."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.compare.increments import find_increments
from balance.compare.pairing import share_between
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2
ORDER = "AABCCDA"


def day(make_session, loads, *, times=None, order=ORDER, around=("1", "7"), **fields):
    """Runs 3 to 6 lie between runs 1 and 7."""
    own = [
        {
            "baseline": None if kind == "A" else around[0],
            "second_baseline": None if kind == "A" else around[1],
            "time": times[k] if times else "",
        }
        for k, kind in enumerate(order)
    ]
    return make_session([(f, f, f) for f in loads], configurations=list(order), runs=own, **fields)


def compared(session):
    fits = fits_of_session(session, reduce_session(session))
    return {i.run: i for i in find_increments(session, fits, dynamic_pressure=PRESSURE)}


@given(st.floats(-20.0, 20.0), st.floats(-50.0, 50.0), st.floats(-50.0, 50.0))
def test_a_steady_drift_in_the_order_of_running_is_out_of_the_part(make_session, slope, part, other):
    true = {"A": 500.0, "B": 500.0 + part, "C": 500.0 + other, "D": 500.0}
    found = compared(day(make_session, [true[kind] + slope * k for k, kind in enumerate(ORDER)]))
    assert found["3"].drag.change == pytest.approx(part, abs=1e-9)
    assert found["5"].drag.change == pytest.approx(other, abs=1e-9)
    assert found["6"].drag.change == pytest.approx(0.0, abs=1e-9)
    assert found["3"].between.by == "order"


@given(st.floats(-5.0, 5.0))
def test_a_steady_drift_by_the_clock_is_out_of_the_part(make_session, slope):
    """The clock stands at 9:00, 9:04, 10:30, 10:40, 10:44, 11:30 and 12:30."""
    minutes = [0, 4, 90, 100, 104, 150, 210]
    times = [f"{9 + m // 60:02d}:{m % 60:02d}" for m in minutes]
    true = {"A": 500.0, "B": 540.0, "C": 480.0, "D": 700.0}
    loads = [true[kind] + slope * m for kind, m in zip(ORDER, minutes, strict=True)]
    found = compared(day(make_session, loads, times=times))
    for run, kind in (("3", "B"), ("4", "C"), ("6", "D")):
        assert found[run].between.by == "time"
        assert found[run].drag.change == pytest.approx(true[kind] - 500.0, abs=1e-9)


def test_the_interval_is_widened_by_both_baselines_in_their_shares(make_session):
    """Fit means at places 0.5, 2 and 6: share 1.5/5.5; one reading s each, the first baseline a mean of two."""
    session = day(make_session, [500.0] * 7, deviation=(7.0, 7.0, 4.0), degrees=20.0)
    fits = fits_of_session(session, reduce_session(session))
    share = 1.5 / 5.5
    increment = compared(session)["3"]
    variance = fits.mean_variance[:, 2]  # of the fits of runs 1 and 2, 3, 4 and 5, 6, 7
    expected = variance[1] + (1 - share) ** 2 * variance[0] + share**2 * variance[4]
    assert increment.between.share == pytest.approx(share)
    assert increment.drag.std == pytest.approx(np.sqrt(expected), rel=1e-12)
    assert increment.baseline_runs == ("1", "2", "7")


def test_half_way_it_is_the_weighing_cycle(make_session):
    """A-B-A: I_B - (I_A1 + I_A2)/2 has 1.2247 s (OIML R111-1, annex C, from memory)."""
    session = day(make_session, [500.0, 530.0, 504.0], order="ABA", around=("1", "3"))
    weights = compared(session)["2"].weights
    assert weights == pytest.approx([-0.5, 1.0, -0.5])
    assert np.sqrt(weights @ weights) == pytest.approx(1.2247, abs=5e-5)


def test_a_void_baseline_leaves_the_other_alone_and_that_is_said(make_session):
    session = day(make_session, [500.0, 500.0, 530.0, 500.0, 500.0, 500.0, 510.0])
    runs = (*session.runs[:6], type(session.runs[6])(**{**fields_of(session.runs[6]), "status": "void"}))
    increment = compared(type(session)(**{**fields_of(session), "runs": runs}))["3"]
    assert increment.between is None
    assert increment.baseline == "1"
    assert increment.notes == ("stated baseline '7' is void and not used",)


def fields_of(record):
    return {name: getattr(record, name) for name in record.__dataclass_fields__}


@pytest.mark.parametrize(
    ("first", "run", "second"), [((0,), (3,), (2,)), ((1,), (1,), (2,)), ((2,), (1,), (0,))]
)
def test_a_run_that_is_not_between_has_no_share(make_session, first, run, second):
    runs = make_session([(1.0, 1.0, 1.0)] * 4).runs
    assert share_between(runs, first, run, second) is None


@pytest.mark.parametrize(
    "times",
    [
        ["", "", ""],
        ["9:00", "soon", "10:00"],
        ["23:50", "00:10", "00:30"],
        ["9:00", "8:00", "10:00"],
        ["9:00", "11:00", "10:00"],
        ["10:00", "10:30", "9:00"],
        ["9:00", "9:00", "9:00"],
        ["9:00", "9:15", ""],
        ["9:00", "9:60", "10:00"],  # no minute
        ["9:00", "10:00", "24:00"],  # no hour
        ["0:30 am", "1:00 am", "2:30 am"],  # no hour of twelve
        ["9:00 am", "9:30 am", "13:00 pm"],
    ],
)
def test_without_a_clock_that_runs_forward_the_order_counts(make_session, times):
    session = day(make_session, [500.0, 530.0, 504.0], order="ABA", around=("1", "3"), times=times)
    assert compared(session)["2"].between == (0.5, "order")


@pytest.mark.parametrize(
    ("order", "change", "why"),
    [
        ("ABC", {}, "are different configurations"),
        ("ABA", {"speed": 40.0}, "were made at different speeds"),
        ("ABA", {"block": "later"}, "are of different blocks"),
    ],
)
def test_nothing_lies_between_two_that_are_not_alike(make_session, order, change, why):
    """The first of the two alone stands, and that is said."""
    session = day(make_session, [500.0, 530.0, 504.0], order=order, around=("1", "3"))
    last = replace(session.runs[2], **change)
    found = compared(replace(session, runs=(*session.runs[:2], last)))["2"]
    assert found.between is None
    assert found.baseline == "1"
    assert found.notes == (f"runs 1 and 3 {why}: compared with the first alone",)
    assert found.drag.change == pytest.approx(30.0)


@pytest.mark.parametrize(("speed", "alike"), [(49.1, True), (48.9, False), (51.0, True), (51.1, False)])
def test_two_baselines_are_at_one_speed_within_two_per_cent(make_session, speed, alike):
    """2 % of the faster of the two, the other at 50 m/s: 49 m/s and 51.02 m/s; common practice, no source."""
    session = day(make_session, [500.0, 530.0, 504.0], order="ABA", around=("1", "3"))
    last = replace(session.runs[2], speed=speed)
    found = compared(replace(session, runs=(*session.runs[:2], last)))["2"]
    assert (found.between is not None) is alike


@pytest.mark.parametrize(
    ("times", "share"),
    [
        (["9:00", "9:15", "10:00"], 0.25),
        (["11:30 am", "12:15 pm", "2:30 p.m."], 0.25),
        (["11.30", "12.15 after lunch", "14.30"], 0.25),
        (["9:00:00", "9:00:15", "9:01:00"], 0.25),
        (["9:59:30", "10:00:00", "10:01:30"], 0.25),
        (["12:00 am", "3:00 am", "12:00 pm"], 0.25),  # midnight, and noon twelve hours later
        (["0:00", "5:45", "23:00"], 0.25),
    ],
)
def test_times_of_day_as_people_write_them(make_session, times, share):
    session = day(make_session, [500.0, 530.0, 504.0], order="ABA", around=("1", "3"), times=times)
    between = compared(session)["2"].between
    assert between.by == "time"
    assert between.share == pytest.approx(share)


@pytest.mark.slow
@pytest.mark.parametrize("refit", [0.0, 2.5])
def test_the_interval_holds_the_truth_under_drift_and_noise(make_session, refit):
    """2,000 days of a steady drift of 6 N a run; at least 93 % hold the truth."""
    rng, held, days = np.random.default_rng(1), np.zeros(4), 2000
    order = "AABBAACCAA"
    starts = [k == 0 or order[k] != order[k - 1] for k in range(len(order))]
    fit = np.cumsum(starts) - 1
    for _ in range(days):
        noise = rng.normal(0.0, 7.0, len(order)) + refit * rng.normal(0.0, 7.0, fit[-1] + 1)[fit]
        loads = [500.0 + 40.0 * (kind == "B") for kind in order] + noise + 6.0 * np.arange(len(order))
        found = compared(day(make_session, loads, order=order, around=("1", "5"), deviation=(None,) * 3))["3"]
        sides = (found.front_downforce, found.rear_downforce, found.drag)
        held[:3] += [one.low <= 40.0 <= one.high for one in sides]
        held[3] += found.downforce.low <= 80.0 <= found.downforce.high
    assert np.all(held / days >= 0.93), held / days
