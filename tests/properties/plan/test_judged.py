"""A reading against what the runs before it expect: inside or outside, and the cause that alone explains it.

Forces are invented. Ranges are the definitions by hand: Student's t of a repeat, and of what was never run Student's t
with 4 degrees of freedom brought to the standard deviation that is believed.
"""

import numpy as np
import pytest
from scipy.stats import t

from balance.decide.day.day import reduce_day
from balance.decide.plan.configuration import configuration
from balance.decide.plan.day_belief import belief_of_day
from balance.decide.plan.expected_reading import expected_readings
from balance.decide.plan.judged_reading import judge_run
from balance.model.plans import DayPlan, ExpectedEffect
from balance.model.records import Setting

PRESSURE = 0.5 * 1.2 * 50.0**2
BEFORE = [
    ("base", {}, (-80.0, -280.0, 1150.0)),
    ("splitter", {"splitter": 60.0}, (280.0, -300.0, 1170.0)),
    ("wing 4", {"splitter": 60.0, "wing": 4.0}, (210.0, 90.0, 1210.0)),
    ("wing 8", {"splitter": 60.0, "wing": 8.0}, (180.0, 300.0, 1240.0)),
    ("base", {}, (-82.0, -284.0, 1152.0)),
]
STEEP = ("wing 8", {"splitter": 60.0, "wing": 8.0})


def session_of(make_session, rows, **more):
    labels, settings, forces, fields = zip(*[(*row, {})[:4] for row in rows], strict=True)
    runs = [
        {
            "settings": {
                name: Setting(value=value, unit="" if isinstance(value, str) else "deg")
                for name, value in one.items()
            },
            **extra,
        }
        for one, extra in zip(settings, fields, strict=True)
    ]
    return make_session(forces, configurations=labels, runs=runs, **more)


@pytest.fixture
def judged(make_session):
    def judge(*rows, plan=DayPlan(), **more):  # noqa: B008 - frozen
        return judge_run(
            session_of(make_session, [*BEFORE, *rows], **more), plan, str(len(BEFORE) + len(rows))
        )

    return judge


def causes(found):
    return [(one.kind, one.channels) for one in found.likely]


def test_nothing_is_expected_of_the_first_run(make_session):
    found = judge_run(session_of(make_session, BEFORE), DayPlan(), "1")
    assert (found.expected, found.inside, found.likely) == (None, "95", ())


def test_a_right_repeat_is_inside(judged):
    found = judged((*STEEP, (184.0, 293.0, 1244.0)))
    assert (found.inside, found.unseen, causes(found)) == ("95", (), [])
    assert found.expected.repeat
    assert found.by_channel == ("95",) * 4


@pytest.mark.parametrize(
    ("reading", "cause"),
    [
        ((180.0, -300.0, 1240.0), ("sign", (1,))),
        ((-180.0, 300.0, 1240.0), ("sign", (0,))),
        ((-180.0, -300.0, 1240.0), ("sign", (0, 1))),
        ((300.0, 180.0, 1240.0), ("swapped", (0, 1))),
        ((1240.0, 300.0, 180.0), ("swapped", (0, 2))),
        ((240.0, 398.0, 1650.0), ("speed", (0, 1, 2))),
        ((-82.0, -284.0, 1152.0), ("typed again", ())),
    ],
)
def test_the_cause_that_explains_it_is_named_first(judged, reading, cause):
    found = judged((*STEEP, reading))
    assert found.inside == "outside"
    assert causes(found)[0] == cause


def test_another_speed_says_how_far_all_forces_are_scaled(judged):
    found = judged((*STEEP, (240.0, 398.0, 1650.0)))
    assert found.likely[0].factor == pytest.approx(1.33, abs=0.01)  # 1650 over 1240


def test_what_nothing_explains_is_a_part_or_a_setting(judged):
    found = judged((*STEEP, (180.0, 200.0, 1240.0)))
    assert causes(found) == [("part loose", (1,)), ("wrong setting", (1,))]
    assert found.by_channel[0] == found.by_channel[2] == "95"


def test_a_first_fit_cannot_be_seen_yet_but_its_drag_and_sign_are(judged):
    fitted = {"splitter": 60.0, "wing": 8.0, "louvres": "on"}
    right = judged(("louvres", fitted, (230.0, 295.0, 1250.0)))
    assert (right.inside, right.unseen, causes(right)) == ("95", ("louvres",), [])
    units = judged(("louvres", fitted, (23.0, 30.0, 127.0)))
    assert ("drag", (2,)) in causes(units)
    sign = judged(("louvres", fitted, (230.0, -620.0, 1250.0)))
    assert sign.unseen == ("louvres",)
    assert causes(judged(("louvres", fitted, (-175.0, 295.0, 1250.0)))) == [("sign", (0,))]


