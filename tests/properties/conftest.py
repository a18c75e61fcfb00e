"""Cars and sessions to hold properties on."""

import pytest

from balance.model.records import (
    Column,
    Facility,
    LoadExponent,
    OptionalTriple,
    Run,
    Session,
    Stated,
    StatedRepeatability,
    Triple,
    Vehicle,
)

EXACT = {
    key: Stated(value=0.0, exact=True)
    for key in ("mass.front_share", "tyres.stiffness_load_exponent", "tyres.grip_load_exponent")
}
"""What a car's file says whose stated figures are not to be drawn."""


def build_vehicle(*, stiffness=(0.75, 0.75), grip=(0.86, 0.86), assumed=True, exact=False, **fields):
    """Build a car; an exact one has exponents and weights that no draw moves."""
    if exact:
        assumed, fields = False, {"uncertainties": EXACT, **fields}
    stated = {"name": "any car", "mass": 1200.0, "front_share": 0.52, "wheelbase": 2.5, **fields}
    return Vehicle(
        stiffness_exponent=LoadExponent(front=stiffness[0], rear=stiffness[1], assumed=assumed),
        grip_exponent=LoadExponent(front=grip[0], rear=grip[1], assumed=assumed),
        **stated,
    )


def build_session(
    readings,
    *,
    vehicle=None,
    deviation=(7.0, 7.0, 4.0),
    degrees=20.0,
    systematic=(None, None, None),
    speed=50.0,
    air_density=1.2,
    restated=False,
    configurations=None,
    runs=({},),
    title="any day",
):
    """Build a session of forces (front downforce, rear downforce, drag) in N, one run a triple."""
    stated = StatedRepeatability(
        deviation=OptionalTriple(front=deviation[0], rear=deviation[1], drag=deviation[2]),
        degrees_of_freedom=degrees,
        degrees_assumed=False,
        systematic=OptionalTriple(front=systematic[0], rear=systematic[1], drag=systematic[2]),
    )
    return Session(
        title=title,
        vehicle=vehicle or build_vehicle(),
        facility=Facility(speed=speed, air_density=air_density, restated=restated),
        repeatability=None if deviation == (None, None, None) else stated,
        runs=tuple(
            Run(
                label=str(k + 1),
                configuration=configurations[k] if configurations else f"configuration {k + 1}",
                reading=Triple(front=front, rear=rear, drag=drag),
                resolution=Triple(front=0.0, rear=0.0, drag=0.0),
                **runs[k % len(runs)],
            )
            for k, (front, rear, drag) in enumerate(readings)
        ),
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
    )


@pytest.fixture(scope="session")
def make_vehicle():
    return build_vehicle


@pytest.fixture(scope="session")
def make_session():
    return build_session
