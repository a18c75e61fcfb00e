"""The bounds beyond which a run just typed is doubted: just inside there is no doubt, just outside there is that one.

Forces are invented, at 1500 Pa, with a scatter of 7 N; what is expected is worked out by hand beside its check. The bounds
themselves are common practice, no source.
"""

import math

import pytest

from balance.decide.doubts.entry_doubts import entry_doubts
from balance.model.records import Setting

READING = (100.0, 300.0, 600.0)


def entered(make_session, readings, settings):
    """Give the doubts about the last run of a day of one label."""
    runs = [
        {"settings": {name: Setting(value=value, unit="mm") for name, value in one.items()}}
        for one in settings
    ]
    session = make_session(readings, configurations=["car"] * len(readings), deviation=(7.0,) * 3, runs=runs)
    return entry_doubts(session, str(len(readings)))


@pytest.mark.parametrize(
    ("others", "value", "doubted"),
    [
        # the others span 8 mm, so that twice their range beyond them is from -16 to 24 mm
        ((0.0, 4.0, 8.0), 5.0, False),
        ((0.0, 4.0, 8.0), 23.9, False),
        ((0.0, 4.0, 8.0), 24.1, True),
        ((0.0, 4.0, 8.0), 24.0, False),  # just so far
        ((0.0, 4.0, 8.0), -16.0, False),
        ((0.0, 4.0, 8.0), -15.9, False),
        ((0.0, 4.0, 8.0), -16.1, True),
        ((0.0, 4.0, 6.0, 8.0), 24.1, True),
        ((0.0, 8.0), 24.1, False),  # two values make no range to go by
    ],
)
def test_a_setting_far_outside_what_the_day_has(make_session, others, value, doubted):
    readings = [READING] * (len(others) + 1)
    found = entered(make_session, readings, [{"ride": one} for one in (*others, value)])
    assert [one.values for one in found if one.kind == "setting"] == (
        [{"value": value, "low": 0.0, "high": 8.0}] if doubted else []
    )


@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        ((100.0, 30.0, 600.0), [("digits", "rear")]),
        ((10.0, 300.0, 600.0), [("digits", "front")]),
        ((100.0, 3000.0, 600.0), [("magnitude", "rear")]),  # above 3 times 300 N: said once
        ((740.0, 300.0, 600.0), [("apart", "front")]),  # not above 3 times 300 N; a tenth is 26 % below 100 N
        (
            (770.0, 300.0, 600.0),
            [("digits", "front")],
        ),  # a tenth is 23 N below 100 N, less than 30 % of itself
    ],
)
def test_a_digit_too_many_or_too_few_is_said_once(make_session, reading, expected):
    found = entered(make_session, [READING, reading], [{}, {}])
    assert [(one.kind, one.axle) for one in found] == expected


def of_kind(kind, found):
    return [(one.axle, one.other, dict(one.values)) for one in found if one.kind == kind]


SLACK = 4.0 * math.sqrt(2.0) * 7.0  # four standard deviations of a difference of two readings, 39.6 N


@pytest.mark.parametrize(
    ("front", "rear", "drag", "axle", "usual"),
    [
        # 3 times the largest axle, 300 N, and 39.6 N: 939.6 N on either side of nothing
        (939.0, 300.0, 600.0, None, None),
        (940.0, 300.0, 600.0, "front", 300.0),
        (-939.0, 300.0, 600.0, None, None),
        (-940.0, 300.0, 600.0, "front", 300.0),
        (100.0, 939.0, 600.0, None, None),
        (100.0, 940.0, 600.0, "rear", 300.0),
        # half of 600 N of drag less 39.6 N, and twice it and 39.6 N
        (100.0, 300.0, 261.0, None, None),
        (100.0, 300.0, 260.0, "drag", 600.0),
        (100.0, 300.0, 1239.0, None, None),
        (100.0, 300.0, 1240.0, "drag", 600.0),
    ],
)
def test_a_figure_of_another_order_than_the_days(make_session, front, rear, drag, axle, usual):
    """The day's other drags are 500, 600 and 1000 N: their median is the usual one."""
    others = [READING, (90.0, -290.0, 500.0), (110.0, 280.0, 1000.0)]
    session = make_session([*others, (front, rear, drag)], deviation=(7.0,) * 3)
    found = of_kind("magnitude", entry_doubts(session, "4"))
    if axle is None:
        assert found == []
    else:
        force = {"front": front, "rear": rear, "drag": drag}[axle]
        assert found == [(axle, None, pytest.approx({"force": force, "usual": usual}))]


def test_nothing_is_of_another_order_than_nothing(make_session):
    assert entry_doubts(make_session([READING]), "1") == ()


