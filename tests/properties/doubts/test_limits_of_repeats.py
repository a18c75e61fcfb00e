"""The bounds beyond which a total, a repeat or a turned axle is doubted, by hand.

Forces are invented, at 1500 Pa. How many standard deviations are too many is common practice, no source.
"""

import math
from dataclasses import replace

import pytest

from balance.decide.day.day import reduce_day
from balance.decide.doubts.plausibility import doubts
from balance.model.records import Setting, Triple

READING = (100.0, 300.0, 600.0)
TINY = (1e-3,) * 3


def found(session, kind):
    return [one for one in doubts(reduce_day(session, draws=100)) if one.kind == kind]


@pytest.mark.parametrize(("total", "doubted"), [(599.0, False), (601.0, True), (201.0, False), (199.0, True)])
def test_a_total_within_four_standard_deviations_of_its_axles(make_session, total, doubted):
    """Axles of 30 and 40 N make a sum of 50 N (GUM 5.1.2); four times that about 400 N."""
    session = make_session([READING], deviation=(30.0, 40.0, 4.0), runs=[{"total": total}])
    assert [one.values["total"] for one in found(session, "total")] == ([total] if doubted else [])


@pytest.mark.parametrize(("total", "doubted"), [(411.9, False), (412.1, True), (388.1, False), (387.9, True)])
def test_a_total_within_what_was_rounded_away(make_session, total, doubted):
    """Half a digit of 1 N at the front and of 5 N at the rear: twice their sum is 12 N."""
    session = make_session([READING], deviation=TINY, runs=[{"total": total}])
    rounded = replace(session.runs[0], resolution=Triple(front=1.0, rear=5.0, drag=0.0))
    assert bool(found(replace(session, runs=(rounded,)), "total")) is doubted


@pytest.mark.parametrize(("total", "doubted"), [(513.0, False), (514.0, True)])
def test_a_total_is_held_against_the_repeats_of_the_others(make_session, total, doubted):
    """Sums of 380 and 420 N have a standard deviation of 28.28 N; four times that is 113.1 N. Its own repeat is left out."""
    session = make_session(
        [(90.0, 290.0, 600.0), (110.0, 310.0, 600.0), READING, (100.0, -300.0, 600.0)],
        deviation=(None, None, None),
        configurations=["a", "a", "b", "b"],
        runs=[{}, {}, {"total": total}, {}],
    )
    assert [one.run for one in found(session, "total")] == (["3"] if doubted else [])


def test_a_wrong_repeat_is_told_against_the_first_of_the_others(make_session):
    turned = make_session([READING, READING, (100.0, -300.0, 600.0)], configurations=["car"] * 3)
    assert [(one.run, one.other, one.axle) for one in found(turned, "sign")] == [("3", "1", "rear")]


@pytest.mark.parametrize(("factor", "doubted"), [(0.94, True), (0.96, False), (1.06, True), (1.04, False)])
def test_a_repeat_with_all_channels_scaled_alike(make_session, factor, doubted):
    """Beyond 5 %; a speed goes with the root of the forces."""
    readings = [READING, tuple(factor * one for one in READING)]
    session = make_session(readings, configurations=["car"] * 2, deviation=(2.0,) * 3)
    scaled = found(session, "scaled alike")
    assert [(one.run, one.other) for one in scaled] == ([("2", "1")] if doubted else [])
    for one in scaled:
        assert one.values["factor"] == pytest.approx(factor)
        assert one.values["perhaps"] == pytest.approx(50.0 * math.sqrt(factor))


def test_a_repeat_that_is_off_in_one_channel_alone_is_not_scaled(make_session):
    """Least squares make it (100 x 160 + 300 x 332 + 600 x 660) / 460,000 = 1.112, of which the front is 49 N off."""
    session = make_session([READING, (160.0, 332.0, 660.0)], configurations=["car"] * 2, deviation=(2.0,) * 3)
    assert found(session, "scaled alike") == []
    assert [one.axle for one in found(session, "apart")] == ["front", "rear", "drag"]  # above 15 times 2 N


@pytest.mark.parametrize(("front", "turned"), [(69.0, False), (71.0, True), (80.0, True)])
def test_an_axle_turns_where_both_sides_are_ten_standard_deviations_from_nothing(make_session, front, turned):
    """Ten times 7 N is 70 N, and nothing that was changed is a part of the front."""
    session = make_session(
        [(front, 300.0, 600.0), (-front, 300.0, 600.0)],
        configurations=["base", "other"],
        deviation=(7.0,) * 3,
    )
    assert [(one.run, one.axle) for one in found(session, "turned")] == ([("2", "front")] if turned else [])


@pytest.mark.parametrize(("near", "turned"), [(10.0, False), (-10.0, True)])
def test_an_axle_that_reads_with_the_sign_of_the_nearest_run_has_not_turned(make_session, near, turned):
    """The line goes on to -300 N or less, known to 7 N and a sixteenth of its step: 27 N at most, and ten times that is less.

    The day has a step of 310 N; 400 N read is 390 N or more from the nearest run.
    """
    fronts = (310.0 + near, near, 400.0)
    session = make_session(
        [(front, 300.0, 600.0) for front in fronts],
        configurations=["car"] * 3,
        deviation=(7.0,) * 3,
        runs=[{"settings": {"ride": Setting(value=value, unit="mm")}} for value in (0.0, 4.0, 8.0)],
    )
    assert [(one.run, one.axle) for one in found(session, "turned")] == ([("3", "front")] if turned else [])
