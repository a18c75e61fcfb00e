"""From the car as it started to the one that is recommended: what mounts carry, what comes first, what not to stop at.

Invented loads at 50 m/s in 1.2 kg/m³, 1500 Pa; worked out by hand for a car of 10 kN, half on either axle, whose grip grows
as the load: its surplus is (1 + rear/5000)/(1 + front/5000) - 1, and its band ends at -1.5 % and 3 %.
"""

import numpy as np
import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.parts.parts import assess_parts
from balance.decide.recommendation.mounts import mount_loads
from balance.decide.recommendation.way_there import dangerous_middle, steps_between
from balance.model.records import Setting

BASE = (100.0, 100.0, 600.0)
PARTS = {
    "splitter": (250.0, -10.0, 10.0),
    "wing": (-30.0, 300.0, 40.0),
    "lip": (20.0, 20.0, 5.0),
    "plate": (0.0, 60.0, 8.0),
    "vane": (20.0, 20.0, 5.0),
    "canards": (30.0, 0.0, 5.0),
}


def day_of(make_session, make_vehicle, runs):
    """Runs of (parts fitted, label of the baseline or none), or with further fields of the run."""
    readings = [
        np.add(BASE, sum((np.array(PARTS[name]) for name in names), np.zeros(3))) for names, *_ in runs
    ]
    fields = [
        {
            "settings": {name: Setting(value=8.0, unit="mm") for name in names},
            "baseline": baseline,
            **dict(*more),
        }
        for names, baseline, *more in runs
    ]
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0), exact=True, top_speed=50.0)
    session = make_session(
        [tuple(one) for one in readings],
        configurations=["car"] * len(runs),
        runs=fields,
        vehicle=car,
        deviation=(1e-3,) * 3,
    )
    return reduce_day(session, draws=100)


def surplus(*names):
    front, rear, _ = np.add(BASE, sum((np.array(PARTS[name]) for name in names), np.zeros(3)))
    return (1.0 + rear / 5000.0) / (1.0 + front / 5000.0) - 1.0


# --- mounts


@pytest.mark.parametrize("told_at", [50.0, 60.0])
def test_mounts_carry_downforce_and_drag_together_at_the_speed_they_have_to_stand(
    make_session, make_vehicle, told_at
):
    """At 75 m/s 2.25 times what was measured at 50: the wing as it was put on this very car, the splitter as on another."""
    runs = [((), None), (("splitter",), "1"), (("wing",), "1"), (("splitter", "wing"), "2")]
    day = day_of(make_session, make_vehicle, runs)
    found = mount_loads(day, assess_parts(day, speed=told_at), 3, 75.0)
    assert [(one.name, one.setting.value) for one in found] == [("splitter", 8.0), ("wing", 8.0)]
    assert [one.force for one in found] == pytest.approx(
        [2.25 * np.hypot(240.0, 10.0), 2.25 * np.hypot(270.0, 40.0)]
    )
    assert mount_loads(day, assess_parts(day), 0, 75.0) == ()


def test_a_mount_is_told_by_its_own_car_before_a_larger_force_on_another(make_session, make_vehicle):
    """The wing's second reading on the bare car is 100 N more at the rear; on the splitter's own it is as it was."""
    runs = [((), None), (("splitter",), None), (("splitter", "wing"), "2"), (("wing",), "1")]
    day = day_of(make_session, make_vehicle, runs)
    moved = day.session.runs[3]
    more = type(moved.reading)(
        front=moved.reading.front, rear=moved.reading.rear + 100.0, drag=moved.reading.drag
    )
    runs = (*day.session.runs[:3], type(moved)(**{**fields_of(moved), "reading": more}))
    day = reduce_day(type(day.session)(**{**fields_of(day.session), "runs": runs}), draws=100)
    force = {row: mount_loads(day, assess_parts(day), row, 50.0)[-1].force for row in (2, 3)}
    assert force[2] == pytest.approx(np.hypot(270.0, 40.0))
    assert force[3] == pytest.approx(np.hypot(370.0, 40.0))


