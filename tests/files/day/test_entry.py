"""One line typed at the desk: figures, then what was changed; every slip in the words of what was typed."""

import pytest

from balance.files.day.entry_line import column_called, parse_entry_line
from balance.files.day.run_entry import (
    changes_of,
    configurations_in_use,
    next_block,
    next_entry,
    next_label,
    unfilled,
)
from balance.files.day.run_sheet import sheet_from
from balance.model.errors import InputError

HEAD = "run,configuration,wing_angle [deg],flap_height [mm],flap_length [mm],vents,speed [km/h],block,operator,baseline,front_lift [N],rear_lift [N],drag [N],note"
SHEET = sheet_from(
    f"{HEAD}\n1,base,,,,,160,,A,,84,260,1150,zeroed\n2,splitter and wing,8,10,,open,160,,A,1,-90,-200,870,\n"
)


def typed(line, **options):
    return parse_entry_line(SHEET, next_entry(SHEET), line, **options)


def test_figures_stand_in_the_order_of_the_file_and_changes_behind_them():
    entry = typed("-96 -214 873 wing 4 flap_h off")
    cells = {name: text for name, text in entry.cells.items() if text}
    assert cells == {
        "run": "3", "configuration": "splitter and wing", "wing_angle": "4", "vents": "open", "operator": "A",
        "front_lift": "-96", "rear_lift": "-214", "drag": "873",
    }  # fmt: skip
    assert changes_of(SHEET, entry) == (("wing_angle", "8", "4"), ("flap_height", "10", ""))
    assert unfilled(SHEET, entry) == ("speed",)
    assert SHEET.appended(entry.cells).runs[2].reading.drag == 873.0


def test_texts_of_several_words_labels_and_remarks():
    entry = typed('−96 -214 +873 WING 4.5 conf "track, \'final\'" run 12A note "tufts reversed" vents closed')
    assert entry.cells["front_lift"] == "-96"
    assert [entry.cells[name] for name in ("configuration", "run", "note", "vents", "wing_angle")] == [
        "track, 'final'", "12A", "tufts reversed", "closed", "4.5",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "cells"),
    [
        ("1 2 3 conf splitter and wing wing 4", ("splitter and wing", "4")),
        ("1 2 3 wing 4 conf splitter and wing", ("splitter and wing", "4")),
        ("1 2 3 conf splitter wing 4", ("splitter", "4")),
    ],
)
def test_a_name_in_use_needs_no_quotation_marks(line, cells):
    entry = typed(line)
    assert (entry.cells["configuration"], entry.cells["wing_angle"]) == cells


@pytest.mark.parametrize(
    ("line", "mend"),
    [
        ("1 2 3 conf track final wing 4", 'conf "track final"'),
        ("1 2 3 note tufts off", 'note "tufts off"'),
        ("1 2 3 note new drag", 'note "new drag"'),
        (
            "1 2 3 conf splitter and wing 4",
            'conf "splitter and"',
        ),  # the name in use leaves 4 without a column
        ("1 2 3 note {x} y", 'note "{x} y"'),
    ],
)
def test_a_text_that_goes_on_says_that_it_needs_quotation_marks(line, mend):
    with pytest.raises(InputError, match="a text of several words stands in quotation marks: ") as fault:
        typed(line)
    assert str(fault.value).endswith(mend)


@pytest.mark.parametrize("line", ['1 2 3 note "tufts" off', "1 2 3 wing 4 5", "1 2 3 wig 4"])
def test_a_text_that_ended_says_nothing_of_marks(line):
    with pytest.raises(InputError) as fault:
        typed(line)
    assert "quotation" not in str(fault.value)


def test_repeat_means_that_nothing_was_changed():
    for line in ("-96 -214 873 repeat", "repeat -96 -214 873", "-96 -214 873 repeat speed 158"):
        assert changes_of(SHEET, typed(line)) == ()


def test_changes_alone_where_the_figures_are_known():
    assert typed("wing 2", figures=False).cells["wing_angle"] == "2"
    assert "drag" not in typed("repeat", figures=False).cells


def test_a_reading_is_a_column_like_any_other_where_the_figures_are_known():
    entry = typed("front_lift -9.6 dr 871 wing off", figures=False)
    assert [entry.cells[name] for name in ("front_lift", "drag", "wing_angle")] == ["-9.6", "871", ""]
    with pytest.raises(InputError, match=r"drag \[N\]: found '8,7', expected a number"):
        typed("drag 8,7", figures=False)
    with pytest.raises(InputError, match="expected one of: front_lift, rear_lift, drag, wing_angle"):
        typed("lift -9.6", figures=False)
    with pytest.raises(InputError, match="found 'drag', expected one of: wing_angle"):
        typed("84 260 1150 drag 871")