@pytest.mark.parametrize(("front", "asked"), [(-175.0, True), (-160.0, True), (-145.0, False)])
def test_a_sign_is_asked_about_where_the_turned_value_lies_three_times_nearer(judged, front, asked):
    # the front read -80, 180, 210 and 280 N before. By hand: -160 is 80 from -80, and turned 20 from 180, a quarter;
    # -145 is 65 from -80, and turned 35 from 180, more than a third
    fitted = {"splitter": 60.0, "wing": 8.0, "louvres": "on"}
    found = judged(("louvres", fitted, (front, 295.0, 1250.0)))
    assert (("sign", (0,)) in causes(found)) == asked


@pytest.mark.parametrize(
    ("part", "asked"), [("splitter lip", False), ("louvres", True), ("rear diffuser", True)]
)
def test_a_part_for_an_axle_by_its_name_may_turn_the_load_there(judged, part, asked):
    # the front read -80, 180, 210 and 280 N before: -175 is 95 from the nearest, and turned 5 from 180
    found = judged((part, {"splitter": 60.0, "wing": 8.0, part: "on"}, (-175.0, 295.0, 1250.0)))
    assert (("sign", (0,)) in causes(found)) == asked


def test_it_is_asked_about_outside_99_7_and_where_a_slip_explains_it(judged):
    """By hand: the sd of a repeat is about 7 N, so that 99.7 % of repeats lie within some 25 N."""
    assert not judged((*STEEP, (184.0, 293.0, 1244.0))).asked
    assert judged((*STEEP, (180.0, 200.0, 1240.0))).asked  # far outside, a part or a setting
    assert judged((*STEEP, (180.0, -300.0, 1240.0))).asked  # a sign
    new = {"splitter": 60.0, "wing": 8.0, "louvres": "on"}
    assert not judged(("louvres", new, (230.0, 295.0, 1250.0))).asked
    assert judged(("louvres", new, (-175.0, 295.0, 1250.0))).asked


def test_a_total_that_does_not_agree_is_asked_about(judged):
    wrong = judged((*STEEP, (184.0, 293.0, 1244.0), {"total": 400.0}))
    assert causes(wrong) == [("total", (0, 1))]
    assert causes(judged((*STEEP, (184.0, 293.0, 1244.0), {"total": 480.0}))) == []


def test_later_runs_do_not_tell_what_an_earlier_one_should_have_read(make_session):
    rows = [*BEFORE, (*STEEP, (184.0, 293.0, 1244.0)), (*STEEP, (500.0, 800.0, 1300.0))]
    whole, part = (judge_run(session_of(make_session, some), DayPlan(), "4") for some in (rows, BEFORE))
    np.testing.assert_array_equal(whole.expected.mean, part.expected.mean)
    np.testing.assert_array_equal(whole.expected.std, part.expected.std)


def test_what_was_stated_before_the_day_narrows_a_first_fit(judged):
    stated = ExpectedEffect(
        setting="canards",
        value="pair",
        mean=(50.0 / PRESSURE, 0.0, 5.0 / PRESSURE),
        std=(10.0 / PRESSURE,) * 3,
    )
    row = ("canards", {"splitter": 60.0, "wing": 8.0, "canards": "pair"}, (330.0, 295.0, 1250.0))
    assert judged(row).inside == "95"
    assert judged(row, plan=DayPlan(expected=(stated,))).inside == "outside"


def test_ranges_are_those_of_student(make_session):
    stand = belief_of_day(reduce_day(session_of(make_session, BEFORE), draws=100), DayPlan())
    repeat, new = expected_readings(
        stand, [configuration(STEEP[1]), configuration({"splitter": 60.0, "wing": 6.0})]
    )
    assert (repeat.repeat, new.repeat) == (True, False)
    degrees = stand.belief.noise.degrees
    assert repeat.half_width() / repeat.std == pytest.approx([t.ppf(0.975, degrees)] * 4)
    assert new.half_width() / new.std == pytest.approx([t.ppf(0.975, 4.0) / np.sqrt(2.0)] * 4)
    assert new.half_width(0.997) / new.std == pytest.approx([t.ppf(0.9985, 4.0) / np.sqrt(2.0)] * 4)
    assert new.high() - new.mean == pytest.approx(new.mean - new.low())


def test_a_reading_at_less_speed_is_known_less_well(judged):
    slow = judged((*STEEP, (46.0, 73.0, 311.0), {"speed": 25.0}))
    fast = judged((*STEEP, (184.0, 293.0, 1244.0)))
    assert np.all(slow.expected.std > 1.5 * fast.expected.std)
    assert slow.inside == "95"
