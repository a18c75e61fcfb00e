"""A measured section that stalls: LS(1)-0417MOD, Reynolds number 1 million, clean.

Ohio State University / NREL wind tunnel test of the LS(1)-0417MOD, table of angle, lift and drag coefficient, read in a
public repository. Two-dimensional: here a square metre of it stands at the rear of a car, as a wing would.
"""

import numpy as np
import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.settings.families import family_of
from balance.decide.settings.response import RangeEnd, Stall, fit_response
from balance.decide.settings.trim_question import TrimQuestion, answer_trim
from balance.decide.what_if.what_if import evaluate_what_if
from balance.model.errors import InputError
from balance.model.records import (
    Column,
    Facility,
    LoadExponent,
    OptionalTriple,
    Run,
    Session,
    Setting,
    StatedRepeatability,
    Triple,
    Vehicle,
)
from balance.model.what_ifs import WhatIf

POLAR = [
    (-6.3, -0.27, 0.0137),
    (-4.1, -0.04, 0.0105),
    (-2.0, 0.17, 0.0091),
    (-0.1, 0.3633, 0.0098),
    (2.0, 0.59, 0.0098),
    (4.1, 0.80, 0.0108),
    (6.3, 1.01, 0.0118),
    (8.2, 1.20, 0.0138),
    (10.3, 1.37, 0.0175),
    (11.4, 1.43, 0.0196),
    (12.2, 1.48, 0.0215),
    (13.2, 1.51, 0.0254),
    (14.3, 1.53, 0.0680),
    (15.3, 1.55, 0.0970),
    (16.3, 1.26, 0.0941),
    (17.2, 1.21, 0.1069),
    (18.2, 1.17, 0.1269),
    (19.2, 1.14, 0.1462),
    (20.2, 1.15, 0.1678),
]
FRONT, BODY_DRAG = 0.6, 0.7
SPEED, DENSITY = 45.0, 1.2
PRESSURE = 0.5 * DENSITY * SPEED**2


def wing_day(*, scatter=None, mirrored=False):
    exponent = LoadExponent(front=0.86, rear=0.86, assumed=False)
    sign = -1.0 if mirrored else 1.0
    stated = OptionalTriple(front=scatter, rear=scatter, drag=scatter)
    session = Session(
        title="wing section",
        vehicle=Vehicle(
            name="any car",
            mass=1200.0,
            front_share=0.5,
            wheelbase=2.5,
            stiffness_exponent=exponent,
            grip_exponent=exponent,
        ),
        facility=Facility(speed=SPEED, air_density=DENSITY),
        repeatability=None
        if scatter is None
        else StatedRepeatability(deviation=stated, degrees_of_freedom=50.0),
        runs=tuple(
            Run(
                label=f"at {angle}",
                configuration="wing",
                reading=Triple(
                    front=FRONT * PRESSURE, rear=lift * PRESSURE, drag=(BODY_DRAG + drag) * PRESSURE
                ),
                resolution=Triple(front=0.0, rear=0.0, drag=0.0),
                settings={"wing_angle": Setting(value=sign * angle, unit="deg")},
            )
            for angle, lift, drag in POLAR
        ),
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
    )
    return prepare_day(reduce_day(session, draws=500))


@pytest.fixture(scope="module", params=[None, 2.0], ids=["scatter unknown", "scatter known"])
def prepared(request):
    return wing_day(scatter=request.param)


def response_of(prepared, **limit):
    return fit_response(prepared, family_of(prepared, "at 2.0", "wing_angle"), **limit)


def test_useful_range_ends_before_the_gap_that_costs_more_than_it_gains(prepared):
    """From 13.2 to 14.3 degrees 0.02 of lift costs 0.0426 of drag."""
    response = response_of(prepared)
    assert (response.own_axle, response.rising) == ("rear", True)
    assert response.useful == (-6.3, 13.2)
    assert response.ends_because is RangeEnd.COSTS_MORE
    assert Stall.NEXT in response.stall_at(12.9)
    assert Stall.NEXT not in response.stall_at(12.0)


def test_without_a_price_on_drag_it_ends_before_the_drop():
    response = response_of(wing_day(), limit=0.0)
    assert response.useful == (-6.3, 15.3)
    assert response.ends_because is RangeEnd.NO_RISE


def test_a_dearer_drag_ends_it_sooner(prepared):
    ends = [response_of(prepared, limit=limit).loaded_end for limit in (0.0, 1.0, 10.0, 30.0, 100.0)]
    assert ends == sorted(ends, reverse=True)
    assert ends[-1] < 8.2


def test_the_scale_turned_round_ends_at_the_same_place():
    response = response_of(wing_day(mirrored=True))
    assert not response.rising
    assert response.useful == (-13.2, 6.3)


@pytest.mark.parametrize("share", np.linspace(0.26, 0.9, 33))
def test_no_answer_lies_past_the_last_good_angle(prepared, share):
    found = answer_trim(prepared, TrimQuestion(run="at 2.0", setting="wing_angle", offset=float(share) - 0.5))
    for one in found.answer.solutions:
        assert one.value <= 13.2
        assert one.state.handling.aero_balance.value[0] == pytest.approx(share, abs=1e-9)
    wanted = FRONT * (1.0 / share - 1.0)  # rear lift that the share asks for
    assert bool(found.answer.solutions) == (wanted <= 1.51)
    if wanted > 1.51:
        assert found.answer.closest.value == 13.2
        assert found.answer.closest.missing_rear == pytest.approx((wanted - 1.51) * PRESSURE)
        assert found.answer.closest.missing_front is None


def test_the_gap_and_all_beyond_are_withheld_but_what_was_measured(prepared):
    for angle in (13.3, 14.0, 15.8, 20.0):
        with pytest.raises(InputError, match="past the useful range"):
            evaluate_what_if(prepared, WhatIf(start="at 2.0", settings=(("wing_angle", angle),)))
    measured = evaluate_what_if(prepared, WhatIf(start="at 2.0", settings=(("wing_angle", 16.3),)))
    assert measured.result.areas[1] == pytest.approx(1.26, abs=1e-12)
    assert "past the useful range" in [one.kind for one in measured.assumptions]
    for angle in (-7.0, 20.3):
        with pytest.raises(InputError, match="not tested"):
            evaluate_what_if(prepared, WhatIf(start="at 2.0", settings=(("wing_angle", angle),)))


def test_the_curve_falls_all_the_way_where_the_lift_drops(prepared):
    curve = response_of(prepared).curve
    inside = np.linspace(15.3, 16.3, 101)
    assert np.all(np.diff(curve(inside)[1]) < 0.0)
    assert curve([15.3])[1, 0] == pytest.approx(1.55, abs=1e-12)
    assert curve([16.3])[1, 0] == pytest.approx(1.26, abs=1e-12)
