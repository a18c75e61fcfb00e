"""The state alone: no application, no terminal."""

from dataclasses import replace

import pytest

from balance.decide.day.assessment import assess
from balance.model.errors import Fault
from balance.reduce.fits import fits_of_session
from balance.reduce.rows import judged_rows
from tui.host.state import FASTEST, State


@pytest.fixture(scope="module")
def figures(day):
    return assess(day, speed=day.session.places[0].speed, drawn=False, rows=day.rows.every)


@pytest.fixture
def state(day, figures):
    return State().with_day(day, "/a/day").with_assessment(figures, pending=False)


def labels(state):
    return [state.day.readings.labels[row] for row in state.rows]


def test_nothing_is_shown_before_a_session_was_read():
    state = State()
    assert state.rows == ()
    assert state.table is None
    assert state.picked_row is None
    assert state.run is None
    assert state.places == ()
    assert state.at_next_place() is state
    assert state.sorted_by_next() is state


def test_the_first_named_place_is_the_speed_of_interest(state, day):
    assert state.speed == day.session.places[0].speed
    assert State().with_day(day, "/a/day", speed=50.0).speed == 50.0


def test_without_places_the_facility_gives_the_speed(day):
    bare = replace(day, session=replace(day.session, places=()))
    assert State().with_day(bare, "/a/day").speed == day.session.facility.speed


def test_repeats_fold_to_their_first_good_run(state, day):
    assert labels(state)[:2] == ["1", "3"]
    assert len(state.rows) == len(day.configurations)
    opened = state.with_fold_toggled()
    assert labels(opened) == list(day.readings.labels)
    assert "8" not in labels(opened)  # void
    assert opened.with_fold_toggled().rows == state.rows


def test_a_configuration_is_headed_by_a_good_run_though_a_suspect_one_came_first(day):
    rows = day.configurations[0]
    runs = list(day.readings.runs)
    runs[rows[0]] = replace(runs[rows[0]], status="suspect")
    fits = fits_of_session(day.session, replace(day.readings, runs=tuple(runs)))
    doubted = replace(day, fits=fits, rows=judged_rows(fits))
    state = State().with_day(doubted, "/a/day")
    state = state.with_assessment(assess(doubted, speed=state.speed, drawn=False), pending=False)
    assert rows[0] not in state.rows
    assert rows[1] in state.rows


def test_the_picked_run_stays_when_rows_are_folded(state, day):
    opened = state.with_fold_toggled()
    last = day.readings.labels.index("24")
    picked = opened.with_picked(last)
    assert picked.run.label == "24"
    folded = picked.with_fold_toggled()
    assert folded.run.label == "1"  # the head of its repeats
    assert folded.with_fold_toggled().run.label == "24"


def test_the_run_after_a_picked_one_that_was_made_void_is_picked(state):
    assert replace(state, picked="8", folded=False).run.label == "9"
    assert replace(state, picked="no such run", folded=False).run.label == "1"


def test_the_first_row_is_picked_where_the_picked_one_is_not_shown(state, day):
    picked = state.with_picked(day.readings.labels.index("12"))
    assert picked.run.label == "12"
    assert replace(picked, wanted="spoiler").run.label == "9"
    assert replace(picked, wanted="no such words").picked_row is None
    assert picked.rows[picked.cursor] == picked.picked_row


def test_a_column_sorts_rising_then_falling_then_not_at_all(state):
    rising = state.sorted_by("drag")
    assert rising.sort == ("drag", False)
    drag = state.assessment.handling.nominal.drag
    assert [drag[row] for row in rising.rows] == sorted(drag[row] for row in state.rows)
    falling = rising.sorted_by("drag")
    assert [drag[row] for row in falling.rows] == sorted((drag[row] for row in state.rows), reverse=True)
    assert falling.sorted_by("drag").rows == state.rows
    assert falling.sorted_by("front").sort == ("front", False)


def test_rows_without_a_value_stand_last_whichever_way_it_goes(state, day):
    def fitted(state):
        return ["flap_height" in day.readings.runs[row].settings for row in state.rows]

    rising = state.sorted_by("setting:flap_height")
    for sorted_state in (rising, rising.sorted_by("setting:flap_height")):
        marks = fitted(sorted_state)
        assert marks == sorted(marks, reverse=True)


