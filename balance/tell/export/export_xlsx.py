"""A session as a workbook: readings, results, increments and method, numbers as numbers, formulas where one wants to follow."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from balance.tell.export.sheet_increments import increments_sheet
from balance.tell.export.sheet_method import method_sheet
from balance.tell.export.sheet_readings import readings_sheet
from balance.tell.export.sheet_results import results_sheet

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.decide.day.assessment import Assessment

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
    """Give the day of the session as the day of the file, so that equal sessions give equal files."""
    import datetime as dt  # noqa: PLC0415 - one use

    date = result.day.session.date
    return dt.datetime(2000, 1, 1) if date is None else dt.datetime(date.year, date.month, date.day)  # noqa: DTZ001
