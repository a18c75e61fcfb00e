"""What a what-if rests on and says, how its car is drawn, and the bounds of what it takes: by hand.

Invented loads at 50 m/s in 1.2 kg/m³, 1500 Pa.
"""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.car.changed_car import change_car
from balance.decide.car.prepared_day import prepare_day
from balance.decide.car.stated_doubt import force_stds, stated_stds
from balance.decide.day.day import reduce_day
from balance.decide.what_if.what_if import evaluate_what_if, what_if_curve
from balance.model.errors import DomainError
from balance.model.records import PlacedMass, Setting, Stated
from balance.model.what_ifs import Air, PlacedForce, StatedChange, WhatIf

PRESSURE = 1500.0
BASE, SPLITTER, WING = (100.0, 300.0, 600.0), (350.0, 290.0, 610.0), (80.0, 700.0, 640.0)
STEEP, BOTH = (70.0, 800.0, 660.0), (330.0, 690.0, 655.0)
WEIGHT = 1200.0 * 9.80665


def day_of(make_session, make_vehicle, rows, *, draws=200, car=None, **more):
    """Prepare a day of (settings in mm, baseline or None, forces, further fields of the run)."""
    runs = [
        {
            "settings": {name: Setting(value=value, unit="mm") for name, value in settings.items()},
            "baseline": baseline,
            **dict(*fields),
        }
        for settings, baseline, _, *fields in rows
    ]
    vehicle = make_vehicle(exact=True) if car is None else car
    session = make_session(
        [row[2] for row in rows], configurations=["car"] * len(rows), runs=runs, vehicle=vehicle, **more
    )
    return prepare_day(reduce_day(session, draws=draws))


ROWS = [
    ({}, None, BASE),
    ({"splitter": 60.0}, "1", SPLITTER),
    ({"wing": 4.0}, "1", WING),
    ({"wing": 8.0}, "1", STEEP),
    ({"splitter": 60.0, "wing": 8.0}, "2", BOTH),
]


def said(day, run, **parts):
    """What is said of parts put on or taken off, by kind; how often and what differs as it is."""
    return {one.kind: dict(one.values) for one in change_car(day, run, drawn=False, **parts).assumptions}


def of_part(run, baseline, own, start, times=1.0):
    return {"run": run, "baseline": baseline, "own": own, "start": start, "times": times}


@pytest.mark.parametrize(
    ("start", "parts", "expected", "forces"),
    [
        # where it was measured, nothing needs to be said
        ("1", {"on": ("2",)}, {}, SPLITTER),
        ("2", {"off": ("2",)}, {}, BASE),
        # the wing was measured against the bare car: on the splitter's it is on another
        (
            "2",
            {"on": ("3",)},
            {"part measured on another car": of_part("3", "1", "1", "2")},
            (330.0, 690.0, 650.0),
        ),
        # from 4 to 8 mm is measured against the run at 4 mm, which is the start itself
        ("3", {"on": ("4",)}, {"part measured against another run": of_part("4", "3", "1", "3")}, STEEP),
        ("4", {"on": ("4",)}, {"part is on already": of_part("4", "4", "1", "4")}, STEEP),
        (
            "1",
            {"on": ("2", "2")},
            {"part more than once": of_part("2", "1", "1", "1", 2.0)},
            (600.0, 280.0, 620.0),
        ),
        (
            "5",
            {"off": ("4",)},
            {"part measured on another car": of_part("4", "1", "1", "5", -1.0)},
            (360.0, 190.0, 595.0),
        ),
    ],
)
def test_what_a_part_rests_on_is_said(make_session, make_vehicle, start, parts, expected, forces):
    day = day_of(make_session, make_vehicle, ROWS)
    kinds = {"was run together", "parts added"}
    found = {kind: values for kind, values in said(day, start, **parts).items() if kind not in kinds}
    assert found == expected
    assert change_car(day, start, drawn=False, **parts).areas * PRESSURE == pytest.approx(forces)


def test_a_package_is_said_with_what_differs_and_suspect_runs_behind_it(make_session, make_vehicle):
    suspect = {"status": "suspect", "reason": "tape"}
    rows = [({}, None, BASE), ({"splitter": 60.0, "wing": 8.0}, "1", BOTH, suspect)]
    day = day_of(make_session, make_vehicle, rows)
    values = of_part("2", "1", "1", "1")
    assert said(day, "1", on=("2",)) == {
        "part is a package": {**values, "differs": "splitter, wing"},
        "suspect part": values,
        "was run together": {"runs": "2"},
    }
    good = day_of(make_session, make_vehicle, [rows[0], rows[1][:3]])
    assert set(said(good, "1", on=("2",))) == {"part is a package", "was run together"}
    behind = day_of(make_session, make_vehicle, [(*rows[0], suspect), rows[1][:3]])
    assert "suspect part" in said(behind, "1", on=("2",))


