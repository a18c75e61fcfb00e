"""What a setting should be, and what stands beside it: by hand, on sweeps whose curves are straight.

Invented loads at 50 m/s in 1.2 kg/m³, 1500 Pa. Unless said otherwise the front has 300 N, the rear 200 N at 2 degrees and
20 N more a degree: alike at 7 degrees, where half of the downforce is at the front.
"""

from dataclasses import replace

import numpy as np
import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.parts.part_place import part_place
from balance.decide.settings.families import find_families
from balance.decide.settings.response import RangeEnd, Stall, fit_response
from balance.decide.settings.setting_curve import setting_curve
from balance.decide.settings.suggestion import suggest_setting
from balance.decide.settings.trim import best_answer
from balance.decide.settings.trim_question import TrimQuestion, answer_trim, prepare_trim
from balance.decide.settings.ways import find_ways
from balance.decide.what_if.what_if import evaluate_what_if
from balance.model.errors import InputError
from balance.model.records import Adjuster, Mounting, Place, Setting, Stated
from balance.model.what_ifs import StatedChange, WhatIf

PRESSURE = 1500.0
ANGLES = (2.0, 5.0, 8.0, 11.0)
STRAIGHT = [(300.0, 200.0 + 20.0 * (angle - 2.0), 700.0 + 4.0 * angle) for angle in ANGLES]
TINY = (1e-3,) * 3


def swept(
    make_session, car, readings=STRAIGHT, *, angles=ANGLES, deviation=TINY, draws=200, bare=None, **more
):
    """A day of one wing at its angles; with ``bare`` first a run without it."""
    fields = [{"settings": {"wing_angle": Setting(value=angle, unit="deg")}} for angle in angles]
    if bare is not None:
        readings, fields = [bare, *readings], [{}, *({**one, "baseline": "1"} for one in fields)]
    session = make_session(
        readings,
        vehicle=car,
        configurations=["car"] * len(fields),
        runs=[{**one, **more.get(str(k + 1), {})} for k, one in enumerate(fields)],
        deviation=deviation,
        degrees=1e6,
    )
    if deviation == (None, None, None):
        session = replace(session, repeatability=None)
    places = tuple(Place(name=f"at {v:g}", speed=v) for v in more.get("places", ()))
    return prepare_day(reduce_day(replace(session, places=places), draws=draws))


def asked(prepared, run="1", **target):
    return answer_trim(prepared, TrimQuestion(run=run, setting="wing_angle", **target)).answer


def share(front):
    """The offset that asks for a share of the downforce at the front, of a car with 52 % of its weight there."""
    return {"offset": front - 0.52}


@pytest.mark.parametrize(
    ("drags", "values"),
    [((700.0, 710.0, 720.0, 730.0), (2.0, 8.0)), ((730.0, 720.0, 710.0, 700.0), (8.0, 2.0))],
)
def test_of_two_settings_that_meet_the_aim_the_one_with_less_drag_is_first(
    make_session, make_vehicle, drags, values
):
    """Six tenths at the front at 2 degrees, 300 of 500 N, and at 8 degrees, 480 of 800 N; between them more."""
    loads = zip((300.0, 460.0, 480.0, 460.0), (200.0, 260.0, 320.0, 400.0), drags, strict=True)
    prepared = swept(make_session, make_vehicle(exact=True), list(loads))
    answer = asked(prepared, limit=0.0, **share(0.6))
    assert [one.value for one in answer.solutions] == pytest.approx(values, abs=1e-9)
    assert best_answer(answer).value == pytest.approx(values[0], abs=1e-9)
    assert answer.closest is None


@pytest.mark.parametrize(
    ("wanted", "value", "front", "rear"),
    [
        # 60 % at 2 degrees: 70 % asks for 7/3 of 200 N at the front; 44.1 % at 11: 30 % for 7/3 of 300 N at the rear
        (0.7, 2.0, 7.0 / 3.0 * 200.0 - 300.0, None),
        (0.3, 11.0, None, 7.0 / 3.0 * 300.0 - 380.0),
    ],
)
def test_the_nearest_setting_says_what_is_missing(make_session, make_vehicle, wanted, value, front, rear):
    answer = asked(swept(make_session, make_vehicle(exact=True)), **share(wanted))
    assert answer.solutions == ()
    assert best_answer(answer) is answer.closest
    assert answer.closest.value == value
    assert answer.closest.missing_front == (None if front is None else pytest.approx(front))
    assert answer.closest.missing_rear == (None if rear is None else pytest.approx(rear))


