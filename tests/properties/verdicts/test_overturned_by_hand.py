"""How far each quantity is followed to another class, and where that class begins: by hand.

The car weighs 10 kN, half on either axle, with a grip that grows as the load, and ends at 50 m/s, 1500 Pa. Without load at
the front its surplus is the rear's downforce over 5000 N; its band ends at -1.5 % and 3 %. How far a figure is followed, and
how much of it is usually in doubt, is common practice, no source.
"""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.day.day import reduce_day
from balance.decide.day.overturned import find_overturns
from balance.decide.day.range_verdict import judge_range
from balance.decide.day.verdict import VerdictWord
from balance.model.records import Place

IN, REAR, FRONT = VerdictWord.IN_BALANCE, VerdictWord.REAR_OVERPOWERS, VerdictWord.FRONT_OVERPOWERS
WEIGHT, PRESSURE = 5000.0, 1500.0
UNKNOWN = (np.nan, np.nan)


@pytest.fixture
def overturns(make_session, make_vehicle):
    """What is found, by quantity and whether it goes up; loads in N at 1500 Pa."""

    def find(
        *, front=0.0, rear=0.0, drag=600.0, stds=UNKNOWN, share=0.5, height=None, top=50.0, places=(), **car
    ):
        made = make_vehicle(
            mass=1e4 / 9.80665, front_share=share, exact=True, top_speed=top, **{"grip": (1.0, 1.0), **car}
        )
        session = make_session([(0.0, 0.0, 600.0)], vehicle=made)
        session = replace(
            session,
            facility=replace(session.facility, drag_reacted_at=height),
            places=tuple(Place(name=f"at {v:g}", speed=v) for v in places),
        )
        areas = np.array([[front], [rear], [drag]]) / PRESSURE
        verdicts = judge_range(session, areas, None, 1.2, reduce_day(session, draws=100).shared)
        (found,) = find_overturns(session, areas, np.array(stds)[:, None] / PRESSURE, 1.2, verdicts)
        assert [one.doubts for one in found] == sorted(one.doubts for one in found)
        return {(one.what, one.change > 0.0): one for one in found}

    return find


@pytest.mark.parametrize(
    ("rear", "upward", "change", "to"),
    [
        (150.0 / 0.51, False, -0.49, IN),  # from 5.88 % down to 3 %
        (150.0 / 0.49, False, None, None),  # by 51 %: too far
        (150.0 / 1.49, True, 0.49, REAR),
        (150.0 / 1.51, True, None, None),
        (-75.0 / 0.51, False, -0.49, IN),  # lift: down is less of it
        (-75.0 / 0.49, False, None, None),
        (-75.0 / 1.49, True, 0.49, FRONT),
        (-75.0 / 1.51, True, None, None),
    ],
)
def test_a_downforce_is_followed_to_half_of_itself(overturns, rear, upward, change, to):
    found = overturns(rear=rear).get(("rear_downforce", upward))
    if change is None:
        assert found is None
    else:
        assert (found.to, found.relative, found.doubt, found.height) == (to, True, 0.05, None)
        assert found.change == pytest.approx(change, abs=1e-6)
        assert found.area_change == pytest.approx(change * rear / PRESSURE, abs=1e-8)
        assert found.doubts == pytest.approx(abs(change) / 0.05, rel=1e-5)


@pytest.mark.parametrize(
    ("std", "load", "relative", "doubt"),
    [
        (10.0, 29.0, False, 10.0),  # less than three standard uncertainties: by as much as ten of them
        (10.0, 31.0, True, 10.0 / 31.0),
        (1.0, 31.0, True, 0.05),  # 3 %: what is usually in doubt is more
        (np.nan, 31.0, True, 0.05),
        (0.0, 31.0, True, 0.05),
    ],
)
def test_a_downforce_near_nothing_is_followed_by_its_own_uncertainty(overturns, std, load, relative, doubt):
    """The front has 31 or 29 N and the rear 149 N more: a surplus just inside 3 %, which less at the front leaves."""
    rear = 1.0299 * (WEIGHT + load) - WEIGHT
    one = overturns(front=load, rear=rear, stds=(std, np.nan))["front_downforce", False]
    needed = (WEIGHT + rear) / 1.03 - WEIGHT - load
    assert (one.relative, one.to) == (relative, REAR)
    assert one.doubt == pytest.approx(doubt if relative else doubt / PRESSURE)
    assert one.change == pytest.approx(needed / (load if relative else PRESSURE), rel=1e-4)
    assert one.area_change == pytest.approx(needed / PRESSURE, rel=1e-4)


@pytest.mark.parametrize(("needed", "there"), [(99.0, True), (101.0, False)])
@pytest.mark.parametrize("std", [10.0, np.nan])
def test_an_axle_without_load_is_followed_to_ten_standard_uncertainties(overturns, needed, there, std):
    """So many N at the front bring a surplus of the rear's down to 3 %."""
    rear = 1.03 * (WEIGHT + needed) - WEIGHT
    found = overturns(rear=rear, stds=(std, np.nan))
    there = there and bool(np.isfinite(std))
    assert (("front_downforce", True) in found) is there
    if there:
        one = found["front_downforce", True]
        assert (one.to, one.relative) == (IN, False)
        assert one.change == pytest.approx(needed / PRESSURE, rel=1e-4)


