"""Readings to area coefficients, whatever they were read as, and which runs are one configuration: by hand."""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.day.day import day_across_blocks, readings_alone, reduce_day
from balance.model.errors import DomainError
from balance.model.records import Column, Setting, Triple
from balance.reduce.coefficients import coefficients
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session
from balance.reduce.repeats import configurations
from balance.reduce.rows import judged_rows


def read_as(session, form):
    return replace(
        session, columns={c: Column(name=c, unit="", form=form) for c in ("front", "rear", "drag")}
    )


def rounded(session, *halves):
    runs = tuple(
        replace(run, resolution=Triple(front=halves[0], rear=halves[1], drag=halves[2]))
        for run in session.runs
    )
    return replace(session, runs=runs)


@pytest.mark.parametrize(
    ("form", "reading", "halves"),
    [
        ("force", (150.0, 300.0, 900.0), (1.5, 3.0, 0.3)),
        ("area", (0.1, 0.2, 0.6), (0.001, 0.002, 0.0002)),
        ("coefficient", (0.05, 0.1, 0.3), (0.0005, 0.001, 0.0001)),  # of 2 m²
    ],
)
@pytest.mark.parametrize("speed", [None, 25.0])
def test_whatever_was_read_it_is_an_area(make_session, make_vehicle, form, reading, halves, speed):
    """150, 300 and 900 N at 1500 Pa; a quarter of that at half the speed."""
    scale = 0.25 if speed and form == "force" else 1.0
    session = make_session(
        [tuple(scale * one for one in reading)],
        vehicle=make_vehicle(frontal_area=2.0),
        runs=[{"speed": speed}],
    )
    found = reduce_session(rounded(read_as(session, form), *(scale * one for one in halves)))
    assert found.areas[0] == pytest.approx([0.1, 0.2, 0.6])
    assert found.resolution[0] == pytest.approx([0.001, 0.002, 0.0002])
    assert (found.front_area[0], found.rear_area[0], found.drag_area[0]) == pytest.approx((0.1, 0.2, 0.6))
    assert found.downforce_area[0] == pytest.approx(0.3)
    pressure = 1500.0 if speed is None else 375.0
    assert (found.dynamic_pressure[0], found.force_pressure[0]) == pytest.approx((pressure, pressure))
    assert found.speed[0] == (speed or 50.0)
    assert found.density_source == ("facility",)


def test_forces_that_the_facility_restated_are_at_its_own_speed(make_session):
    session = make_session([(150.0, 300.0, 900.0)], restated=True, runs=[{"speed": 25.0}])
    found = reduce_session(session)
    assert found.areas[0] == pytest.approx([0.1, 0.2, 0.6])
    assert (found.force_pressure[0], found.dynamic_pressure[0]) == pytest.approx((1500.0, 375.0))


def test_a_run_s_own_air_stands_before_the_facility_s(make_session):
    """Dry air at 20 degrees and 1013.25 hPa has 1.2041 kg/m³ (CIPM-2007, from memory), half saturated 1.1993."""
    air = {"temperature": 293.15, "pressure": 101325.0}
    runs = [{**air, "humidity": 0.0}, air, {"temperature": 293.15}, {"pressure": 101325.0}]
    found = reduce_session(make_session([(150.0, 300.0, 900.0)] * 4, runs=runs))
    assert found.air_density == pytest.approx([1.2041, 1.1993, 1.2, 1.2], abs=6e-4)
    assert found.density_source == (
        "own temperature, pressure and humidity",
        "own temperature and pressure, humidity of 50 % assumed",
        "facility",
        "facility",
    )
    assert found.front_area[0] == pytest.approx(150.0 / (0.5 * found.air_density[0] * 2500.0))


def test_the_area_behind_coefficients_is_the_facility_s_before_the_car_s(make_session, make_vehicle):
    session = make_session([(0.05, 0.1, 0.3)], vehicle=make_vehicle(frontal_area=2.0))
    assert session.reference_area == 2.0
    own = replace(session, facility=replace(session.facility, reference_area=1.5))
    assert own.reference_area == 1.5
    assert reduce_session(read_as(own, "coefficient")).areas[0] == pytest.approx([0.075, 0.15, 0.45])
    without = make_session([(0.05, 0.1, 0.3)])
    with pytest.raises(DomainError, match="front: found coefficients and no area"):
        reduce_session(read_as(without, "coefficient"))
    assert np.isnan(without.reference_area)


