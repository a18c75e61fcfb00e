"""What was stated is drawn as it was stated, once for a car and its what-if, and moves figures by as much as by hand."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.parts.part_place import part_place
from balance.decide.settings.aims import drawn_aim
from balance.decide.settings.trim_question import TrimQuestion, prepare_trim
from balance.decide.what_if.what_if import evaluate_what_if
from balance.model.records import Facility, Mounting, Place, PlacedMass, Setting, Stated
from balance.model.what_ifs import PlacedForce, WhatIf
from balance.reduce.stated_draws import drawn_car, mass_std, share_std, standard_draws

COUNT = 100_000
PRESSURE = 0.5 * 1.2 * 50.0**2
SURE = 1e-6  # N: scatter that leaves what was stated alone
STANDARD = standard_draws(np.random.default_rng(1), COUNT)


def said(**stds):
    """Say of a car's figures what their uncertainty is; None: exactly."""
    keys = {"share": "mass.front_share", "mass": "mass.total", "margin": "tyres.static_margin"}
    keys |= {name: f"tyres.{name}_load_exponent" for name in ("grip", "stiffness")}
    keys |= {f"grip_{axle}": f"tyres.grip_load_exponent.{axle}" for axle in ("front", "rear")}
    return {keys[name]: Stated(value=0.0, std=std, exact=std is None) for name, std in stds.items()}


def is_uniform(draws, low, high):
    return stats.kstest(draws[:, 0], "uniform", (low, high - low)).pvalue > 1e-4


def is_normal(draws, middle, std):
    return stats.kstest((draws[:, 0] - middle) / std, "norm").pvalue > 1e-4


def test_a_stated_exponent_is_uniform_about_what_is_stated_and_keeps_its_difference(make_vehicle):
    car = drawn_car(make_vehicle(stiffness=(0.70, 0.78), grip=(0.84, 0.90), assumed=False), STANDARD)
    assert is_uniform(car.stiffness[0], 0.70 - 0.075, 0.70 + 0.075)
    assert is_uniform(car.grip[1], 0.90 - 0.0375, 0.90 + 0.0375)
    np.testing.assert_allclose(car.stiffness[1] - car.stiffness[0], 0.08, atol=1e-12)
    np.testing.assert_allclose(car.grip[1] - car.grip[0], 0.06, atol=1e-12)


def test_an_assumed_exponent_is_uniform_over_its_range_with_a_difference_of_its_own(make_vehicle):
    car = drawn_car(make_vehicle(), STANDARD)
    middle = (car.grip[0] + car.grip[1]) / 2.0
    assert is_uniform(middle, 0.8, 0.95)
    assert is_uniform(car.grip[1] - car.grip[0], -0.05, 0.05)
    assert abs(np.corrcoef(middle[:, 0], (car.grip[1] - car.grip[0])[:, 0])[0, 1]) < 5.0 / np.sqrt(COUNT)


def test_exactly_switches_it_off_and_a_stated_uncertainty_is_used(make_vehicle):
    exact = drawn_car(make_vehicle(assumed=False, uncertainties=said(grip=None, share=None)), STANDARD)
    assert exact.grip == (0.86, 0.86)
    assert exact.front_share == 0.52
    own = drawn_car(make_vehicle(assumed=False, uncertainties=said(grip=0.01, share=0.006)), STANDARD)
    assert is_normal(own.grip[0], 0.86, 0.01)
    np.testing.assert_array_equal(own.grip[0], own.grip[1])  # one figure for both axles, one draw
    assert is_normal(own.front_share, 0.52, 0.006)


def test_an_axle_with_its_own_uncertainty_stands_alone(make_vehicle):
    car = drawn_car(make_vehicle(assumed=False, uncertainties=said(grip_front=0.02)), STANDARD)
    assert is_normal(car.grip[0], 0.86, 0.02)
    assert is_uniform(car.grip[1], 0.86 - 0.0375, 0.86 + 0.0375)
    assert abs(np.corrcoef(car.grip[0][:, 0], car.grip[1][:, 0])[0, 1]) < 5.0 / np.sqrt(COUNT)