def test_the_start_is_told_by_its_repeats_its_status_and_its_loading(make_session, make_vehicle):
    rows = [
        ({}, None, BASE, {"loading": "half a tank"}),
        ({"wing": 4.0}, "1", WING, {"status": "suspect", "reason": "tape"}),
        ({}, None, BASE),
    ]
    day = day_of(make_session, make_vehicle, rows)
    assert said(day, "1") == {
        "mean of repeats": {"runs": "1, 3"},
        "measured loading": {"run": "1", "loading": "half a tank"},
    }
    assert said(day, "2") == {"suspect run": {"run": "2"}}
    unknown = day_of(make_session, make_vehicle, ROWS, deviation=(None, None, None))
    assert said(unknown, "1") == {"scatter unknown": {}}


def test_two_parts_are_said_to_be_added_and_one_is_not(make_session, make_vehicle):
    day = day_of(make_session, make_vehicle, ROWS)
    assert "parts added" not in said(day, "1", on=("2",))
    assert said(day, "1", on=("2", "4"))["parts added"] == {"runs": "2, 4"}
    both = change_car(day, "1", on=("2", "4"), drawn=False).areas * PRESSURE
    assert both == pytest.approx(np.add(SPLITTER, STEEP) - np.array(BASE))
    assert change_car(day, "5", off=("2", "4"), drawn=False).areas * PRESSURE == pytest.approx(
        np.array(BOTH) - np.add(SPLITTER, STEEP) + 2.0 * np.array(BASE)
    )
    assert said(day, "1", on=("2", "4"))["was run together"] == {"runs": "5"}
    assert "was run together" not in said(day, "1", on=("2", "3"))


# --- what was stated


def test_a_tenth_is_assumed_of_what_was_stated_without_its_uncertainty():
    """Of a stated 0, a tenth of the largest of all that was stated beside it: 0.3 m², and 0.2 m² where the first stands alone."""
    every = ("front", "rear", "drag")
    changes = (
        StatedChange(front=-0.2, rear=0.0, drag=0.04, assumed=every),
        StatedChange(
            front=0.1, rear=0.3, drag=0.05, front_std=0.03, rear_std=0.02, drag_std=0.0, assumed=("drag",)
        ),
    )
    assert stated_stds(changes) == pytest.approx(np.array([[0.02, 0.03, 0.004], [0.03, 0.02, 0.005]]))
    assert stated_stds(changes[:1]) == pytest.approx(np.array([[0.02, 0.02, 0.004]]))
    assert stated_stds(()).shape == (0, 3)


def test_a_force_at_a_place_is_known_by_what_was_said_of_it():
    wing = PlacedForce(downforce=-0.5, drag=0.06, behind_rear_axle=0.4, height=1.1)
    assert force_stds(wing) == pytest.approx([0.05, 0.006, 0.0, 0.0])
    told = replace(
        wing,
        uncertainties={
            "downforce": Stated(value=-0.5, std=0.02),
            "drag": Stated(value=0.06, exact=True),
            "height": Stated(value=1.1, std=0.05),
        },
    )
    assert force_stds(told) == pytest.approx([0.02, 0.0, 0.0, 0.05])


def test_a_force_s_doubts_reach_both_axles_by_its_moments(make_session, make_vehicle):
    """1000 N down and 200 N back, 0.5 m behind and 1 m up, over 2.5 m; each of 0.1 and 0.2 m or of 50 and 20 N alone.

    Front: -(0.5 dF + 1000 dx + 1.0 dD + 200 dh)/2.5, rear what is left of dF.
    """
    day = day_of(make_session, make_vehicle, ROWS, deviation=(1e-6,) * 3, draws=20_000)
    doubts = {"downforce": 50.0 / PRESSURE, "drag": 20.0 / PRESSURE, "behind_rear_axle": 0.1, "height": 0.2}
    expected = {
        "downforce": (10.0, 60.0, 0.0, 50.0),
        "drag": (8.0, 8.0, 20.0, 0.0),
        "behind_rear_axle": (40.0, 40.0, 0.0, 0.0),
        "height": (16.0, 16.0, 0.0, 0.0),
    }
    for name, std in doubts.items():
        exact = {other: Stated(value=0.0, exact=True) for other in doubts} | {
            name: Stated(value=0.0, std=std)
        }
        wing = PlacedForce(
            downforce=1000.0 / PRESSURE,
            drag=200.0 / PRESSURE,
            behind_rear_axle=0.5,
            height=1.0,
            uncertainties=exact,
        )
        car = change_car(day, "1", forces=(wing,))
        assert car.stated_std * PRESSURE == pytest.approx(expected[name], abs=1e-9)
        loads = car.draws * PRESSURE
        spread = [np.std(one) for one in (*loads, loads[0] + loads[1])]
        assert spread == pytest.approx(expected[name], rel=0.03, abs=0.01)
        assert (car.stated_drag * PRESSURE, car.areas[2] * PRESSURE) == pytest.approx((200.0, 800.0))


