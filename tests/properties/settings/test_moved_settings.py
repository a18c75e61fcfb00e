"""A changed car along its setting: by hand where the curve is straight, and at every point of it."""

import numpy as np
import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.settings.moved_setting import needed_change
from balance.decide.settings.setting_curve import setting_curve
from balance.decide.settings.trim_question import TrimQuestion, adjuster_of, answer_trim, prepare_trim
from balance.decide.settings.ways import find_ways
from balance.model.records import Adjuster, Setting
from balance.model.what_ifs import StatedChange

PRESSURE = 0.5 * 1.2 * 50.0**2
ANGLES = (2.0, 5.0, 8.0, 11.0)


def straight(make_session, car, *, draws=2_000, flap=False, deviation=(3.0, 3.0, 2.0)):
    """Front 300 N, rear 200 N and 20 N more a degree, drag 700 N and 4 N more a degree; with a flap 15 N more rear."""
    runs = [{"wing_angle": angle} for angle in ANGLES]
    runs += [{"wing_angle": angle, "flap": 10.0} for angle in (5.0, 8.0)] if flap else []
    readings = [
        (
            300.0,
            200.0 + 20.0 * (one["wing_angle"] - 2.0) + 15.0 * ("flap" in one),
            700.0 + 4.0 * one["wing_angle"],
        )
        for one in runs
    ]
    fields = [
        {
            "settings": {
                name: Setting(value=value, unit="deg" if name == "wing_angle" else "mm")
                for name, value in one.items()
            }
        }
        for one in runs
    ]
    session = make_session(
        readings, vehicle=car, configurations=["wing"] * len(runs), runs=fields, deviation=deviation
    )
    return prepare_day(reduce_day(session, draws=draws))


MORE_FRONT = StatedChange(
    front=50.0 / PRESSURE, rear=-20.0 / PRESSURE, front_std=0.0, rear_std=0.0, drag_std=0.0
)


def test_along_the_curve_loads_are_the_runs_the_change_and_the_slope(make_session, make_vehicle):
    """350 N front everywhere; rear 180 N at 2 degrees and 20 N more a degree: the front's share of it by hand."""
    prepared = straight(make_session, make_vehicle(exact=True))
    question = TrimQuestion(run="3", setting="wing_angle", offset=0.0, stated=(MORE_FRONT,))
    moved, *_ = prepare_trim(prepared, question)
    found = setting_curve(moved, speed=50.0, air_density=1.2)
    assert found.values.size >= 33
    assert set(ANGLES) <= set(found.values.tolist())
    rear = 180.0 + 20.0 * (found.values - 2.0)
    assert found.handling.aero_balance.value == pytest.approx(350.0 / (350.0 + rear), abs=1e-9)
    weight = 1200.0 * 9.80665
    of_front, of_rear = 1.0 + 350.0 / (0.52 * weight), 1.0 + rear / (0.48 * weight)
    assert found.handling.grip_surplus.value == pytest.approx((of_rear / of_front) ** 0.86 - 1.0, abs=1e-9)
    assert np.all(found.handling.grip_surplus.low < found.handling.grip_surplus.value)
    assert np.all(found.handling.grip_surplus.value < found.handling.grip_surplus.high)


def test_its_interval_is_that_of_the_car_put_together_there(make_session, make_vehicle):
    """The draws carry the change too: low and high by quantiles of each draw's surplus, worked out by hand."""
    prepared = straight(make_session, make_vehicle(exact=True))
    question = TrimQuestion(run="3", setting="wing_angle", offset=0.0, stated=(MORE_FRONT,))
    moved, *_ = prepare_trim(prepared, question)
    found = setting_curve(moved, speed=50.0, air_density=1.2)
    weight = 1200.0 * 9.80665
    for k, value in enumerate(found.values.tolist()):
        front, rear, _ = moved.drawn(value) * PRESSURE
        surplus = ((1.0 + rear / (0.48 * weight)) / (1.0 + front / (0.52 * weight))) ** 0.86 - 1.0
        ends = np.quantile(surplus, [0.025, 0.975])
        within = 0.05 * np.ptp(ends)  # order statistics against interpolation between them
        assert found.handling.grip_surplus.low[k] == pytest.approx(ends[0], abs=within)
        assert found.handling.grip_surplus.high[k] == pytest.approx(ends[1], abs=within)