def test_friction_is_drawn_by_what_is_said_of_it(make_vehicle):
    """Half of a 95 % interval of ± 0.05 is 1.96 standard uncertainties; a bare figure has 2.5 % of it; an assumed one none."""
    stated = replace(make_vehicle(), friction=1.2)
    assert is_normal(drawn_car(stated, STANDARD).friction, 1.2, 0.03)
    said_of = {"tyres.friction": Stated(value=1.2, std=0.05 / 1.96)}
    own = drawn_car(replace(stated, uncertainties=said_of), STANDARD)
    assert is_normal(own.friction, 1.2, 0.05 / 1.96)
    assert own.first(7).friction == pytest.approx(own.friction[:7])
    exact = {"tyres.friction": Stated(value=1.2, exact=True)}
    assert drawn_car(replace(stated, uncertainties=exact), STANDARD).friction == 1.2
    assert drawn_car(make_vehicle(), STANDARD).friction == 1.1


def test_weights_are_drawn_by_the_scales(make_vehicle):
    car = drawn_car(make_vehicle(uncertainties=said(mass=4.0)), STANDARD)
    assert is_normal(car.front_share, 0.52, 0.003)
    assert is_normal(car.mass, 1200.0, 4.0)
    assert drawn_car(make_vehicle(), STANDARD).mass == 1200.0


@pytest.mark.parametrize(
    ("known", "share", "mass"),
    [
        # four corners of 300 kg, 2 kg each: share 2 * 2 * 0.5 / 1200 by hand, mass 2 * 2
        (("front_left", "front_right", "rear_left", "rear_right"), 4.0 * 0.5 / 1200.0, 4.0),
        # one corner alone says too little: never below the 0.3 points assumed
        (("front_left",), 0.003, 2.0),
    ],
)
def test_corners_make_the_uncertainty_of_the_share(make_vehicle, known, share, mass):
    corners = {f"mass.corners.{name}": Stated(value=300.0, std=2.0) for name in known}
    car = make_vehicle(front_share=0.5, corners=(300.0,) * 4, uncertainties=corners)
    assert share_std(car) == pytest.approx(share)
    assert mass_std(car) == pytest.approx(mass)


def test_no_draw_is_no_car(make_vehicle):
    wild = make_vehicle(
        static_margin=0.4,
        assumed=False,
        uncertainties=said(share=0.5, mass=2000.0, margin=1.0, grip=2.0),
    )
    car = drawn_car(wild, STANDARD)
    assert np.all(car.mass > 0.0)
    assert np.all((car.front_share > 0.0) & (car.front_share < 1.0))
    neutral = 1.0 - car.front_share + car.static_margin
    assert np.all((neutral > 0.0) & (neutral < 1.0))
    assert np.all(car.grip[0] > 0.0)


def day(make_session, car, *, readings=((300.0, 400.0, 600.0),), facility=None, **others):
    session = make_session(list(readings), vehicle=car, deviation=(SURE,) * 3, degrees=1e9, **others)
    return reduce_day(session if facility is None else replace(session, **facility), draws=20_000)


def surplus_by_hand(front, rear, share, exponent, mass=1200.0):
    weight = mass * 9.80665
    return ((1.0 + rear / (weight * (1.0 - share))) / (1.0 + front / (weight * share))) ** exponent - 1.0


def test_weight_share_and_exponent_move_the_surplus_by_as_much_as_by_hand(make_session, make_vehicle):
    """First-order propagation by hand (JCGM 100:2008, 5.1.2), the slope as a difference over the uncertainty."""
    of_share = (surplus_by_hand(300.0, 400.0, 0.523, 0.86) - surplus_by_hand(300.0, 400.0, 0.517, 0.86)) / 2.0
    car = make_vehicle(exact=True)
    for key in ("mass.front_share",):
        others = {k: v for k, v in car.uncertainties.items() if k != key}
        found = assess(day(make_session, replace(car, uncertainties=others))).handling.grip_surplus
        assert found.std[0] == pytest.approx(abs(of_share), rel=0.02)
    # a uniform distribution of half range a has 68.27 % inside 0.6827 a: half that interval, the product's _std
    of_exponent = (
        surplus_by_hand(300.0, 400.0, 0.52, 0.86 + 0.0375)
        - surplus_by_hand(300.0, 400.0, 0.52, 0.86 - 0.0375)
    ) / 2.0
    others = {k: v for k, v in car.uncertainties.items() if k != "tyres.grip_load_exponent"}
    found = assess(day(make_session, replace(car, uncertainties=others))).handling.grip_surplus
    assert found.std[0] == pytest.approx(0.6827 * abs(of_exponent), rel=0.02)