@pytest.mark.parametrize("wanted", [0.59, 0.45])
def test_a_setting_that_meets_the_aim_is_there_without_a_nearest(make_session, make_vehicle, wanted):
    """300 (1/w - 1) N at the rear."""
    answer = asked(swept(make_session, make_vehicle(exact=True)), **share(wanted))
    (one,) = answer.solutions
    assert one.value == pytest.approx(2.0 + (300.0 * (1.0 / wanted - 1.0) - 200.0) / 20.0, abs=1e-9)
    assert (answer.closest, one.outside, one.missing_front, one.missing_rear) == (None, False, None, None)


@pytest.mark.parametrize(("sign", "value"), [(1.0, 5.516), (-1.0, 3.758)])
def test_an_answer_beyond_the_band_at_a_named_place_gives_way_to_the_nearest_inside(
    make_session, make_vehicle, sign, value
):
    """Exponent 1 and 5000 N on either axle, no load at the other: the surplus is r/5000 at 50 m/s and 2.56 times that at 80.

    The band ends at 3 % there, 58.6 N: 50/3 N a degree from nothing at 2 degrees. On the front's side it ends at -1.5 %: with
    f at the front 1/(1 + 2.56 f/5000) - 1, which is 29.7 N. The nearest is looked for among 201 settings.
    """
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0), exact=True)
    loads = [50.0 / 3.0 * (angle - 2.0) for angle in ANGLES]
    readings = [(0.0, one, 700.0) if sign > 0.0 else (one, 0.0, 700.0) for one in loads]
    prepared = swept(make_session, car, readings, places=(80.0,))
    aim = 0.02 if sign > 0.0 else -0.0145  # 100 N at the rear, or 73.6 N at the front
    answer = asked(prepared, limit=0.0, surplus=aim)
    (one,) = answer.solutions
    assert one.outside
    found = best_answer(answer)
    assert found is answer.closest
    assert not found.outside
    assert value - 9.0 / 200.0 <= found.value <= value + 1e-3


def test_where_every_setting_is_beyond_the_band_the_least_beyond_is_nearest(make_session, make_vehicle):
    """200 N at the rear and more are 10 % at 80 m/s."""
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0), exact=True)
    readings = [(0.0, 200.0 + 10.0 * angle, 700.0) for angle in ANGLES]
    found = asked(swept(make_session, car, readings, places=(80.0,)), limit=0.0, surplus=0.06)
    assert found.closest.value == 2.0
    assert found.closest.outside


def test_both_directions_of_a_sweep_are_one_sweep_seen_from_either_end(make_session, make_vehicle):
    """The same readings with each angle v written as 13 - v: the same steps, ranges and ends, mirrored."""
    rng = np.random.default_rng(20261128)
    for known in (True, False):
        deviation = (3.0, 3.0, 2.0) if known else (None, None, None)
        for _ in range(12):
            gains = rng.uniform(-40.0, 120.0, 3)
            fronts = 300.0 + np.cumsum([0.0, *rng.uniform(-60.0, 20.0, 3)])
            rears, drags = (
                200.0 + np.cumsum([0.0, *gains]),
                700.0 + np.cumsum([0.0, *rng.uniform(1.0, 40.0, 3)]),
            )
            readings = list(zip(fronts.tolist(), rears.tolist(), drags.tolist(), strict=True))
            found = []
            for angles in (ANGLES, tuple(13.0 - one for one in ANGLES)):
                prepared = swept(
                    make_session, make_vehicle(exact=True), readings, angles=angles, deviation=deviation
                )
                (family,) = find_families(prepared, "wing_angle")
                found.append(fit_response(prepared, family, limit=0.5))
            one, other = found
            assert other.rising is not one.rising
            assert other.own_axle == one.own_axle
            assert other.useful == tuple(13.0 - end for end in one.useful[::-1])
            assert other.ends_because is one.ends_because
            assert other.loaded_end == 13.0 - one.loaded_end
            for a, b in zip(one.steps, other.steps, strict=True):
                assert (b.start, b.end) == (13.0 - a.start, 13.0 - a.end)
                assert (b.own, b.downforce, b.drag) == pytest.approx((a.own, a.downforce, a.drag))
                assert b.stalled_share == pytest.approx(a.stalled_share, nan_ok=True)
                assert (b.stalled, b.possibly_stalled) == (a.stalled, a.possibly_stalled)
                assert (b.levels_off, b.why) == (a.levels_off, a.why)
            for value in np.linspace(2.0, 11.0, 19).tolist():
                np.testing.assert_allclose(other.curve(13.0 - value), one.curve(value), atol=1e-12)
                if value not in ANGLES:
                    assert other.stall_at(13.0 - value) == one.stall_at(value)


