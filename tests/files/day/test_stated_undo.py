"""Undo over the car's file and session.toml: exact to the byte, in the order of the day, never over somebody else's change."""

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.files.day.opening import open_day
from balance.files.day.run_sheet import mark_runs
from balance.files.day.stated_disk import look_at_stated
from balance.files.loader import load_session
from balance.model.errors import FileFaults, InputError, OutsideChange, SaveError
from tests.open_days import add
from tests.small_session import RUNS, SESSION, VEHICLE, Desk

pytestmark = pytest.mark.usefixtures("own_data")

NOBODY = 65534  # a user id without rights, on every Unix


def edit(day, path, changes):
    day.edit(f"{path.name} edited", path, changes, seen=look_at_stated(path).stamp)


@pytest.fixture
def files(desk):
    """The three files of a session, and what they hold."""
    paths = (desk.session / "runs.csv", desk.car / "vehicle.toml", desk.session / "session.toml")
    return lambda: tuple(path.read_bytes() for path in paths)


def test_undo_takes_back_car_session_and_runs_in_the_order_of_the_day_also_after_restarts(desk, files):
    states = [files()]
    with open_day(desk.session) as day:
        add(day)
        states.append(files())
        edit(day, day.car_file, {"mass.total": "1300 kg"})
        assert day.session.vehicle.mass == 1300.0
        states.append(files())
    with open_day(desk.session) as day:
        edit(day, desk.session / "session.toml", {"title": "Another day"})
        states.append(files())
        day.change("run 1 voided", mark_runs(day.sheet, ["1"], "void", "gust"))
        states.append(files())
    assert len(set(states)) == 5
    with open_day(desk.session) as day:
        assert (day.can_undo, day.recovered, day.notes) == ("run 1 voided", (), ())
        for state in states[-2::-1]:
            day.undo()
            assert files() == state
            assert day.session == load_session(desk.session)
    with open_day(desk.session) as day:
        assert (day.can_undo, day.can_redo) == ("", "run added")
        for state in states[1:]:
            day.redo()
            assert files() == state
            assert day.session == load_session(desk.session)


@pytest.mark.parametrize("restarted", [False, True])
def test_a_file_changed_outside_since_is_not_overwritten_and_undo_goes_on_before_it(desk, files, restarted):
    day = open_day(desk.session)
    add(day)
    edit(day, day.car_file, {"mass.total": "1300 kg"})
    theirs = day.car_file.read_bytes() + b"# weighed by theirs\n"
    day.car_file.write_bytes(theirs)
    with pytest.raises(
        InputError, match=r"^vehicle.toml: found a change made outside axletrim since 'vehicle.toml edited'"
    ):
        day.undo()
    if restarted:
        day.close()
        day = open_day(desk.session)
    assert (day.can_undo, day.can_redo) == ("run added", "")
    day.undo()
    assert files() == (RUNS.encode(), theirs, SESSION.encode())
    day.close()


def test_a_redo_of_a_file_changed_outside_since_is_passed_over_too(desk):
    with open_day(desk.session) as day:
        edit(day, day.car_file, {"mass.total": "1300 kg"})
        day.undo()
        day.car_file.write_bytes(day.car_file.read_bytes() + b"# theirs\n")
        with pytest.raises(InputError, match=r"and redo passes over that step from now on$"):
            day.redo()
    with open_day(desk.session) as day:
        assert (day.can_undo, day.can_redo) == ("", "")
        assert day.session.vehicle.mass == 1290.0


def test_a_file_taken_back_by_hand_or_before_a_kill_counts_as_taken_back(desk):
    with open_day(desk.session) as day:
        edit(day, day.car_file, {"mass.total": "1300 kg"})
        day.car_file.write_text(VEHICLE, encoding="utf-8")
        day.undo()
        assert (day.can_undo, day.can_redo) == ("", "vehicle.toml edited")
        assert day.session.vehicle.mass == 1290.0


@pytest.mark.parametrize("written", [False, True])
def test_a_kill_between_file_and_journal_is_seen_when_the_day_is_opened(desk, written):
    day = open_day(desk.session)
    edit(day, day.car_file, {"mass.total": "1300 kg"})
    corrected = day.car_file.read_bytes()
    if written:
        day.undo()
    day._lock.release()  # ended without closing, the file one step before the journal or one behind it
    (desk.car / "vehicle.toml").write_bytes(corrected if written else VEHICLE.encode())
    with open_day(desk.session) as day:
        undo, redo = ("vehicle.toml edited", "") if written else ("", "vehicle.toml edited")
        assert (day.can_undo, day.can_redo, day.notes) == (undo, redo, ())
        (day.undo if written else day.redo)()
        assert day.car_file.read_bytes() == (VEHICLE.encode() if written else corrected)
    with open_day(desk.session) as day:
        assert (day.can_undo, day.can_redo) == (redo, undo)


