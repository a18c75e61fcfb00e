"""A session as a workbook: readings, results, increments and method, numbers as numbers, formulas where one wants to follow."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, Any

from balance.compare.column_increments import ONLY
from balance.decide.day.day_scatter import column_scatters
from balance.handling.axle_loads import static_axle_weights
from balance.tell.export.record_parts import FORCE_NAMES
from balance.tell.export.sheet_increments import increments_sheet
from balance.tell.export.sheet_readings import readings_sheet
from balance.tell.export.sheet_results import results_sheet
from balance.tell.figures import Show
from balance.tell.head import session_line, state_line
from balance.tell.parts.column_text import compared_words
from balance.tell.runs.remarks import gathered, run_remarks, session_remarks

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.decide.day.assessment import Assessment


def method_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of the method, whose named cells the formulas of the results refer to."""
    sheet = book.add_worksheet("Method")
    sheet.set_column(0, 0, 44)
    day, show = result.day, Show()
    vehicle = day.session.vehicle
    front, rear = static_axle_weights(vehicle.mass, vehicle.front_share)
    bold = book.add_format({"bold": True})
    sheet.write_string(0, 0, session_line(day.session), bold)
    sheet.write_string(1, 0, state_line(result, show))
    named = (
        ("speed at which loads are stated", "stated_speed", result.speed, "m/s"),
        ("air density at which loads are stated", "stated_density", result.air_density, "kg/m^3"),
        ("dynamic pressure at which loads are stated", "stated_pressure", result.dynamic_pressure, "Pa"),
        ("static weight of the front axle", "front_weight", front, "N"),
        ("static weight of the rear axle", "rear_weight", rear, "N"),
        ("static front weight share", "front_weight_share", vehicle.front_share, "1"),
    )
    for row, (words, name, value, unit) in enumerate(named, start=3):
        sheet.write_string(row, 0, words)
        if name == "stated_pressure":
            sheet.write_formula(row, 1, "=0.5*stated_density*stated_speed^2", None, value)
        else:
            sheet.write_number(row, 1, value)
        sheet.write_string(row, 2, unit)
        book.define_name(name, f"=Method!$B${row + 1}")
    row = _scatter(sheet, result, 4 + len(named))
    remarks = [list(run_remarks(result, k, show)) for k in range(len(result.labels))]
    others = (
        result.day.session.left_out
    )  # days of other customers, which a workbook that goes out does not name
    said = [note for note in session_remarks(result, show) if note not in others]
    notes = [*gathered(result.labels, remarks), *said]
    sheet.write_string(row + 1, 0, "Notes", bold)
    for position, note in enumerate(notes, start=row + 2):
        sheet.write_string(position, 0, note)


def _scatter(sheet: Any, result: Assessment, row: int) -> int:
    scatter = result.day.repeatability
    for k, name in enumerate(FORCE_NAMES):
        sheet.write_string(row + k, 0, f"{name}, standard deviation of one reading at the tested speed")
        if math.isfinite(scatter.deviation[k]):
            sheet.write_number(row + k, 1, float(scatter.deviation[k]))
        sheet.write_string(row + k, 2, "N")
        sheet.write_string(row + k, 3, f"from {scatter.source[k]}" if scatter.source[k] else "not known")
    row += len(FORCE_NAMES)
    facility, show = result.day.session.facility, Show()
    for one in column_scatters(result.day):
        deviation, source = float(one.scatter.deviation[ONLY]), one.scatter.source[ONLY]
        sheet.write_string(row, 0, f"{one.column.title}, standard deviation of one value")
        if math.isfinite(deviation):
            sheet.write_number(row, 1, deviation)
        sheet.write_string(row, 2, one.column.unit)
        how = compared_words(one.readings, facility, show)
        sheet.write_string(row, 3, f"{f'from {source}' if source else 'not known'}; {how}")
        row += 1
    return row


SHEETS: tuple[Callable[[Any, Assessment], None], ...] = (
    readings_sheet,
    results_sheet,
    increments_sheet,
    method_sheet,
)
"""What a workbook holds, in the order of its tabs: each adds its own sheet to it."""


def workbook(result: Assessment, sheets: Sequence[Callable[[Any, Assessment], None]] = SHEETS) -> bytes:
    """Write a session as an XLSX workbook, SI.

    Formulas carry their values, so that a program that does not recalculate shows them too. A text is always
    written as text, whatever it begins with.
    """
    import xlsxwriter  # type: ignore[import-untyped]  # noqa: PLC0415 - slow to load, and only for workbooks

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False,
                                     "strings_to_numbers": False})  # fmt: skip
    book.set_properties({"title": result.day.session.title, "created": _day(result)})
    for add in sheets:
        add(book, result)
    book.close()
    return out.getvalue()


def _day(result: Assessment) -> Any:
    """Return the day of the session as the day of the file, so that equal sessions give equal files."""
    import datetime as dt  # noqa: PLC0415 - one use

    date = result.day.session.date
    return dt.datetime(2000, 1, 1) if date is None else dt.datetime(date.year, date.month, date.day)  # noqa: DTZ001
