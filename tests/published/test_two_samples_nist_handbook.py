"""Difference of two means: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3, two-sample t test.

The two samples stand for runs of a part and of its baseline, another configuration between any two of them, so that each
reading is a fit of its own; readings are made to have the printed mean and deviation.
"""

from dataclasses import replace

import numpy as np
import pytest

from balance.compare.increments import find_increments
from balance.model.records import Column, Facility, LoadExponent, Run, Session, Triple, Vehicle
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

SAMPLES = {"first": (249, 20.14458, 6.41470), "second": (79, 30.48101, 6.10771)}


def sample(count, mean, deviation):
    shape = np.arange(count) - (count - 1) / 2
    return mean + deviation * shape / np.std(shape, ddof=1)


@pytest.fixture
def session():
    exponent = LoadExponent(front=0.8, rear=0.8, assumed=True)
    runs = [
        Run(
            label=f"{configuration} {k}",
            configuration=configuration,
            reading=Triple(front=value, rear=0.0, drag=0.0),
            resolution=Triple(front=0.0, rear=0.0, drag=0.0),
        )
        for name, figures in SAMPLES.items()
        for k, value in enumerate(sample(*figures))
        for configuration in (name, f"between {name} {k}")
    ]
    runs[0] = replace(runs[0], baseline="second 0")
    return Session(
        title="two samples",
        vehicle=Vehicle(
            name="any car",
            mass=1200.0,
            front_share=0.5,
            wheelbase=2.5,
            stiffness_exponent=exponent,
            grip_exponent=exponent,
        ),
        facility=Facility(speed=45.0, air_density=1.2),
        runs=tuple(runs),
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
    )


def test_pooled_deviation_statistic_and_degrees_of_freedom(session):
    fits = fits_of_session(session, reduce_session(session))
    scatter = fits.repeatability
    increments = find_increments(session, fits, dynamic_pressure=0.5 * 1.2 * 45.0**2)
    front = next(i for i in increments if i.run == "first 0").front_downforce
    assert scatter.deviation[0] == pytest.approx(6.34260, rel=0, abs=5e-6)
    assert scatter.degrees_of_freedom[0] == 326
    assert front.change / front.std == pytest.approx(-12.62059, rel=0, abs=5e-6)
    assert front.resolved
