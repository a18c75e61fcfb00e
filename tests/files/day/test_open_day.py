"""A day open for work: what was typed is in the file, in the journal or in memory, and undo reaches over all of it."""

import os

import pytest

from balance.files.day.journal import JOURNAL_FILE
from balance.files.day.opening import open_day
from balance.files.day.run_sheet import edit_run, mark_runs
from balance.files.loader import load_session
from balance.files.tables.watch.file_watch import watch_file
from balance.model.errors import AlreadyOpen, FileFaults, InputError, OutsideChange
from tests.open_days import NEXT, add, names

pytestmark = pytest.mark.usefixtures("own_data")

NOBODY = 65534  # a user id without rights, on every Unix


def test_each_operation_is_on_the_disk_at_once_and_reads_back_the_same(folder, runs_text):
    with open_day(folder) as day:
        add(day)
        assert load_session(folder) == day.session
        day.change("run 1 voided", mark_runs(day.sheet, ["1"], "void", "gust"))
        assert load_session(folder).runs[0].status == "void"
        assert load_session(folder) == day.session
        day.undo()
        day.undo()
        assert (folder / "runs.csv").read_text() == runs_text
        assert (day.can_undo, day.can_redo, day.unsaved) == ("", "run added", False)
        day.redo()
        assert load_session(folder).runs[2].label == "3"
    assert names(folder) == [JOURNAL_FILE, "runs.csv", "session.toml"]


def test_undo_with_nothing_to_undo_is_said(folder):
    with open_day(folder) as day:
        with pytest.raises(InputError, match=r"^undo: found nothing to undo"):
            day.undo()
        with pytest.raises(InputError, match=r"^redo: found nothing that was undone"):
            day.redo()


def test_undo_reaches_back_over_a_restart(folder, runs_text):
    with open_day(folder) as day:
        add(day)
        add(day, run="4")
        day.undo()
    with open_day(folder) as day:
        assert (day.can_undo, day.can_redo, day.recovered, day.notes) == ("run added", "run added", (), ())
        day.redo()
        assert day.sheet.labels == ("1", "2", "3", "4")
        for _ in range(2):
            day.undo()
        assert (folder / "runs.csv").read_text() == runs_text


def test_a_day_begins_without_runs(desk, runs_text):
    folder = desk.write(runs=runs_text.splitlines()[0] + "\n")
    with open_day(folder) as day:
        assert day.session.runs == ()
        add(day)
        assert day.session == load_session(folder)
        day.change("voided", mark_runs(day.sheet, ["3"], "void", "gust"))
    with open_day(folder) as day:
        assert day.session.runs[0].status == "void"


def test_other_faults_than_no_run_are_told(desk):
    folder = desk.write(runs="run,configuration,front_lift [N],rear_lift [N],drag [lb]\n")
    with pytest.raises(FileFaults, match="lbf"):
        open_day(folder)
    assert names(folder) == ["runs.csv", "session.toml"]


def test_a_change_that_changes_nothing_is_no_step(folder):
    with open_day(folder) as day:
        day.half_typed.keep_run({"note": "x"})
        day.change("nothing", day.sheet, ends_draft=True)
        assert (day.can_undo, day.half_typed.run) == ("", None)


def test_a_change_outside_that_a_glance_does_not_show_is_found_before_saving(folder):
    with open_day(folder) as day:
        path = folder / "runs.csv"
        status = path.stat()
        with path.open("r+") as same_place:
            same_place.write(path.read_text().replace("1150", "1151"))
        os.utime(path, ns=(status.st_atime_ns, status.st_mtime_ns))
        assert day.outside_change() is None
        with pytest.raises(OutsideChange):
            add(day)
        assert "1151" in path.read_text()


def test_what_is_half_typed_comes_back(folder):
    day = open_day(folder)
    day.half_typed.keep_run({"configuration": "wing", "front_lift": "-9"})
    day._lock.release()  # ended without closing
    with open_day(folder) as day:
        assert day.half_typed.run == {"configuration": "wing", "front_lift": "-9"}
        add(day)
        assert day.half_typed.run is None
    with open_day(folder) as day:
        assert day.half_typed.run is None
        day.half_typed.keep_run({"note": "\x1b[2J"})
    assert "\x1b" not in (folder / JOURNAL_FILE).read_text()


def test_a_second_copy_is_refused_and_the_lock_is_given_back(folder):
    with open_day(folder), pytest.raises(AlreadyOpen, match="close the other one first"):
        open_day(folder)
    open_day(folder).close()


def test_a_change_made_outside_is_never_overwritten(folder, runs_text):
    with open_day(folder) as day:
        add(day)
        theirs = (folder / "runs.csv").read_text().replace("1150", "1151")
        (folder / "runs.csv").write_text(theirs)
        assert (day.outside_change().mine, day.outside_change().theirs) == (day.sheet.text, theirs)
        with pytest.raises(OutsideChange, match=r"^runs.csv: found a change made outside axletrim"):
            add(day, run="4")
        assert (folder / "runs.csv").read_text() == theirs
        assert day.sheet.labels == ("1", "2", "3", "4")
        assert day.trouble
        day.reload()
        assert (day.sheet.text, day.conflict, day.trouble, day.unsaved) == (theirs, None, "", False)
        assert day.can_undo == "changed outside axletrim"
        day.undo()
        assert day.sheet.labels == ("1", "2", "3", "4")
        assert (folder / "runs.csv").read_text() == day.sheet.text
        assert runs_text in day.sheet.text