@pytest.mark.parametrize(
    ("rears", "drags", "rising"),
    [
        (
            (200.0, 300.0, 290.0, 280.0),
            (700.0, 710.0, 720.0, 730.0),
            True,
        ),  # greatest between the ends: more drag
        ((280.0, 290.0, 300.0, 200.0), (730.0, 720.0, 710.0, 700.0), False),
        ((200.0, 300.0, 400.0, 500.0), (730.0, 720.0, 710.0, 700.0), True),
        ((500.0, 400.0, 300.0, 200.0), (700.0, 710.0, 720.0, 730.0), False),
    ],
)
def test_a_setting_loads_its_axle_toward_its_greatest_load(make_session, make_vehicle, rears, drags, rising):
    readings = [(300.0, rear, drag) for rear, drag in zip(rears, drags, strict=True)]
    prepared = swept(make_session, make_vehicle(exact=True), readings)
    (family,) = find_families(prepared, "wing_angle")
    assert fit_response(prepared, family, limit=0.0).rising is rising


@pytest.mark.parametrize(
    ("limit", "end", "because"),
    [
        # a step gains 60 N for 12 N of drag: five to one
        (4.99, 11.0, RangeEnd.LAST_TESTED),
        (5.01, 2.0, RangeEnd.COSTS_MORE),
    ],
)
@pytest.mark.parametrize("deviation", [TINY, (None, None, None)])
def test_a_step_has_to_gain_its_limit_times_its_drag(
    make_session, make_vehicle, limit, end, because, deviation
):
    prepared = swept(make_session, make_vehicle(exact=True), deviation=deviation)
    (family,) = find_families(prepared, "wing_angle")
    found = fit_response(prepared, family, limit=limit)
    assert (found.useful, found.ends_because, found.loaded_end) == ((2.0, end), because, end)
    assert [step.why for step in found.steps] == [None if end == 11.0 else because] * 3
    assert (Stall.NEXT in found.stall_at(2.0)) is (end == 2.0)
    assert found.limit == limit


@pytest.mark.parametrize(
    ("low", "high", "holes", "kinds", "domain"),
    [
        (None, None, (), ["no limits stated"], (2.0, 11.0)),
        (4.0, None, (), ["limits"], (4.0, 11.0)),
        (None, 9.0, (), ["limits"], (2.0, 9.0)),
        (4.0, 9.0, (), ["limits"], (4.0, 9.0)),
        (1.0, 20.0, (), ["limits"], (2.0, 11.0)),
        (11.0, 20.0, (), ["limits"], (11.0, 11.0)),
        (11.5, 20.0, (), ["limits"], None),
        (None, None, (("a", 7.0),), ["no limits stated"], (2.0, 11.0)),
    ],
)
def test_limits_of_the_series_cut_the_useful_range(
    make_session, make_vehicle, low, high, holes, kinds, domain
):
    adjuster = Adjuster(
        setting="wing_angle", unit="deg", low=low, high=high, holes=holes, confirmed_by="scrutineer"
    )
    answer = asked(swept(make_session, make_vehicle(exact=True, adjusters=(adjuster,))), **share(0.5))
    assert answer.domain == domain
    said = [one for one in answer.assumptions if one.kind in ("limits", "no limits stated")]
    assert [one.kind for one in said] == kinds
    expected = {"confirmed_by": "scrutineer"} if kinds == ["limits"] else {"setting": "wing_angle"}
    assert dict(said[0].values) == expected
    if holes:
        (hole,) = answer.solutions[0].holes  # at the answer itself: on either side of it at once
        assert (hole.name, hole.value) == ("a", 7.0)