WRONG = [
    ("", "found no figures before the end, expected 3: front_lift [N], rear_lift [N], drag [N]"),
    ("-96 -214", "found 2 figures before the end, expected 3: front_lift [N], rear_lift [N], drag [N]"),
    ("-96 wing 4", "found 1 figure before 'wing', expected 3: front_lift [N], rear_lift [N], drag [N]"),
    ("-96 -214 873 12 wing 4", "found one figure too many, '12', expected 3 (front_lift [N], rear_lift [N], drag [N]) and then the name of what was changed"),
    ("-96 -214 873", "found no change against run 2, expected a setting and its figure; write 'repeat' if the same was run again"),
    ("-96 -214 873 wing 8", "found no change against run 2, expected a setting and its figure; write 'repeat' if the same was run again"),
    ("-96 -214 873 repeat wing 4", "found 'repeat' and a change of wing_angle against run 2, expected one of them; 'repeat' means that nothing was changed"),
    ("-96 -214 873 wing", "wing_angle: found nothing behind it, expected a figure in deg, or 'off'"),
    ("-96 -214 873 note", "note: found nothing behind it, expected a text"),
    ("-96 -214 873 flap 3", "'flap': found flap_height and flap_length, expected one; type more of it"),
    ("-96 -214 873 vingar 3", "found 'vingar', expected one of: wing_angle, flap_height, flap_length, vents, run, configuration, speed, block, operator, baseline, note; a new setting needs a column of its own first"),
    ("-96 -214 873 wing_angl3 3", "found 'wing_angl3', expected one of: wing_angle, flap_height, flap_length, vents, run, configuration, speed, block, operator, baseline, note; did you mean 'wing_angle'?"),
    ("-96 -214 873 wing 4 wing 5", "wing_angle: found it twice, expected it once"),
    ("-96 -214 873 wing 4deg", "wing_angle [deg]: found '4deg', expected a number; write the figure alone, in the unit of its column"),
    ("-96 -214 873 wing four", "wing_angle [deg]: found 'four', expected a number; write the figure alone, in the unit of its column"),
    ("-96,5 -214 873 wing 4", "front_lift [N]: found '-96,5', expected a number; a comma for a point? write '-96.5'"),
    ("-96N -214 873 wing 4", "front_lift [N]: found '-96N', expected a number; write the figure alone, in the unit of its column"),
    ('-96 -214 873 note "tufts', 'found a quotation mark that is never closed, expected one at each end of a text: note "tufts off"'),
    ("-96 -214 873 vents \x1b[2J", "vents: found '\\x1b[2J', expected text without control characters; type it again"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "words"), WRONG)
def test_every_slip_is_told_in_the_words_of_what_was_typed(line, words):
    with pytest.raises(InputError) as caught:
        typed(line)
    assert str(caught.value) == words


def test_the_first_run_of_a_day_needs_no_change():
    sheet = sheet_from(HEAD)
    entry = parse_entry_line(sheet, next_entry(sheet), "84 260 1150 conf base")
    assert sheet.appended(entry.cells).runs[0].configuration == "base"
    assert entry.cells["run"] == "1"


def test_an_exact_name_stands_before_a_beginning_and_settings_before_the_rest():
    sheet = sheet_from("run,configuration,no,nose [mm],r [mm],front_lift [N],rear_lift [N],drag [N],note\n")
    assert [column_called(sheet, name) for name in ("no", "nos", "r", "not", "ru")] == [
        "no",
        "nose",
        "r",
        "note",
        "run",
    ]


LABELS = [("7", "8"), ("09", "10"), ("R12", "R13"), ("12A", "13A"), ("final", "final-2"), ("9" * 40, None)]


@pytest.mark.parametrize(("last", "label"), LABELS)
def test_the_next_label_follows_the_last(last, label):
    sheet = sheet_from(f"run,configuration,front_lift [N],rear_lift [N],drag [N]\n{last},a,1,2,3\n")
    assert next_label(sheet) == label or (label is None and next_label(sheet) not in sheet.labels)


def test_a_label_that_is_taken_is_passed_over():
    sheet = sheet_from("run,configuration,front_lift [N],rear_lift [N],drag [N]\n2,a,1,2,3\n1,a,1,2,3\n")
    assert next_label(sheet) == "3"


def test_a_run_starts_from_any_run_and_passes_void_ones_over():
    sheet = SHEET.changed({"2": {"status": "void", "reason": "gust"}})
    assert next_entry(sheet).start == "1"
    again = next_entry(sheet, start="2", block=next_block(sheet))
    assert (again.cells["wing_angle"], again.cells["block"], again.cells["run"]) == ("8", "2", "3")
    assert "baseline" not in again.cells
    assert "note" not in again.cells


def test_a_configuration_is_completed_from_those_in_use():
    assert configurations_in_use(SHEET) == ("splitter and wing", "base")
    assert configurations_in_use(SHEET, "ba") == ("base",)
    assert configurations_in_use(SHEET, "WING") == ("splitter and wing",)


def test_a_remark_needs_no_column_yet():
    sheet = sheet_from("run,configuration,front_lift [N],rear_lift [N],drag [N]\n1,base,84,260,1150\n")
    entry = parse_entry_line(sheet, next_entry(sheet), '80 262 1152 repeat note "tufts on" block 2')
    after = sheet.appended(entry.cells)
    assert (after.cells("2")["note"], after.cells("2")["block"]) == ("tufts on", "2")
