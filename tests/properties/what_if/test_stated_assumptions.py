"""What a car put together says of the changes that were stated: each figure by hand."""

import pytest

from balance.decide.car.changed_car import change_car
from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.model.what_ifs import PlacedForce, StatedChange

PRESSURE = 0.5 * 1.2 * 50.0**2


@pytest.fixture(scope="module")
def prepared(make_session, make_vehicle):
    return prepare_day(reduce_day(make_session([(300.0, 400.0, 600.0)], vehicle=make_vehicle()), draws=100))


def said_of(car, kind):
    (found,) = (one.values for one in car.assumptions if one.kind == kind)
    return found


def test_a_stated_change_is_said_axle_by_axle_in_newtons(prepared):
    """At the facility's 1500 Pa, whatever of an axle, of its uncertainty or of drag."""
    change = StatedChange(front=0.1, rear=0.2, drag=0.05, front_std=0.01, rear_std=0.02, drag_std=0.005)
    said = said_of(change_car(prepared, "1", stated=(change,)), "stated change")
    assert [said[name] for name in ("front", "rear", "drag")] == pytest.approx([150.0, 300.0, 75.0])
    stds = [said[f"{name}_std"] for name in ("front", "rear", "drag")]
    assert stds == pytest.approx([15.0, 30.0, 7.5])


def test_a_force_at_a_place_is_said_with_what_it_does_to_either_axle(prepared):
    """1000 N at 0.6 m behind the rear axle with 150 N of drag at 1.2 m, wheelbase 2.5 m: -(1000 0.6 + 150 1.2)/2.5."""
    wing = PlacedForce(downforce=1000.0 / PRESSURE, drag=150.0 / PRESSURE, behind_rear_axle=0.6, height=1.2)
    car = change_car(prepared, "1", forces=(wing,))
    said = said_of(car, "force at a place")
    assert (said["downforce"], said["drag"]) == (pytest.approx(1000.0), pytest.approx(150.0))
    assert (said["front"], said["rear"]) == (pytest.approx(-312.0), pytest.approx(1312.0))
    assert list(car.areas * PRESSURE) == pytest.approx([300.0 - 312.0, 400.0 + 1312.0, 750.0])