def test_what_a_curve_leaves_open_is_said(make_session, make_vehicle):
    """The range ends with the last tested setting, 11 degrees; run 2 is suspect."""
    prepared = swept(make_session, make_vehicle(exact=True), **{"2": {"status": "suspect", "reason": "tape"}})
    said = {one.kind: dict(one.values) for one in asked(prepared, **share(0.5)).assumptions}
    assert said["stall not found"] == {"value": 11.0, "unit": "deg"}
    assert said["suspect run"] == {"run": "2"}
    assert "shape between tested settings" in said
    assert not {"curve of other runs", "curve of another family", "start not on the curve"} & set(said)
    falling = [*STRAIGHT[:3], (300.0, 250.0, 760.0)]
    ended = {one.kind for one in asked(swept(make_session, make_vehicle(exact=True), falling)).assumptions}
    assert not {"stall not found", "suspect run"} & ended


def test_what_either_axle_needs_with_the_setting_left_alone(make_session, make_vehicle):
    """At 8 degrees 300 N and 320 N: for 60 % at the front 1.5 x 320 - 300 N there, or 300/1.5 - 320 N at the rear."""
    prepared = swept(make_session, make_vehicle(exact=True))
    found = suggest_setting(prepared, TrimQuestion(run="3", setting="wing_angle", **share(0.6)))
    assert [(one.axle, one.change) for one in found.left_alone] == [
        ("front", pytest.approx(180.0)),
        ("rear", pytest.approx(-120.0)),
    ]
    for one in found.left_alone:
        assert one.low <= one.change <= one.high
    assert found.answer.value == pytest.approx(2.0, abs=1e-9)
    assert (found.mounts, found.tyres, found.places) == ((), (), ())


@pytest.mark.parametrize(
    ("wanted", "carrier"),
    [
        (0.5, "4"),  # at 7 degrees: the next that is loaded as much or more is the run at 8
        (0.58, "3"),  # at 2.9 degrees
        (0.7, "2"),  # none has so much: the nearest, at 2 degrees
        (0.3, "5"),  # at 11 degrees
    ],
)
def test_what_carries_the_wing_is_told_by_a_run_with_as_much_of_it(
    make_session, make_vehicle, wanted, carrier
):
    """Against the bare car of -100 N at the rear and 650 N of drag; at 70 m/s the load is 1.96 times that at 50 m/s."""
    prepared = swept(
        make_session,
        make_vehicle(exact=True, top_speed=70.0),
        bare=(300.0, -100.0, 650.0),
        places=(40.0, 30.0),
    )
    question = TrimQuestion(run="2", setting="wing_angle", **share(wanted))
    found = suggest_setting(prepared, question)
    (mount,) = found.mounts
    assert (mount.run, mount.baseline) == (carrier, "1")
    _, rear, drag = STRAIGHT[int(carrier) - 2]
    down, back = 1.96 * (rear + 100.0), 1.96 * (drag - 650.0)
    assert (mount.load.speed, mount.load.ratio) == (70.0, pytest.approx(1.96))
    assert (mount.load.downforce, mount.load.drag) == pytest.approx((down, back))
    assert mount.load.together == pytest.approx(np.hypot(down, back))
    assert [(place.speed, state.speed) for place, state in found.places] == [(40.0, 40.0), (30.0, 30.0)]
    for place, state in found.places:
        np.testing.assert_allclose(
            state.forces[:3], found.answer.state.forces[:3] * (place.speed / 50.0) ** 2
        )


@pytest.mark.parametrize(
    ("angle", "start", "kinds"),
    [
        (5.0, "1", ["stall not found"]),
        (7.0, "1", ["shape between tested settings"]),
        (11.0, "1", []),
        (8.0, "3", []),
    ],
)
def test_a_what_if_says_what_lies_between_tested_settings(make_session, make_vehicle, angle, start, kinds):
    prepared = swept(make_session, make_vehicle(exact=True))
    result = evaluate_what_if(prepared, WhatIf(start=start, settings=(("wing_angle", angle),)))
    said = [one.kind for one in result.assumptions]
    assert ("shape between tested settings" in said) is ("shape between tested settings" in kinds)
    assert not {"past the useful range", "curve of other runs", "start not on the curve"} & set(said)
    expected = 20.0 * (angle - ANGLES[int(start) - 1])
    assert result.forces.value == pytest.approx([0.0, expected, expected / 5.0, expected], abs=1e-9)