@pytest.mark.parametrize(
    ("usual", "reading", "told"),
    [
        # to within 30 % of 300 N: from -210 to -390 N
        (300.0, -211.0, True),
        (300.0, -209.0, False),
        (300.0, -389.0, True),
        (300.0, -391.0, False),
        (300.0, 300.0, False),
        # ten times 7 N are 70 N
        (71.0, -71.0, True),
        (69.0, -69.0, False),
    ],
)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_a_turned_sign_against_a_run_with_the_same_parts(make_session, usual, reading, told, axle):
    """What is changed is a part of that axle, so that no doubt of the whole day is told as well."""
    ahead = axle == "front"
    readings = [(usual, 500.0, 600.0), (reading, 500.0, 600.0)]
    readings = readings if ahead else [(500.0, one, drag) for one, _, drag in readings]
    names = ["car", "car front splitter" if ahead else "car rear wing"]
    found = entry_doubts(make_session(readings, configurations=names, deviation=(7.0,) * 3), "2")
    assert [(one.kind, one.axle, one.other) for one in found] == ([("sign", axle, "1")] if told else [])


@pytest.mark.parametrize(
    ("usual", "reading", "told"),
    [
        # a tenth of 300 N to within 30 % of it: from 21 to 39 N
        (300.0, 38.9, True),
        (300.0, 39.1, False),
        (300.0, 21.1, True),
        (300.0, 20.9, False),
        # ten times 100 N: a tenth of the reading is within 30 % of itself of 100 N from 769.2 to 1428.6 N
        (100.0, 770.0, True),
        (100.0, 768.0, False),
        (100.0, 1428.0, True),
        (100.0, 1429.0, False),
        # a difference of more than 39.6 N
        (4.3, 44.0, True),
        (4.3, 43.8, False),
        (-100.0, -1000.0, True),
        (-100.0, 1000.0, False),  # of the other sign it is no digit
    ],
)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_ten_times_or_a_tenth_of_what_is_expected(make_session, usual, reading, told, axle):
    readings = [(usual, 900.0, 600.0), (reading, 900.0, 600.0)]
    readings = readings if axle == "front" else [(900.0, one, drag) for one, _, drag in readings]
    found = entry_doubts(make_session(readings, configurations=["a", "b"], deviation=(7.0,) * 3), "2")
    expected = [(axle, "1", pytest.approx({"force": reading, "usual": usual}))] if told else []
    assert of_kind("digits", found) == expected


@pytest.mark.parametrize(
    ("unit", "angles", "change", "steepest"),
    [
        # one other setting, 2 degrees away: 0.15 m² a degree are 225 N at 1500 Pa, and 39.6 N over 2 degrees 19.8 N
        ("deg", (0.0, 2.0), 489.0, None),
        ("deg", (0.0, 2.0), 490.0, 225.0),
        ("deg", (0.0, 2.0), -490.0, 225.0),
        ("°", (0.0, 2.0), 490.0, 225.0),
        ("mm", (0.0, 2.0), 490.0, None),
        # a family of three that has 20 N a step of 1: twice that, and 19.8 N
        ("mm", (0.0, 1.0, 2.0, 4.0), 119.0, None),
        ("mm", (0.0, 1.0, 2.0, 4.0), 120.0, 40.0),
        ("deg", (0.0, 1.0, 2.0, 4.0), 120.0, 40.0),
        ("mm", (0.0, 1.0, 3.0), 490.0, None),  # two others make no family
    ],
)
@pytest.mark.parametrize("axle", ["front", "rear"])
def test_an_axle_that_answers_a_setting_too_steeply(make_session, unit, angles, change, steepest, axle):
    loads = [20.0 * angle for angle in angles[:-1]]
    loads.append(loads[-1] + change)
    readings = [(load, 900.0, 600.0) if axle == "front" else (900.0, load, 600.0) for load in loads]
    runs = [{"settings": {"ride": Setting(value=one, unit=unit)}} for one in angles]
    session = make_session(readings, configurations=["car"] * len(angles), deviation=(7.0,) * 3, runs=runs)
    found = of_kind("slope", entry_doubts(session, str(len(angles))))
    step = angles[-1] - angles[-2]
    values = {"slope": abs(change) / step, "usual": steepest}
    assert found == ([] if steepest is None else [(axle, str(len(angles) - 1), pytest.approx(values))])


def test_a_void_run_is_doubted_in_nothing(make_session):
    runs = [{}, {"status": "void", "reason": "tape"}]
    assert entry_doubts(make_session([READING, (9000.0, 300.0, 600.0)], runs=runs), "2") == ()


@pytest.mark.parametrize(("kind", "rear"), [("digits", 42.0), ("sign", -420.0)])
def test_a_doubt_against_a_line_names_the_nearest_of_its_runs(make_session, kind, rear):
    """A wing of 20 N a degree from 300 N: 420 N at 6 degrees, where the run at 5 is nearer than that at 2."""
    loads = {2.0: 340.0, 5.0: 400.0, 6.0: rear}
    session = make_session(
        [(100.0, load, 600.0) for load in loads.values()],
        configurations=["car rear"] * 3,
        deviation=(1.0,) * 3,
        runs=[{"settings": {"wing": Setting(value=one, unit="mm")}} for one in loads],
    )
    found = [one for one in entry_doubts(session, "3") if one.kind == kind]
    assert [(one.axle, one.other) for one in found] == [("rear", "2")]
