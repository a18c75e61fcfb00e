"""How much ballast brings a car to a surplus: by hand for a grip that grows with the load alone."""

import pytest

from balance.decide.settings.ballast import Ballast, find_ballast, placed
from balance.handling.axle_loads import STANDARD_GRAVITY

# 1000 kg, half on either axle, and a grip exponent of 1: with no front downforce the front's grip for its mass is 1,
# the rear's 1 + DFr / (mass on the rear axle times gravity)
CAR = {"mass": 1000.0, "front_share": 0.5, "grip": (1.0, 1.0)}
REAR = 0.02 * 520.0 * STANDARD_GRAVITY  # 2 % of what 520 kg weigh


def test_ballast_at_the_rear_thins_out_its_downforce(make_vehicle):
    """2 % is reached with 520 kg on the rear axle: 20 kg added to it, or 20 kg moved to it; none at the front does."""
    found = dict(find_ballast(make_vehicle(**CAR), 0.0, REAR, 600.0, 0.02))
    assert [(one.axle, one.moved) for one in found] == [("rear", False), ("rear", True)]
    for ballast, car in found.items():
        assert ballast.mass == pytest.approx(20.0, abs=1e-6)
        assert car.mass * (1.0 - car.front_share) == pytest.approx(520.0, abs=1e-6)
        assert car.mass == pytest.approx(1000.0 if ballast.moved else 1020.0, abs=1e-6)


def test_ballast_moved_to_the_front_leaves_the_rear_more_for_its_mass(make_vehicle):
    """With 480 kg left on the rear axle the same load is 520/480 of 2 %."""
    found = dict(find_ballast(make_vehicle(**CAR), 0.0, REAR, 600.0, 0.02 * 520.0 / 480.0))
    (ballast,) = found
    assert (ballast.axle, ballast.moved) == ("front", True)
    assert ballast.mass == pytest.approx(20.0, abs=1e-6)


def test_a_car_that_is_there_already_needs_none(make_vehicle):
    car = make_vehicle(mass=1000.0, front_share=0.5)
    assert list(find_ballast(car, 0.0, 0.0, 600.0, 0.0)) == []


def test_more_than_sixty_kilograms_are_no_trim(make_vehicle):
    """561 kg on the rear axle are 61 kg more than it has; 559 kg are 59 kg more."""
    load = 0.02 * STANDARD_GRAVITY
    assert list(find_ballast(make_vehicle(**CAR), 0.0, load * 561.0, 600.0, 0.02)) == []
    found = [one.mass for one, _ in find_ballast(make_vehicle(**CAR), 0.0, load * 559.0, 600.0, 0.02)]
    assert found == pytest.approx([59.0, 59.0], abs=1e-6)


def test_what_is_moved_is_taken_out_where_it_was():
    there, gone = placed(Ballast(20.0, "rear", moved=True), 2.5)
    assert (there.mass, there.behind_front_axle) == (20.0, 2.5)
    assert (gone.mass, gone.behind_front_axle) == (-20.0, 0.0)
    (added,) = placed(Ballast(20.0, "front", moved=False), 2.5)
    assert (added.mass, added.behind_front_axle) == (20.0, 0.0)