@pytest.mark.parametrize(("angle", "past"), [(8.0, False), (11.0, True), (2.0, False)])
def test_a_tested_setting_past_the_useful_range_is_given_and_said(make_session, make_vehicle, angle, past):
    """The last step falls by 70 N; so the range is from 2 to 8 degrees, and 8 is next to the stall."""
    falling = [*STRAIGHT[:3], (300.0, 250.0, 760.0)]
    prepared = swept(make_session, make_vehicle(exact=True), falling)
    found = evaluate_what_if(prepared, WhatIf(start="1", settings=(("wing_angle", angle),)))
    said = {one.kind: dict(one.values) for one in found.assumptions}
    values = {"setting": "wing_angle", "value": angle, "unit": "deg"}
    assert said.get("past the useful range") == (values if past else None)
    assert said.get(str(Stall.NEXT)) == (values if angle == 8.0 else None)


def test_a_curve_of_runs_named_by_hand_is_said_and_a_start_beside_it_too(make_session, make_vehicle):
    prepared = swept(make_session, make_vehicle(exact=True))
    for start, beside in (("1", True), ("2", False)):
        asked_for = WhatIf(start=start, settings=(("wing_angle", 8.0),), family=("2", "3", "4"))
        if beside:
            asked_for = replace(asked_for, family=("1", "4"))
        found = {one.kind: dict(one.values) for one in evaluate_what_if(prepared, asked_for).assumptions}
        assert found["curve of other runs"]["runs"] == ("1, 4" if beside else "2, 3, 4")
        assert "start not on the curve" not in found
    # run 3 lies between the settings of runs 2 and 4, which make the curve without it
    other = WhatIf(start="3", settings=(("wing_angle", 6.0),), family=("2", "4"))
    found = {one.kind: dict(one.values) for one in evaluate_what_if(prepared, other).assumptions}
    assert found["start not on the curve"] == {"run": "3"}


@pytest.mark.parametrize(
    ("wanted", "std", "expected"),
    [
        (5.0, 0.5, (0.0, 10.0, 2.0, 10.0)),  # 20 N and 4 N a degree
        (11.0, 1.0, (0.0, 20.0, 4.0, 20.0)),  # by the slope on the tested side alone
        (5.0, None, (0.0, 0.0, 0.0, 0.0)),
    ],
)
def test_a_setting_that_is_not_known_exactly_moves_the_loads_by_its_slope(
    make_session, make_vehicle, wanted, std, expected
):
    prepared = swept(make_session, make_vehicle(exact=True), draws=5_000)
    said = {} if std is None else {"settings.wing_angle": Stated(value=wanted, std=std)}
    what_if = WhatIf(start="1", settings=(("wing_angle", wanted),), uncertainties=said)
    found = evaluate_what_if(prepared, what_if).forces.std
    assert found == pytest.approx(expected, rel=0.05, abs=0.01)


def test_ways_cost_what_they_gain_for_their_drag(make_session, make_vehicle):
    """With the wing from 2 to 5 degrees 60 N for 12 N of drag: five to one; with as little as 12 N of scatter, unclear."""
    for deviation, unclear in ((TINY, False), ((12.0, 12.0, 12.0), True)):
        prepared = swept(make_session, make_vehicle(exact=True), deviation=deviation, draws=1_000)
        answers = answer_trim(
            prepared, TrimQuestion(run="1", setting="wing_angle", offset=300.0 / 560.0 - 0.52)
        )
        (way,) = [one for one in find_ways(prepared, answers) if one.kind == "setting"]
        assert way.settings["wing_angle"][0] == pytest.approx(5.0, abs=1e-6)
        assert way.change.value == pytest.approx([0.0, 60.0, 12.0, 60.0], abs=1e-4)
        assert way.downforce_per_drag == (None if unclear else pytest.approx(5.0, rel=1e-4))


@pytest.mark.parametrize(
    ("mounted", "std", "mismatch"),
    [
        # the force acts 0.4 m behind the rear axle, to less than a millimetre: a tenth of 2.5 m from there is far
        (0.16, None, False),
        (0.14, None, True),
        (0.64, None, False),
        (0.66, None, True),
        # 1.96 standard uncertainties of where it stands: 0.49 m reach it, 0.29 m do not
        (0.0, 0.25, False),
        (0.0, 0.15, True),
        (0.8, 0.25, False),
        (0.8, 0.15, True),
    ],
)
def test_a_part_acts_far_from_where_it_stands_beyond_a_tenth_of_the_wheelbase(
    make_session, make_vehicle, mounted, std, mismatch
):
    """500 N down and 60 N back at 0.4 m behind and 1.1 m up, by moments: rear 500 x 2.9/2.5 + 60 x 1.1/2.5, front the rest."""
    rear = (500.0 * 2.9 + 60.0 * 1.1) / 2.5
    said = {} if std is None else {"behind_rear_axle": Stated(value=mounted, std=std)}
    stands = Mounting(setting="wing_angle", behind_rear_axle=mounted, height=1.1, uncertainties=said)
    prepared = swept(
        make_session,
        make_vehicle(exact=True, mountings=(stands,)),
        [(100.0 + 500.0 - rear, 100.0 + rear, 760.0)],
        angles=(5.0,),
        bare=(100.0, 100.0, 700.0),
    )
    found = part_place(prepared, "2")
    assert found.behind_rear_axle == pytest.approx(0.4, abs=1e-9)
    assert (found.height, found.at_ground, found.mounted_at) == (1.1, False, mounted)
    assert (found.run, found.baseline, found.unresolved) == ("2", "1", ())
    assert found.mismatch is mismatch