# --- the car


def result_of(day, **changes):
    return evaluate_what_if(day, WhatIf(start="1", **changes)).result


@pytest.fixture
def plain(make_session, make_vehicle):
    return day_of(make_session, make_vehicle, ROWS, draws=20_000)


@pytest.mark.parametrize(
    ("asked", "said_of", "name", "mean", "std"),
    [
        ({"mass": 1300.0}, {}, "mass", 1300.0, 0.0),
        ({"mass": 1300.0}, {"mass": Stated(value=1300.0, std=13.0)}, "mass", 1300.0, 13.0),
        ({"front_share": 0.5}, {}, "front_share", 0.5, 0.0),
        ({"front_share": 0.5}, {"front_share": Stated(value=0.5, std=0.01)}, "front_share", 0.5, 0.01),
    ],
)
def test_weights_are_drawn_by_what_was_said_of_them(plain, asked, said_of, name, mean, std):
    car = result_of(plain, uncertainties=said_of, **asked).shared.car
    drawn = np.broadcast_to(getattr(car, name), (20_000, 1))
    assert np.mean(drawn) == pytest.approx(mean, rel=1e-3)
    assert np.std(drawn) == pytest.approx(std, rel=0.03)
    assert car.set_up is plain.shared.car


def test_a_share_of_which_nothing_was_said_is_known_as_the_start_s(make_session, make_vehicle):
    """0.3 points where nothing was said of that either; common practice, no source. What both do not know is the same."""
    day = day_of(make_session, make_vehicle, ROWS, draws=20_000, car=make_vehicle())
    drawn = result_of(day, front_share=0.5).shared.car.front_share
    assert np.std(drawn) == pytest.approx(0.003, rel=0.03)
    assert np.corrcoef(drawn[:, 0], day.shared.car.front_share[:, 0])[0, 1] == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("said_of", "std"), [({}, 0.0), ({"mass": 10.0}, 10.0), ({"behind_front_axle": 0.1}, 0.0)]
)
def test_a_mass_put_in_is_drawn_with_its_place(plain, said_of, std):
    """100 kg at 2 m of 2.5: 20 kg in front, 80 kg at the rear; 0.1 m move 4 kg from axle to axle, of 1300 kg."""
    told = {name: Stated(value=0.0, std=one) for name, one in said_of.items()}
    fuel = PlacedMass(name="fuel", mass=100.0, behind_front_axle=2.0, uncertainties=told)
    car = result_of(plain, masses=(fuel,)).shared.car
    mass, share = (np.broadcast_to(one, (20_000, 1)) for one in (car.mass, car.front_share))
    front = mass * share
    assert (np.mean(mass), np.mean(front)) == pytest.approx((1300.0, 1200.0 * 0.52 + 20.0), rel=1e-3)
    assert np.std(mass) == pytest.approx(std, rel=0.03, abs=1e-9)
    moved = 4.0 if "behind_front_axle" in said_of else 0.2 * std
    assert np.std(front) == pytest.approx(moved, rel=0.03, abs=1e-9)


@pytest.mark.parametrize(("kind", "half"), [("grip", 0.0375), ("stiffness", 0.075)])
def test_a_stated_exponent_is_drawn_over_its_range_alike_at_both_axles(plain, kind, half):
    """Uniform about it, so that its standard deviation is half its range over the root of 3; common practice, no source."""
    front, rear = getattr(result_of(plain, **{f"{kind}_exponent": 0.85}).shared.car, kind)
    np.testing.assert_array_equal(front, rear)
    assert np.max(np.abs(front - 0.85)) <= half
    assert np.std(front) == pytest.approx(half / np.sqrt(3.0), rel=0.03)
    key = f"{kind}_load_exponent"
    for told, std in ((Stated(value=0.85, std=0.02), 0.02), (Stated(value=0.85, exact=True), 0.0)):
        drawn = result_of(plain, **{f"{kind}_exponent": 0.85}, uncertainties={key: told}).shared.car
        front, rear = getattr(drawn, kind)
        assert np.std(front) == pytest.approx(std, rel=0.03, abs=1e-12)
        np.testing.assert_array_equal(front, rear)
        assert drawn.set_up is None  # the weights are as they were