@pytest.mark.parametrize("area", [0.0, -2.0, np.inf, np.nan])
def test_coefficients_need_an_area(area):
    with pytest.raises(DomainError, match="frontal area"):
        coefficients(0.1, 0.2, 0.6, area)
    found = coefficients(0.1, 0.3, 0.6, 2.0)
    # SAE J1594: the moment about mid-wheelbase over the wheelbase, nose-up
    assert [
        float(one) for one in (found.drag, found.lift, found.front_lift, found.rear_lift)
    ] == pytest.approx([0.3, -0.2, -0.05, -0.15])
    assert float(found.pitching_moment) == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("repeats", "expected"),
    [
        ({}, [(0,), (1,), (2,), (3,)]),
        ({3: "1"}, [(0, 2), (1,), (3,)]),
        ({2: "1", 3: "2"}, [(0, 1, 2), (3,)]),  # what repeats a repeat is one too
        ({2: "3", 3: "2"}, [(0,), (1,), (2,), (3,)]),  # in a circle: of nothing else
        ({4: "9"}, [(0,), (1,), (2,), (3,)]),  # a run that there is not
        ({1: "4"}, [(0, 3), (1,), (2,)]),  # of a later one
    ],
)
def test_runs_that_say_they_repeat_another_are_its_configuration(make_session, repeats, expected):
    names = ["a", "b", "c", "d"]
    session = make_session(
        [(1.0, 2.0, 3.0)] * 4, configurations=names, runs=[{"repeat_of": repeats.get(k)} for k in range(1, 5)]
    )
    found = sorted(configurations(session.runs))
    if repeats == {2: "3", 3: "2"}:
        assert sorted(len(one) for one in found) == [1, 1, 1, 1]
    else:
        assert found == sorted(expected)


def test_one_configuration_has_one_label_and_the_same_settings(make_session):
    held = [{"wing": 4.0}, {"wing": 4.0}, {"wing": 8.0}, {}, {"wing": 4.0}]
    session = make_session(
        [(1.0, 2.0, 3.0)] * 5,
        configurations=["a", "a", "a", "a", "b"],
        runs=[{"settings": {n: Setting(value=v, unit="deg") for n, v in one.items()}} for one in held],
    )
    assert configurations(session.runs) == ((0, 1), (2,), (3,), (4,))


# --- rows


def test_rows_are_the_readings_then_the_means_of_each_block(make_session):
    order = [("a", "am"), ("b", "am"), ("a", "am"), ("a", "pm"), ("c", "pm"), ("a", "pm"), ("a", "pm")]
    fields = [{"block": block} for _, block in order]
    fields[6] |= {"status": "suspect", "reason": "tape"}
    session = make_session([(1.0, 2.0, 3.0)] * 7, configurations=[name for name, _ in order], runs=fields)
    rows = judged_rows(fits_of_session(session, reduce_session(session)))
    assert rows.members == (*((k,) for k in range(7)), (0, 2), (3, 5))
    assert rows.standing == (7, 1, 7, 8, 4, 8, 8)
    assert (rows.readings, rows.singles, rows.every) == (7, tuple(range(7)), tuple(range(9)))
    assert rows.configurations == (7, 1, 8, 4)
    assert rows.groups == ((0, 2), (1,), (3, 5, 6), (4,))
    assert (rows.beside(2), rows.beside(6), rows.beside(1)) == ((0, 2), (3, 5, 6), (1,))
    np.testing.assert_array_equal(rows.weighted([7, 4]), [[0.5, 0, 0.5, 0, 0, 0, 0], [0, 0, 0, 0, 1.0, 0, 0]])


def test_readings_may_be_judged_alone_and_blocks_ignored(make_session):
    """Two of a car 20 N apart, in two blocks, with another between."""
    readings = [(300.0, 500.0, 600.0), (1.0, 2.0, 3.0), (320.0, 500.0, 600.0)]
    session = make_session(
        readings, configurations=list("aba"), runs=[{"block": one} for one in ("am", "am", "pm")]
    )
    day = reduce_day(session, draws=100)
    assert day.rows.members == ((0,), (1,), (2,))
    whole = day_across_blocks(day)
    assert whole.rows.members == ((0,), (1,), (2,), (0, 2))
    assert whole.areas([3])[0, 0] * 1500.0 == pytest.approx(310.0)
    assert whole.repeatability.repeats.degrees_of_freedom == 1.0
    assert (whole.judged, whole.shared.count) == ({}, 100)
    alone = readings_alone(whole, ["3"])
    assert alone.rows.standing == (3, 1, 2)
    assert alone.fits.sets == ((0, 2), (1,), (2,))
    assert alone.repeatability is whole.repeatability
