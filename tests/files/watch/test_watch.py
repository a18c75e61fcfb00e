"""A table that another computer adds to: what is new waits, what is corrected is said, what is half written is left."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.day.entry_line import parse_entry_line
from balance.files.day.run_entry import next_entry
from balance.files.day.run_sheet import sheet_from
from balance.files.tables.header.file_column import FileColumn
from balance.files.tables.rows.sheet_rows import cells_of, entry_from_row, run_from
from balance.files.tables.watch.file_watch import (
    CorrectedRow,
    LostRows,
    NewRow,
    Restarted,
    WaitingRows,
    WatchTrouble,
    watch_file,
)
from balance.model.errors import InputError

HEAD = "run,front_lift [N],rear_lift [N],drag [N],yaw [deg]\n"
ONE, TWO, THREE = "7,-96,-214,1180,0.1\n", "8,-97,-215,1181,0.1\n", "9,-98,-216,1182,0.1\n"
SHEET = sheet_from(
    "run,configuration,wing_angle [deg],front_lift [N],rear_lift [N],drag [N],note\n1,base,2,84,260,1150,\n"
)


@pytest.fixture
def file(tmp_path):
    return tmp_path / "facility.csv"


def kinds(events):
    return [type(event).__name__ for event in events]


def keys(events):
    return [event.row.key for event in events if isinstance(event, NewRow)]


def test_new_rows_are_told_once(file):
    watch = watch_file(file)
    assert kinds(watch.poll()) == ["WatchTrouble"]
    assert watch.poll() == ()
    file.write_text(HEAD)
    assert watch.poll() == ()
    file.write_text(HEAD + ONE + TWO)
    events = watch.poll()
    assert keys(events) == ["7", "8"]
    assert dict(events[0].row.cells) == {
        "run": "7",
        "front_lift [N]": "-96",
        "rear_lift [N]": "-214",
        "drag [N]": "1180",
        "yaw [deg]": "0.1",
    }
    assert (events[1].row.line, events[1].row.file) == (3, "facility.csv")
    assert watch.poll() == ()
    with file.open("a") as more:
        more.write(THREE)
    assert keys(watch.poll()) == ["9"]


@pytest.mark.parametrize("cut", range(1, len(TWO)))
def test_a_half_written_row_waits_wherever_it_is_cut(file, cut):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + TWO[:cut])
    assert keys(watch.poll()) == ["7"]
    assert watch.waiting == TWO[:cut]
    file.write_text(HEAD + ONE + TWO)
    (event,) = watch.poll()
    assert event.row.cells["drag [N]"] == "1181"
    assert watch.waiting == ""


def test_a_half_written_cell_in_quotation_marks_waits(file):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + '8,"-9\n')
    assert keys(watch.poll()) == ["7"]
    assert watch.waiting == '8,"-9\n'
    file.write_text(HEAD + ONE + '8,"-9\n7",-215,1181,0\n' + THREE)
    events = watch.poll()
    assert keys(events) == ["8", "9"]
    assert events[0].row.cells["front_lift [N]"] == "-9 7"


def test_the_last_row_of_a_finished_file_can_be_taken(file):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + TWO.rstrip())
    assert keys(watch.poll()) == ["7"]
    assert watch.poll() == ()
    assert keys(watch.take_waiting()) == ["8"]
    assert watch.poll() == ()


def test_a_row_corrected_later_is_told_with_both_readings(file):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + TWO)
    watch.poll()
    file.write_text(HEAD + ONE.replace("1180", "1190") + TWO + THREE)
    corrected, new = watch.poll()
    assert isinstance(corrected, CorrectedRow)
    assert corrected.differs == (("drag [N]", "1180", "1190"),)
    assert new.row.key == "9"
    assert watch.poll() == ()


def test_a_file_written_anew_from_its_start_brings_nothing_twice(file):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + TWO)
    watch.poll()
    file.write_text("")
    assert watch.poll() == ()
    file.write_text(HEAD + ONE)
    assert kinds(watch.poll()) == ["LostRows"]
    file.write_text(HEAD + ONE + TWO + THREE)
    assert keys(watch.poll()) == ["9"]
    file.unlink()
    assert kinds(watch.poll()) == ["WatchTrouble"]
    file.write_text(HEAD + ONE + TWO + THREE)
    assert watch.poll() == ()


def test_rows_that_are_gone_are_told_once(file):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + TWO + THREE)
    watch.poll()
    file.write_text(HEAD + ONE)
    assert watch.poll() == (LostRows(keys=("8", "9")),)
    file.write_text(HEAD + ONE + "10,1,2,3,0\n")
    assert keys(watch.poll()) == ["10"]


def test_a_new_file_under_the_old_name_is_told_and_read(file):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + TWO)
    watch.poll()
    file.rename(file.with_suffix(".old"))
    file.write_text(HEAD + "7,1,2,3,0\n")
    events = watch.poll()
    assert isinstance(events[0], Restarted)
    assert keys(events) == ["7"]
    file.write_text("")
    assert watch.poll() == ()
    file.write_text(HEAD + "1,4,5,6,0\n")
    assert kinds(watch.poll()) == ["Restarted", "NewRow"]


def test_a_file_in_which_every_row_was_restated_holds_corrections_not_new_runs(file):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + TWO)
    seen = {event.row.key: event.row.cells for event in watch.poll()}
    file.rename(file.with_suffix(".old"))
    file.write_text(HEAD + "7,1,2,3,0\n8,1,2,3,0\n9,1,2,3,0\n")
    assert kinds(watch.poll()) == ["CorrectedRow", "CorrectedRow", "NewRow"]
    assert kinds(watch_file(file, taken=seen).poll()) == ["CorrectedRow", "CorrectedRow", "NewRow"]


def test_rows_without_a_run_are_known_by_their_number_and_doubles_by_their_order(file):
    file.write_text("front_lift [N],drag [N]\n1,2\n3,4\n")
    assert keys(watch_file(file).poll()) == ["row 1", "row 2"]
    file.write_text(HEAD + ONE + ONE.replace("1180", "1"))
    assert keys(watch_file(file).poll()) == ["7", "7 #2"]


def test_preambles_repeated_headers_other_marks_and_other_texts(file):
    file.write_bytes(
        "\ufeffTunnel 3; day 12\r\n\r\n".encode()
        + b"run;front_lift [N];drag [N];remark\r\n7;-96,5;1180;20 \xb0C\r\nrun;front_lift [N];drag [N];remark\r\n8;-97;1181;\x1b[2J\r\n"
    )
    events = watch_file(file).poll()
    assert keys(events) == ["7", "8"]
    assert [event.row.line for event in events] == [4, 6]
    assert events[0].row.cells["front_lift [N]"] == "-96,5"
    assert events[1].row.cells["remark"] == "\\x1b[2J"


def test_what_is_no_table_is_said_once_and_what_stands_before_it_is_taken(file):
    watch = watch_file(file)
    file.write_text(HEAD + ONE + '8,"a"b,1,1,1\n' + THREE)
    events = watch.poll()
    assert kinds(events) == ["NewRow", "WatchTrouble"]
    assert events[1].message.startswith("facility.csv:3: found text that is no table row")
    assert watch.poll() == ()


def test_a_folder_is_refused_and_a_huge_file_said(tmp_path, file):
    with pytest.raises(InputError, match="found a folder"):
        watch_file(tmp_path)
    with file.open("wb") as huge:
        huge.truncate(21_000_000)
    (event,) = watch_file(file).poll()
    assert isinstance(event, WatchTrouble)
    assert "at most 20 MB" in event.message


def test_a_row_waits_in_the_tray_until_somebody_says_what_was_changed(file):
    file.write_text(HEAD + ONE + TWO)
    watch = watch_file(file)
    tray = WaitingRows().after(watch.poll())
    assert [row.key for row in tray.rows] == ["7", "8"]
    first = tray.rows[0]
    assert run_from(SHEET, next_entry(SHEET), cells_of(SHEET, first)[0]) is None
    assert cells_of(SHEET, first)[1] == ("yaw [deg]",)
    entry = parse_entry_line(SHEET, entry_from_row(SHEET, next_entry(SHEET), first), "wing 4", figures=False)
    sheet = SHEET.appended(entry.cells)
    assert sheet.cells("7") == {
        "run": "7",
        "configuration": "base",
        "wing_angle": "4",
        "front_lift": "-96",
        "rear_lift": "-214",
        "drag": "1180",
        "note": "",
    }
    tray = tray.without(first)
    file.write_text(HEAD + ONE.replace("1180", "1190") + TWO.replace("1181", "1191"))
    tray = tray.after(watch.poll())
    assert [row.cells["drag [N]"] for row in tray.rows] == ["1191"]
    assert [event.differs for event in tray.corrections] == [(("drag [N]", "1180", "1190"),)]
    assert tray.without(tray.corrections[0].row).corrections == ()


def test_a_row_that_says_everything_is_settled_and_a_taken_label_is_not_used(file):
    file.write_text(
        "run,configuration,wing_angle [deg],front_lift [N],rear_lift [N],drag [N]\n1,wing,4,1,2,1100\n"
    )
    row = watch_file(file).poll()[0].row
    entry = run_from(SHEET, next_entry(SHEET), cells_of(SHEET, row)[0])
    assert (entry.cells["run"], entry.cells["configuration"]) == ("2", "wing")


def test_other_names_are_taken_as_somebody_has_said(file):
    file.write_text("Run;Lift FA (N);Lift RA (N);Drag (N)\n7;-96;-214;1180\n")
    (event,) = watch_file(file).poll()
    assert event.row.key == "7"
    called = {
        "front_lift": FileColumn(header="Lift FA (N)", unit="N", positive="up"),
        "rear_lift": FileColumn(header="Lift RA (N)", unit="N", positive="up"),
        "drag": FileColumn(header="Drag (N)", unit="N", positive="rearward"),
        "run": FileColumn(header="Run"),
    }
    cells, others = cells_of(SHEET, event.row, called)
    assert (cells, others) == ({"run": "7", "front_lift": "-96", "rear_lift": "-214", "drag": "1180"}, ())
    assert entry_from_row(SHEET, next_entry(SHEET), event.row, called).cells["run"] == "7"


ROWS = st.lists(
    st.tuples(*[st.integers(-9999, 9999)] * 3, st.text('ab,"\n é', max_size=6)), min_size=1, max_size=6
)


@given(rows=ROWS, cuts=st.lists(st.floats(0, 1), max_size=8))
def test_however_a_file_grows_each_row_is_told_once_and_whole(tmp_path_factory, rows, cuts):
    """Whatever the moment of a look, in the middle of a number or of a letter: no row twice, none half."""
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(["run", "front_lift [N]", "rear_lift [N]", "drag [N]", "remark"])
    for number, row in enumerate(rows):
        table.writerow([number, *row])
    raw = out.getvalue().encode()
    file = tmp_path_factory.mktemp("watch") / "facility.csv"
    watch = watch_file(file)
    told = []
    for cut in [*sorted(cuts), 1.0]:
        file.write_bytes(raw[: int(cut * len(raw))])
        told.extend(watch.poll())
    assert kinds(told) == ["NewRow"] * len(rows)
    assert [
        tuple(int(event.row.cells[name]) for name in ("front_lift [N]", "rear_lift [N]", "drag [N]"))
        for event in told
    ] == [row[:3] for row in rows]
    assert [event.row.cells["remark"] for event in told] == [" ".join(row[3].split()) for row in rows]


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (
            "run,front_lift [lbf],rear_lift [N],drag [N]",
            "facility.csv: found the column 'front_lift [lbf]', expected 'front_lift [N]' as in runs.csv; let both have one unit",
        ),
        (
            "run,front_downforce [N],rear_lift [N],drag [N]",
            "facility.csv: found no column 'front_lift [N]', expected one, name, sign and unit as in runs.csv; there: run, front_downforce [N], rear_lift [N], drag [N]",
        ),
    ],
)
def test_another_unit_or_sign_is_never_converted_unseen(file, head, words):
    file.write_text(f"{head}\n7,1,2,3\n")
    row = watch_file(file).poll()[0].row
    with pytest.raises(InputError) as caught:
        cells_of(SHEET, row)
    assert str(caught.value) == words


FITTED = sheet_from(
    "run,configuration,wing_angle [deg],gurney [mm],vents,front_lift [N],rear_lift [N],drag [N]\n"
    "1,wing,6,20,open,84,-260,1150\n"
)


@pytest.mark.parametrize("blank", ["", "off", "none", "-", "\N{EN DASH}", "Off"])
def test_a_blank_setting_is_not_fitted_and_never_the_value_of_the_row_before(file, blank):
    file.write_text(
        "run,configuration,wing_angle [deg],gurney [mm],vents,front_lift [N],rear_lift [N],drag [N]\n"
        f"2,all wing off,{blank},{blank},{blank},90,250,1100\n"
    )
    (event,) = watch_file(file).poll()
    entry = entry_from_row(FITTED, next_entry(FITTED), event.row)
    assert {name: entry.cells[name] for name in ("wing_angle", "gurney", "vents")} == dict.fromkeys(
        ("wing_angle", "gurney", "vents"), ""
    )
    run = FITTED.appended(entry.cells).runs[-1]
    assert run.settings == {}


@pytest.mark.parametrize("blank", ["off", "none", "-"])
def test_the_same_words_take_a_part_off_in_a_line_and_in_a_form(blank):
    line = f"90 250 1100 wing {blank} gurney {blank} vents {blank} configuration bare"
    typed = parse_entry_line(FITTED, next_entry(FITTED), line)
    assert FITTED.appended(typed.cells).runs[-1].settings == {}
    fields = {"wing_angle": blank, "gurney": blank, "vents": blank}
    form = next_entry(FITTED).with_cells(FITTED.as_fitted(fields))
    assert {name: form.cells[name] for name in fields} == dict.fromkeys(fields, "")