@pytest.mark.parametrize(
    ("asked", "wrong"),
    [
        ({"mass": 99_999.0}, None),
        ({"mass": 1e5}, "mass"),
        ({"mass": 0.0}, "mass"),
        ({"front_share": 0.0}, "front share"),
        ({"front_share": 1.0}, "front share"),
        ({"grip_exponent": 1.5}, None),
        ({"grip_exponent": 1.51}, "grip load exponent"),
        ({"stiffness_exponent": 0.0}, "stiffness load exponent"),
        ({"target_surplus": -0.015}, None),
        ({"target_surplus": -0.0151}, "oversteer limit"),
        ({"speed": 999.0}, None),
        ({"speed": 1000.0}, "speed"),
        ({"speed": 0.0}, "speed"),
    ],
)
def test_what_makes_no_car_is_refused(make_session, make_vehicle, asked, wrong):
    day = day_of(make_session, make_vehicle, ROWS)
    if wrong is None:
        assert evaluate_what_if(day, WhatIf(start="1", **asked), drawn=False).result is not None
    else:
        with pytest.raises(DomainError, match=wrong):
            evaluate_what_if(day, WhatIf(start="1", **asked), drawn=False)


# --- speed and air


@pytest.mark.parametrize(
    ("density", "ratio"), [(1.8, None), (1.81, 1.81 / 1.2), (0.6, None), (0.59, 0.59 / 1.2)]
)
def test_half_and_one_and_a_half_times_the_tested_pressure_are_not_far(
    make_session, make_vehicle, density, ratio
):
    day = day_of(make_session, make_vehicle, ROWS)
    found = evaluate_what_if(day, WhatIf(start="1", air=Air(density=density)), drawn=False)
    far = [dict(one.values) for one in found.assumptions if one.kind == "scaled far"]
    assert far == ([] if ratio is None else [{"ratio": pytest.approx(ratio)}])


@pytest.mark.parametrize(
    ("floor", "said_of"),
    [(None, {"floor": ""}), ("fixed", {"floor": "fixed"}), ("moving", None), ("road", None)],
)
def test_the_floor_is_said_where_loads_were_put_together(make_session, make_vehicle, floor, said_of):
    day = day_of(make_session, make_vehicle, ROWS)
    session = replace(day.day.session, facility=replace(day.day.session.facility, floor=floor))
    day = prepare_day(reduce_day(session, draws=100))
    for changes, told in (({"on": ("2",)}, said_of), ({"off": ("2",), "on": ()}, said_of), ({}, None)):
        start = "2" if "off" in changes else "1"
        found = evaluate_what_if(day, WhatIf(start=start, **changes), drawn=False).assumptions
        assert [dict(one.values) for one in found if one.kind == "floor"] == ([] if told is None else [told])


def test_against_speed_each_car_is_known_as_at_its_own(make_session, make_vehicle):
    """One reading of 7, 7 and 4 N at 1500 Pa; a result in air of 0.6 kg/m³ has half of that at any speed."""
    day = day_of(make_session, make_vehicle, [ROWS[0]], draws=200)
    result = evaluate_what_if(day, WhatIf(start="1", air=Air(density=0.6), speed=60.0))
    speeds = np.array([20.0, 50.0, 65.0])
    curve = what_if_curve(day, result, speeds)
    one = np.array([7.0, 7.0, 4.0, 7.0 * np.sqrt(2.0)])
    scale = (speeds / 50.0) ** 2
    assert curve.start.stds == pytest.approx(scale[:, None] * one)
    assert curve.result.stds == pytest.approx(0.5 * scale[:, None] * one)
    for found, part in ((curve.start, 1.0), (curve.result, 0.5)):
        assert found.nominal.front_downforce == pytest.approx(100.0 * part * scale)
        assert found.nominal.drag == pytest.approx(600.0 * part * scale)
        assert found.drag_power == pytest.approx(600.0 * part * scale * speeds)
        assert found.drag_power_std == pytest.approx(4.0 * part * scale * speeds)
        assert found.balance_offset == pytest.approx([0.25 - 0.52] * 3)