def test_an_undo_that_the_session_could_not_be_read_with_writes_nothing_and_can_be_tried_again(desk, files):
    with open_day(desk.session) as day:
        edit(day, day.car_file, {"mass.total": "1300 kg"})
        before = files()
        (desk.session / "session.toml").write_text("title = ", encoding="utf-8")
        with pytest.raises(FileFaults):
            day.undo()
        (desk.session / "session.toml").write_bytes(before[2])
        assert files() == before
        day.undo()
        assert day.session.vehicle.mass == 1290.0


@pytest.mark.skipif(os.name != "posix", reason="rights as on Unix")
def test_an_undo_into_a_closed_folder_is_said_and_can_be_tried_again(desk, files):
    if os.geteuid() == 0:
        for path in (desk.car, *desk.car.rglob("*")):
            os.chown(path, NOBODY, -1)
    with open_day(desk.session) as day:
        edit(day, day.car_file, {"mass.total": "1300 kg"})
        before = files()
        desk.car.chmod(0o555)
        root = os.geteuid() == 0
        if root:
            os.seteuid(NOBODY)
        try:
            with pytest.raises(InputError, match="found no permission to write") as caught:
                day.undo()
        finally:
            if root:
                os.seteuid(0)
            desk.car.chmod(0o755)
        assert not isinstance(caught.value, SaveError)  # nothing of the runs is unsaved
        assert files() == before
        assert day.can_undo == "vehicle.toml edited"
        day.undo()
        assert day.session.vehicle.mass == 1290.0


def test_a_change_refused_is_no_step_and_stays_in_the_journal_as_it_was_typed(desk):
    with open_day(desk.session) as day:
        seen = look_at_stated(day.car_file).stamp
        day.half_typed.keep_form(day.name_of(day.car_file), {"mass.total": "1300 kg"})
        day.car_file.write_text(VEHICLE + "# theirs\n", encoding="utf-8")
        with pytest.raises(OutsideChange):
            day.edit("refused", day.car_file, {"mass.total": "1300 kg"}, seen=seen)
        assert day.can_undo == ""
    with open_day(desk.session) as day:
        assert day.half_typed.forms == {"../vehicle.toml": {"mass.total": "1300 kg"}}
        edit(day, day.car_file, {"mass.total": "1300 kg"})
        assert day.half_typed.forms == {}
    with open_day(desk.session) as day:
        assert day.half_typed.forms == {}


ACTS = st.one_of(
    st.sampled_from(["undo", "redo", "restart", "run"]),
    st.tuples(st.just("mass"), st.integers(900, 1500)),
    st.tuples(st.just("title"), st.text(st.characters(codec="utf-8", categories=["L", "N"]), min_size=1, max_size=5)),
)  # fmt: skip


@settings(max_examples=25)
@given(acts=st.lists(ACTS, max_size=12))
def test_any_order_of_steps_leads_back_and_forth_exactly(acts, made_place):
    place = Path(tempfile.mkdtemp(dir=made_place))
    desk = Desk(place)
    paths = (desk.session / "runs.csv", desk.car / "vehicle.toml", desk.session / "session.toml")
    states, at = [tuple(path.read_bytes() for path in paths)], 0
    day = open_day(desk.session)
    for act in acts:
        if act == "undo" and at:
            day.undo()
            at -= 1
        elif act == "redo" and at + 1 < len(states):
            day.redo()
            at += 1
        elif act == "restart":
            day.close()
            day = open_day(desk.session)
        elif act == "run" or isinstance(act, tuple):
            if act == "run":
                add(day, run=str(len(day.sheet.labels) + 1))
            elif act[0] == "mass":
                edit(day, day.car_file, {"mass.total": f"{act[1]} kg"})
            else:
                edit(day, desk.session / "session.toml", {"title": act[1]})
            now = tuple(path.read_bytes() for path in paths)
            if now != states[at]:
                states[at + 1 :] = [now]
                at += 1
        assert tuple(path.read_bytes() for path in paths) == states[at]
        assert day.session == load_session(desk.session)
    day.close()
    shutil.rmtree(place)


@pytest.fixture(scope="module")
def made_place(tmp_path_factory):
    """A place for made sessions."""
    return tmp_path_factory.mktemp("made")


def test_a_car_that_another_of_its_sessions_could_not_be_read_with_is_refused(desk):
    other = desk.car / "second_day"
    other.mkdir()
    (other / "session.toml").write_text(SESSION, encoding="utf-8")
    (other / "runs.csv").write_text(
        "run,configuration,front_lift_coefficient,rear_lift_coefficient,drag_coefficient\n1,base,0.01,0.05,0.4\n",
        encoding="utf-8",
    )
    with open_day(desk.session) as day:
        with pytest.raises(
            FileFaults, match=r"^second_day/session.toml:3: facility.reference_area: found nothing"
        ):
            edit(day, day.car_file, {"size.frontal_area": None})
        assert day.car_file.read_text(encoding="utf-8") == VEHICLE
        (other / "runs.csv").write_text("broken before", encoding="utf-8")
        edit(day, day.car_file, {"size.frontal_area": None})
        assert day.session.vehicle.frontal_area is None
