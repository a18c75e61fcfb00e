"""A reading that stands out from its configuration's others: found where it is wrong, seldom named where it is right."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import t

import balance
from balance.decide.day.day import reduce_day
from balance.decide.doubts.standing_out import OUTSIDE, standing_out
from balance.model.records import Triple
from balance.tell.runs.remarks import run_remarks

ORDER = ("A", "A", "B", "A", "C", "A", "B", "A")
LOADS = {"A": (-80.0, -240.0, 990.0), "B": (250.0, 230.0, 1045.0), "C": (180.0, 370.0, 1140.0)}
SCATTER = np.array([7.0, 9.0, 4.0])
DAYS = 300


def days(make_session, *, wrong=None, deviation=(None, None, None), count=DAYS):
    rng = np.random.default_rng(1)
    session = make_session([LOADS[kind] for kind in ORDER], configurations=list(ORDER), deviation=deviation)
    for _ in range(count):
        noise = rng.standard_normal((len(ORDER), 3)) * SCATTER
        if wrong is not None:
            noise[wrong[0], 0] += wrong[1]
        runs = tuple(
            replace(run, reading=Triple(front=f, rear=r, drag=d))
            for run, (f, r, d) in zip(session.runs, np.array([LOADS[k] for k in ORDER]) + noise, strict=True)
        )
        yield reduce_day(replace(session, runs=runs), draws=100)


@pytest.mark.parametrize(
    "deviation", [(None, None, None), tuple(SCATTER)], ids=["repeats alone", "a right figure"]
)
def test_a_right_reading_is_named_at_most_about_once_in_a_hundred(make_session, deviation):
    """Seven of the eight readings have others; 1 % of 2,100 with a standard error of 0.22 %, so that 2 % is far outside."""
    named = sum(len(standing_out(day)) for day in days(make_session, deviation=deviation))
    assert named / (7 * DAYS) < 2.0 * (1.0 - OUTSIDE)


def test_a_reading_that_is_far_off_is_named_and_no_other(make_session):
    """90 N where one reading has 7 N, with a figure of the facility; on one day in ten few repeats stand alone, and less is seen."""
    found = [
        set(standing_out(day))
        for day in days(make_session, wrong=(5, 90.0), deviation=tuple(SCATTER), count=60)
    ]
    assert sum(5 in named for named in found) >= 48
    assert sum(len(named - {5}) for named in found) <= 6


def test_it_is_said_of_the_reading_beside_its_configuration(make_session):
    (day,) = days(make_session, wrong=(5, 90.0), deviation=tuple(SCATTER), count=1)
    table = balance.assess(day, rows=day.rows.configurations)
    said = [text for row in range(len(table.rows)) for text in run_remarks(table, row)]
    assert [text for text in said if text.startswith("run 6 stands out at the front: ")]
    assert [text for text in said if "outside 99 % of such readings" in text]


def test_nothing_is_named_where_the_scatter_is_unknown(make_session):
    session = make_session([LOADS["A"], LOADS["B"]], configurations=["A", "B"], deviation=(None, None, None))
    assert standing_out(reduce_day(session, draws=100)) == {}


def with_one_off(make_session, degrees, off, *, count=10, channel=0, deviation=(7.0,) * 3):
    """Readings of one car, each fitted anew and alike but for the fifth that is so many N off; one reading has 7 N."""
    order = [name for k in range(count) for name in ("A", f"other {k}")][:-1]
    readings = [np.array(LOADS["A"] if kind == "A" else (0.0, 0.0, 900.0)) for kind in order]
    readings[8] = readings[8] + off * (np.arange(3) == channel)
    session = make_session(
        [tuple(one) for one in readings], configurations=order, deviation=deviation, degrees=degrees
    )
    return reduce_day(session, draws=100)


@pytest.mark.parametrize("channel", range(3))
@pytest.mark.parametrize("degrees", [1e7, 21.0, 20.9, 10.0])
def test_a_reading_stands_out_beyond_the_interval_of_one_more(make_session, degrees, channel):
    """One reading and the mean of nine others: root(1 + 1/9) standard deviations, times Student's t for 1 % over three channels.

    Nine degrees of freedom of the repeats join the facility's. From 30 on the scatter of all stands, the odd reading's own
    9/10 d² in it; below, that of the rest, whose eight add nothing to the facility's 49 N².
    """

    def limit(off):
        if degrees + 9.0 >= 30.0:
            known, square = degrees + 9.0, (degrees * 49.0 + 0.9 * off**2) / (degrees + 9.0)
        else:
            known, square = degrees + 8.0, degrees * 49.0 / (degrees + 8.0)
        return t.ppf(1.0 - 0.01 / 6.0, known) * np.sqrt(square * 10.0 / 9.0)

    edge = brentq(lambda off: off - limit(off), 1.0, 200.0)
    for times, stands in ((0.999, False), (1.001, True), (-0.999, False), (-1.001, True)):
        found = standing_out(with_one_off(make_session, degrees, times * edge, channel=channel))
        assert set(found) == ({8} if stands else set())
        if stands:
            (one,) = found[8]
            assert one.channel == channel
            usual = LOADS["A"][channel]
            assert (one.area * 1500.0, one.others * 1500.0) == pytest.approx((usual + times * edge, usual))


def test_readings_fitted_again_stay_so_without_the_one_that_is_looked_at(make_session):
    """Of repeats alone, each after another car: three others 6 N apart have one of 6 N, known by two degrees of freedom.

    Student's t for 1 % over three channels is 16.33 (scipy), and root(1 + 1/3) of 6 N makes 113.1 N.
    """
    edge = float(t.ppf(1.0 - 0.01 / 6.0, 2)) * 6.0 * np.sqrt(4.0 / 3.0)
    for off, stands in ((0.99 * edge, False), (1.01 * edge, True)):
        steps = (0.0, 50.0, 6.0, 50.0, 12.0, 50.0, 6.0)
        session = make_session(
            [(100.0 + one + off * (k == 6), 300.0 + one, 600.0 + one) for k, one in enumerate(steps)],
            configurations=list("ABACADA"),
            deviation=(None, None, None),
        )
        assert set(standing_out(reduce_day(session, draws=100))) == ({6} if stands else set())


@pytest.mark.parametrize(("apart", "stand"), [(28.9, set()), (29.2, {0, 2})])
def test_of_two_readings_both_stand_out_where_a_facility_tells_how_far_is_far(make_session, apart, stand):
    """One reading against one other: root 2 of 7 N, 2.935 times (normal tables, 1 % over three channels), 29.06 N."""
    session = make_session(
        [(100.0, 300.0, 600.0), (0.0, 0.0, 900.0), (100.0 + apart, 300.0, 600.0)],
        configurations=list("ABA"),
        deviation=(7.0,) * 3,
        degrees=1e7,
    )
    assert set(standing_out(reduce_day(session, draws=100))) == stand