def test_both_versions_can_be_kept(folder):
    with open_day(folder) as day:
        add(day)
        mine = day.sheet.text
        (folder / "runs.csv").write_text(mine.replace("1150", "1151"))
        day.outside_change()
        kept = day.keep_both()
        assert kept.name == "runs-kept-1.csv"
        assert kept.read_text() == mine
        assert day.sheet.text == mine.replace("1150", "1151")
        assert not day.unsaved


def test_a_change_outside_that_cannot_be_read_changes_nothing_here(folder):
    with open_day(folder) as day:
        add(day)
        (folder / "runs.csv").write_text("what?")
        assert day.outside_change() is not None
        with pytest.raises(FileFaults):
            day.reload()
        assert day.sheet.labels == ("1", "2", "3")
        with pytest.raises(OutsideChange):
            day.save()
        assert (folder / "runs.csv").read_text() == "what?"


def test_the_same_text_written_again_outside_is_no_change(folder):
    with open_day(folder) as day:
        text = (folder / "runs.csv").read_bytes()
        (folder / "runs.csv").unlink()
        (folder / "runs.csv").write_bytes(text)
        assert day.outside_change() is None
        add(day)


def test_a_change_made_outside_while_the_day_was_closed_is_one_more_step(folder):
    with open_day(folder) as day:
        add(day)
        mine = day.sheet.text
    (folder / "runs.csv").write_text(mine.replace("1150", "1151"))
    with open_day(folder) as day:
        assert day.sheet.runs[0].reading.drag == 1151.0
        assert (day.can_undo, day.recovered) == ("changed outside axletrim", ())
        day.undo()
        day.undo()
        assert day.sheet.labels == ("1", "2")


def test_a_row_that_was_taken_is_not_offered_again_unless_it_is_undone(folder, tmp_path):
    watched = tmp_path / "facility.csv"
    watched.write_text("run,front_lift [N],rear_lift [N],drag [N]\n7,-1.50,-300,1180\n")
    with open_day(folder) as day:
        (event,) = watch_file(watched, taken=day.decided.taken_from("facility.csv")).poll()
        day.change("run added", day.sheet.appended(NEXT), taken=event.row)
    with open_day(folder) as day:
        assert watch_file(watched, taken=day.decided.taken_from("facility.csv")).poll() == ()
        day.undo()
        assert len(watch_file(watched, taken=day.decided.taken_from("facility.csv")).poll()) == 1
        day.redo()
        assert list(day.decided.taken_from("facility.csv")) == ["7"]
        watched.write_text(watched.read_text().replace("1180", "1190"))
        (event,) = watch_file(watched, taken=day.decided.taken_from("facility.csv")).poll()
        assert event.differs == (("drag [N]", "1180", "1190"),)
        day.change("correction of run 3 left", day.sheet, taken=event.row)
    with open_day(folder) as day:
        assert watch_file(watched, taken=day.decided.taken_from("facility.csv")).poll() == ()


def test_a_session_toml_that_no_longer_fits_costs_nothing(desk, session_text, runs_text):
    folder = desk.write(
        runs=runs_text.replace("drag [N]", "drag [N],ride [mm]")
        .replace("1150", "1150,5")
        .replace("1162", "1162,")
    )
    day = open_day(folder)
    day.change("x", edit_run(day.sheet, "2", {"ride": "7"}))
    lines = (folder / JOURNAL_FILE).read_bytes().splitlines(keepends=True)
    (folder / JOURNAL_FILE).write_bytes(b"".join(lines[:-1]))
    day._lock.release()
    desk.write(runs=runs_text, session=session_text)
    with open_day(folder) as day:
        assert day.conflict is not None
        day.reload()
        assert day.sheet.text == runs_text


def test_a_day_that_began_without_runs_is_the_one_that_its_files_say(
    desk, session_text, vehicle_text, runs_text
):
    adjusters = '[[adjusters]]\nsetting = "wing"\nholes = { "1" = "1 cm" }\n'
    stated = session_text.replace("[facility]\n", '[facility]\ndrag_reacted_at = "50 mm ± 5 mm"\n')
    header = runs_text.splitlines()[0].replace("configuration", "configuration,wing [mm]")
    folder = desk.write(vehicle=vehicle_text + adjusters, session=stated, runs=f"{header}\n")
    with open_day(folder) as day:
        add(day, run="1", wing="12")
        assert day.session == load_session(folder)
        assert day.session.vehicle.adjusters[0].holes == (("1", 10.0),)  # in the unit of the column
        assert list(day.session.uncertainties) == ["facility.drag_reacted_at"]
