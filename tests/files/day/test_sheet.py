"""runs.csv is written so that what was not touched stays to the last byte, and what was typed is read back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.day.run_sheet import edit_run, mark_runs, move_baseline, sheet_from, start_block
from balance.model.errors import FileFaults, InputError, UnknownName

TEXT = (
    "\ufeff\r\n"
    'run,"configuration",front_lift [lbf],rear_lift [lbf],drag [lbf],wing_angle [deg],note, ,vents\r\n'
    '1,"base",84.0,  260,+1150,,"pads ""zeroed"",\r\ntwice",,\r\n'
    " , ,,,,,,,\r\n"
    "\r\n"
    "2, wing ,-1.40e1,−275,1162.50,5,,,open\r\n"
    "3,wing,-15,-276,1163,5.0,,,\r\n"
    "\r\n"
)


def untouched(old, new, labels=()):
    """Every row of both sheets but the named ones, to the last byte."""
    kept = [(label, row) for label, row in zip(old.labels, old.rows, strict=True) if label not in labels]
    for label, row in kept:
        now = new.rows[new.position(label)]
        assert (now.before, now.raw) == (row.before, row.raw)
    assert (new.header.before, new.tail) == (old.header.before, old.tail)


def test_a_sheet_holds_every_byte_of_its_file():
    sheet = sheet_from(TEXT)
    assert "".join(row.before + row.raw for row in (sheet.header, *sheet.rows)) + sheet.tail == TEXT
    assert sheet.labels == ("1", "2", "3")
    assert sheet.cells("2")["rear_lift"] == "−275"


def test_only_the_changed_row_is_written_anew():
    old = sheet_from(TEXT)
    new = old.changed({"2": {"drag": "1161.5"}})
    untouched(old, new, ["2"])
    assert new.text == TEXT.replace("1162.50", "1161.5")
    assert new.runs[1].reading.drag == pytest.approx(1161.5 * 4.4482216152605, rel=1e-15)


def test_the_same_text_again_changes_no_byte():
    sheet = sheet_from(TEXT)
    assert sheet.changed({"1": sheet.cells("1")}).text == TEXT
    assert sheet.changed({"3": {"wing_angle": "5.0"}}).text == TEXT


def test_a_run_is_added_with_the_line_ends_of_the_file():
    old = sheet_from(TEXT)
    new = old.appended(
        {"run": "4", "configuration": "a, b", "front_lift": "1", "rear_lift": "2", "drag": "3"}
    )
    untouched(old, new)
    assert new.text == TEXT.removesuffix("\r\n") + '4,"a, b",1,2,3,,,,\r\n\r\n'


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", [True, False])
def test_a_file_with_or_without_a_last_line_end_takes_a_run(end, last):
    text = end.join(["run,configuration,front_lift [N],rear_lift [N],drag [N]", "1,a,1,2,3"]) + end * last
    new = sheet_from(text).appended(
        {"run": "2", "configuration": "b", "front_lift": "1", "rear_lift": "2", "drag": "3"}
    )
    assert new.text == text + end * (not last) + "2,b,1,2,3" + end


def test_a_sheet_without_runs_takes_the_first():
    sheet = sheet_from("run,configuration,front_lift [N],rear_lift [N],drag [N]")
    assert sheet.runs == ()
    new = sheet.appended({"run": "1", "configuration": "b", "front_lift": "1", "rear_lift": "2", "drag": "3"})
    assert new.text.splitlines()[1] == "1,b,1,2,3"


OFF = "run,configuration,front_lift [N],rear_lift [N],drag [N],vents\n1,base,84,260,1150,off\n"


@pytest.mark.parametrize(("file_format", "written"), [(1, "off"), (2, "")])
def test_off_is_a_value_in_an_older_day_that_has_it_already(file_format, written):
    # what the next run takes over is the same car, so its cell says the same
    sheet = sheet_from(OFF, file_format=file_format)
    taken_over = {**sheet.cells("1"), "run": "2"}
    row = sheet.appended(taken_over).rows[-1]
    assert row.cells[-1].strip() == written
    never_said = sheet_from(OFF.replace("off", "open"), file_format=file_format)
    assert never_said.appended({**taken_over, "vents": "off"}).rows[-1].cells[-1].strip() == ""


def test_a_new_column_is_appended_and_rows_keep_what_they_have():
    old = sheet_from(TEXT)
    new = old.with_columns(["flap, gurney [mm]"])
    assert new.text.count(",\r\n") == TEXT.count(",\r\n") + 1  # run 2 ended in a word before
    for before, now in zip(old.rows, new.rows, strict=True):
        assert now.raw == before.raw.removesuffix("\r\n") + ",\r\n"
    assert new.header.raw == old.header.raw.removesuffix("\r\n") + ',"flap, gurney [mm]"\r\n'
    assert new.plan("flap, gurney").unit == "mm"


def test_marks_append_their_columns_and_need_a_reason():
    sheet = sheet_from(TEXT)
    new = mark_runs(sheet, ["2", "3"], "void", "a lace was loose")
    assert [run.status for run in new.runs] == ["good", "void", "void"]
    assert new.runs[1].reason == "a lace was loose"
    assert mark_runs(new, ["2"], "good").runs[1].status == "good"
    assert mark_runs(sheet, ["2"], "good").text == TEXT
    with pytest.raises(
        InputError, match=r"^reason: found nothing, expected why the run is suspect; a word will do$"
    ):
        mark_runs(sheet, ["2"], "suspect", "  ")


def test_a_new_label_is_followed_where_it_is_named():
    sheet = move_baseline(sheet_from(TEXT), ["2", "3"], "1")
    assert [run.baseline for run in edit_run(sheet, "1", {"run": "1A"}).runs] == [None, "1A", "1A"]
    assert [run.baseline for run in move_baseline(sheet, ["3"], None).runs] == [None, "1", None]
    with pytest.raises(UnknownName):
        move_baseline(sheet, ["2"], "9")


def test_a_block_begins_at_a_run_and_goes_as_far_as_the_old_one():
    sheet = start_block(sheet_from(TEXT), "3", "am")
    sheet = start_block(sheet, "1", "after re-zero")
    assert [run.block for run in sheet.runs] == ["after re-zero", "after re-zero", "am"]
    with pytest.raises(InputError, match="there already"):
        start_block(sheet, "2", "am")


REFUSED = [
    ({"2": {"drag": "none"}}, FileFaults, "found 'none', expected a number"),
    ({"2": {"run": "1"}}, FileFaults, "a label of its own for each run"),
    ({"9": {"drag": "1"}}, UnknownName, "run: found '9'"),
    ({"2": {"drg": "1"}}, UnknownName, "did you mean 'drag'"),
    ({"2": {"drg": ""}}, UnknownName, "did you mean 'drag'"),
    (
        {"2": {"configuration": "wing\x1b[2J"}},
        InputError,
        r"configuration: found 'wing\x1b[2J', expected text without",
    ),
    ({"2": {"configuration": "\u202ewing"}}, InputError, "control characters"),
    ({"2": {"configuration": ""}}, FileFaults, "found an empty cell"),
]


@pytest.mark.parametrize(("changes", "error", "words"), REFUSED)
def test_what_would_not_be_read_is_refused(changes, error, words):
    with pytest.raises(error) as caught:
        sheet_from(TEXT).changed(changes)
    assert words in str(caught.value)
    assert str(caught.value).replace("\n", "").isprintable()


TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
NUMBERS = st.floats(-9e3, 9e3).map(repr)
CELLS = st.fixed_dictionaries(
    {"configuration": TEXTS, "front_lift": NUMBERS, "rear_lift": NUMBERS, "drag": NUMBERS},
    optional={"note": TEXTS, "vents": TEXTS, "wing_angle": st.none() | NUMBERS, "reason": TEXTS},
)


def tried(sheet, label, added, cells):
    try:
        return (
            sheet.appended({"run": added, **cells}) if label == " " else sheet.changed({label: cells})
        ), ""
    except InputError as error:
        return None, str(error)


@given(st.lists(st.tuples(st.sampled_from("123 "), CELLS), max_size=4))
def test_whatever_is_typed_is_read_back_or_refused_in_words(edits):
    """A changed run, or an added one where the label is a blank: the cells, and in SI the figures to the last digit."""
    sheet = sheet_from(TEXT)
    for label, cells in edits:
        typed = {name: text or "" for name, text in cells.items()}
        added = f"{len(sheet.runs) + 1}"
        new, words = tried(sheet, label, added, typed)
        if new is None:
            assert words.replace("\n", "").isprintable()
            continue
        at = added if label == " " else label
        again = sheet_from(new.text.encode().decode())
        assert again == new
        run = again.runs[again.position(at)]
        assert run.reading.drag == float(typed["drag"]) * 4.4482216152605
        assert again.cells(at)["front_lift"] == typed["front_lift"]
        for name, text in typed.items():
            assert again.cells(at).get(name, "") == " ".join(text.split())
        untouched(sheet, new, [at]) if len(new.header.cells) == len(sheet.header.cells) else None
        assert not any(ord(c) < 32 and c not in "\r\n" for c in new.text)
        sheet = new
