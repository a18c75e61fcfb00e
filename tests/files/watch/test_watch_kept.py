"""A watched file over restarts: it is known again with its columns, no row is lost, and none is taken twice."""

import json
import subprocess
import sys

import pytest

from balance.files.day.journal import JOURNAL_FILE
from balance.files.day.opening import open_day
from balance.files.day.run_entry import next_entry
from balance.files.tables.header.file_column import FileColumn
from balance.files.tables.rows.sheet_rows import entry_from_row, stands_already
from balance.files.tables.watch.file_watch import CorrectedRow, NewRow, Restarted, watch_file

pytestmark = pytest.mark.usefixtures("own_data")
HEAD = "Run;Lift F;FZ rear [N];Drag [N];configuration\n"
CALLED = {
    "run": FileColumn(header="Run"),
    "front_lift": FileColumn(header="Lift F", unit="N", positive="up"),
    "rear_lift": FileColumn(header="FZ rear [N]", unit="N", positive="down"),
    "drag": FileColumn(header="Drag [N]", unit="N", positive="rearward"),
}


@pytest.fixture
def file(tmp_path):
    file = tmp_path / "facility.csv"
    file.write_text(HEAD + row(11) + row(12), encoding="utf-8")
    return file


def row(number):
    return f"{number};-96;214;{1000 + number};part {number}\n"


def looked(day, file):
    return watch_file(file, taken=day.decided.taken_from(file.name)).poll()


def take(day, event):
    entry = entry_from_row(day.sheet, next_entry(day.sheet), event.row, day.watches.of(event.row.file).called)
    day.change(f"run {entry.cells['run']} taken", day.sheet.appended(entry.cells), taken=event.row)


def test_the_file_and_what_its_columns_are_is_known_after_a_restart(folder, file):
    with open_day(folder) as day:
        assert day.watches.current is None
        day.watches.begin(file)
        day.watches.call(file.name, CALLED)
    with open_day(folder) as day:
        assert day.watches.current.path == str(file)
        assert dict(day.watches.current.called) == CALLED
        day.watches.begin(file)  # said once more, which adds nothing
        lines = (folder / JOURNAL_FILE).read_text().strip().splitlines()
        assert [json.loads(line)["kind"] for line in lines] == ["base", "day", "watch", "watch"]
        day.watches.stop()
        day.watches.stop()
    with open_day(folder) as day:
        assert day.watches.current is None
        day.watches.begin(file.parent / "elsewhere" / file.name)  # a stick that is mounted elsewhere
        assert dict(day.watches.current.called) == CALLED


def test_rows_taken_are_known_after_a_restart_and_those_given_back_wait(folder, file):
    with open_day(folder) as day:
        day.watches.begin(file)
        day.watches.call(file.name, CALLED)
        first, second = looked(day, file)
        take(day, first)
        take(day, second)
        assert day.sheet.cells("11")["rear_lift"] == "-214"
    with open_day(folder) as day:
        assert looked(day, file) == ()
        day.undo()
    with open_day(folder) as day:
        (event,) = looked(day, file)
        assert event.row.key == "12"
        assert day.decided.wait_again(event.row)
        assert not day.decided.wait_again(first.row)
        take(day, event)
        assert not day.decided.wait_again(event.row)
        day.undo()
        day.redo()
    with open_day(folder) as day:
        assert looked(day, file) == ()
        assert not day.decided.wait_again(event.row)


def test_a_file_begun_anew_is_new_after_a_restart_too(folder, file):
    with open_day(folder) as day:
        day.watches.begin(file)
        day.watches.call(file.name, CALLED)
        for event in looked(day, file):
            take(day, event)
        file.write_text(HEAD + "11;1;2;1500;other\n", encoding="utf-8")
        restarted, new = looked(day, file)
        assert isinstance(restarted, Restarted)
        day.watches.begun_anew(file.name)
        take(day, new)
    with file.open("a", encoding="utf-8") as more:
        more.write("12;1;2;1501;other\n")
    with open_day(folder) as day:
        (event,) = looked(day, file)
        assert isinstance(event, NewRow)
        assert event.row.key == "12"


def test_a_correction_made_while_the_tool_was_closed_is_told(folder, file):
    with open_day(folder) as day:
        day.watches.begin(file)
        day.watches.call(file.name, CALLED)
        for event in looked(day, file):
            take(day, event)
    file.write_text(HEAD + row(11).replace("-96", "-99") + row(12), encoding="utf-8")
    with open_day(folder) as day:
        (event,) = looked(day, file)
        assert isinstance(event, CorrectedRow)
        assert event.differs == (("Lift F", "-96", "-99"),)


