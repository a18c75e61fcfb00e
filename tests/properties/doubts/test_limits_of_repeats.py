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


@pytest.mark.parametrize(
    ("usual", "wrong", "told"),
    [
        # turned to within four times 7 N, of an axle of more than six times 7 N
        (300.0, -327.0, True),
        (300.0, -329.0, False),
        (300.0, -273.0, True),
        (300.0, -271.0, False),
        (43.0, -43.0, True),
        (41.0, -41.0, False),
        (-300.0, 300.0, True),
    ],
)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_a_repeat_with_its_sign_turned(make_session, usual, wrong, told, axle):
    readings = [
        (one, 500.0, 600.0) if axle == "front" else (500.0, one, 600.0) for one in (usual, usual, wrong)
    ]
    session = make_session(readings, configurations=["car"] * 3, deviation=(7.0,) * 3)
    assert [(one.run, one.other, one.axle) for one in found(session, "sign")] == (
        [("3", "1", axle)] if told else []
    )


@pytest.mark.parametrize(("more", "told"), [(104.0, False), (106.0, True), (-104.0, False), (-106.0, True)])
@pytest.mark.parametrize("channel", range(3))
def test_a_repeat_that_is_apart_by_fifteen_standard_deviations(make_session, more, told, channel):
    """15 times 7 N are 105 N."""
    wrong = [one + more * (k == channel) for k, one in enumerate(READING)]
    session = make_session([READING, READING, wrong], configurations=["car"] * 3, deviation=(7.0,) * 3)
    axle = ("front", "rear", "drag")[channel]
    expected = {"force": wrong[channel], "usual": READING[channel]}
    assert [(one.run, one.other, one.axle, one.values) for one in found(session, "apart")] == (
        [("3", "1", axle, pytest.approx(expected))] if told else []
    )


@pytest.mark.parametrize(
    ("drags", "rest", "named"),
    [
        ((600.0, 620.0), (700.0,), "1"),
        ((620.0, 600.0), (700.0,), "2"),
        ((600.0, 620.0), (500.0,), "2"),
        ((600.0, 620.0), (500.0, 700.0, 710.0), "1"),  # their median is 700 N
        ((600.0, 600.0), (700.0,), "2"),  # the later of equals
        ((600.0, 620.0), (), "2"),
    ],
)
def test_of_two_repeats_the_one_whose_drag_is_further_from_the_others_is_named(
    make_session, drags, rest, named
):
    signs = (1.0, -1.0)
    readings = [(100.0, sign * 300.0, drag) for sign, drag in zip(signs, drags, strict=True)]
    readings += [(100.0, 320.0, drag) for drag in rest]
    names = ["car", "car", *(f"other {k}" for k in range(len(rest)))]
    session = make_session(readings, configurations=names, deviation=(7.0,) * 3)
    other = {"1": "2", "2": "1"}[named]
    assert [(one.run, one.other, one.axle) for one in found(session, "sign")] == [(named, other, "rear")]


@pytest.mark.parametrize(("step", "turned"), [(299.0, True), (301.0, False)])
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_an_axle_turns_by_more_than_any_part_of_the_day_did(make_session, step, turned, axle):
    """It goes from 200 to -100 N and back, by 300 N each; a later part moves it by 299 or 301 N."""
    loads = (200.0, -100.0, 200.0, 200.0 + step)
    readings = [(one, 500.0, 600.0) if axle == "front" else (500.0, one, 600.0) for one in loads]
    session = make_session(readings, configurations=list("abcd"), deviation=(7.0,) * 3)
    expected = [("2", "1", axle, pytest.approx({"force": -100.0, "usual": 200.0, "most": step}))]
    assert [(one.run, one.other, one.axle, one.values) for one in found(session, "turned")] == (
        expected if turned else []
    )


@pytest.mark.parametrize(
    ("label", "settings", "turned"),
    [
        ("base", {}, True),
        ("front lip", {}, False),
        ("rear flap", {}, True),  # a part of the other axle
        ("base", {"package": "splitter"}, False),
        ("base", {"package": "spoiler"}, True),
        ("base", {"splitter_length": 40.0}, False),
        ("base", {"ride_height": 40.0}, True),
    ],
)
def test_an_axle_whose_own_part_was_changed_has_not_turned(make_session, label, settings, turned):
    runs = [{}, {"settings": {name: Setting(value=value, unit="") for name, value in settings.items()}}]
    names = ["base", label] if settings or label != "base" else ["base", "other"]
    session = make_session(
        [(200.0, 300.0, 600.0), (-100.0, 300.0, 600.0)],
        configurations=names,
        deviation=(7.0,) * 3,
        runs=runs,
    )
    assert bool(found(session, "turned")) is turned


def speeds(make_session, changes, *, fast=50.0, count=1):
    """A car at 40 m/s, then at another speed so many times, its coefficients there otherwise by so many N at 1500 Pa."""
    slow = tuple(one * 0.64 for one in READING)
    there = tuple((one + more) * (fast / 50.0) ** 2 for one, more in zip(READING, changes, strict=True))
    return make_session(
        [slow, *[there] * count],
        configurations=["car"] * (1 + count),
        deviation=(7.0,) * 3,
        degrees=1e9,
        runs=[{"speed": 40.0}, *[{"speed": fast}] * count],
    )


