"""Open two-seater, CFD: Y. Yamamoto, "formula-ppoino", wiki page "fp024f Rear Fender Study" (2021).

Lift positive up; pitching moment about mid-wheelbase at the ground, nose-up positive; the last column is
the rear share of the lift. A result may be off by half of its own last digit and by what half a digit in
the two axle coefficients makes of it.
"""

import numpy as np
import pytest

from balance.handling.axle_loads import aero_balance
from balance.reduce.coefficients import coefficients

ROWS = {  # configuration: Cm, Cd, Cl, Clf, Clr, rear share
    "control": ("0.0263", "0.5688", "-0.1923", "-0.0698", "-0.1225", "0.6369"),
    "deck 50 mm higher": ("0.0258", "0.5684", "-0.1941", "-0.0713", "-0.1229", "0.6328"),
    "control, body only": ("0.0013", "0.4574", "-0.2300", "-0.1137", "-0.1163", "0.5056"),
    "control, front wheels only": ("0.0211", "0.0491", "0.0304", "0.0363", "-0.0059", "-0.1936"),
    "control, rear wheels only": ("0.0039", "0.0623", "0.0073", "0.0076", "-0.0003", "-0.0379"),
}
AREA = 1.7  # any frontal area: it cancels


@pytest.mark.parametrize("row", ROWS.values(), ids=ROWS)
def test_lift_and_pitching_moment_follow_from_the_axles(row, printed):
    moment, drag, lift, front, rear, _ = map(printed, row)
    found = coefficients(-front.value * AREA, -rear.value * AREA, drag.value * AREA, AREA)
    inputs = front.half + rear.half
    assert found.lift == pytest.approx(lift.value, rel=0, abs=1.0000001 * (lift.half + inputs))
    assert found.pitching_moment == pytest.approx(moment.value, rel=0, abs=moment.half + inputs / 2)
    assert found.drag == pytest.approx(drag.value, rel=0, abs=drag.half)
    assert found.front_lift == pytest.approx(front.value, rel=0, abs=front.half)
    assert found.rear_lift == pytest.approx(rear.value, rel=0, abs=rear.half)


@pytest.mark.parametrize("name", ["control", "deck 50 mm higher", "control, body only"])
def test_rear_share_where_both_axles_are_pressed_down(name, printed):
    *_, front, rear, rear_share = map(printed, ROWS[name])
    total = abs(front.value + rear.value)
    inputs = (abs(front.value) * rear.half + abs(rear.value) * front.half) / total**2
    share = 1.0 - aero_balance(-front.value, -rear.value)
    assert share == pytest.approx(rear_share.value, rel=0, abs=rear_share.half + inputs)


@pytest.mark.parametrize("name", ["control, front wheels only", "control, rear wheels only"])
def test_no_share_where_one_axle_lifts(name, printed):
    """The source prints -0.1936 and -0.0379 here: quotients of mixed signs, not shares."""
    *_, front, rear, _ = map(printed, ROWS[name])
    assert np.isnan(aero_balance(-front.value, -rear.value))
