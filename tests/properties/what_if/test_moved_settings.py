"""How well a car is known whose setting was moved, without draws: by the weights of straight lines, by hand."""

import numpy as np
import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.what_if.what_if import evaluate_what_if
from balance.model.records import Setting
from balance.model.what_ifs import WhatIf

PRESSURE = 0.5 * 1.2 * 50.0**2


@pytest.mark.parametrize("start", ["1", "2", "4"])
@pytest.mark.parametrize(
    ("wanted", "shares"),
    [
        (0.0, (1.0, 0.0)),
        (1.0, (0.75, 0.25)),
        (4.0, (1.0, 0.0)),
        (5.0, (5.0 / 6.0, 1.0 / 6.0)),
        (8.5, (0.25, 0.75)),
        (10.0, (0.0, 1.0)),
        (12.0, (1.0 / 3.0, 2.0 / 3.0)),
    ],
)
def test_a_moved_setting_is_known_as_the_readings_on_both_sides_of_it(make_session, start, wanted, shares):
    """Readings at 0, 4, 10 and 13 degrees: shares by distance, and independent scatter by the root of its squares (GUM 5.1.2)."""
    values = (0.0, 4.0, 10.0, 13.0)
    runs = [{"settings": {"wing": Setting(value=value, unit="deg")}} for value in values]
    readings = [(100.0 - 5.0 * a, 300.0 + 20.0 * a, 600.0 + 10.0 * a) for a in values]
    session = make_session(readings, configurations=["car"] * 4, deviation=(7.0, 6.0, 4.0), runs=runs)
    prepared = prepare_day(reduce_day(session, draws=100))
    what_if = WhatIf(start=start, settings=(("wing", wanted),))
    moved = evaluate_what_if(prepared, what_if, drawn=False).result
    known = np.hypot(*shares) * np.array([7.0, 6.0, 4.0])
    assert moved.stds[:3] == pytest.approx(known)
    assert moved.areas * PRESSURE == pytest.approx(
        [100.0 - 5.0 * wanted, 300.0 + 20.0 * wanted, 600.0 + 10.0 * wanted]
    )
