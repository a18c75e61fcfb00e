"""A slope and its uncertainty by least squares: JCGM 100:2008 (GUM), example H.3, calibration of a thermometer.

The corrections stand for fits of one configuration, others between them, the temperatures for the running order.
"""

import numpy as np
import pytest

from balance.compare.drift import _drift
from balance.model.records import Column, Facility, LoadExponent, Run, Session, Triple, Vehicle
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

TEMPERATURE = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


def fit(correction):
    """Fit one channel as the drift of a day is fitted; dynamic pressure 1 Pa, so that forces are areas."""
    exponent = LoadExponent(front=0.8, rear=0.8, assumed=True)
    runs = tuple(
        Run(
            label=f"{name} {k}",
            configuration=name if name == "thermometer" else f"{name} {k}",
            reading=Triple(front=value, rear=value, drag=value),
            resolution=Triple(front=0.0, rear=0.0, drag=0.0),
        )
        for k, value in enumerate(correction)
        for name in ("thermometer", "between")
    )
    session = Session(
        title="thermometer",
        vehicle=Vehicle(
            name="any car",
            mass=1200.0,
            front_share=0.5,
            wheelbase=2.5,
            stiffness_exponent=exponent,
            grip_exponent=exponent,
        ),
        facility=Facility(speed=1.0, air_density=2.0),
        runs=runs,
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
    )
    order = np.repeat(np.array(TEMPERATURE), 2)
    fits = fits_of_session(session, reduce_session(session), slopes=[order])
    rows = np.arange(order.size)
    return _drift(fits, 0, rows, (tuple(rows[::2].tolist()),), order, 1.0, 0.95)


def test_slope_and_its_standard_uncertainty():
    drift = fit(CORRECTION)
    assert drift.degrees_of_freedom == 9
    assert drift.slope[0] == pytest.approx(0.00218, rel=0, abs=5e-6)
    assert drift.std[0] == pytest.approx(0.00067, rel=0, abs=5e-6)
    assert drift.resolved[0]


def test_a_common_error_leaves_slope_and_uncertainty_unchanged():
    """H.3.4: a common error of 0.005 in every reading."""
    drift, moved = fit(CORRECTION), fit([b + 0.005 for b in CORRECTION])
    assert moved.slope == pytest.approx(drift.slope, rel=1e-9)
    assert moved.std == pytest.approx(drift.std, rel=1e-9)
