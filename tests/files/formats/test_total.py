"""A total in runs.csv: never needed, taken over from a watched file, and held against the axles wherever a run comes from."""

import pytest

from balance.decide.doubts.entry_doubts import entry_doubts
from balance.files.day.entry_line import parse_entry_line
from balance.files.day.opening import open_day
from balance.files.day.run_entry import next_entry, unfilled
from balance.files.day.run_sheet import sheet_from
from balance.files.tables.header.mapping import column_of
from balance.files.tables.header.understood import table_of
from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.rows.sheet_rows import entry_from_row, total_fault
from balance.files.tables.watch.file_watch import WatchedRow
from balance.model.errors import InputError
from balance.tell.runs.doubt_words import doubt_words
from tests.small_session import SESSION
from tui.host.typed_run import TypedRun

TEXT = (
    "run,configuration,vents,front_lift [N],rear_lift [N],drag [N],total_lift [N]\n"
    "1,base,off,84,260,1150,344\n2,base,open,86,261,1151,347\n"
)
SHEET = sheet_from(TEXT, file_format=2)


def row(**cells):
    there = {"run": "9", "front_lift [N]": "90", "rear_lift [N]": "250", "drag [N]": "1149", **cells}
    return WatchedRow(file="theirs.csv", key="9", line=7, cells=there)


def test_a_total_is_read_as_downforce_and_told_with_its_own_sign():
    assert [run.total for run in SHEET.runs] == [-344.0, -347.0]
    assert (SHEET.total.name, SHEET.total.unit, SHEET.total.positive_up) == ("total_lift", "N", True)
    assert SHEET.force_columns == tuple(plan for plan in SHEET.plans if plan.channel)


def test_a_run_may_be_without_its_total():
    entry = parse_entry_line(SHEET, next_entry(SHEET), "85 262 1148 repeat")
    assert unfilled(SHEET, entry) == ("total_lift",)
    assert SHEET.appended(entry.cells).runs[-1].total is None
    typed = parse_entry_line(SHEET, next_entry(SHEET), "85 262 1148 total_lift 347 repeat")
    assert SHEET.appended(typed.cells).runs[-1].total == -347.0
    with pytest.raises(InputError, match="expected a number"):
        parse_entry_line(SHEET, next_entry(SHEET), "85 262 1148 total_lift much repeat")


def test_a_total_is_asked_for_with_speed_and_air():
    names = [name for name, _ in TypedRun(sheet=SHEET).columns]
    assert names.index("configuration") < names.index("total_lift") < names.index("run")


@pytest.mark.parametrize(
    ("total", "fault"), [("340", False), ("-340", True), ("400", True), ("", False), ("n/a", False)]
)
def test_a_watched_row_with_a_column_of_the_sheet_is_held_against_its_axles(total, fault):
    with_total = row(**{"total_lift [N]": total})
    said = total_fault(SHEET, with_total)
    assert bool(said) is fault
    if fault:
        assert said.startswith("front -90 and rear -250, but 'total_lift' says ")
    entry = entry_from_row(SHEET, next_entry(SHEET), with_total)
    assert entry.cells.get("total_lift", "") == (total if total != "n/a" else "")


def test_a_total_of_another_name_and_sign_is_turned():
    plan = SHEET.plan("total_lift")
    found = column_of(
        plan, "Total downforce [N]", table_of(["Total downforce [N]"]), ["-340"], ImportOptions()
    )
    assert (found.unit, found.positive, found.sign_reversed(plan)) == ("N", "down", True)
    theirs = row(**{"Total downforce [N]": "-340"})
    called = {"total_lift": found}
    assert entry_from_row(SHEET, next_entry(SHEET), theirs, called).cells["total_lift"] == "340"
    assert total_fault(SHEET, theirs, called) == ""
    assert "says 340 N" in total_fault(SHEET, row(**{"Total downforce [N]": "340"}), called)


def test_a_coefficient_cannot_be_the_total_of_forces():
    with pytest.raises(InputError, match="found a coefficient under 'CL', expected a force"):
        column_of(SHEET.plan("total_lift"), "CL", table_of(["CL"]), ["0.2"], ImportOptions())


def test_a_typed_run_is_held_against_its_total_before_it_is_saved(desk):
    desk.write(session=f"format = 2\n{SESSION}", runs=TEXT)
    with open_day(desk.session) as day:
        cells = {"run": "3", "configuration": "base", "front_lift": "85", "rear_lift": "262", "drag": "1150"}
        for total, kinds in (("347", set()), ("-347", {"total"})):
            before = day.preview(day.sheet.appended({**cells, "total_lift": total}))
            doubts = [doubt for doubt in entry_doubts(before, "3") if doubt.kind == "total"]
            assert {doubt.kind for doubt in doubts} == kinds
        assert doubt_words(doubts[0]) == (
            "run 3: front −85 N and rear −262 N, but the total says 347 N (downforce positive): "
            "is a sign or a column mixed up?"
        )


def test_a_word_for_nothing_fitted_is_no_change_against_a_blank():
    assert SHEET.cells("1")["vents"] == ""
    assert next_entry(SHEET, start="1").cells["vents"] == ""
    assert SHEET.runs[0].settings == {}
    corrected = SHEET.changed({"1": {"drag": "1155"}})
    assert corrected.text.splitlines()[1] == "1,base,off,84,260,1155,344"
    assert sheet_from(TEXT).cells("1")["vents"] == "off"
