"""A force behind the rear axle, moved to the axles: statics, each sum worked by hand beside it."""

import pytest

from balance.handling.part_force import axle_changes, place_of_action

INCH, POUND_FORCE = 0.0254, 4.4482216152605


def test_a_wing_behind_the_car_unloads_the_front():
    """1000 N down, 150 N drag, 0.6 m behind, 1.2 m up, wheelbase 2.5 m: (600 + 180)/2.5 = 312 N."""
    front, rear = axle_changes(1000.0, 150.0, behind_rear_axle=0.6, height=1.2, wheelbase=2.5)
    assert (float(front), float(rear)) == pytest.approx((-312.0, 1312.0), abs=1e-9)


def test_the_same_in_pounds_and_inches():
    """200 lbf, 24 in behind, wheelbase 100 in: 48 lbf off the front, 248 on the rear."""
    front, rear = axle_changes(
        200.0 * POUND_FORCE, 0.0, behind_rear_axle=24.0 * INCH, height=0.0, wheelbase=100.0 * INCH
    )
    assert float(front) / POUND_FORCE == pytest.approx(-48.0, abs=1e-9)
    assert float(rear) / POUND_FORCE == pytest.approx(248.0, abs=1e-9)


@pytest.mark.parametrize(("height", "place"), [(1.2, 0.6), (0.0, 0.78)])
def test_the_place_of_action_is_the_way_back(height, place):
    """At ground level the couple of the drag counts as lever: 312 x 2.5 / 1000 = 0.78 m."""
    found = place_of_action(-312.0, 1312.0, 150.0, height=height, wheelbase=2.5)
    assert float(found) == pytest.approx(place, abs=1e-12)
