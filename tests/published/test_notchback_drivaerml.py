"""Notchback, scale-resolving CFD: N. Ashton et al., "DrivAerML", arXiv:2408.11969, per-run force files.

One axle lifts in each of these runs. Quotients of the printed figures give a "front share" of -21 %, -157 % and
370 %: none is a balance and none may be shown as one.
"""

import numpy as np
import pytest

from balance.handling.axle_loads import aero_balance, front_load_share
from balance.reduce.coefficients import coefficients

ROWS = {  # run: Cd, Cl, Clf, Clr
    11: ("0.3158833", "0.1196749", "-0.02481210", "0.1444870"),
    12: ("0.2629017", "0.04532444", "-0.07135743", "0.1166819"),
    13: ("0.2729501", "-0.04254468", "-0.1575819", "0.1150373"),
}
MEANINGLESS = {11: -0.21, 12: -1.57, 13: 3.70}


@pytest.mark.parametrize("run", ROWS)
def test_no_aero_balance_where_one_axle_lifts(run, printed):
    _, _, front, rear = map(printed, ROWS[run])
    assert front.value / (front.value + rear.value) == pytest.approx(MEANINGLESS[run], rel=0, abs=0.005)
    assert np.isnan(aero_balance(-front.value, -rear.value))


@pytest.mark.parametrize("run", ROWS)
def test_lift_is_the_sum_of_the_axles(run, printed):
    drag, lift, front, rear = map(printed, ROWS[run])
    found = coefficients(-front.value, -rear.value, drag.value, 1.0)
    assert found.lift == pytest.approx(lift.value, rel=0, abs=lift.half + front.half + rear.half)


@pytest.mark.parametrize("run", ROWS)
def test_share_of_the_wheel_load_keeps_its_meaning(run, printed):
    """With 8000 N a side of weight and 1000 N of dynamic force the share moves toward the loaded axle."""
    _, _, front, rear = map(printed, ROWS[run])
    share = front_load_share(-1000.0 * front.value, -1000.0 * rear.value, 8000.0, 8000.0)
    expected = (8000.0 - 1000.0 * front.value) / (16000.0 - 1000.0 * (front.value + rear.value))
    assert share == pytest.approx(expected, rel=1e-14)
    assert 0.5 < share < 0.52
