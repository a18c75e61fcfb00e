"""Dials of a what-if: a step up and down leaves no trace, what is cleared is as at the start, what is shown can be typed."""

from pathlib import Path

import pytest

from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.day import reduce_day
from balance.decide.what_if.what_if import evaluate_what_if
from balance.files.loader import load_session
from balance.model.errors import AxletrimError
from balance.model.what_ifs import WhatIf
from balance.tell.figures import Show
from balance.tell.what_if.input_edits import cleared, round_step, stepped
from balance.tell.what_if.input_typing import NEW, typed
from balance.tell.what_if.inputs import inputs_of
from balance.units.shown import SI, US

DEMO = Path(__file__).resolve().parents[2] / "vehicles" / "brindlow_hatch" / "tunnel_day"
SPEED = 148.0 / 3.6
START = WhatIf(start="16")
ADDED = {
    "on": "5",
    "off": "20",
    "front": "120 N at 160 km/h ± 20 N",
    "rear": "27 ± 5 lbf at 100 mph",
    "drag": "0.02 m^2",
    "force": NEW["force"][1],
    "mass": NEW["mass"][1],
}
systems = pytest.mark.parametrize("show", [Show(SI), Show(US)], ids=["si", "us"])


@pytest.fixture(scope="module")
def prepared():
    return prepare_day(reduce_day(load_session(DEMO), draws=200))


def with_all(prepared, show):
    """Add one of each kind."""
    what_if = START
    for kind, text in ADDED.items():
        what_if = typed(prepared, what_if, f"new:{kind}", text, show)
    return what_if


@systems
def test_a_step_changes_the_one_thing_and_is_shown(prepared, show):
    before = with_all(prepared, show)
    for one in inputs_of(prepared, before, SPEED, show):
        after = stepped(prepared, before, one.key, 1, SPEED, show)
        shown = {one.key: one.value for one in inputs_of(prepared, after, SPEED, show)}
        assert (after != before) is one.steps
        if one.key != "start":
            others = {
                one.key: one.value for one in inputs_of(prepared, before, SPEED, show) if one.key != one.key
            }
            assert {key: shown[key] for key in others} == others


@systems
def test_up_and_down_on_round_figures_leaves_no_trace(prepared, show):
    for one in inputs_of(prepared, START, SPEED, show):
        once = stepped(prepared, START, one.key, 1, SPEED, show)
        again = stepped(prepared, stepped(prepared, once, one.key, 1, SPEED, show), one.key, -1, SPEED, show)
        values = [
            {one.key: one.value for one in inputs_of(prepared, one_of, SPEED, show)}
            for one_of in (once, again)
        ]
        assert values[0] == values[1]


@systems
def test_what_is_cleared_is_as_at_the_start(prepared, show):
    what_if = with_all(prepared, show)
    for _ in range(40):
        changed = [one.key for one in inputs_of(prepared, what_if, SPEED, show) if one.changed]
        if not changed:
            break
        what_if = cleared(what_if, changed[0])
    assert what_if == START


@systems
def test_what_stands_in_a_field_can_be_typed_again(prepared, show):
    what_if = with_all(prepared, show)
    for one in inputs_of(prepared, what_if, SPEED, show):
        again = typed(prepared, what_if, one.key, one.text, show)
        shown = {one.key: one.value for one in inputs_of(prepared, again, SPEED, show)}
        assert one.value.removesuffix(" (assumed)") in shown.values()


def test_every_state_makes_a_car(prepared):
    show = Show(SI)
    what_if = with_all(prepared, show)
    evaluate_what_if(prepared, what_if, speed=SPEED, drawn=False)
    for one in inputs_of(prepared, START, SPEED, show):
        for steps in (-1, 1):
            evaluate_what_if(
                prepared, stepped(prepared, START, one.key, steps, SPEED, show), speed=SPEED, drawn=False
            )


@pytest.mark.parametrize(
    "key", ["mass", "air", "speed", "setting:wing_angle", *(f"new:{kind}" for kind in NEW)]
)
@pytest.mark.parametrize("text", ["", "nonsense", "[/]", "1e999 kg", "nan", "±", "9" * 80])
def test_nonsense_is_refused_in_words(prepared, key, text):
    with pytest.raises(AxletrimError) as fault:
        evaluate_what_if(prepared, typed(prepared, START, key, text, Show(SI)), drawn=False)
    assert "expected" in str(fault.value)