def test_a_change_of_balance_and_of_surplus_is_the_difference_of_both_cars(make_session, make_vehicle):
    """With the splitter 350/640 of the downforce at the front in place of 100/400; exponents of 0.86."""
    day = day_of(make_session, make_vehicle, ROWS, deviation=(1e-3,) * 3)
    found = evaluate_what_if(day, WhatIf(start="1", on=("2",)))
    assert found.aero_balance.value[0] == pytest.approx(350.0 / 640.0 - 0.25)
    front, rear = 0.52 * WEIGHT, 0.48 * WEIGHT

    def surplus(one):
        return ((1.0 + one[1] / rear) / (1.0 + one[0] / front)) ** 0.86 - 1.0

    assert found.grip_surplus.value[0] == pytest.approx(surplus(SPLITTER) - surplus(BASE))
    for change in (found.aero_balance, found.grip_surplus, found.neutral_steer_shift):
        assert change.low[0] <= change.value[0] <= change.high[0]
        assert change.high[0] - change.low[0] < 1e-4
    # 3.1 % against 0 %: the rear overpowers no longer
    assert found.changes_verdict
    assert not evaluate_what_if(day, WhatIf(start="1")).changes_verdict
    lifted = day_of(make_session, make_vehicle, [({}, None, (-10.0, 300.0, 600.0)), ROWS[1]])
    none = evaluate_what_if(lifted, WhatIf(start="1", on=("2",))).aero_balance
    assert np.isnan([none.value[0], none.std[0], none.low[0], none.high[0]]).all()


@pytest.mark.parametrize(
    ("power", "drag", "speed"),
    [
        (101_250.0, 600.0, 75.0),  # 0.4 m² in 1.2 kg/m³: 0.24 v³
        (None, 600.0, None),
        (101_250.0, 0.0, None),
        (101_250.0, -600.0, None),
    ],
)
def test_a_power_holds_a_speed_against_drag_alone(make_session, make_vehicle, power, drag, speed):
    car = make_vehicle(exact=True, power=power)
    day = day_of(make_session, make_vehicle, [({}, None, BASE)], car=car)
    less = StatedChange(drag=(drag - 600.0) / PRESSURE)
    found = evaluate_what_if(day, WhatIf(start="1", stated=(less,)), drawn=False).result
    assert found.power_speed == (None if speed is None else pytest.approx(speed, rel=1e-9))


@pytest.mark.parametrize(
    ("known", "assumed"), [((), "downforce, drag"), (("drag",), "downforce"), (("downforce", "drag"), "")]
)
def test_what_was_assumed_of_a_force_s_uncertainty_is_named(make_session, make_vehicle, known, assumed):
    day = day_of(make_session, make_vehicle, ROWS)
    wing = PlacedForce(
        downforce=0.5,
        drag=0.06,
        behind_rear_axle=0.4,
        height=1.1,
        uncertainties={name: Stated(value=0.0, std=0.01) for name in known},
    )
    (told,) = [
        one for one in change_car(day, "1", forces=(wing,)).assumptions if one.kind == "force at a place"
    ]
    assert told.values["assumed"] == assumed


@pytest.mark.parametrize("margin", [0.0, 0.05])
def test_weight_put_on_an_axle_moves_the_neutral_point_at_rest(make_session, make_vehicle, margin):
    """Each axle's cornering stiffness goes with its weight to the power of 0.75: at a quarter more on the rear alone.

    C_r/(C_f + C_r) was 0.48 and the margin; the share of the weight on the rear is 0.48 x 1.25 of 1.12 then.
    """
    car = make_vehicle(exact=True, static_margin=margin)
    day = day_of(make_session, make_vehicle, ROWS, car=car)
    ballast = PlacedMass(name="ballast", mass=0.25 * 0.48 * 1200.0, behind_front_axle=2.5)
    found = evaluate_what_if(day, WhatIf(start="1", masses=(ballast,)), drawn=False).result
    front, rear = 0.52 - margin, (0.48 + margin) * 1.25**0.75
    point = rear / (front + rear)
    assert found.static_margin == pytest.approx(point - 0.6 / 1.12)
    assert found.surplus_at_rest == pytest.approx(1.25**-0.14 - 1.0)
    plain = evaluate_what_if(day, WhatIf(start="1"), drawn=False).result
    assert (plain.static_margin, plain.surplus_at_rest) == (margin, 0.0)