def test_what_an_axle_needs_at_a_setting_by_hand_with_its_interval(make_session, make_vehicle):
    """For 60 % on the front: at 4 degrees 240 N of rear ask for 360 N of front, and 300 N of front for 200 N of rear."""
    prepared = straight(make_session, make_vehicle(exact=True))
    moved, aim, _, _ = prepare_trim(prepared, TrimQuestion(run="3", setting="wing_angle", offset=0.08))
    values = np.array([4.0, 10.0])
    (front, *of_front), (rear, *of_rear) = needed_change(moved, aim, values, dynamic_pressure=PRESSURE)
    assert front == pytest.approx([60.0, 240.0], abs=1e-9)
    assert rear == pytest.approx([-40.0, -160.0], abs=1e-9)
    for k, value in enumerate(values.tolist()):
        drawn_front, drawn_rear, _ = moved.drawn(value) * PRESSURE
        for (low, high), needed in (
            (of_front, 1.5 * drawn_rear - drawn_front),
            (of_rear, drawn_front / 1.5 - drawn_rear),
        ):
            ends = np.quantile(needed, [0.025, 0.975])
            within = 0.05 * np.ptp(ends)
            assert low[k] == pytest.approx(ends[0], abs=within)
            assert high[k] == pytest.approx(ends[1], abs=within)


def test_of_unknown_scatter_a_need_has_no_interval(make_session, make_vehicle):
    """The same needs as with scatter, at 4 and at 10 degrees."""
    prepared = straight(make_session, make_vehicle(exact=True), deviation=(None, None, None))
    moved, aim, _, _ = prepare_trim(prepared, TrimQuestion(run="3", setting="wing_angle", offset=0.08))
    found = needed_change(moved, aim, np.array([4.0, 10.0]), dynamic_pressure=PRESSURE)
    for (needed, low, high), by_hand in zip(found, ([60.0, 240.0], [-40.0, -160.0]), strict=True):
        assert needed == pytest.approx(by_hand, abs=1e-9)
        assert low.shape == high.shape == (2,)
        assert np.isnan([low, high]).all()


def test_an_adjuster_is_that_of_the_setting_in_the_unit_of_its_column(make_session, make_vehicle):
    def adjusters(*ones):
        made = (
            Adjuster(setting=name, unit=unit, low=0.0, high=9.0, confirmed_by="scrutineer")
            for name, unit in ones
        )
        return straight(make_session, make_vehicle(exact=True, adjusters=tuple(made)), draws=100)

    others = adjusters(("flap", "deg"), ("wing_angle", "mm"))
    assert adjuster_of(others, "wing_angle", "deg") is None
    both = adjusters(("flap", "deg"), ("wing_angle", "deg"))
    assert adjuster_of(both, "wing_angle", "deg") is both.day.session.vehicle.adjusters[1]


def test_a_way_to_a_tested_setting_rests_on_its_run_and_one_between_on_the_curve(make_session, make_vehicle):
    """Rear and front alike at 7 degrees, which was not run; no setting gives the rear nine times the front's load."""
    prepared = straight(make_session, make_vehicle(exact=True), draws=500)

    def runs(offset):
        question = TrimQuestion(run="1", setting="wing_angle", offset=offset)
        (way,) = (
            one
            for one in find_ways(prepared, answer_trim(prepared, question))
            if one.settings and not one.part
        )
        return way.settings["wing_angle"][0], way.runs, way.measured

    value, used, measured = runs(0.5 - 0.52)
    assert value == pytest.approx(7.0, abs=1e-9)
    assert (used, measured) == (("1", "2", "3", "4"), False)
    assert runs(0.1 - 0.52) == (11.0, ("4",), True)


def test_the_curve_of_another_family_is_offered_once_where_the_trim_leaves_the_setting(
    make_session, make_vehicle
):
    """Run 3 stands at 8 degrees, the end of the flap's own curve: trimmed towards more rear it stays there."""
    prepared = straight(make_session, make_vehicle(exact=True), draws=500, flap=True)
    answers = answer_trim(prepared, TrimQuestion(run="3", setting="wing_angle", offset=0.1 - 0.52))
    fitted = [one for one in find_ways(prepared, answers) if one.fitted]
    assert [(one.fitted, dict(one.settings)) for one in fitted] == [(("flap",), {})]
