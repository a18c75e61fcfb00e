"""What readings say by themselves: areas and coefficients, by hand."""

import pytest

from balance.decide.day.day import reduce_day
from balance.decide.day.own_figures import own_figures


def test_areas_and_coefficients_of_one_reading(make_session, make_vehicle):
    """At 50 m/s in 1.2 kg/m3, 1500 Pa: 150, 450 and 900 N are 0.1, 0.3 and 0.6 m2; over 2 m2 a twentieth and so on.

    Lift is positive up, and the front's share of it is its own (SAE J1594).
    """
    vehicle = make_vehicle(frontal_area=2.0)
    day = reduce_day(make_session([(150.0, 450.0, 900.0)], vehicle=vehicle), draws=100)
    found = own_figures(day, [0])
    assert (found.front_area[0], found.rear_area[0], found.drag_area[0]) == pytest.approx((0.1, 0.3, 0.6))
    assert found.downforce_area[0] == pytest.approx(0.4)
    named = found.coefficients
    assert (named.front_lift[0], named.rear_lift[0], named.lift[0], named.drag[0]) == pytest.approx(
        (-0.05, -0.15, -0.2, 0.3)
    )
