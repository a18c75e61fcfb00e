"""Where repeats differ too much, the run that is off is named first: one slip of typing spoils every interval of a day."""

from dataclasses import replace

import pytest

import balance
from balance.tell.figures import Show
from balance.tell.runs.card import run_card
from balance.tell.runs.remarks import deciding_remarks

BASE, FITTED = (-80.0, -240.0, 990.0), (250.0, 230.0, 1045.0)
OFF = (-80.0, 240.0, 990.0)
"""The baseline with the sign of its rear turned."""


def table_of(make_session, *, rears, statuses=None):
    """Judge a day of baselines, each with its own rear, between which something else was fitted."""
    loads, names = [], []
    for rear in rears:
        loads += [(BASE[0], rear, BASE[2]), FITTED]
        names += ["base", f"fitted {len(names)}"]
    session = make_session(loads[:-1], configurations=names[:-1], deviation=(None, None, None))
    runs = list(session.runs)
    for row, status in (statuses or {}).items():
        runs[row] = replace(runs[row], status=status, reason="mistyped")
    day = balance.reduce_day(replace(session, runs=tuple(runs)))
    return balance.assess(day, rows=day.rows.configurations)


def test_the_run_that_stands_out_is_to_be_corrected_first(make_session):
    table = table_of(make_session, rears=(-240.0, -243.0, 240.0, -238.0, -242.0))
    assert deciding_remarks(table)[0] == (
        "warning: run 5 stands out from its repeats, so that no interval of the day can be trusted: correct run 5, "
        "or mark it suspect, first"
    )
    said = run_card(table, 0, Show()).headline
    assert said.startswith("? Cannot tell: repeats differ too much. Correct run 5, or mark it suspect")
    assert "baseline again" not in said


def test_once_it_is_suspect_nothing_is_said_of_it(make_session):
    table = table_of(make_session, rears=(-240.0, -243.0, 240.0, -238.0, -242.0), statuses={4: "suspect"})
    assert not [text for text in deciding_remarks(table) if "first" in text]
    assert "Cannot tell" not in run_card(table, 0, Show()).headline


@pytest.mark.parametrize(
    ("rears", "said"),
    [
        # of two nobody can tell which
        (
            (-240.0, 240.0),
            "Runs 1 and 3 differ most: if one is off, correct it or mark it suspect, else run the",
        ),
        # by hand: 490 N from the others' mean; with one degree of freedom a repeat's interval reaches as far
        ((-220.0, 260.0, -240.0), "Run 3 differs most from its repeats: if it is off, correct it or mark it"),
    ],
)
def test_where_none_stands_out_for_certain_the_farthest_is_named(make_session, rears, said):
    table = table_of(make_session, rears=rears)
    assert f"Cannot tell: repeats differ too much. {said}" in run_card(table, 0, Show()).headline
    assert not [text for text in deciding_remarks(table) if "stands out" in text]


def test_repeats_that_agree_but_are_too_few_are_not_said_to_differ(make_session):
    """Two readings 20 N apart: one degree of freedom widens an interval 12.7 / 1.96 times, Student's table, from memory."""
    table = table_of(make_session, rears=(-240.0, -220.0))
    said = [run_card(table, row, Show()).headline for row in range(len(table.rows))]
    found = [text for text in said if "Cannot tell" in text]
    assert found
    assert all("Cannot tell: too few repeats. Run the baseline again" in text for text in found)


def test_of_two_that_differ_beside_repeats_that_do_not_it_is_one(make_session):
    loads = [
        BASE,
        FITTED,
        OFF,
        FITTED,
        (100.0, 0.0, 1010.0),
        (251.0, 229.0, 1046.0),
        (100.0, 0.0, 1010.0),
        FITTED,
    ]
    names = ["base", "fitted", "base", "fitted", "lip", "fitted", "flap", "fitted"]
    day = balance.reduce_day(make_session(loads, configurations=names))
    first = deciding_remarks(balance.assess(day, rows=day.rows.configurations))[0]
    assert first.startswith(
        "warning: runs 1 and 3 differ, so that no interval of the day can be trusted: correct the one of"
    )
