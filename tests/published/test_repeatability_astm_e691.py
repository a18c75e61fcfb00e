"""Repeatability standard deviation: ASTM E691, glucose in serum, level A, 8 laboratories of 3 results.

The laboratories stand for configurations and the results for repeat runs of each.
"""

import numpy as np
import pytest

from balance.model.records import Column, Facility, LoadExponent, Run, Session, Triple, Vehicle
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

RESULTS = [
    (41.03, 41.45, 41.37),
    (41.17, 42.00, 41.15),
    (41.01, 40.68, 42.66),
    (39.37, 42.37, 42.63),
    (41.88, 41.19, 41.32),
    (43.28, 40.50, 42.28),
    (41.08, 41.27, 39.02),
    (43.36, 42.65, 41.72),
]


@pytest.fixture
def session():
    runs = tuple(
        Run(
            label=f"{laboratory}.{k}",
            configuration=f"laboratory {laboratory}",
            reading=Triple(front=result, rear=result, drag=-result),
            resolution=Triple(front=0.005, rear=0.005, drag=0.005),
        )
        for laboratory, results in enumerate(RESULTS, 1)
        for k, result in enumerate(results, 1)
    )
    exponent = LoadExponent(front=0.8, rear=0.8, assumed=True)
    return Session(
        title="glucose",
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


def test_pooled_standard_deviation(session):
    pooled = fits_of_session(session, reduce_session(session)).repeatability.within
    assert pooled is not None
    assert pooled.degrees_of_freedom == 16
    assert pooled.deviation[:3] == pytest.approx([1.0632] * 3, rel=0, abs=5e-5)
    assert 2.8 * pooled.deviation[0] == pytest.approx(2.98, rel=0, abs=5e-3)


def test_total_has_its_own_scatter_and_channels_their_correlation(session):
    """Front and rear are the same numbers here, drag their negative: s of the sum is twice s, not sqrt(2) times."""
    found = fits_of_session(session, reduce_session(session)).repeatability
    pooled = found.within
    assert pooled is not None
    assert pooled.deviation[3] == pytest.approx(2.0 * pooled.deviation[0], rel=1e-12)
    assert found.correlation == pytest.approx(
        np.array([[1.0, 1.0, -1.0], [1.0, 1.0, -1.0], [-1.0, -1.0, 1.0]]), rel=1e-9
    )
