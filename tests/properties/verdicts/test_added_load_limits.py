"""The rear's added load at a limit is the one that puts the grip balance exactly there."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.handling.grip import grip_surplus
from balance.handling.load_share_band import rear_added_load_at
from balance.model.errors import DomainError

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
