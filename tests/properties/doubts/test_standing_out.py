"""A reading that stands out from its configuration's others: found where it is wrong, seldom named where it is right."""

from dataclasses import replace

import numpy as np
import pytest

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
