"""A sheet of a spreadsheet into rows of cells, with what its formats and merged cells say."""

from __future__ import annotations

import io
import re
import zipfile
from typing import TYPE_CHECKING, Any

from balance.errors import Fault, FileFaults, UnknownName
from balance.files.foreign.grid import Cell, Grid, Row
from balance.files.foreign.meanings import recognised

if TYPE_CHECKING:
    from collections.abc import Callable

_MERGED = re.compile(rb"<(?:\w+:)?mergeCell\s[^>]*?ref=\"([A-Z]+)(\d+):([A-Z]+)(\d+)\"")
_ZEROS = re.compile(r"0{2,15}")
_HEAD_ROWS = 60
_EVERY = 2000


def sheet_grid(
    raw: bytes, *, shown_as: str, sheet: str | None = None, tick: Callable[[float], None] | None = None
) -> Grid:
    """Read the sheet that holds the table.

    Parameters
    ----------
    raw : bytes
        The whole file.
    shown_as : str
        Its name in messages.
    sheet : str, optional
        The sheet's name, where the person gives it.
    tick : callable, optional
        Told how far it is, from 0 to 1; it may raise to stop.

    Returns
    -------
    Grid
        Its rows; none, and the names of the sheets, where several look like tables of runs.

    Raises
    ------
    FileFaults
        If it is no XLSX file.
    UnknownName
        If there is no such sheet.
    """
    from openpyxl import load_workbook  # noqa: PLC0415 - slow to load, and only for sheets

    try:
        book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
        names = [one.title for one in book.worksheets]
        if sheet is not None:
            _known(sheet, names)
        fitting = [sheet] if sheet else _tables(book, names)
        if len(fitting) != 1:
            return Grid(rows=(), sheets=tuple(fitting or names))
        return _read(raw, book[fitting[0]], fitting[0], tick)
    except UnknownName:
        raise
    except (zipfile.BadZipFile, KeyError, ValueError, OSError, SyntaxError, TypeError) as error:
        raise FileFaults(
            [
                Fault(
                    file=shown_as,
                    found=f"a file that cannot be read as XLSX ({type(error).__name__})",
                    expected="an XLSX file",
                    mend="save it again, or save the sheet as CSV",
                )
            ]
        ) from None


def _known(sheet: str, names: list[str]) -> None:
    if sheet not in names:
        raise UnknownName("--sheet", sheet, names)


def _tables(book: Any, names: list[str]) -> list[str]:
    """Name the sheets whose first rows hold a header that is understood; all where none does."""
    if len(names) == 1:
        return names
    worth = {}
    for name in names:
        rows = book[name].iter_rows(max_row=_HEAD_ROWS, values_only=True)
        worth[name] = max((recognised([str(v) for v in row if v is not None]) for row in rows), default=0)
    return [name for name in names if worth[name] >= 3]


def _read(raw: bytes, sheet: Any, name: str, tick: Callable[[float], None] | None) -> Grid:
    merged = _merged_downward(raw, sheet)
    held: dict[int, Cell] = {}
    rows = []
    last = max(sheet.max_row or 1, 1)
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        values: list[Cell] = []
        for index, cell in enumerate(cells):
            value = _value(cell)
            spans = merged.get(index)
            if spans:
                for top, bottom in spans:
                    if number == top:
                        held[index] = value
                    elif top < number <= bottom and isinstance(held.get(index), str):
                        value = held[index]
            values.append(value)
        if any(value != "" for value in values):
            rows.append(Row(line=number, cells=tuple(values)))
        if tick and number % _EVERY == 0:
            tick(min(number / last, 1.0))
    notes = [f"sheet '{name}'"]
    if merged:
        notes.append("a text in cells merged downward holds for each of their rows")
    return Grid(rows=tuple(rows), notes=tuple(notes))


def _merged_downward(raw: bytes, sheet: Any) -> dict[int, list[tuple[int, int]]]:
    """Give for each column the spans of rows merged in it; a reader that streams does not tell."""
    from openpyxl.utils import column_index_from_string  # noqa: PLC0415 - slow to load, and only for sheets

    place = getattr(sheet, "_worksheet_path", "")
    spans: dict[int, list[tuple[int, int]]] = {}
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        if place in archive.namelist():
            for left, top, _, bottom in _MERGED.findall(archive.read(place)):
                if top != bottom:
                    column = column_index_from_string(left.decode()) - 1
                    spans.setdefault(column, []).append((int(top), int(bottom)))
    return spans


def _value(cell: Any) -> Cell:  # noqa: PLR0911 - one kind of cell a line
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value)
    if isinstance(value, int | float):
        style = cell.number_format or ""
        if "%" in style:
            return f"{_shortest(float(value) * 100)}%"
        if _ZEROS.fullmatch(style) and value == int(value):
            return str(int(value)).zfill(len(style))
        return float(value)
    if hasattr(value, "isoformat"):
        return str(value.isoformat()).replace("T00:00:00", "").replace("T", " ")
    return str(value)


def _shortest(value: float) -> str:
    return f"{value:.12g}"
