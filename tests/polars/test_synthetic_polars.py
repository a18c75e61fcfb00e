"""Curves follow smooth responses: synthetic polars of wing sections, which stall late and gently, sampled as a day would.

Polars made by the library `neuralfoil`, a stand-in for a measurement and not one. Needs the extra "polars".
"""

import neuralfoil
import numpy as np
import pytest
from aerosandbox import Airfoil

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.settings.families import family_of
from balance.decide.settings.response import fit_response
from balance.model.records import Column, Facility, LoadExponent, Run, Session, Setting, Triple, Vehicle

TESTED = np.arange(0.0, 12.1, 2.0)
BETWEEN = np.arange(0.5, 12.0, 0.5)
FRONT, BODY_DRAG, PRESSURE = 0.6, 0.7, 0.5 * 1.2 * 45.0**2


def polar(section, angles):
    found = neuralfoil.get_aero_from_airfoil(Airfoil(section), alpha=angles, Re=5e5, model_size="medium")
    return np.asarray(found["CL"]), np.asarray(found["CD"])


def response(section):
    lift, drag = polar(section, TESTED)
    exponent = LoadExponent(front=0.86, rear=0.86, assumed=False)
    runs = tuple(
        Run(
            label=f"at {angle:g}",
            configuration="wing",
            reading=Triple(front=FRONT * PRESSURE, rear=up * PRESSURE, drag=(BODY_DRAG + back) * PRESSURE),
            resolution=Triple(front=0.0, rear=0.0, drag=0.0),
            settings={"wing_angle": Setting(value=float(angle), unit="deg")},
        )
        for angle, up, back in zip(TESTED, lift, drag, strict=True)
    )
    session = Session(
        title=f"synthetic {section}",
        vehicle=Vehicle(
            name="any car",
            mass=1200.0,
            front_share=0.5,
            wheelbase=2.5,
            stiffness_exponent=exponent,
            grip_exponent=exponent,
        ),
        facility=Facility(speed=45.0, air_density=1.2),
        runs=runs,
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
    )
    prepared = prepare_day(reduce_day(session, draws=500))
    return fit_response(prepared, family_of(prepared, "at 4", "wing_angle"))


@pytest.mark.parametrize("section", ["naca4412", "naca6412", "s1223"])
def test_a_curve_through_every_other_degree_follows_the_smooth_polar(section):
    curve = response(section).curve(BETWEEN)
    lift, drag = polar(section, BETWEEN)
    _, tested_drag = polar(section, TESTED)
    tested_lift, _ = polar(section, TESTED)
    # 2 % of the sweep's lift, 5 % of its drag: common practice, no source
    assert np.max(np.abs(curve[1] - lift)) < 0.02 * np.ptp(tested_lift)
    assert np.max(np.abs(curve[2] - BODY_DRAG - drag)) < 0.05 * np.ptp(tested_drag)
    assert curve[0] == pytest.approx(FRONT)