def test_two_masses_of_one_name_are_refused(prepared):
    once = typed(prepared, START, "new:mass", "driver 80 kg at 1350 mm", Show(SI))
    with pytest.raises(AxletrimError, match="a name of its own"):
        typed(prepared, once, "new:mass", "driver 20 kg at 1350 mm", Show(SI))


@pytest.mark.parametrize("text", ["120 N ± ", "± 20 N", "1 N ± 2 N ± 3 N"])
def test_a_spread_without_its_change_is_refused(prepared, text):
    with pytest.raises(AxletrimError, match=r"expected (a figure and its|one) uncertainty"):
        typed(prepared, START, "new:front", f"{text} at 160 km/h", Show(SI))


@pytest.mark.parametrize("about", [0.001, 0.6, 1.0, 4.99, 250.0])
def test_a_round_step_is_near_and_not_above(about):
    step = round_step(about)
    assert 0.4 * about <= step <= about * (1.0 + 1e-9)


SAID = {
    "mass": "1200 kg ± 5 kg",
    "grip_exponent": "0.86 sd 0.01",
    "speed": "185 km/h exactly",
    "setting:wing_angle": "9(1) deg",
    "new:front": "120 N exactly at 160 km/h",
    "new:rear": "0 N at 160 km/h",
    "new:force": "300 N sd 30 N at 160 km/h; 40 ± 5 N; 600 mm ± 10 mm; 1200(20) mm",
    "new:mass": "driver 80 kg ± 2 kg at 1350 mm exactly",
}
SHOWN = {
    "mass": "1200 kg ± 5 kg",
    "grip_exponent": "0.86 sd 0.01",
    "speed": "185 km/h exactly",
    "setting:wing_angle": "9° sd 1°",
    "stated:0:front": "120 N at 160 km/h exactly",
    "stated:1:rear": "0 N at 160 km/h",
    "force:0:downforce": "300 N at 160 km/h sd 30 N",
    "force:0:drag": "40 N at 160 km/h ± 5 N",
    "force:0:behind_rear_axle": "600 mm ± 10 mm",
    "force:0:height": "1200 mm sd 20 mm",
    "mass:0:mass": "80 kg ± 2 kg",
    "mass:0:behind_front_axle": "1350 mm exactly",
}


def with_what_is_said(prepared):
    what_if = START
    for key, text in SAID.items():
        what_if = typed(prepared, what_if, key, text, Show(SI))
    return what_if


def test_what_is_said_of_an_uncertainty_is_shown_as_it_was_typed(prepared):
    shown = {one.key: one.value for one in inputs_of(prepared, with_what_is_said(prepared), SPEED, Show(SI))}
    assert {key: shown[key] for key in SHOWN} == SHOWN


@systems
def test_what_is_said_of_an_uncertainty_can_be_typed_again(prepared, show):
    what_if = with_what_is_said(prepared)
    for one in inputs_of(prepared, what_if, SPEED, show):
        again = typed(prepared, what_if, one.key, one.text, show) if one.key in SHOWN else what_if
        shown = [one.value for one in inputs_of(prepared, again, SPEED, show)]
        assert one.value.removesuffix(" (assumed)") in [text.removesuffix(" (assumed)") for text in shown]


def test_what_is_said_stays_at_a_step_and_goes_when_typed_without_or_cleared(prepared):
    show, what_if = Show(SI), with_what_is_said(prepared)
    kept = [key for key in SHOWN if key != "speed" and not key.startswith("stated")]
    for key in kept:
        after = stepped(prepared, what_if, key, 1, SPEED, show)
        assert any(word in shown_of(prepared, after, key) for word in (" ± ", " sd ", " exactly"))
        assert shown_of(prepared, after, key) != SHOWN[key]
    bare = typed(prepared, what_if, "mass", "1210 kg", show)
    assert shown_of(prepared, bare, "mass") == "1210 kg"
    for _ in range(40):
        changed = [one.key for one in inputs_of(prepared, what_if, SPEED, show) if one.changed]
        if not changed:
            break
        what_if = cleared(what_if, changed[0])
    assert what_if == START


def shown_of(prepared, what_if, key):
    return next(one.value for one in inputs_of(prepared, what_if, SPEED, Show(SI)) if one.key == key)
