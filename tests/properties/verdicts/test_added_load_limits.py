"""The rear's added load at a limit is the one that puts the grip balance exactly there."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.handling.decisive_surplus import rear_downforce_at, surpluses
from balance.handling.grip import grip_surplus
from balance.handling.load_share_band import rear_added_load_at
from balance.model.errors import DomainError
from balance.reduce.car_figures import CarFigures

loads = st.floats(-0.5, 1.5)
exponents = st.floats(0.6, 1.0)


@given(surplus=st.floats(-0.2, 0.2), front=loads, front_exponent=exponents, rear_exponent=exponents)
def test_the_car_at_that_load_has_that_grip_balance(surplus, front, front_exponent, rear_exponent):
    held = {"front_exponent": front_exponent, "rear_exponent": rear_exponent}
    rear = rear_added_load_at(surplus, front, **held)
    assert float(grip_surplus(front, rear, **held)) == pytest.approx(surplus, abs=1e-12)


def test_equal_exponents_and_no_surplus_ask_for_equal_added_loads():
    front = np.linspace(-0.3, 0.6, 7)
    rear = rear_added_load_at(0.0, front, front_exponent=0.86, rear_exponent=0.86)
    assert rear == pytest.approx(front, abs=1e-14)


@pytest.mark.parametrize(("surplus", "front"), [(-1.0, 0.0), (0.0, -1.0), (float("nan"), 0.0)])
def test_what_no_axle_on_the_ground_has_is_refused(surplus, front):
    with pytest.raises(DomainError):
        rear_added_load_at(surplus, front, front_exponent=0.86, rear_exponent=0.86)


CAR = CarFigures(mass=1200.0, front_share=0.55, static_margin=0.0, stiffness=(0.75, 0.75), grip=(0.86, 0.84))


@given(
    surplus=st.floats(-0.1, 0.1),
    front=st.floats(-500.0, 2500.0),
    drag=st.floats(100.0, 2500.0),
    axle=st.sampled_from([None, "front", "rear", "both"]),
)
def test_the_car_at_that_load_is_judged_at_that_grip_balance(surplus, front, drag, axle):
    rear = rear_downforce_at(surplus, front, drag, CAR, driven_axle=axle)
    found = surpluses(np.array(front), rear, np.array(drag), CAR, driven_axle=axle).decisive
    assert float(found) == pytest.approx(surplus, abs=1e-9)


def test_a_driven_rear_needs_more_load_than_the_air_alone_asks_for():
    """By hand, for a car of 1000 kg with half of its weight at each axle, 4903.325 N (9.80665 m/s2, CGPM 1901).

    Its rear carries 5500 N and pushes 1500 N; friction 1.1, a typical value, no source. The friction ellipse leaves it
    sqrt(1 - (1500 / 6050)^2) = 0.968777 of its grip. A front with as much grip carries 5500 N times 0.968777^(1 / 0.86),
    which is 5300.83 N: 397.505 N of downforce in front ask for 596.675 N at the rear.
    """
    car = CarFigures(
        mass=1000.0, front_share=0.5, static_margin=0.0, stiffness=(0.75, 0.75), grip=(0.86, 0.86)
    )
    assert float(rear_downforce_at(0.0, 397.505, 1500.0, car, driven_axle="rear")) == pytest.approx(
        596.675, abs=0.005
    )
    assert float(rear_downforce_at(0.0, 397.51, 1500.0, car, driven_axle=None)) == pytest.approx(
        397.51, abs=1e-9
    )


def test_where_no_load_suffices_there_is_no_limit():
    """Tyres of five times 1200 kg and a friction of 1.1 push with some 65 kN: 200 kN of drag is beyond them."""
    assert np.isnan(rear_downforce_at(0.0, 0.0, 200_000.0, CAR, driven_axle="rear"))