def test_with_a_damaged_journal_the_watch_is_kept_and_runs_are_known_by_label_and_figures(folder, file):
    with open_day(folder) as day:
        day.watches.begin(file)
        day.watches.call(file.name, CALLED)
        for event in looked(day, file):
            take(day, event)
    journal = folder / JOURNAL_FILE
    lines = journal.read_bytes().splitlines(keepends=True)
    journal.write_bytes(b"".join(line for line in lines if b"run 11 taken" not in line))
    for _ in range(2):  # the journal that was begun anew knows it as well
        with open_day(folder) as day:
            assert day.watches.current.path == str(file)
            assert dict(day.watches.current.called) == CALLED
            events = looked(day, file)
            assert [stands_already(day.sheet, event.row, CALLED) for event in events] == ["11", "12"]


@pytest.mark.parametrize(
    "line",
    [
        '{"path": 3, "called": {}, "begun": 0}',
        '{"path": "a.csv", "called": {"drag": {"header": 1}}, "begun": 0}',
        '{"path": "a.csv", "called": {"drag": {"header": "D", "scale": "x"}}, "begun": 0}',
        '{"path": "a.csv", "called": ["drag"], "begun": 0}',
        '{"path": "a.csv", "called": {}, "begun": 0, "decimal": "dot"}',
        '{"path": "a.csv", "called": {}, "begun": 0, "decimal": ["comma"]}',
    ],
)
def test_a_line_that_is_not_as_it_was_written_costs_no_run(folder, line, runs_text):
    with open_day(folder):
        pass
    record = {"number": 99, "kind": "watch", "time": "", **json.loads(line)}
    with (folder / JOURNAL_FILE).open("a", encoding="utf-8") as journal:
        journal.write(f"{json.dumps(record)}\n")
    with open_day(folder) as day:
        assert day.watches.current is None
        assert day.sheet.text == runs_text
        assert "damaged" in day.notes[0]


FORGE = '''
"""Forks a child that takes rows of a growing file until it is killed, again and again; then counts."""
import os, random, signal, sys, time
from pathlib import Path
from balance.files.tables.watch.file_watch import watch_file
from balance.files.day.opening import open_day
from balance.files.day.run_entry import next_entry
from balance.files.tables.watch.file_watch import WaitingRows
from balance.files.tables.header.file_column import FileColumn
from balance.files.tables.rows.sheet_rows import entry_from_row

folder, file, kills = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
chance = random.Random(4)


def take_all(day, watch, tray):
    called = day.watches.of(file.name).called
    tray = tray.after(watch.poll())
    for row in tray.rows:
        entry = entry_from_row(day.sheet, next_entry(day.sheet), row, called)
        day.change("a row taken", day.sheet.appended(entry.cells), taken=row)
        tray = tray.without(row)
    return tray


def child(ready):
    day = open_day(folder)
    kept = day.watches.current
    watch, tray = watch_file(kept.path, taken=day.decided.taken_from(kept.name)), WaitingRows()
    os.write(ready, b"x")
    while True:
        tray = take_all(day, watch, tray)


with open_day(folder) as day:
    day.watches.begin(file)
    day.watches.call(file.name, {
        "front_lift": FileColumn(header="Lift F", unit="N", positive="up"),
        "rear_lift": FileColumn(header="Lift R", unit="N", positive="up"),
        "drag": FileColumn(header="Drag", unit="N", positive="forward"),
    })
file.write_text("Lift F;Lift R;Drag;configuration\\n")
written = 0
for _ in range(kills):
    ears, mouth = os.pipe()
    pid = os.fork()
    if pid == 0:
        child(mouth)
    os.read(ears, 1)
    for _ in range(chance.randrange(1, 6)):
        written += 1
        line = f"84;260;{-1000 - written};part\\n"
        cut = chance.randrange(len(line))
        for part in (line[:cut], line[cut:]):
            with file.open("a") as more:
                more.write(part)
            time.sleep(chance.uniform(0.0, 0.012))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    os.close(ears)
    os.close(mouth)
with open_day(folder) as day:
    take_all(day, watch_file(file, taken=day.decided.taken_from(file.name)), WaitingRows())
    drags = [run.reading.drag for run in day.sheet.runs[2:]]
assert drags == [1000.0 + number for number in range(1, written + 1)], drags
print(written)
'''


def test_however_often_the_tool_is_killed_each_row_becomes_one_run(folder, tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", FORGE, str(folder), str(tmp_path / "readings.csv"), "15"],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.stderr == ""
    assert int(done.stdout) > 15
