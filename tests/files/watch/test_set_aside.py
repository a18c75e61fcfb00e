"""Rows of a watched file that are no runs: set aside with a reason, never lost, and brought back one by one."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.files.day.journal import JOURNAL_FILE
from balance.files.day.opening import open_day
from balance.files.day.run_entry import next_entry
from balance.files.tables.rows.sheet_rows import entry_from_row
from balance.files.tables.watch.file_watch import CorrectedRow, NewRow, WaitingRows, watch_file
from tests.small_session import Desk

pytestmark = pytest.mark.usefixtures("own_data")
HEAD = "run,configuration,front_lift [N],rear_lift [N],drag [N]\n"


def line(key, drag=1180):
    return f"{key},part,-96,-214,{drag}\n"


@pytest.fixture
def file(tmp_path):
    file = tmp_path / "facility.csv"
    file.write_text(HEAD + "tare,,0,0,0\n" + line(12) + "avg,,-96,-214,1180\n", encoding="utf-8")
    return file


def looked(day, file):
    return watch_file(file, taken=day.decided.taken_from(file.name)).poll()


def tray_of(day, file):
    return WaitingRows().after(looked(day, file), aside=day.decided.keys_aside(file.name))


def set_aside(day, row, reason="tare or zero"):
    day.change(f"{row.name} set aside: {reason}", day.sheet, taken=row, aside=reason)


def bring_back(day, row):
    day.change(f"{row.name} waits again", day.sheet, taken=row, aside="")


def take(day, row):
    entry = entry_from_row(day.sheet, next_entry(day.sheet), row)
    day.change("a row taken", day.sheet.appended(entry.cells), taken=row)


def keys(tray):
    return [row.key for row in tray.rows]


def test_a_row_set_aside_waits_no_more_over_restarts_until_that_is_undone(folder, file, runs_text):
    with open_day(folder) as day:
        day.watches.begin(file)
        tare, _, average = (event.row for event in looked(day, file))
        set_aside(day, tare)
        set_aside(day, average, "average")
        assert day.sheet.text == runs_text
        assert day.can_undo == "row avg set aside: average"
    with open_day(folder) as day:
        assert keys(tray_of(day, file)) == ["12"]
        assert [(row["key"], row["aside"]) for row in day.decided.aside(file.name)] == [
            ("tare", "tare or zero"),
            ("avg", "average"),
        ]
        assert day.decided.why_aside(tare) == "tare or zero"
        assert day.decided.run_of(tare) == ""
        day.undo()
        assert keys(tray_of(day, file)) == ["12", "avg"]
        assert day.decided.wait_again(average)
        day.redo()
        assert keys(tray_of(day, file)) == ["12"]
        day.undo()
    with open_day(folder) as day:
        assert keys(tray_of(day, file)) == ["12", "avg"]
        assert day.decided.wait_again(average)
        assert day.decided.why_aside(average) == ""


def test_each_row_can_be_brought_back_and_become_a_run_not_only_the_last(folder, file):
    with open_day(folder) as day:
        day.watches.begin(file)
        tare, run, average = (event.row for event in looked(day, file))
        for row in (tare, run, average):
            set_aside(day, row, "aborted")
        bring_back(day, run)
    with open_day(folder) as day:
        assert keys(tray_of(day, file)) == ["12"]
        assert day.decided.wait_again(run)
        assert [row["key"] for row in day.decided.aside(file.name)] == ["tare", "avg"]
        take(day, run)
        assert day.decided.run_of(run) == "12"
        assert not day.decided.wait_again(run)
        day.undo()
        day.undo()  # it is set aside as before
        assert day.decided.keys_aside(file.name) == {"tare", "12", "avg"}
        assert looked(day, file) == ()


def test_a_row_set_aside_that_reads_otherwise_now_waits_again(folder, file):
    with open_day(folder) as day:
        day.watches.begin(file)
        _, run, _ = (event.row for event in looked(day, file))
        set_aside(day, run, "aborted")
        take(day, run_other := looked(day, file)[0].row)
        assert run_other.key == "tare"
    before = file.read_text()
    file.write_text(before.replace(line(12), line(12, 1190)))
    with open_day(folder) as day:
        tray = tray_of(day, file)
        assert keys(tray) == ["12", "avg"]
        assert tray.corrections == ()
        assert day.decided.why_aside(tray.rows[0]) == "aborted"
        set_aside(day, tray.rows[0], "aborted")
        assert keys(tray_of(day, file)) == ["avg"]
        file.write_text(before)
        (again,) = [event for event in looked(day, file) if isinstance(event, CorrectedRow)]
        assert again.differs == (("drag [N]", "1190", "1180"),)


def test_rows_of_a_file_begun_anew_are_not_held_against_those_set_aside_before(folder, file):
    with open_day(folder) as day:
        day.watches.begin(file)
        set_aside(day, looked(day, file)[0].row)
        file.write_text(HEAD + "tare,,1,1,1\n")
        day.watches.begun_anew(file.name)
        (event,) = looked(day, file)
        assert isinstance(event, NewRow)
        assert day.decided.why_aside(event.row) == ""
        (kept,) = day.decided.aside(file.name)
        assert kept["cells"]["drag [N]"] == "0"  # findable still
        set_aside(day, event.row)
        assert len(day.decided.aside(file.name)) == 2


def test_what_the_decimal_mark_was_said_to_be_is_known_after_a_restart(folder, file):
    with open_day(folder) as day:
        day.watches.begin(file)
        assert day.watches.current.decimal == ""
        day.watches.read_with(file.name, "comma")
    with open_day(folder) as day:
        assert day.watches.current.decimal == "comma"
        day.watches.read_with(file.name, "")
    with open_day(folder) as day:
        assert day.watches.current.decimal == ""


def test_a_journal_written_before_there_were_decimal_marks_is_read(folder, file):
    with open_day(folder):
        pass
    record = {"number": 99, "kind": "watch", "time": "", "path": str(file), "called": {}, "begun": 0}
    with (folder / JOURNAL_FILE).open("a", encoding="utf-8") as journal:
        journal.write(f"{json.dumps(record)}\n")
    with open_day(folder) as day:
        assert day.watches.current.path == str(file)
        assert day.watches.current.decimal == ""
        assert day.notes == ()


STEPS = st.lists(
    st.tuples(st.sampled_from(["take", "aside", "back", "undo", "redo", "restart"]), st.integers(0, 3)),
    max_size=10,
)


@settings(max_examples=25)
@given(steps=STEPS)
def test_whatever_is_done_each_row_is_a_run_or_set_aside_or_waits(tmp_path_factory, steps):
    place = tmp_path_factory.mktemp("aside")
    folder = Desk(place).session
    file = place / "facility.csv"
    file.write_text(HEAD + "".join(line(key, 1000 + key) for key in range(11, 15)))
    everything = {event.row.key: event.row for event in watch_file(file).poll()}
    day = open_day(folder)
    try:
        day.watches.begin(file)
        for what, place_of in steps:
            waiting = tray_of(day, file).rows
            aside = sorted(day.decided.keys_aside(file.name))
            if what in ("take", "aside") and waiting:
                (take if what == "take" else set_aside)(day, waiting[place_of % len(waiting)])
            elif what == "back" and aside:
                bring_back(day, everything[aside[place_of % len(aside)]])
            elif what == "undo" and day.can_undo:
                day.undo()
            elif what == "redo" and day.can_redo:
                day.redo()
            elif what == "restart":
                day.close()
                day = open_day(folder)
            runs = {key for key, row in everything.items() if day.decided.run_of(row) in day.sheet.labels}
            found = [keys(tray_of(day, file)), sorted(runs), sorted(day.decided.keys_aside(file.name))]
            assert sorted(key for part in found for key in part) == sorted(everything)
            assert {run.reading.drag for run in day.sheet.runs} >= {1000.0 + int(key) for key in runs}
    finally:
        day.close()