def test_with_all_stated_exactly_scatter_alone_is_left(make_session, make_vehicle):
    table = assess(day(make_session, make_vehicle(exact=True)))
    assert table.handling.grip_surplus.std[0] < 1e-8
    assert table.handling.neutral_steer_shift.std[0] < 1e-8


def test_matched_axles_stay_matched_with_a_stated_exponent_whatever_it_is(make_session, make_vehicle):
    weight = 1200.0 * 9.80665
    car = make_vehicle(assumed=False, uncertainties=said(share=None))
    loads = (0.05 * weight * 0.52, 0.05 * weight * 0.48, 600.0)
    table = assess(day(make_session, car, readings=[loads]))
    assert table.handling.grip_surplus.std[0] < 1e-8


def test_one_draw_serves_the_car_and_its_what_if(make_session, make_vehicle):
    car = make_vehicle(assumed=False, uncertainties=said(grip=None, stiffness=None))
    prepared = prepare_day(day(make_session, car))
    same = evaluate_what_if(prepared, WhatIf(start="1"))
    assert same.grip_surplus.std[0] == 0.0
    ballast = PlacedMass(name="ballast", mass=20.0, behind_front_axle=0.5)
    heavier = evaluate_what_if(prepared, WhatIf(start="1", masses=(ballast,)))
    start, end = (one.handling.grip_surplus.std[0] for one in (heavier.start, heavier.result))
    assert heavier.grip_surplus.std[0] < 0.1 * np.hypot(start, end)


def test_a_what_if_may_say_how_well_its_own_figures_are_known(make_session, make_vehicle):
    prepared = prepare_day(day(make_session, make_vehicle(exact=True)))
    plain = WhatIf(start="1", front_share=0.53, grip_exponent=0.8)
    silent = evaluate_what_if(prepared, plain).result.shared.car
    assert is_uniform(silent.grip[0], 0.8 - 0.0375, 0.8 + 0.0375)
    assert silent.front_share == 0.53  # as well known as the car's own: exactly
    stated = {
        "front_share": Stated(value=0.53, std=0.005),
        "grip_load_exponent": Stated(value=0.8, exact=True),
    }
    own = evaluate_what_if(prepared, replace(plain, uncertainties=stated)).result.shared.car
    assert is_normal(own.front_share, 0.53, 0.005)
    assert own.grip == (0.8, 0.8)
    masses = (
        PlacedMass(
            name="b", mass=50.0, behind_front_axle=0.0, uncertainties={"mass": Stated(value=50.0, std=2.0)}
        ),
    )
    car = evaluate_what_if(prepared, WhatIf(start="1", masses=masses)).result.shared.car
    assert is_normal(car.mass, 1250.0, 2.0)


def test_a_force_at_a_place_keeps_a_tenth_or_what_was_stated(make_session, make_vehicle):
    """By hand, wheelbase 2.5 m: front -(F x + D h)/L; sd of F 100 N at 0.6 m, of D 15 N at 1.2 m: 25.06 N."""
    prepared = prepare_day(day(make_session, make_vehicle(exact=True)))
    wing = PlacedForce(downforce=1000.0 / PRESSURE, drag=150.0 / PRESSURE, behind_rear_axle=0.6, height=1.2)
    by_hand = np.hypot(0.6 * 100.0, 1.2 * 15.0) / 2.5
    found = evaluate_what_if(prepared, WhatIf(start="1", forces=(wing,)))
    assert found.result.stds[0] == pytest.approx(by_hand, rel=1e-6)
    assert found.result.stds[2] == pytest.approx(15.0, rel=1e-6)
    assert found.result.stds[3] == pytest.approx(100.0, rel=1e-6)
    np.testing.assert_allclose(found.forces.std, found.result.stds, rtol=0.03)
    exact = {name: Stated(value=0.0, exact=True) for name in ("downforce", "drag")}
    sure = evaluate_what_if(prepared, WhatIf(start="1", forces=(replace(wing, uncertainties=exact),)))
    assert sure.result.stds[0] < 1e-3
    up = {**exact, "height": Stated(value=1.2, std=0.1)}  # 150 N times 0.1 m over 2.5 m
    raised = evaluate_what_if(prepared, WhatIf(start="1", forces=(replace(wing, uncertainties=up),)))
    assert raised.result.stds[0] == pytest.approx(6.0, rel=1e-4)