def fields_of(record):
    return {name: getattr(record, name) for name in record.__dataclass_fields__}


def test_a_part_that_was_never_measured_alone_has_no_mount_load(make_session, make_vehicle):
    day = day_of(make_session, make_vehicle, [((), None), (("splitter", "wing"), "1")])
    found = mount_loads(day, assess_parts(day), 1, 75.0)
    assert [(one.name, one.force) for one in found] == [("splitter", None), ("wing", None)]


# --- steps


RUNS = [
    ((), None),
    (("splitter",), "1"),
    (("wing",), "1"),
    (("plate",), "1"),
    (("splitter", "wing", "plate", "vane"), "1"),
]


def name_of(step):
    """Name a step of one setting."""
    (change,) = step.changes
    return change.name


def steps(day, start, end):
    table = assess(day)
    parts = assess_parts(day)
    return table, parts, steps_between(table, parts, start, end)


def test_what_loads_the_rear_comes_first_then_what_nobody_knows_then_what_unloads_it(
    make_session, make_vehicle
):
    _, _, found = steps(day_of(make_session, make_vehicle, RUNS), 0, 4)
    assert [(name_of(one), one.alone) for one in found] == [
        ("wing", 2),
        ("plate", 3),
        ("vane", None),
        ("splitter", 1),
    ]
    moved = [one.moved for one in found]
    assert moved[2] is None
    expected = [surplus(name) - surplus() for name in ("wing", "plate", "splitter")]
    assert [one for one in moved if one is not None] == pytest.approx(expected)
    assert expected[0] > expected[1] > 0.0 > expected[2]
    for one in found:
        assert (one.changes[0].before, one.changes[0].after.value) == (None, 8.0)
    # wing and plate add up; nothing tells the vane, and the splitter's car is the end, which was run
    assert [one.unknown_car for one in found] == [False, False, True, False]


def test_of_what_unloads_the_rear_the_least_comes_first_and_the_way_back_is_turned_round(
    make_session, make_vehicle
):
    """Taken off: the splitter's front load first, then the plate's and the wing's rear load."""
    runs = [
        (("splitter", "wing", "plate"), None),
        (("wing", "plate"), "1"),
        (("splitter", "plate"), "1"),
        (("splitter", "wing"), "1"),
        ((), "1"),
    ]
    _, _, found = steps(day_of(make_session, make_vehicle, runs), 0, 4)
    assert [name_of(one) for one in found] == ["splitter", "plate", "wing"]
    assert [(one.changes[0].before.value, one.changes[0].after) for one in found] == [(8.0, None)] * 3
    assert found[0].moved > 0.0 > found[1].moved > found[2].moved


def test_a_step_that_was_not_run_from_the_start_is_told_by_any_comparison_of_it(make_session, make_vehicle):
    """The lip was put on the splitter's car alone."""
    runs = [((), None), (("splitter",), "1"), (("splitter", "lip"), "2"), (("wing", "lip"), "1")]
    _, _, found = steps(day_of(make_session, make_vehicle, runs), 0, 3)
    told = {name_of(one): (one.alone, one.moved) for one in found}
    assert told["lip"] == (None, pytest.approx(surplus("splitter", "lip") - surplus("splitter")))
    assert told["wing"] == (None, None)


def test_of_two_readings_of_a_step_the_one_that_is_not_suspect_tells(make_session, make_vehicle):
    suspect = {"status": "suspect", "reason": "tape", "block": "am"}
    runs = [((), None), (("wing",), "1", suspect), (("wing",), "1"), (("wing", "lip"), "1")]
    day = day_of(make_session, make_vehicle, runs)
    table, _, found = steps(day, 0, 3)
    (wing,) = [one for one in found if name_of(one) == "wing"]
    assert table.runs[wing.alone].status == "good"
    assert steps(day, 0, 0)[2] == ()


