"""Comparing with another baseline than the files state, and two configurations with one another: by hand."""

import pytest

from balance.decide.day.day import reduce_day
from balance.decide.parts.baselines import against, runs_since_baseline, with_baselines
from balance.decide.parts.parts import assess_parts
from balance.decide.parts.two_configurations import compare_two
from balance.model.errors import InputError, UnknownName

LOADS = {"base": 500.0, "wing": 900.0, "lip": 650.0, "duct": 520.0}
ORDER = ("base", "wing", "lip", "base", "duct")


@pytest.fixture
def day(make_session):
    """Runs 1 and 4 are the base, run 4 12 N higher; runs 2, 3 and 5 are compared with run 1, as is stated."""
    readings = [(LOADS[kind] + 12.0 * (k == 3), 300.0, 600.0) for k, kind in enumerate(ORDER)]
    fields = [{"baseline": None if kind == "base" else "1"} for kind in ORDER]
    return reduce_day(make_session(readings, configurations=list(ORDER), runs=fields), draws=100)


def changes(parts):
    found = parts.increments
    labels = found.readings.labels
    return {
        labels[pair.run]: (labels[pair.baseline], found.changes.change[row, 0], pair.shows_part)
        for row, pair in enumerate(found.pairs)
    }


def test_a_baseline_named_stands_above_the_one_that_is_stated(day):
    """Of the base the mean of both, 506 N; the lip against the wing 650 - 900 N."""
    stated = changes(assess_parts(day))
    assert {run: stated[run][:2] for run in "235"} == {
        "2": ("1", pytest.approx(394.0)),
        "3": ("1", pytest.approx(144.0)),
        "5": ("1", pytest.approx(14.0)),
    }
    named = changes(assess_parts(with_baselines(day, {"3": "2"})))
    assert named["3"][:2] == ("2", pytest.approx(-250.0))
    assert {run: named[run] for run in "25"} == {run: stated[run] for run in "25"}
    assert with_baselines(day, {}) is day


def test_two_baselines_are_taken_in_the_order_of_running(day):
    """The wing is one of three steps from run 1 to run 4: 500 N and a third of 12 N, whichever is named first."""
    for text in ("1 and 4", "4 and 1"):
        found = changes(assess_parts(with_baselines(day, {"2": text})))
        assert found["2"][:2] == ("1", pytest.approx(900.0 - 504.0))


@pytest.mark.parametrize("text", ["2", "2 and 4", "1 and 1", "1 and 3 and 4", ""])
def test_a_run_is_compared_with_one_other_or_with_two(day, text):
    with pytest.raises(InputError, match="expected another run"):
        with_baselines(day, {"2": text})


@pytest.mark.parametrize("named", [{"9": "1"}, {"2": "9"}, {"2": "1 and 9"}])
def test_runs_that_there_are_not_are_named(day, named):
    with pytest.raises(UnknownName, match="9"):
        with_baselines(day, named)


def test_every_run_against_one(day):
    """Against the wing's 900 N; the wing itself, against a base, is the base against it turned round."""
    found = changes(assess_parts(against(day, "2")))
    assert {run: one[:2] for run, one in found.items() if run in "35"} == {
        "3": ("2", pytest.approx(-250.0)),
        "5": ("2", pytest.approx(-380.0)),
    }
    assert found["1"][0] == found["4"][0] == "2"
    assert not found["2"][2]
    with pytest.raises(UnknownName, match="9"):
        against(day, "9")


@pytest.mark.parametrize(
    ("before", "after", "change"),
    [("1", "2", 394.0), ("2", "1", -394.0), ("3", "5", -130.0), ("2", "4", -394.0)],
)
def test_two_configurations(day, before, after, change):
    parts, row = compare_two(day, before, after)
    pair = parts.increments.pairs[row]
    labels = parts.increments.readings.labels
    assert (labels[pair.run], labels[pair.baseline]) == (after, before)
    assert parts.increments.changes.change[row, 0] == pytest.approx(change)


def test_two_configurations_of_blocks_that_nothing_ties_are_not_compared(make_session):
    session = make_session(
        [(500.0, 300.0, 600.0)] * 2, configurations=["a", "b"], runs=[{"block": "am"}, {"block": "pm"}]
    )
    with pytest.raises(InputError, match="not tied"):
        compare_two(reduce_day(session, draws=100), "1", "2")


@pytest.mark.parametrize(
    ("statuses", "label", "expected"),
    [
        # base wing lip base duct
        ("ggggg", "5", "5"),
        ("ggggg", "4", "234"),
        ("ggggg", "3", "23"),
        ("ggggg", "1", "1"),
        ("gggsg", "5", "2345"),  # a suspect baseline clears nobody
        ("gggvg", "5", "235"),
        ("ggvgg", "4", "24"),
        ("ggggv", "5", "5"),
        ("vgggg", "3", "3"),  # the wing is the first that counts, and so the baseline
        ("sgggg", "3", "123"),
    ],
)
def test_runs_that_a_fault_may_have_spoilt(make_session, statuses, label, expected):
    names = {"g": "good", "s": "suspect", "v": "void"}
    session = make_session(
        [(500.0, 300.0, 600.0)] * 5,
        configurations=list(ORDER),
        runs=[{"status": names[one], "reason": "" if one == "g" else "tape"} for one in statuses],
    )
    assert runs_since_baseline(session, label) == tuple(expected)
