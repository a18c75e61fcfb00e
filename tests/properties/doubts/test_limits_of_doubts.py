"""The bounds beyond which a figure is doubted: just inside there is no doubt, just outside there is that one.

The bounds themselves are common practice, no source: shares of the car's weight, sizes of cars, drag areas from a
streamlined saloon to a van, and how far a run may be from the speed and the air of its facility.
"""

import pytest

from balance.decide.day.day import reduce_day
from balance.decide.doubts.plausibility import doubts
from balance.model.records import Setting, Target

PRESSURE = 0.5 * 1.2 * 50.0**2
G = 9.80665


def kinds(session):
    return {(doubt.kind, doubt.axle) for doubt in doubts(reduce_day(session, draws=100))}


@pytest.fixture
def session_of(make_session, make_vehicle):
    """One run of a car, drag area 0.6 m^2, in a facility at 50 m/s and 1.2 kg/m^3."""

    def make(*, front=100.0, rear=100.0, drag=0.6 * PRESSURE, **car):
        return make_session([(front, rear, drag)], vehicle=make_vehicle(**car))

    return make


@pytest.mark.parametrize(
    ("kind", "field", "inside", "outside"),
    [
        ("front share", "front_share", (0.3, 0.7), (0.299, 0.701)),
        ("mass", "mass", (300.0, 3500.0), (299.0, 3501.0)),
        ("wheelbase", "wheelbase", (1.5, 4.0), (1.49, 4.01)),
        ("static margin", "static_margin", (0.0, 0.1), (-0.001,)),
    ],
)
def test_bounds_of_the_car(session_of, kind, field, inside, outside):
    for value in inside:
        assert (kind, None) not in kinds(session_of(**{field: value}))
    for value in outside:
        assert (kind, None) in kinds(session_of(**{field: value}))


@pytest.mark.parametrize(("left", "doubted"), [(0.549, False), (0.551, True), (0.451, False), (0.449, True)])
def test_sides_within_a_tenth_of_the_mass(session_of, left, doubted):
    """Corners front left, front right, rear left, rear right; a share of 0.55 on the left is 10 % of the mass apart."""
    corners = tuple(1200.0 * half * side for half in (0.52, 0.48) for side in (left, 1.0 - left))
    assert (("sides", None) in kinds(session_of(corners=corners))) is doubted


@pytest.mark.parametrize(("tolerance", "doubted"), [(0.03, False), (0.031, True)])
def test_a_wide_front_tolerance(session_of, tolerance, doubted):
    target = Target(front_tolerance=tolerance, rear_tolerance=0.03)
    assert (("front tolerance", None) in kinds(session_of(target=target))) is doubted


@pytest.mark.parametrize(("area", "doubted"), [(0.301, False), (0.299, True), (1.999, False), (2.001, True)])
def test_drag_areas_of_cars(session_of, area, doubted):
    assert (("drag area", None) in kinds(session_of(drag=area * PRESSURE))) is doubted


@pytest.mark.parametrize(("share", "doubted"), [(0.999, False), (1.001, True)])
def test_downforce_above_the_weight(session_of, share, doubted):
    weight = 1200.0 * G
    found = kinds(session_of(front=0.4 * share * weight, rear=0.6 * share * weight))
    assert (("above weight", None) in found) is doubted


@pytest.mark.parametrize(("part", "doubted"), [(1.199, False), (1.201, True), (0.801, False), (0.799, True)])
def test_a_run_at_another_speed_than_its_facility(make_session, make_vehicle, part, doubted):
    runs = [{"speed": 50.0 * part}]
    session = make_session([(100.0, 100.0, 600.0)], vehicle=make_vehicle(), runs=runs)
    assert (("speed", None) in kinds(session)) is doubted


@pytest.mark.parametrize(("part", "doubted"), [(1.028, False), (1.032, True), (0.972, False), (0.968, True)])
def test_a_run_in_other_air_than_its_facility(make_session, make_vehicle, part, doubted):
    """Dry air of 287.05 J/(kg K) at 20 degrees: pressure by hand, to the 0.05 % that air is no ideal gas."""
    air = {"temperature": 293.15, "pressure": part * 1.2 * 287.05 * 293.15, "humidity": 0.0}
    session = make_session([(100.0, 100.0, 600.0)], vehicle=make_vehicle(), runs=[air])
    assert (("density", None) in kinds(session)) is doubted


@pytest.mark.parametrize(
    ("front", "rear", "doubted"),
    [
        # half a per cent of 1200 kg x 0.52 x 9.80665 m/s2 at the front is 30.6 N, for either axle
        (30.0, 100.0, set()),
        (31.2, 100.0, {("wing", "front")}),
        (-200.0, -30.0, set()),
        (-200.0, -31.2, {("wing", "rear")}),
        (40.0, -40.0, {("wing", "front"), ("wing", "rear")}),
    ],
)
def test_a_wing_that_loads_the_front_or_unloads_the_rear(make_session, make_vehicle, front, rear, doubted):
    session = make_session(
        [(100.0, 200.0, 600.0), (100.0 + front, 200.0 + rear, 640.0)],
        vehicle=make_vehicle(),
        configurations=["base", "base"],
        deviation=(1e-3, 1e-3, 1e-3),
        runs=[{}, {"settings": {"wing_angle": Setting(value=6.0, unit="deg")}}],
    )
    assert {one for one in kinds(session) if one[0] == "wing"} == doubted


@pytest.mark.parametrize(("std", "doubted"), [(17.5, True), (17.7, False)])
def test_a_wing_by_less_than_its_noise_is_not_doubted(make_session, make_vehicle, std, doubted):
    """Five times the scatter of one reading, as doubts are told by: 88 N is 5 x 17.6 N; common practice, no source."""
    session = make_session(
        [(100.0, 200.0, 600.0), (188.0, 200.0, 640.0)],
        vehicle=make_vehicle(),
        configurations=["base", "base"],
        deviation=(std, std, std),
        runs=[{}, {"settings": {"wing_angle": Setting(value=6.0, unit="deg")}}],
    )
    assert (("wing", "front") in kinds(session)) is doubted
