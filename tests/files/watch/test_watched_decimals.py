"""Figures of a watched file with a decimal comma, thousands and other signs: read where they say it, else asked about."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.day.run_entry import next_entry
from balance.files.day.run_sheet import sheet_from
from balance.files.tables.header.file_column import FileColumn
from balance.files.tables.importing.plan import Question
from balance.files.tables.importing.planning import plan_import
from balance.files.tables.rows.sheet_rows import (
    cells_of,
    corrected_cells,
    entry_from_row,
    mark_of,
    row_faults,
)
from balance.files.tables.watch.file_watch import WatchedRow, watch_file
from balance.model.errors import InputError
from tests.small_session import VEHICLE

NAMES = ("front_lift [N]", "rear_lift [N]", "drag [N]")
HEAD = ("run", "configuration", *NAMES, "speed [km/h]")
SHEET = sheet_from(
    "run,configuration,wing_angle [deg],flap,front_lift [N],rear_lift [N],drag [N],speed [km/h],note\n"
    "1,base,2,off,84,260,1150,160,\n"
)


def rows_of(tmp_path, *lines, mark=";"):
    file = tmp_path / "facility.csv"
    file.write_text("".join(f"{line}\n" for line in (mark.join(HEAD), *lines)), encoding="utf-8")
    watch = watch_file(file)
    return [event.row for event in watch.poll()], watch


def row(**cells):
    return WatchedRow(file="f.csv", key="7", line=4, cells=dict.fromkeys(NAMES, "1") | cells)


def figures(row, decimal):
    cells, _ = cells_of(SHEET, row, {}, decimal)
    return [cells[name] for name in ("front_lift", "rear_lift", "drag")]


@pytest.mark.parametrize(
    ("line", "mark", "read"),
    [
        ("-96,4;214,2;873", "comma", ["-96.4", "214.2", "873"]),
        ("-96.4;214.2;873", "point", ["-96.4", "214.2", "873"]),
        ("-96;214;873", "point", ["-96", "214", "873"]),
        ("-96;1.162,50;873", "comma", ["-96", "1162.50", "873"]),
        ("-96;1,162.50;873", "point", ["-96", "1162.50", "873"]),
        ("-96;1'162.5;1’162", "point", ["-96", "1162.5", "1162"]),
        ("-96;1 162,5;1\u00a0162", "comma", ["-96", "1162.5", "1162"]),
        ("\u221296,4;(214,2);873-", "comma", ["-96.4", "-214.2", "-873"]),
        ("-0,112;1,162;0,4", "comma", ["-0.112", "1.162", "0.4"]),
        ("1.162;2.162.500;873", "comma", ["1162", "2162500", "873"]),
    ],
)
@pytest.mark.parametrize("parted_by", [";", "\t"])
def test_figures_that_can_be_read_in_one_way_only_are_read_so(tmp_path, parted_by, line, mark, read):
    line = f"7;flap;{line};160".replace(";", parted_by)
    (found,), watch = rows_of(tmp_path, line, mark=parted_by)
    assert mark_of(SHEET, watch.header, watch.rows) == mark
    assert row_faults(SHEET, found, {}, mark) == ()
    assert figures(found, mark) == read


@pytest.mark.parametrize("lines", [("7;flap;-96;214;1,162;160",), ("7;flap;-96;214;1,5;160", "8;flap;-96;214;1.5;160"),
                                   ("7;flap;1.162;214;873;160",)])  # fmt: skip
def test_what_is_open_is_asked_in_the_words_of_an_import(tmp_path, lines):
    _, watch = rows_of(tmp_path, *lines)
    asked = mark_of(SHEET, watch.header, watch.rows)
    car = tmp_path / "vehicle.toml"
    car.write_text(VEHICLE, encoding="utf-8")
    plan = plan_import(tmp_path / "facility.csv", vehicle=car)
    assert isinstance(asked, Question)
    assert asked in plan.questions
    for said in ("point", "comma"):
        assert mark_of(SHEET, watch.header, watch.rows, decimal=said) == said


def test_a_row_that_comes_later_settles_what_was_open(tmp_path):
    (first,), watch = rows_of(tmp_path, "7;flap;-96;214;1,162;160")
    assert isinstance(mark_of(SHEET, watch.header, watch.rows), Question)
    with watch.path.open("a", encoding="utf-8") as more:
        more.write("8;flap;84,5;214;873;160\n")
    watch.poll()
    assert mark_of(SHEET, watch.header, watch.rows) == "comma"
    assert figures(first, "comma") == ["-96", "214", "1.162"]


def test_words_and_columns_of_text_say_nothing_and_stay_as_they_are():
    header = (*NAMES, "note", "date", "wing_angle [deg]", "flap")
    found = WatchedRow(
        file="f.csv",
        key="7",
        line=2,
        cells=dict(zip(header, ("-96", "214", "873", "1,5 turns", "1.2.2031", "2,5", "a, b"), strict=True)),
    )
    assert mark_of(SHEET, header, [found]) == "comma"  # 2,5 of the wing alone
    cells, _ = cells_of(SHEET, found, {}, "comma")
    assert (cells["note"], cells["wing_angle"], cells["flap"]) == ("1,5 turns", "2.5", "a, b")


@pytest.mark.parametrize(
    ("cell", "mark", "found"),
    [
        ("84.5", "comma", "'84.5'"),
        ("84,5", "point", "'84,5'"),
        ("err", "point", "'err'"),
        ("", "point", "an empty cell"),
        ("-", "comma", "'-'"),
        ("1.16.2", "point", "'1.16.2'"),
    ],
)
def test_a_figure_that_cannot_be_read_is_left_empty_and_said_with_row_and_column(cell, mark, found):
    bad = row(**{"rear_lift [N]": cell})
    assert row_faults(SHEET, bad, {}, mark) == (
        f"f.csv:4, row 7: found {found} under 'rear_lift [N]', expected a number with a decimal {mark}",
    )
    assert figures(bad, mark) == ["1", "", "1"]
    assert "rear_lift" not in {
        k for k, v in entry_from_row(SHEET, next_entry(SHEET), bad, {}, mark).cells.items() if v
    }
    with pytest.raises(InputError, match="expected a number with a decimal"):
        corrected_cells(SHEET, bad, {}, mark)


def test_air_that_is_missing_is_left_to_the_facility_and_a_setting_that_is_none_is_said():
    assert row_faults(SHEET, row(**{"speed [km/h]": "n/a", "wing_angle [deg]": ""}), {}, "comma") == ()
    assert cells_of(SHEET, row(**{"speed [km/h]": "n/a"}), {}, "comma")[0]["speed"] == ""
    (fault,) = row_faults(SHEET, row(**{"wing_angle [deg]": "n/a"}), {}, "comma")
    assert "found 'n/a' under 'wing_angle [deg]'" in fault


def test_a_decimal_comma_goes_before_unit_and_sign():
    found = WatchedRow(file="f.csv", key="7", line=2, cells={"A": "(96,4)", "B": "214,2", "C": "1.180,5"})
    called = {
        "front_lift": FileColumn(header="A", unit="N", positive="down"),
        "rear_lift": FileColumn(header="B", unit="daN", positive="up"),
        "drag": FileColumn(header="C", unit="N", positive="forward"),
    }
    cells, _ = cells_of(SHEET, found, called, "comma")
    # daN to N moves the point by one digit
    assert [Decimal(cells[name]) for name in ("front_lift", "rear_lift", "drag")] == [
        Decimal("96.4"), Decimal(2142), Decimal("-1180.5"),
    ]  # fmt: skip


def test_decimal_commas_between_commas_are_said_and_no_cell_is_lost(tmp_path):
    lines = ("7,flap,-96,4.5,214,2,873,160", "8,flap,-96,214,873,160,,", '9,flap,"-96,4","214,2",873,160')
    (bad, good, quoted), watch = rows_of(tmp_path, *lines, mark=",")
    assert row_faults(SHEET, bad, {}, "point") == (
        "facility.csv:2, row 7: found 8 cells, expected 6 as in the header (a separator inside a cell, as a decimal comma between commas?)",
    )
    assert list(bad.cells.values()) == lines[0].split(",")
    assert good.beyond == quoted.beyond == ()
    assert mark_of(SHEET, watch.header, watch.rows) == "comma"
    assert figures(quoted, "comma") == ["-96.4", "214.2", "873"]
    watch.path.write_text(
        watch.path.read_text(encoding="utf-8").replace(",873,160\n8", "\n8"), encoding="utf-8"
    )
    (event,) = watch.poll()
    assert event.row.beyond == ()  # what stood beyond is seen to be gone


STYLES = st.tuples(
    st.sampled_from([".", ","]),
    st.sampled_from(["", ".", ",", "'", "\u2019", " ", "\u00a0"]),
    st.sampled_from(["-{}", "\u2212{}", "({})", "{}-", "- {}"]),
).filter(lambda style: style[0] != style[1])


def written(number, style):
    """Write a number as another program would, by a way of its own."""
    decimal, thousands, negative = style
    whole, _, rest = f"{abs(number):f}".partition(".")
    groups = [whole[max(at - 3, 0) : at] for at in range(len(whole), 0, -3)][::-1]
    text = (thousands.join(groups) if thousands else whole) + (f"{decimal}{rest}" if rest else "")
    return negative.format(text) if number < 0 else text


@given(
    numbers=st.lists(
        st.tuples(st.integers(-9_999_999, 9_999_999), st.integers(0, 4)), min_size=3, max_size=12
    ),
    style=STYLES,
)
def test_however_figures_are_written_they_are_read_as_meant_or_asked_about(tmp_path_factory, numbers, style):
    numbers = [Decimal(digits).scaleb(-places) for digits, places in numbers]
    numbers = numbers[: len(numbers) // 3 * 3]
    texts = [written(number, style) for number in numbers]
    lines = ("\t".join(("7", "a", *texts[at : at + 3], "160")) for at in range(0, len(texts), 3))
    rows, watch = rows_of(tmp_path_factory.mktemp("decimals"), *lines, mark="\t")
    meant = "point" if style[0] == "." else "comma"
    found = mark_of(SHEET, watch.header, watch.rows)
    for mark in {meant, meant if isinstance(found, Question) else found}:
        assert all(row_faults(SHEET, one, {}, mark) == () for one in rows)
        read = [Decimal(text) for one in rows for text in figures(one, mark)]
        assert read == numbers