@pytest.mark.parametrize("channel", range(3))
@pytest.mark.parametrize(
    ("count", "noise"),
    [
        # 7 N at 960 Pa and at 1500 Pa, as areas: the root of 1/960² + 1/1500² or of 1/960² + 1/(2 x 1500²)
        (1, 7.0 * math.hypot(1.0 / 960.0, 1.0 / 1500.0)),
        (2, 7.0 * math.sqrt(960.0**-2 + 1500.0**-2 / 2.0)),
    ],
)
@pytest.mark.parametrize(("times", "doubted"), [(2.97, False), (3.03, True), (-2.97, False), (-3.03, True)])
def test_coefficients_that_change_with_speed_by_three_standard_deviations(
    make_session, channel, count, noise, times, doubted
):
    change = times * noise * 1500.0
    session = speeds(make_session, [change * (k == channel) for k in range(3)], count=count)
    axle = ("front", "rear", "drag")[channel]
    values = {"change": times * noise, "slow": 40.0, "fast": 50.0}
    assert [(one.run, one.other, one.axle, one.values) for one in found(session, "scaling")] == (
        [("1", "2", axle, pytest.approx(values))] if doubted else []
    )


@pytest.mark.parametrize(("fast", "doubted"), [(40.7, False), (40.9, True)])
def test_runs_at_one_speed_say_nothing_of_scaling(make_session, fast, doubted):
    """Within 2 % of 40 m/s, which is 40.8 m/s."""
    assert bool(found(speeds(make_session, (100.0, 0.0, 0.0), fast=fast), "scaling")) is doubted


def test_a_height_on_which_a_class_hangs_is_told_with_how_many(make_session, make_vehicle):
    """As in the verdicts over a range: of 1200 N of drag reacted 0.3 m up, 144 N move from axle to axle; of 450 N, 54 N."""
    car = make_vehicle(front_share=0.5, top_speed=50.0, assumed=False)
    session = make_session([(0.0, 0.0, 1200.0), (0.0, 0.0, 450.0)], vehicle=car, configurations=["a", "b"])
    high = replace(session, facility=replace(session.facility, drag_reacted_at=0.3))
    assert [(one.other, one.values) for one in found(high, "drag height")] == [
        ("a", {"height": 0.3, "of": 2.0, "hanging": 1.0})
    ]
    assert found(session, "drag height") == []


@pytest.mark.parametrize(("total", "doubted"), [(438.0, False), (442.0, True)])
def test_repeats_of_several_cars_tell_together_how_far_a_total_may_be(make_session, total, doubted):
    """Sums of 390 and 410 N and of 380, 400 and 420 N have squares of 200 and 800 N² over one and two degrees: 18.26 N."""
    sums = [("a", 390.0), ("a", 410.0), ("c", 380.0), ("c", 400.0), ("c", 420.0), ("b", 367.0)]
    session = make_session(
        [(100.0, total_of - 100.0, 600.0) for _, total_of in sums],
        deviation=(None, None, None),
        configurations=[name for name, _ in sums],
        runs=[{}] * 5 + [{"total": total}],
    )
    assert [one.run for one in found(session, "total")] == (["6"] if doubted else [])


def test_many_repeats_within_two_per_cent_of_speed_are_held_for_one_speed(make_session):
    """Twenty at 40.7 m/s that read 38 N more than the one at 40: repeats, of which their own scatter tells, and no scaling."""
    assert found(speeds(make_session, (38.0, 0.0, 0.0), fast=40.7, count=20), "scaling") == []
    assert found(speeds(make_session, (38.0, 0.0, 0.0), fast=41.0, count=20), "scaling") != []


def test_another_name_of_the_same_settings_is_said_and_doubts_of_readings_stand_before_it(make_session):
    """What turns most figures wrong first; a speed that is far off changes nothing. Common practice, no source."""
    wing = {"settings": {"wing": Setting(value=8.0, unit="deg", resolution=0.0)}}
    forces = [(100.0, 300.0, 900.0), (101.0, 301.0, 901.0), (300.0, -100.0, 800.0), (1000.0, 301.0, 901.0)]
    runs = [wing, wing, {"total": 900.0}, {**wing, "speed": 20.0}]
    labels = ["wing", "wing rpt", "other", "wing"]
    unlikely = doubts(reduce_day(make_session(forces, configurations=labels, runs=runs), draws=100))
    kinds = [one.kind for one in unlikely]
    assert kinds.index("total") < kinds.index("names") < kinds.index("speed")
    said = next(one for one in unlikely if one.kind == "names")
    assert (said.other, said.setting) == ("1, 2, 4", "wing, not wing rpt")
    assert not said.of_reading
    apart = [wing, {**wing, "baseline": "1"}]
    kept = make_session(forces[:2], configurations=["wing", "wing taped"], runs=apart)
    assert found(kept, "names") == []
