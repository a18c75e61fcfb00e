"""Load exponents of tyres that have been measured, beside the ones assumed."""

import numpy as np
import pytest

from balance.files.formats.vehicle import ASSUMED_GRIP_EXPONENT, ASSUMED_STIFFNESS_EXPONENT
from balance.handling.neutral_steer import neutral_steer_shift
from balance.reduce.stated_draws import GRIP_RANGE, STIFFNESS_RANGE

# H. B. Pacejka, Tire and Vehicle Dynamics, 2nd ed. 2006, table A3.1, 205/60R15 91V (second-hand)
NOMINAL_LOAD, PKY1, PKY2 = 4000.0, -14.95, 2.130


def cornering_stiffness(load):
    return abs(PKY1) * NOMINAL_LOAD * np.sin(2.0 * np.arctan(load / (PKY2 * NOMINAL_LOAD)))


def local_exponent(load, step=1e-4):
    above, below = cornering_stiffness(load * (1 + step)), cornering_stiffness(load * (1 - step))
    return np.log(above / below) / np.log((1 + step) / (1 - step))


@pytest.mark.parametrize(
    ("load", "stiffness"), [(2000.0, 26609), (4000.0, 46009), (6000.0, 56303), (8000.0, 59682)]
)
def test_the_table_is_read_right(load, stiffness):
    """Stiffness computed from the table by hand; with x = Fz/(pKy2 Fz0) the exponent is (1 - x^2)/(1 + x^2)."""
    ratio = load / (PKY2 * NOMINAL_LOAD)
    assert cornering_stiffness(load) == pytest.approx(stiffness, rel=0, abs=0.5)
    assert local_exponent(load) == pytest.approx((1 - ratio**2) / (1 + ratio**2), rel=1e-7)


def test_assumed_stiffness_exponent_is_that_of_the_table_at_a_light_cars_wheel_load():
    found = local_exponent(3200.0)
    assert found == pytest.approx(0.753, rel=0, abs=5e-4)
    assert round(float(found) / 0.05) * 0.05 == pytest.approx(ASSUMED_STIFFNESS_EXPONENT)
    assert STIFFNESS_RANGE[0] <= found <= STIFFNESS_RANGE[1]
    assert sum(STIFFNESS_RANGE) / 2 == pytest.approx(ASSUMED_STIFFNESS_EXPONENT)


@pytest.mark.parametrize(("front", "rear"), [(2e-5, 5e-5), (5e-5, 2e-5), (-2e-5, 4e-5)])
def test_shift_is_that_of_the_tyre_near_the_load_of_its_exponent(front, rear):
    """Four such tyres at 3.2 kN: static margin from the table's own stiffnesses, before and after.

    The power law is the tangent of the curve, so the changes of load are small.
    """
    stiff_front, stiff_rear = (cornering_stiffness(3200.0 * (1 + e)) for e in (front, rear))
    expected = stiff_rear / (stiff_front + stiff_rear) - 0.5
    exponent = local_exponent(3200.0)
    found = neutral_steer_shift(front, rear, front_exponent=exponent, rear_exponent=exponent, front_share=0.5)
    assert found == pytest.approx(expected, rel=1e-4)


def test_assumed_grip_range_holds_a_measured_tyre():
    """W. F. and D. L. Milliken, Race Car Vehicle Dynamics, fig. 2.9 (second-hand): 0.83 by least squares."""
    load = np.array([900.0, 1350.0, 1800.0])  # lbf
    force = load * np.array([1.10, 1.08, 0.97])
    exponent = np.polyfit(np.log(load), np.log(force), 1)[0]
    assert exponent == pytest.approx(0.83, rel=0, abs=0.005)
    assert GRIP_RANGE[0] <= exponent <= GRIP_RANGE[1]
    assert GRIP_RANGE[0] <= ASSUMED_GRIP_EXPONENT <= GRIP_RANGE[1]
