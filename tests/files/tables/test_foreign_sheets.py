"""XLSX sheets: titles, merged cells, numbers and their formats, several sheets."""

import contextlib
import io

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.importing.planning import plan_import
from balance.model.errors import FileFaults, UnknownName

DAY = {"speed": "160 km/h", "air_density": "1.225 kg/m^3", "forces": "as read"}
HEAD = ("Run", "Configuration", "Front lift [N]", "Rear lift [N]", "Drag [N]", "Humidity [%]")


@pytest.fixture
def planned(tmp_path, vehicle_text):
    (tmp_path / "vehicle.toml").write_text(vehicle_text, encoding="utf-8")

    def plan(book, **answers):
        source = tmp_path / "runs.xlsx"
        if isinstance(book, bytes):
            source.write_bytes(book)
        else:
            book.save(source)
        return plan_import(
            source, vehicle=tmp_path / "vehicle.toml", options=ImportOptions(**{**DAY, **answers})
        )

    return plan


def book_of(*rows, title="Runs"):
    book = Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(row)
    return book


def column(plan, name):
    return [row[plan.header.index(name)] for row in plan.rows]


def test_numbers_are_numbers_whatever_marks_the_texts_have(planned):
    plan = planned(
        book_of(HEAD, (1, "base", 84.25, 260, 1234, 55), (2.0, "wing", "−140,5", "275", "1.162,25", 55))
    )
    assert plan.ready
    assert column(plan, "run") == ["1", "2"]
    assert column(plan, "drag [N]") == ["1234", "1162.25"]
    assert column(plan, "front_lift [N]") == ["84.25", "-140.5"]


def test_formats_that_change_what_is_seen_are_followed(planned):
    book = book_of(HEAD, (12, "base", 84, 260, 1150, 0.55))
    book.active["A2"].number_format = "000"
    book.active["F2"].number_format = "0%"
    plan = planned(book)
    assert column(plan, "run") == ["012"]
    assert column(plan, "humidity [%]") == ["55"]


def test_title_rows_and_merged_cells(planned):
    book = book_of(
        ("Day in the hall", None, None, None, None),
        (None, None, "Lift", None, "Drag"),
        ("Run", "Configuration", "Front", "Rear", None),
        (None, None, "N", "N", "N"),
        (1, "base", 84, 260, 1150),
        (2, None, 85, 261, 1151),
        (3, "wing", -140, 275, 1162),
    )
    for span in ("A1:E1", "C2:D2", "B5:B6"):
        book.active.merge_cells(span)
    plan = planned(book)
    assert plan.ready
    assert column(plan, "configuration") == ["base", "base", "wing"]
    assert column(plan, "rear_lift [N]") == ["260", "261", "275"]


def test_the_sheet_with_the_runs_is_found_or_asked_for(planned):
    book = book_of(HEAD, (1, "base", 84, 260, 1150, 55))
    book.create_sheet("Notes").append(("nothing here",))
    assert planned(book).ready
    other = book.create_sheet("Runs pm")
    other.append(HEAD)
    other.append((7, "wing", -84, 260, 1150, 55))
    plan = planned(book)
    assert [(q.key, q.choices) for q in plan.questions] == [("sheet", ("Runs", "Runs pm"))]
    assert column(planned(book, sheet="Runs pm"), "run") == ["7"]
    with pytest.raises(UnknownName, match="Runs pm"):
        planned(book, sheet="Runs am")


def test_a_formula_without_a_stored_value_is_no_reading(planned):
    plan = planned(book_of(HEAD, (1, "base", 84, 260, 1150, 55), (2, "wing", "=A2*2", 260, 1150, 55)))
    assert [(d.line, d.reason) for d in plan.dropped] == [
        (3, "no front lift (a formula without a stored value)")
    ]


def test_a_formula_without_a_stored_value_is_no_setting_or_label_either(planned):
    book = book_of(
        (*HEAD, "Wing angle [deg]"),
        (1, "base", 84, 260, 1150, 55, "=5+1"),
        ("=A2+1", "wing", 84, 260, 1150, 55, 5),
    )
    plan = planned(book)
    assert [q.key for q in plan.questions if q.key.startswith("formula")] == ["formula.3", "formula.2"]
    assert "save the file from a spreadsheet program" in plan.questions[-1].option


def test_a_number_in_merged_cells_holds_for_each_row_unless_it_is_a_reading(planned):
    book = book_of(
        (*HEAD, "Wing angle [deg]"), (1, "base", 84, 260, 1150, 55, 5), (2, "base", 85, 261, 1151, 55, None),
        (3, "base", 86, 262, None, 55, 7.5), (4, "wing", 86, 262, 1152, 55, 7.5),
    )  # fmt: skip
    for span in ("G2:G3", "E3:E4"):
        book.active.merge_cells(span)
    plan = planned(book)
    assert column(plan, "wing_angle [deg]") == ["5", "5", "7.5"]
    assert [(d.line, d.reason) for d in plan.dropped] == [(4, "no drag (merged with the cell above)")]


