"""A-B-A and A-B-B-A: OIML R111-1, annex C (from memory).

The difference I_B - (I_A1 + I_A2)/2 has 1.2247 s, that of A-B-B-A 1.0 s, and a linear drift cancels in both exactly.
"""

import numpy as np
import pytest

from balance.compare.increments import find_increments
from balance.model.records import (
    Column,
    Facility,
    LoadExponent,
    OptionalTriple,
    Run,
    Session,
    StatedRepeatability,
    Triple,
    Vehicle,
)
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

TRUE = {"A": 500.0, "B": 530.0}
SCATTER = 2.0


def cycle(order, drift):
    exponent = LoadExponent(front=0.8, rear=0.8, assumed=True)
    loads = [TRUE[kind] + drift * k for k, kind in enumerate(order)]
    session = Session(
        title="cycle",
        vehicle=Vehicle(
            name="any car",
            mass=1200.0,
            front_share=0.5,
            wheelbase=2.5,
            stiffness_exponent=exponent,
            grip_exponent=exponent,
        ),
        facility=Facility(speed=50.0, air_density=1.2),
        runs=tuple(
            Run(
                label=str(k),
                configuration=kind,
                reading=Triple(front=load, rear=load, drag=load),
                resolution=Triple(front=0.0, rear=0.0, drag=0.0),
                baseline="0" if kind == "B" else None,
            )
            for k, (kind, load) in enumerate(zip(order, loads, strict=True))
        ),
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
        repeatability=StatedRepeatability(
            deviation=OptionalTriple(front=SCATTER, rear=SCATTER, drag=SCATTER), degrees_of_freedom=20.0
        ),
    )
    fits = fits_of_session(session, reduce_session(session))
    return find_increments(session, fits, dynamic_pressure=0.5 * 1.2 * 50.0**2)


@pytest.mark.parametrize(("order", "over_s"), [("ABA", "1.2247"), ("ABBA", "1.0")])
@pytest.mark.parametrize("drift", [0.0, 3.7, -12.0])
def test_standard_deviation_and_cancelled_drift(printed, order, over_s, drift):
    increments = cycle(order, drift)
    increment = next(i for i in increments if i.run == "1")
    assert increment.drag.change == pytest.approx(TRUE["B"] - TRUE["A"], rel=0, abs=1e-9)
    weighings = np.sqrt(
        increment.weights @ increment.weights
    )  # of readings that scatter alike and by themselves
    assert weighings == pytest.approx(printed(over_s).value, rel=0, abs=min(printed(over_s).half, 5e-5))
    assert [b.pattern for b in increments.drifts.blocks[0].brackets] == ["-".join(order)]
    slope = increments.drifts.blocks[0].slope
    assert slope == pytest.approx(np.array([1.0, 1.0, 1.0, 2.0]) * drift, rel=0, abs=1e-9)


def test_the_correction_leaves_a_balanced_cycle_as_it_is():
    increments = cycle("ABBA", 3.0)
    assert increments.drifts.correct(increments.uncorrected.weights) == pytest.approx(
        increments.uncorrected.weights, rel=0, abs=1e-12
    )