@pytest.mark.parametrize(
    ("deviation", "share_wanted", "green"),
    [
        (TINY, 0.5, True),  # at 7 degrees added loads of 4.9 and 5.3 %, so 0.4 % x 0.86 of surplus
        (
            TINY,
            0.5999,
            False,
        ),  # near 2 degrees -1.1 %, and half as much again at 61 m/s: beyond -1.5 % only there
        ((None, None, None), 0.5, False),  # nobody can tell how sure that is
    ],
)
def test_a_way_is_to_the_target_where_it_is_in_balance_for_sure(
    make_session, make_vehicle, deviation, share_wanted, green
):
    prepared = swept(make_session, make_vehicle(exact=True), deviation=deviation, draws=500)
    answers = answer_trim(prepared, TrimQuestion(run="3", setting="wing_angle", **share(share_wanted)))
    (way,) = [one for one in find_ways(prepared, answers) if one.kind == "setting"]
    assert way.to_target is green
    weight = 1200.0 * 9.80665
    rear = 300.0 * (1.0 / share_wanted - 1.0)
    surplus = ((1.0 + rear / (0.48 * weight)) / (1.0 + 300.0 / (0.52 * weight))) ** 0.86 - 1.0
    assert way.state.handling.grip_surplus.value[0] == pytest.approx(surplus, abs=1e-9)
    assert not way.outside


def test_what_refitting_does_has_to_be_known_for_a_way_to_the_target(make_session, make_vehicle):
    """Two readings one after the other with the car untouched tell nothing of it."""
    readings = [STRAIGHT[0], (300.01, 200.01, 708.01), *STRAIGHT[1:]]
    prepared = swept(
        make_session,
        make_vehicle(exact=True),
        readings,
        angles=(2.0, *ANGLES),
        deviation=(None, None, None),
        draws=500,
    )
    answers = answer_trim(prepared, TrimQuestion(run="1", setting="wing_angle", **share(0.5)))
    (way,) = [one for one in find_ways(prepared, answers) if one.kind == "setting"]
    assert (way.over_range.certain, way.over_range.refit_assumed) == (True, True)
    assert not way.to_target


def test_a_curve_of_another_family_is_a_way_where_the_car_stands_on_it(make_session, make_vehicle):
    """With the flap 30 N more at the rear: from 2 degrees, where front and rear are 300 and 200 N, nearer to alike."""
    flap = Setting(value=10.0, unit="mm")
    fields = [{"wing_angle": Setting(value=angle, unit="deg")} for angle in (*ANGLES, *ANGLES[:2])]
    for one in fields[4:]:
        one["flap"] = flap
    readings = [*STRAIGHT, *((front, rear + 30.0, drag + 5.0) for front, rear, drag in STRAIGHT[:2])]
    session = make_session(
        readings,
        vehicle=make_vehicle(exact=True),
        configurations=["car"] * 6,
        runs=[{"settings": one} for one in fields],
        deviation=TINY,
    )
    prepared = prepare_day(reduce_day(session, draws=200))
    ways = find_ways(
        prepared, answer_trim(prepared, TrimQuestion(run="1", setting="wing_angle", **share(0.5)))
    )
    there = [one for one in ways if one.fitted]
    assert [
        (one.fitted, dict(one.settings), one.runs, one.measured) for one in there if not one.settings
    ] == [(("flap",), {}, ("5",), True)]
    (stays,) = [one for one in there if not one.settings]
    assert stays.change.value == pytest.approx([0.0, 30.0, 5.0, 30.0], abs=1e-6)
    # started at 8 degrees, which the flap's own curve never had, the flap alone is no way
    beyond = answer_trim(prepared, TrimQuestion(run="3", setting="wing_angle", **share(0.58)))
    assert not [one for one in find_ways(prepared, beyond) if one.fitted and not one.settings]


