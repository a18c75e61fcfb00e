"""Which runs make one curve: by hand."""

import numpy as np
import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.settings.families import (
    family_from,
    family_of,
    find_families,
    movable_settings,
    nearest_movable,
    sister_families,
    value_of,
)
from balance.decide.settings.trim_question import TrimQuestion, answer_trim
from balance.model.errors import InputError, UnknownName
from balance.model.records import Setting

RUNS = (
    # label of the configuration, block, wing, flap, tape
    ("car", "am", 2.0, None, None),  # 1
    ("car", "am", 5.0, None, None),  # 2
    ("car", "am", 8.0, None, None),  # 3
    ("car", "am", 5.0, None, None),  # 4: run 2 again
    ("car", "am", 5.0, 10.0, None),  # 5
    ("car", "am", 8.0, 10.0, None),  # 6
    ("car", "am", None, None, "a"),  # 7
    ("car", "pm", 5.0, 10.0, None),  # 8
    ("car", "pm", 8.0, 10.0, None),  # 9
    ("car", "am", 5.0, 10.0, "a"),  # 10
    ("car", "am", 8.0, 10.0, "a"),  # 11
    ("sealed", "am", 11.0, None, None),  # 12
)


@pytest.fixture
def prepared(make_session, make_vehicle):
    fields, readings = [], []
    for k, (_, block, wing, flap, tape) in enumerate(RUNS):
        held = {"wing": (wing, "deg"), "flap": (flap, "mm"), "tape": (tape, "")}
        settings = {n: Setting(value=v, unit=u) for n, (v, u) in held.items() if v is not None}
        fields.append({"settings": settings, "block": block})
        readings.append(
            (300.0, 200.0 + 20.0 * (wing or 0.0) + (flap or 0.0), 700.0 + 4.0 * (wing or 0.0) + k)
        )
    session = make_session(
        readings, configurations=[run[0] for run in RUNS], runs=fields, vehicle=make_vehicle(exact=True)
    )
    return prepare_day(reduce_day(session, draws=100))


def test_families_are_of_one_block_and_alike_in_all_but_the_setting(prepared):
    found = find_families(prepared, "wing")
    assert [one.labels for one in found] == [
        ("1", "2", "4", "3", "12"),
        ("5", "6"),
        ("8", "9"),
        ("10", "11"),
    ]
    assert [one.values.tolist() for one in found] == [[2.0, 5.0, 8.0, 11.0], *[[5.0, 8.0]] * 3]
    assert [one.differs for one in found] == [("configuration",), (), (), ()]  # one of them is sealed as well
    assert not any(one.chosen for one in found)
    np.testing.assert_allclose(found[0].weights[1], [0, 0.5, 0, 0.5, *[0.0] * 8])
    for name in ("tape", "wings"):
        with pytest.raises(UnknownName, match=name):
            find_families(prepared, name)


@pytest.mark.parametrize(
    ("run", "first"), [("1", "1"), ("4", "1"), ("12", "1"), ("6", "5"), ("8", "8"), ("11", "10")]
)
def test_a_run_belongs_to_the_family_it_is_in(prepared, run, first):
    assert family_of(prepared, run, "wing").labels[0] == first


def test_a_run_of_no_family_is_told_which_are(prepared):
    with pytest.raises(InputError, match="expected one of the runs 1, 2, 4, 3, 12; 5, 6; 8, 9; 10, 11;"):
        family_of(prepared, "7", "wing")
    with pytest.raises(InputError, match="expected one of the runs none;"):
        family_of(prepared, "5", "flap")
    with pytest.raises(UnknownName, match="run"):
        family_of(prepared, "99", "wing")


@pytest.mark.parametrize(
    ("run", "sisters"),
    [
        ("1", [("5", ("flap",))]),  # not that of the other block, nor the one that differs in flap and tape
        ("5", [("1", ("flap",)), ("10", ("tape",))]),
        ("8", []),
        ("10", [("5", ("tape",))]),
    ],
)
def test_sisters_differ_in_exactly_one_other_setting_in_the_same_block(prepared, run, sisters):
    found = sister_families(prepared, family_of(prepared, run, "wing"))
    assert [(one.labels[0], one.differs) for one in found] == sisters


def test_a_family_made_by_hand_says_what_else_differs_and_has_no_sisters(prepared):
    made = family_from(prepared, ("3", "2", "5", "9", "12"), "wing")
    assert made.values.tolist() == [5.0, 8.0, 11.0]
    assert made.runs == (("2", "4", "5"), ("3", "9"), ("12",))
    assert made.differs == ("block", "configuration", "flap")
    assert (made.chosen, made.unit, made.setting) == (True, "deg", "wing")
    assert sister_families(prepared, made) == ()
    alike = family_from(prepared, ("1", "2", "3"), "wing")
    assert alike.differs == ()
    np.testing.assert_allclose(alike.weights @ prepared.day.readings.areas[:, 0] * 1500.0, [300.0] * 3)


@pytest.mark.parametrize(
    ("labels", "wrong"),
    [
        (("2", "4"), "one value of wing"),
        (("2", "7"), "run '7' of the family: found no wing"),
        (("2",), "one value of wing"),
    ],
)
def test_a_family_needs_two_numbers(prepared, labels, wrong):
    with pytest.raises(InputError, match=wrong):
        family_from(prepared, labels, "wing")


def test_a_setting_s_value_in_a_run(prepared):
    assert (value_of(prepared, "3", "wing"), value_of(prepared, "5", "flap")) == (8.0, 10.0)
    for run, name in (("7", "wing"), ("7", "tape"), ("1", "flap"), ("1", "lip")):
        with pytest.raises(InputError, match=f"found no {name}"):
            value_of(prepared, run, name)


def test_on_the_curve_of_a_sister_family_that_is_said(prepared):
    """From run 2 the flap's curve of runs 5 and 6; the alternative rests on it, the answer on its own."""
    answers = answer_trim(prepared, TrimQuestion(run="2", setting="wing", offset=0.0))
    (other,) = answers.alternatives
    said = {one.kind: dict(one.values) for one in other.assumptions}
    assert said["curve of another family"] == {"runs": "5, 6"}
    assert "curve of other runs" not in said
    own = {one.kind: dict(one.values) for one in answers.answer.assumptions}
    assert "curve of another family" not in own
    assert own["curve of other runs"] == {"runs": "1, 2, 4, 3, 12", "differs": "configuration"}
    assert own["mean of repeats"] == {"runs": "2, 4"}
    assert "start not on the curve" not in own


def test_where_a_setting_can_be_moved_and_the_nearest_run_to_one_without(prepared):
    """By hand, from the list above: the wing is at three values and the flap at one, off being another; runs 7 and 12 are apart."""
    day = prepared.day
    movable = movable_settings(day)
    assert movable["1"] == ("wing",)
    assert movable["5"] == ("wing",)  # the flap has one value alone: no curve
    assert "7" not in movable
    assert nearest_movable(day, "3") == "3"
    # 1 to 4 and 12 differ from run 7 by wing and tape, 10 and 11 by wing and flap; of 4 and 10, three runs away, the earlier
    assert nearest_movable(day, "7") == "4"
    assert nearest_movable(day, "7", "tape") is None
