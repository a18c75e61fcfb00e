"""XLSX sheets: titles, merged cells, numbers and their formats, several sheets."""

import pytest
from openpyxl import Workbook

from balance.errors import FileFaults, UnknownName
from balance.files.foreign.plan import ImportOptions
from balance.files.foreign.planning import plan_import

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
    assert [(d.line, d.reason) for d in plan.dropped] == [(3, "no front lift (blank)")]


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