def wings():
    return {
        "readings": [(100.0, 100.0 + 50.0 * k, 600.0 + 5.0 * k) for k in range(4)],
        "configurations": ["car"] * 4,
        "runs": tuple({"settings": {"wing": Setting(value=2.0 * k, unit="deg")}} for k in range(4)),
    }


def test_a_setting_that_is_not_known_exactly_moves_along_its_curve(make_session, make_vehicle):
    prepared = prepare_day(
        day(make_session, make_vehicle(exact=True), **wings())
    )  # 25 N a degree at the rear
    moved = WhatIf(start="1", settings=(("wing", 3.0),))
    blurred = replace(moved, uncertainties={"settings.wing": Stated(value=3.0, std=0.4)})
    plain, wide = (evaluate_what_if(prepared, one) for one in (moved, blurred))
    assert plain.result.stds[1] < 1e-3
    assert wide.result.stds[1] == pytest.approx(0.4 * 25.0, rel=0.03)
    np.testing.assert_array_equal(plain.result.forces, wide.result.forces)


def test_a_trim_is_asked_of_the_drawn_car(make_session, make_vehicle):
    prepared = prepare_day(day(make_session, make_vehicle(assumed=False), **wings()))
    car = prepared.shared.car
    _, offset, _, _ = prepare_trim(prepared, TrimQuestion(run="1", setting="wing", offset=-0.1))
    np.testing.assert_allclose(drawn_aim(offset, prepared.shared).share, car.front_share[:, 0] - 0.1)
    moved, aim, _, _ = prepare_trim(prepared, TrimQuestion(run="1", setting="wing", surplus=0.01))
    drawn = drawn_aim(aim, prepared.shared)
    weight = 1200.0 * 9.80665
    np.testing.assert_allclose(drawn.weights[1], weight * (1.0 - car.front_share[:, 0]))
    some = drawn.of(np.array([3, 5]))
    assert some.weights[0].shape == some.grip[1].shape == (2,)
    assert moved.car.row == 0


HELD = {"facility": {"facility": Facility(speed=50.0, air_density=1.2, drag_reacted_at=0.25)}}


def held(**uncertainties):
    return {"facility": {**HELD["facility"], "uncertainties": uncertainties}}


def test_the_height_that_reacts_drag_is_known_to_fifty_millimetres(make_session, make_vehicle):
    """By hand: 600 N of drag times 50 mm over the root of 3 and a wheelbase of 2500 mm is 6.93 N, none of it in the total."""
    table = assess(day(make_session, make_vehicle(exact=True), **HELD))
    by_hand = 600.0 * 0.05 / np.sqrt(3.0) / 2.5
    np.testing.assert_allclose(table.stds[:2, 0], by_hand, rtol=1e-6)
    assert table.stds[3, 0] < 1e-3
    own = {"facility.drag_reacted_at": Stated(value=0.25, std=0.01)}
    table = assess(day(make_session, make_vehicle(exact=True), **held(**own)))
    np.testing.assert_allclose(table.stds[:2, 0], 2.4, rtol=1e-6)  # 600 N times 10 mm over 2500 mm
    exact = {"facility.drag_reacted_at": Stated(value=0.25, exact=True)}
    assert assess(day(make_session, make_vehicle(exact=True), **held(**exact))).stds[0, 0] < 1e-3