@pytest.mark.parametrize(
    ("share", "needed", "there"),
    [(0.5, 0.0995, True), (0.5, 0.1005, False), (0.9, 0.0895, True), (0.9, 0.0905, False)],
)
def test_a_weight_share_is_followed_by_ten_points_and_never_beyond_99(overturns, share, needed, there):
    """A rear load that is 3 % of the rear's weight once so much less stands on it."""
    rear = 0.03 * 1e4 * (1.0 - share - needed)
    found = overturns(rear=rear, share=share)
    assert (("front_weight_share", True) in found) is there
    if there:
        one = found["front_weight_share", True]
        assert (one.to, one.doubt, one.relative, one.area_change) == (REAR, 0.003, False, None)
        assert one.change == pytest.approx(needed, abs=1e-6)


@pytest.mark.parametrize(
    ("share", "needed", "there"),
    [(0.5, -0.0995, True), (0.5, -0.1005, False), (0.1, -0.0895, True), (0.1, -0.0905, False)],
)
def test_a_weight_share_is_followed_down_by_ten_points_and_never_below_1(overturns, share, needed, there):
    """A front load that is 1/0.985 - 1 of the front's weight once so much less stands on it: no rear load."""
    front = (1.0 / 0.985 - 1.0) * 1e4 * (share + needed)
    found = overturns(front=front, share=share)
    assert (("front_weight_share", False) in found) is there
    if there:
        assert found["front_weight_share", False].to is FRONT
        assert found["front_weight_share", False].change == pytest.approx(needed, abs=1e-6)


@pytest.mark.parametrize(
    ("edge", "needed", "to", "there"),
    [
        (1.03, 0.299, REAR, True),
        (1.03, 0.301, REAR, False),
        (0.985, -0.299, FRONT, True),
        (0.985, -0.301, FRONT, False),
    ],
)
def test_an_exponent_of_the_rear_is_followed_by_three_tenths(overturns, edge, needed, to, there):
    """The front is loaded by a tenth, and the rear so that its growth to the power of 1 + needed is the edge's times 1.1."""
    rear = ((1.1 * edge) ** (1.0 / (1.0 + needed)) - 1.0) * WEIGHT
    front = 0.1 * WEIGHT
    one = overturns(front=front, rear=rear).get(("exponent_difference", needed > 0.0))
    assert (one is not None) is there
    if there:
        assert (one.to, one.doubt) == (to, 0.03)
        assert one.change == pytest.approx(needed, abs=1e-6)


@pytest.mark.parametrize(
    ("height", "upward", "there"),
    [
        (0.29, True, True),
        (0.295, True, False),
        (0.16, False, True),
        (0.155, False, False),
        (0.0, False, False),
    ],
)
def test_a_height_is_followed_from_the_ground_to_600_millimetres(overturns, height, upward, there):
    """Moved by h, 600 N of drag over 2.5 m put 240 h N on the rear and take them off the front: 3 % at 73.89 N, which is
    0.3079 m, -1.5 % at -37.78 N, which is -0.1574 m."""
    found = overturns(height=height)
    ratio = 1.03 if upward else 0.985
    needed = WEIGHT * (ratio - 1.0) / (ratio + 1.0) / 240.0
    assert (("drag_height", upward) in found) is there
    if there:
        one = found["drag_height", upward]
        assert (one.to, one.doubt) == (REAR if upward else FRONT, 0.05)
        assert one.change == pytest.approx(needed, abs=1e-6)
        assert one.height == pytest.approx(height + needed, abs=1e-6)


@pytest.mark.parametrize(
    ("rear", "change", "to", "at"),
    [
        # tested to 61 m/s, 2232.6 Pa; the car ends at 80 m/s, 3840 Pa
        (0.029, 0.03 / 0.029 - 1.0, REAR, 2232.6),  # beyond the tests a push counts for nothing
        (-0.0145, 0.015 / 0.0145 - 1.0, FRONT, 3840.0),
    ],
)
def test_beyond_the_tests_only_the_front_s_overpowering_overturns(overturns, rear, change, to, at):
    load = rear * WEIGHT * PRESSURE / at
    one = overturns(rear=load, top=80.0)["rear_downforce", True]
    assert one.to is to
    assert one.change == pytest.approx(change, abs=1e-6)


def test_the_lowest_speed_is_always_judged(overturns):
    """One place, at 70 m/s: beyond the 61 m/s of the tests, 2940 Pa."""
    load = 0.029 * WEIGHT * PRESSURE / 2940.0
    one = overturns(rear=load, top=70.0, places=(70.0,))["rear_downforce", True]
    assert (one.to, one.place) == (REAR, None)
    assert one.change == pytest.approx(0.03 / 0.029 - 1.0, abs=1e-6)


def test_only_speeds_that_the_car_sees_count(overturns):
    """Places at 30 and 40 m/s and an end at 40: 2.9 % there, whatever the surplus would be further on."""
    load = 0.029 * WEIGHT * PRESSURE / 960.0
    one = overturns(rear=load, top=40.0, places=(30.0, 40.0))["rear_downforce", True]
    assert one.change == pytest.approx(0.03 / 0.029 - 1.0, abs=1e-6)


@pytest.mark.parametrize(("driven", "to"), [("rear", FRONT), ("front", None), (None, None)])
def test_drive_has_a_part_in_the_class_beyond(overturns, driven, to):
    """Friction of 1.1: 900 N of drag leave the rear sqrt(1 - (900/5500)²) = 0.98652 of its grip; a lift of 6 N takes 1.2 in a
    thousand off that, which is still inside 1.5 %, and a lift of 7.5 N is not."""
    found = overturns(rear=-6.0, drag=900.0, driven=driven)
    one = found.get(("rear_downforce", True))
    if to is None:
        assert one is None
    else:
        assert one.to is to
        load = WEIGHT - 6.0 * (1.0 + one.change)
        left = np.sqrt(1.0 - (900.0 / (1.1 * load)) ** 2)
        assert load / WEIGHT * left == pytest.approx(0.985, abs=1e-7)
