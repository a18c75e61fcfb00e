"""Generic cars, low-fidelity CFD: data set "windtunnel-20k", Inductiva Research Labs.

Lift positive up, SAE J1594 names. A result may be off by half of its own last digit and by what half a digit
in the two axle coefficients makes of it.
"""

import pytest

from balance.reduce.coefficients import coefficients

ROWS = [  # CD, CPM, CL, CLF, CLR
    ("0.9018756", "0.4432577", "0.4542572", "0.6703862", "-0.2161291"),
    ("0.3239965", "-0.04206425", "-0.2198206", "-0.1519746", "-0.06784606"),
    ("0.3886729", "0.1100349", "0.1954942", "0.2077820", "-0.01228778"),
    ("0.3655280", "0.1054569", "0.2723675", "0.2416407", "0.03072681"),
]


@pytest.mark.parametrize("row", ROWS)
def test_lift_and_pitching_moment_follow_from_the_axles(row, printed):
    drag, moment, lift, front, rear = map(printed, row)
    found = coefficients(-2.0 * front.value, -2.0 * rear.value, 2.0 * drag.value, 2.0)
    inputs = front.half + rear.half
    assert found.lift == pytest.approx(lift.value, rel=0, abs=lift.half + inputs)
    assert found.pitching_moment == pytest.approx(moment.value, rel=0, abs=moment.half + inputs / 2)
    assert found.drag == pytest.approx(drag.value, rel=0, abs=drag.half)


@pytest.mark.parametrize("row", ROWS)
def test_front_lift_is_half_the_lift_plus_the_pitching_moment(row, printed):
    """CLF = CL/2 + CPM and CLR = CL/2 - CPM, from the printed CL and CPM."""
    _, moment, lift, front, rear = map(printed, row)
    found = coefficients(-front.value, -rear.value, 0.3, 1.0)
    inputs = lift.half / 2 + moment.half
    assert found.front_lift == pytest.approx(lift.value / 2 + moment.value, rel=0, abs=front.half + inputs)
    assert found.rear_lift == pytest.approx(lift.value / 2 - moment.value, rel=0, abs=rear.half + inputs)
