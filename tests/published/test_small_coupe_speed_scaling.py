"""Rear lift of a small coupe at two speeds: Car and Driver, as quoted in a blog (second-hand).

75 lbf at 90 mph (29 with a spoiler), 148 (53) at 125 mph. The square of the speed makes 144.7 and 55.9 of the first
pair: close to what was measured, and not the same, which is why forces far from the tested speed carry a word.
"""

import pytest

from balance.handling.axle_state import axle_state
from balance.model.records import LoadExponent, Vehicle
from balance.reduce.air import dynamic_pressure

POUND_FORCE = 4.4482216152605  # N, exact by definition
MILE_PER_HOUR = 0.44704  # m/s, exact by definition
CAR = Vehicle(
    name="any car",
    mass=1200.0,
    front_share=0.6,
    wheelbase=2.5,
    stiffness_exponent=LoadExponent(front=0.75, rear=0.75, assumed=True),
    grip_exponent=LoadExponent(front=0.86, rear=0.86, assumed=True),
)


@pytest.mark.parametrize(
    ("at_90_mph", "squared", "measured", "departure"), [(75.0, 144.7, 148.0, 0.03), (29.0, 55.9, 53.0, 0.06)]
)
def test_forces_scale_with_the_square_of_the_speed(at_90_mph, squared, measured, departure):
    tested = dynamic_pressure(90.0 * MILE_PER_HOUR, 1.2)
    wanted = dynamic_pressure(125.0 * MILE_PER_HOUR, 1.2)
    rear_area = -at_90_mph * POUND_FORCE / tested
    lift = -axle_state([0.0, rear_area, 0.5], wanted, CAR).rear_downforce / POUND_FORCE
    assert lift == pytest.approx(squared, rel=0, abs=0.05)
    assert lift == pytest.approx(measured, rel=departure)