def test_words_that_a_format_shows_belong_to_a_label_and_a_unit_is_held_against_the_header(planned):
    book = book_of(HEAD, (12, "base", 84, 260, 1150, 55), (3, "wing", 84, 260, 1151, 55))
    for cell, style in (
        ("A2", '"R"0'),
        ("A3", '00"A"'),
        ("E2", '0.0" N"'),
        ("C2", "#,##0.0_);[Red](#,##0.0)"),
    ):
        book.active[cell].number_format = style
    plan = planned(book)
    assert column(plan, "run") == ["R12", "03A"]
    assert column(plan, "drag [N]") == ["1150", "1151"]
    book.active["E3"] = 1.151
    book.active["E3"].number_format = '0.00" kN"'
    plan = planned(book)
    assert [q.key for q in plan.questions] == ["shown.3"]
    assert "'1.151 kN' stands under 'Drag [N]', which is in N" in plan.questions[0].text


def test_a_figure_of_a_later_unit_keeps_its_digits_though_a_workbook_hides_its_zeros(planned):
    plan = planned(
        book_of(
            HEAD,
            (1, "base", 8, 26, 115, 55),
            (None, None, "kN", "kN", "kN", None),
            (2, "base", 0.1, 0.3, 1.2, 55),
        )
    )
    assert float(column(plan, "drag [N]")[1]) == 1200
    book = book_of(
        [h.replace("[N]", "[kgf]") for h in HEAD],
        (1, "base", 8, 26, 115, 55),
        (None, None, "kN", "kN", "kN", None),
    )
    book.active.append((2, "base", 0.1, 0.3, 1.2, 55))
    assert float(column(planned(book), "drag [kgf]")[1]) == pytest.approx(
        1200 / 9.80665, rel=1e-6
    )  # exact by definition


def test_a_row_that_is_struck_out_is_asked_about(planned):
    book = book_of(HEAD, (1, "base", 84, 260, 1150, 55), (2, "wing", 84, 260, 1151, 55))
    for cell in book.active[3]:
        cell.font = Font(strike=True)
    assert [q.key for q in planned(book).questions] == ["void.3"]
    assert column(planned(book, void_rows=("2",)), "status") == ["", "void"]


def test_hidden_rows_are_taken_and_told_of(planned):
    book = book_of(
        HEAD, (1, "base", 84, 260, 1150, 55), (2, "wing", 84, 260, 1151, 55), (3, "wing", 84, 260, 1151, 55)
    )
    for row in (3, 4):
        book.active.row_dimensions[row].hidden = True
    plan = planned(book)
    assert len(plan.rows) == 3
    assert "hidden in the sheet, and taken like any other row: 3 to 4" in plan.understood


def test_another_sheet_that_contradicts_the_sign_is_heeded(planned):
    book = book_of(HEAD, (1, "base", 84, 260, 1150, 55))
    book.create_sheet("Legend").append(("Sign:", "positive = downforce"))
    assert [q.key for q in planned(book).questions] == ["lift_sign"]


def test_any_damage_to_a_workbook_is_a_clear_fault_or_none(planned):
    held = io.BytesIO()
    book_of(HEAD, *((i, f"c{i % 3}", 84.5 + i, 260, 1150, 55) for i in range(12))).save(held)
    raw = held.getvalue()
    for place in range(30, len(raw), len(raw) // 60):
        for damaged in (raw[:place] + bytes([raw[place] ^ 0x55]) + raw[place + 1 :], raw[:place]):
            with contextlib.suppress(FileFaults):
                planned(damaged)


def test_errors_and_tares_of_a_sheet(planned):
    plan = planned(
        book_of(
            HEAD, ("Tare", None, 1, 2, 3, 55), (1, "base", 84, 260, 1150, 55), (2, "x", "#DIV/0!", 1, 2, 55)
        )
    )
    assert [(d.line, d.reason) for d in plan.dropped] == [
        (2, "a tare, without wind"),
        (4, "no front lift (#DIV/0!)"),
    ]


@pytest.mark.parametrize("damage", [b"PK\x03\x04", b"PK\x03\x04" + b"x" * 2000])
def test_a_damaged_workbook_is_a_clear_fault(planned, damage):
    with pytest.raises(FileFaults, match="cannot be read as XLSX"):
        planned(damage)