def test_parts_that_never_ran_apart_are_one_step_and_what_they_do_together_puts_it_in_its_place(
    make_session, make_vehicle
):
    """Splitter and wing ran together alone: no order of the two is known to be safe. The canards behind them loads the front."""
    runs = [((), None), (("splitter", "wing"), "1"), (("splitter", "wing", "canards"), "2")]
    _, _, found = steps(day_of(make_session, make_vehicle, runs), 0, 2)
    assert [[one.name for one in step.changes] for step in found] == [["wing", "splitter"], ["canards"]]
    assert [(step.alone, step.unknown_car) for step in found] == [(1, False), (None, False)]
    assert found[0].moved == pytest.approx(surplus("splitter", "wing") - surplus())


def test_parts_that_ran_apart_with_others_alone_come_rear_first_by_name_and_the_unknown_car_is_marked(
    make_session, make_vehicle
):
    """No comparison shows any of the three by itself: wing by name before vane, splitter last; off, the other way round."""
    runs = [
        ((), None),
        (("splitter", "lip"), None),
        (("wing", "plate"), None),
        (("splitter", "vane", "wing"), None),
    ]
    day = day_of(make_session, make_vehicle, runs)
    _, _, found = steps(day, 0, 3)
    assert [(name_of(one), one.moved, one.unknown_car) for one in found] == [
        ("wing", None, True),
        ("vane", None, True),
        ("splitter", None, False),
    ]
    _, _, back = steps(day, 3, 0)
    assert [name_of(one) for one in back] == ["splitter", "vane", "wing"]


@pytest.mark.parametrize(("at", "known"), [(4.0, True), (12.0, False)])
def test_a_comparison_tells_of_a_step_only_where_the_setting_went_the_same_way(
    make_session, make_vehicle, at, known
):
    """The wing to 8 mm from 4 loads the rear more, as from none; from 12 it loads the rear less, which says the opposite."""
    other = {"settings": {"splitter": Setting(value=8.0, unit="mm"), "wing": Setting(value=at, unit="mm")}}
    runs = [
        ((), None),
        (("splitter",), "1"),
        (("splitter", "wing"), "1", other),
        (("splitter", "wing"), "3"),
        (("splitter", "wing", "plate"), "1"),
    ]
    _, _, found = steps(day_of(make_session, make_vehicle, runs), 0, 4)
    told = {name_of(one): one.moved for one in found}
    assert (told["wing"] is not None) == known


# --- what not to stop at


def test_a_car_on_the_way_that_is_loose_is_named_with_what_is_on_it_and_what_is_not(
    make_session, make_vehicle
):
    """The splitter alone makes 350 and 90 N, -4.9 %; with the wing as well 320 and 390 N, 1.3 %."""
    runs = [((), None), (("splitter",), "1"), (("splitter", "wing"), "2"), (("wing",), "1")]
    day = day_of(make_session, make_vehicle, runs)
    table, parts, way = steps(day, 0, 2)
    found = dangerous_middle(table, parts, 0, 2, way)
    assert found.row == 1
    assert ([one.name for one in found.made], [one.name for one in found.lacking]) == (["splitter"], ["wing"])
    # neither the start nor the end is on the way between them, nor is a car with something else on it
    assert dangerous_middle(table, parts, 1, 2, steps_between(table, parts, 1, 2)) is None
    assert dangerous_middle(table, parts, 0, 1, steps_between(table, parts, 0, 1)) is None
    assert dangerous_middle(table, parts, 0, 3, steps_between(table, parts, 0, 3)) is None


def test_of_several_loose_cars_the_one_that_leaves_balance_first_is_named(make_session, make_vehicle):
    """With the splitter alone at a lower speed than with the lip on it as well, whose rear load holds a little longer."""
    runs = [
        ((), None),
        (("splitter", "plate"), "1"),
        (("splitter",), "1"),
        (("splitter", "plate", "wing"), "2"),
    ]
    day = day_of(make_session, make_vehicle, runs)
    table, parts, way = steps(day, 0, 3)
    assert table.ranges[1].dangerous
    assert table.ranges[2].dangerous
    assert table.ranges[2].in_balance_to < table.ranges[1].in_balance_to
    assert dangerous_middle(table, parts, 0, 3, way).row == 2