def test_its_draws_agree_with_its_standard_uncertainty_and_cancel_between_cars_of_one_drag(
    make_session, make_vehicle
):
    readings = [(300.0, 400.0, 600.0), (350.0, 300.0, 600.0)]
    made = day(make_session, make_vehicle(exact=True), readings=readings, **HELD)
    drawn = made.draws([0, 1]) * PRESSURE
    assert is_uniform(drawn[0, :, :1], 300.0 - 60.0 - 12.0, 300.0 - 60.0 + 12.0)
    np.testing.assert_allclose(drawn[0, :, 1] - drawn[0, :, 0], 50.0, atol=1e-4)
    np.testing.assert_allclose(drawn[0] + drawn[1], [[700.0, 650.0]] * 20_000, atol=1e-4)


def test_ground_level_is_shown_beside_it(make_session, make_vehicle):
    made = prepare_day(day(make_session, make_vehicle(exact=True), **HELD))
    state = evaluate_what_if(made, WhatIf(start="1")).start
    assert state.ground.surplus == pytest.approx(surplus_by_hand(240.0, 460.0, 0.52, 0.86))
    assert state.ground.at_ground == pytest.approx(surplus_by_hand(300.0, 400.0, 0.52, 0.86))
    plain = prepare_day(day(make_session, make_vehicle(exact=True)))
    assert evaluate_what_if(plain, WhatIf(start="1")).start.ground is None


def test_stated_drag_has_no_couple_of_its_own(make_session, make_vehicle):
    made = prepare_day(day(make_session, make_vehicle(exact=True), **HELD))
    more = PlacedForce(downforce=0.0, drag=100.0 / PRESSURE, behind_rear_axle=0.0, height=0.0)
    ground = evaluate_what_if(made, WhatIf(start="1", forces=(more,))).result.ground
    assert ground.at_ground == pytest.approx(surplus_by_hand(300.0, 400.0, 0.52, 0.86))


def test_a_place_is_judged_at_both_ends_of_its_interval(make_session, make_vehicle):
    """Surplus by hand at 50 m/s: 3.40 %, the limit 3 %: a place at 46 m/s is inside, its upper end of 50 m/s is not."""
    assert surplus_by_hand(100.0, 320.0, 0.52, 0.86) == pytest.approx(0.0340, abs=5e-5)
    car = make_vehicle(exact=True, top_speed=46.0)
    place = {"places": (Place(name="bend", speed=46.0),)}
    readings = [(100.0, 320.0, 600.0)]
    known = day(make_session, car, readings=readings, facility=place)
    assert assess(known).ranges[0].word == "in balance"
    about = {**place, "uncertainties": {"places.0.speed": Stated(value=46.0, std=4.0 / 1.959964)}}
    loose = assess(day(make_session, car, readings=readings, facility=about)).ranges[0]
    assert loose.word == "rear overpowers front"
    assert loose.end == pytest.approx(50.0, rel=1e-6)


def test_a_mounting_of_which_little_is_known_widens_where_a_part_acts(make_session, make_vehicle):
    def place(**stds):
        stood = Mounting(
            setting="wing",
            behind_rear_axle=0.0,
            height=1.2,
            uncertainties={name: Stated(value=0.0, std=std) for name, std in stds.items()},
        )
        car = make_vehicle(exact=True, mountings=(stood,))
        pairs = ({"settings": {}}, {"settings": {"wing": Setting(value=2.0, unit="deg")}, "baseline": "1"})
        made = day(
            make_session,
            car,
            readings=[(100.0, 100.0, 600.0), (40.0, 360.0, 650.0)],
            configurations=["car"] * 2,
            runs=pairs,
        )
        return part_place(prepare_day(made), "2")

    # by hand: x = -(L dF + h dD)/dDF = -(2.5 * -60 + 1.2 * 50)/200 = 0.45 m; 0.1 m of height is 0.025 m of x
    sure, high = place(), place(height=0.1)
    assert sure.behind_rear_axle == high.behind_rear_axle == pytest.approx(0.45)
    assert sure.high - sure.low < 1e-4
    assert high.high - high.low == pytest.approx(2.0 * 1.96 * 0.025, rel=0.03)
    assert sure.mismatch
    assert not place(behind_rear_axle=0.3).mismatch