@pytest.mark.parametrize("moved", [20.0, -20.0])
def test_the_nearest_inside_the_band_counts_what_was_stated_besides(make_session, make_vehicle, moved):
    """As without it 58.6 N at the rear at 80 m/s, of which 20 N more or less are stated: 50/3 N a degree from 2 degrees."""
    car = make_vehicle(mass=1e4 / 9.80665, front_share=0.5, grip=(1.0, 1.0), exact=True)
    readings = [(0.0, 50.0 / 3.0 * (angle - 2.0), 700.0) for angle in ANGLES]
    prepared = swept(make_session, car, readings, places=(80.0,))
    stated = StatedChange(rear=moved / PRESSURE)
    found = asked(prepared, limit=0.0, surplus=0.02, stated=(stated,)).closest
    edge = 2.0 + (0.03 * 5000.0 / 2.56 - moved) * 3.0 / 50.0
    assert edge - 9.0 / 200.0 <= found.value <= edge + 1e-9


@pytest.mark.parametrize(("gain", "end"), [(1.1, 11.0), (0.9, 2.0)])
def test_where_nothing_else_is_asked_a_step_has_to_gain_its_own_drag(make_session, make_vehicle, gain, end):
    readings = [(300.0, 200.0 + 10.0 * gain * angle, 700.0 + 10.0 * angle) for angle in ANGLES]
    prepared = swept(make_session, make_vehicle(exact=True), readings)
    (family,) = find_families(prepared, "wing_angle")
    assert fit_response(prepared, family).useful == (2.0, end)
    assert asked(prepared).moved.response.useful == (2.0, end)
    if end == 2.0:
        with pytest.raises(InputError, match="past the useful range"):
            evaluate_what_if(prepared, WhatIf(start="1", settings=(("wing_angle", 4.0),)))
    else:
        evaluate_what_if(prepared, WhatIf(start="1", settings=(("wing_angle", 4.0),)))


def test_a_car_moved_to_a_tested_setting_is_known_as_that_run(make_session, make_vehicle):
    """Run 1 less its own reading and with that of run 2: 7, 7 and 4 N of one reading, both axles 9.9 N."""
    prepared = swept(make_session, make_vehicle(exact=True), deviation=(7.0, 7.0, 4.0), draws=4_000)
    moved, *_ = prepare_trim(prepared, TrimQuestion(run="1", setting="wing_angle", offset=0.0))
    one = np.array([7.0, 7.0, 4.0, 7.0 * np.sqrt(2.0)])
    assert moved.area_stds(2.0) * PRESSURE == pytest.approx(one)
    assert moved.area_stds(5.0) * PRESSURE == pytest.approx(one, rel=0.06)
    assert moved.area_stds(11.0) * PRESSURE == pytest.approx(one, rel=0.06)
    assert moved.drawn(2.0) == pytest.approx(moved.car.draws, abs=1e-15)
    unknown = swept(make_session, make_vehicle(exact=True), deviation=(None, None, None))
    moved, *_ = prepare_trim(unknown, TrimQuestion(run="1", setting="wing_angle", offset=0.0))
    assert moved.drawn(5.0) is None
    assert moved.offset_draws is None
    assert np.isnan(moved.area_stds(5.0)).all()


def test_a_curve_over_the_setting_tells_what_lies_in_the_useful_range(make_session, make_vehicle):
    """From 2 to 8 degrees, where the last step falls; beyond it the tested 11 degrees alone."""
    falling = [*STRAIGHT[:3], (300.0, 250.0, 760.0)]
    prepared = swept(make_session, make_vehicle(exact=True), falling)
    moved, *_ = prepare_trim(prepared, TrimQuestion(run="1", setting="wing_angle", offset=0.0))
    found = setting_curve(moved, speed=50.0, air_density=1.2)
    assert found.values[[0, -1]].tolist() == [2.0, 11.0]
    assert found.values[found.useful].tolist() == [one for one in found.values.tolist() if one <= 8.0]
    assert found.values[~found.useful].tolist() == [11.0]
    assert set(ANGLES) <= set(found.values.tolist())
    assert np.max(np.diff(found.values[found.useful])) <= 6.0 / 32.0 + 1e-9
