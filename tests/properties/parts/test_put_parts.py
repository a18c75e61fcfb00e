"""Which parts are put on a car, what they are measured against there, and where they act: by hand."""

import numpy as np
import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.parts.part_place import part_place
from balance.decide.what_if.what_if import evaluate_what_if
from balance.model.errors import InputError
from balance.model.records import Mounting, Setting, Stated
from balance.model.what_ifs import WhatIf

PRESSURE = 0.5 * 1.2 * 50.0**2
BASE, SPLITTER, WING = (-80.0, -250.0, 700.0), (180.0, -260.0, 712.0), (-140.0, 260.0, 745.0)


def prepared(make_session, rows, **more):
    """Prepare a day of (settings, baseline, forces); a number is in mm, a word is without a unit."""
    runs = [
        {
            "settings": {
                name: Setting(value=value, unit="mm" if isinstance(value, float) else "")
                for name, value in settings.items()
            },
            **({"baseline": baseline} if baseline else {}),
        }
        for settings, baseline, _ in rows
    ]
    session = make_session([row[2] for row in rows], configurations=["car"] * len(rows), runs=runs, **more)
    return prepare_day(reduce_day(session, draws=200))


def forces(day, **changes):
    return evaluate_what_if(day, WhatIf(**changes)).result.areas * PRESSURE


def test_a_stated_baseline_makes_a_part_of_what_is_less_on_the_car(make_session):
    """The run without the wing, held against the one with it: less wing is what it shows, as its file says."""
    day = prepared(make_session, [({"wing": 8.0}, None, WING), ({}, "1", BASE)])
    assert forces(day, start="1", on=("2",)) == pytest.approx(BASE)


def test_a_repeat_with_a_stated_baseline_may_be_put_on_and_a_lone_one_may_not(make_session):
    """What a repeat shows is its difference from the run that it names: (8, 4, 2) N."""
    again = tuple(one + change for one, change in zip(BASE, (8.0, 4.0, 2.0), strict=True))
    for baseline in ("1", None):
        day = prepared(make_session, [({}, None, BASE), ({"wing": 8.0}, "1", WING), ({}, baseline, again)])
        if baseline:
            assert forces(day, start="2", on=("3",)) == pytest.approx(np.add(WING, (8.0, 4.0, 2.0)))
        else:
            with pytest.raises(InputError, match="part '3': found a run without a baseline"):
                evaluate_what_if(day, WhatIf(start="2", on=("3",)))


@pytest.mark.parametrize(
    ("start", "has"),
    [({}, "no splitter"), ({"splitter": 40.0}, "splitter 40 mm"), ({"splitter": "flat"}, "splitter flat")],
)
def test_a_part_that_was_not_measured_from_what_the_car_has_is_refused_by_what_it_has(
    make_session, start, has
):
    """The splitter went from 60 to 80 mm with the wing on, and no run with the wing has what the start has."""
    day = prepared(
        make_session,
        [
            (start, None, BASE),
            ({"splitter": 60.0, "wing": 8.0}, None, SPLITTER),
            ({"splitter": 80.0, "wing": 8.0}, "2", WING),
        ],
    )
    with pytest.raises(InputError, match=f"found {has} on the car, expected what run 2 has there"):
        evaluate_what_if(day, WhatIf(start="1", on=("3",)))


@pytest.mark.parametrize(
    ("stands", "std", "mismatch"),
    [
        # by hand: x = -(L dF + h dD)/dDF = -(2.5 x -60 + 1.2 x 50)/200 = 0.45 m; a tenth of 2.5 m is 0.25 m
        (0.65, 0.0, False),
        (0.25, 0.0, False),
        (0.90, 0.0, True),
        (0.00, 0.0, True),
        # 0.45 m away, and 1.96 x 0.25 m is 0.49 m, 1.96 x 0.2 m is 0.39 m
        (0.90, 0.25, False),
        (0.00, 0.25, False),
        (0.90, 0.20, True),
        (0.00, 0.20, True),
    ],
)
def test_a_part_acts_elsewhere_than_where_it_stands(make_session, make_vehicle, stands, std, mismatch):
    said = {"behind_rear_axle": Stated(value=stands, std=std)} if std else {}
    stood = Mounting(setting="wing", behind_rear_axle=stands, height=1.2, uncertainties=said)
    day = prepared(
        make_session,
        [({}, None, (100.0, 100.0, 600.0)), ({"wing": 2.0}, "1", (40.0, 360.0, 650.0))],
        vehicle=make_vehicle(mountings=(stood,)),
        deviation=(1e-6,) * 3,
    )
    place = part_place(day, "2")
    assert place.behind_rear_axle == pytest.approx(0.45)
    assert place.mismatch is mismatch