def test_the_sort_key_goes_through_every_column_that_sorts_and_back(state):
    seen = []
    state = state.sorted_by_next()
    while state.sort is not None:
        seen.append(state.sort[0])
        state = state.sorted_by_next()
    assert seen == [c.key for c in state.table.columns if c.key not in ("run", "configuration")]


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        ("spoiler", ["9", "10"]),
        ("WING 10", ["20", "21", "22"]),
        ("canards pair", ["5"]),
        ("tufts", ["19"]),
        (" ", None),
    ],
)
def test_every_word_must_stand_in_label_configuration_settings_note_or_verdict(state, wanted, found):
    kept = replace(state, wanted=wanted)
    assert labels(kept) == (labels(state) if found is None else found)


def test_the_filter_finds_verdicts(state):
    for row in replace(state, wanted="balance").rows:
        assert "in balance" in state.table.cell(state.judged(row), "verdict").text


def test_speed_steps_go_to_multiples_in_the_unit_shown(state):
    unit = state.show.system.unit("speed")
    assert unit.from_si(state.stepped(+1).speed) == pytest.approx(150)
    assert unit.from_si(state.stepped(-1).speed) == pytest.approx(145)
    assert unit.from_si(state.stepped(+1).stepped(+1).speed) == pytest.approx(155)
    us = state.with_other_units()
    mph = us.show.system.unit("speed")
    assert us.show.unit("speed") == "mph"
    assert mph.from_si(us.stepped(+1).speed) == pytest.approx(95)  # 148 km/h are 92.0 mph
    assert mph.from_si(us.stepped(-1).speed) == pytest.approx(90)


@pytest.mark.parametrize("units", ["si", "us"])
def test_speed_steps_end_where_no_car_goes(state, units):
    state = replace(state, units=units)
    for _ in range(200):
        state = state.stepped(+1)
    assert 0.95 * FASTEST < state.speed <= FASTEST
    for _ in range(200):
        state = state.stepped(-1)
    assert state.show.bare("speed", state.speed) == "5"


def test_places_follow_one_another_and_start_again(state, day):
    speeds = []
    for _ in range(4):
        state = state.at_next_place()
        speeds.append(state.speed)
    first, second, third = (place.speed for place in day.session.places)
    assert speeds == [second, third, first, second]
    assert state.with_speed(42.0).at_next_place().speed == first


def test_units_change_figures_and_not_rows(state):
    other = state.with_other_units()
    assert other.rows == state.rows
    assert other.table.cell(0, "drag") != state.table.cell(0, "drag")
    third = other.with_other_units()
    # the same load in N and in kgf: 9.80665 N are 1 kgf, CGPM 1901
    newtons, kilograms = (float(one.table.cell(0, "drag")[0]) for one in (state, third))
    assert kilograms == pytest.approx(newtons / 9.80665, abs=0.06)
    assert third.with_other_units().table.cell(0, "drag") == state.table.cell(0, "drag")


def test_figures_of_another_speed_or_day_are_dropped(state, day, figures):
    faster = state.with_speed(60.0)
    assert faster.pending
    assert faster.with_assessment(figures, pending=False) is faster
    again = replace(day)
    assert State().with_day(again, "/a/day").with_assessment(figures, pending=False).assessment is None


def test_a_session_read_again_keeps_what_was_looked_at(state, day):
    looked = replace(state.sorted_by("drag"), wanted="wing", picked="12").with_speed(45.0)
    again = looked.with_day(replace(day), "/a/day")
    assert (again.sort, again.wanted, again.picked, again.speed) == (("drag", False), "wing", "12", 45.0)
    assert again.assessment is None
    assert again.pending


def test_another_session_starts_anew(state, day):
    looked = replace(state.sorted_by("drag"), wanted="wing").with_speed(45.0)
    other = looked.with_day(day, "/another/day")
    assert (other.sort, other.wanted, other.speed) == (None, "", day.session.places[0].speed)


def test_faults_leave_the_figures_and_go_with_the_next_good_state(state, day):
    fault = Fault(file="runs.csv", found="x", expected="y")
    broken = state.with_faults((fault,))
    assert broken.assessment is state.assessment
    assert broken.faults == (fault,)
    assert broken.with_day(day, "/a/day").faults == ()


def test_charts_follow_one_another_and_start_again(state):
    kinds = [state.chart]
    while (state := state.with_next_chart()).chart != kinds[0]:
        kinds.append(state.chart)
    assert kinds == [
        "grip_surplus",
        "axle_loads",
        "front_load_share",
        "neutral_steer_shift",
        "drag",
        "drag_power",
    ]


def test_what_does_not_change_is_worked_out_once(state):
    moved = state.with_picked(3)
    assert moved.table is state.table
    assert moved.rows is state.rows
    assert moved.with_next_chart().rows is state.rows
