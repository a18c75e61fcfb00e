"""Which runs repeat one another, and whether the car was changed in between: told by hand from the order of running."""

import pytest

from balance.reduce.readings import reduce_session
from balance.reduce.repeats import repeat_sets


@pytest.mark.parametrize(
    ("order", "blocks", "expected"),
    [
        ("AA", None, {(0, 1): False}),
        ("ABA", None, {(0, 2): True, (1,): False}),
        ("AAB", None, {(0, 1): False, (2,): False}),
        ("AABA", None, {(0, 1, 3): True, (2,): False}),  # between the last two
        ("ABAA", None, {(0, 2, 3): True, (1,): False}),  # between the first two
        ("AA", ["am", "pm"], {(0, 1): True}),
        ("AAA", ["am", "am", "pm"], {(0, 1, 2): True}),
        ("AA", ["am", "am"], {(0, 1): False}),
        ("ABBA", None, {(0, 3): True, (1, 2): False}),
    ],
)
def test_the_car_was_changed_where_something_stood_between(make_session, order, blocks, expected):
    session = make_session(
        [(100.0, 200.0, 600.0)] * len(order),
        configurations=list(order),
        runs=[{"block": block} for block in blocks or [""] * len(order)],
    )
    found = {one.rows: one.after_change for one in repeat_sets(reduce_session(session))}
    assert found == expected


@pytest.mark.parametrize(
    ("speeds", "expected"),
    [
        ((50.0, 51.0), {(0, 1)}),  # 2 % faster, and no more
        ((50.0, 51.01), {(0,), (1,)}),
        ((51.0, 50.0), {(0, 1)}),
        ((50.0, 50.9, 51.8), {(0, 1), (2,)}),  # measured from the slowest of them
        ((50.0, 60.0, 50.1, 60.1), {(0, 2), (1, 3)}),
    ],
)
def test_repeats_stand_within_two_per_cent_of_speed(make_session, speeds, expected):
    """The limit is common practice, no source."""
    session = make_session(
        [(100.0, 200.0, 600.0)] * len(speeds),
        configurations=["A"] * len(speeds),
        runs=[{"speed": speed} for speed in speeds],
    )
    assert {one.rows for one in repeat_sets(reduce_session(session))} == expected
