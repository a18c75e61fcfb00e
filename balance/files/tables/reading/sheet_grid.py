"""A sheet of a spreadsheet into rows of cells, with what its formats and merged cells say."""

from __future__ import annotations

import io
import re
import struct
import warnings
import zipfile
import zlib
from dataclasses import dataclass, field, replace
from typing import IO, TYPE_CHECKING, Any

from balance.files.tables.header.meanings import recognised
from balance.files.tables.reading.grid import UNSTORED, Cell, Dressed, Grid, Row, cell_text, spans
from balance.files.text_file import MOST_LINES, refuse_row
from balance.model.errors import AxletrimError, FileFaults, UnknownName

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_ZEROS = re.compile(r"0{2,15}")
_STYLE = re.compile(
    r"\"(?P<quoted>[^\"]*)\"|\\(?P<escaped>.)|\[\$(?P<money>[^\]-]*)[^\]]*\]|_.|\*.|\[[^\]]*\]|(?P<digits>General|[0#?.,]+)"
)
_DAMAGE = (
    zipfile.BadZipFile, zlib.error, struct.error, ArithmeticError, AttributeError, EOFError, LookupError,
    NotImplementedError, OSError, RuntimeError, SyntaxError, TypeError, ValueError,
)  # fmt: skip
"""What the library may raise over a damaged workbook."""
_HEAD_ROWS = 60
_EVERY = 2000
_UNFOLDED, _UNFOLDED_TEXTS = 120_000_000, 20_000_000
_TEXTS = "xl/sharedStrings.xml"


def sheet_grid(
    raw: bytes, *, shown_as: str, sheet: str | None = None, tick: Callable[[float], None] | None = None
) -> Grid:
    """Read the sheet that holds the table."""
    from openpyxl import load_workbook  # noqa: PLC0415 - slow to load, and only for sheets

    try:
        _refuse_unfolding(raw, shown_as)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of formats and extensions that say nothing of the figures
            book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
        names = [one.title for one in book.worksheets]
        if sheet is not None:
            _known(sheet, names)
        fitting = [sheet] if sheet else _tables(book, names)
        if len(fitting) != 1:
            return Grid(rows=(), sheets=tuple(fitting or names))
        others = tuple(line for name in names if name != fitting[0] for line in _words(book[name]))
        return replace(_read(raw, book[fitting[0]], fitting[0], tick, shown_as), elsewhere=others)
    except AxletrimError:
        raise
    except _DAMAGE as error:
        found = f"a file that cannot be read as XLSX ({type(error).__name__})"
        mend = "save it again, or save the sheet as CSV"
        raise FileFaults.of(shown_as, found, "an XLSX file", mend) from None


def _refuse_unfolding(raw: bytes, shown_as: str) -> None:
    """Refuse a workbook that unfolds beyond any day's runs; its directory holds, for nothing more is unpacked than it says."""
    with zipfile.ZipFile(io.BytesIO(raw)) as archive:
        sizes = {one.filename: one.file_size for one in archive.infolist()}
    for found, most, what in (
        (sum(sizes.values()), _UNFOLDED, "once unpacked"),
        (sizes.get(_TEXTS, 0), _UNFOLDED_TEXTS, "of texts once unpacked"),
    ):
        if found > most:
            raise FileFaults.of(
                shown_as,
                f"{found / 1e6:,.0f} MB {what}",
                f"at most {most / 1e6:.0f} MB",
                "save the sheet with the runs alone",
            )


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


def _words(sheet: Any) -> list[str]:
    rows = sheet.iter_rows(max_row=_HEAD_ROWS, values_only=True)
    lines = (" ".join(v for v in row if isinstance(v, str)) for row in rows)
    return [line for line in lines if line]


def _read(raw: bytes, sheet: Any, name: str, tick: Callable[[float], None] | None, shown_as: str) -> Grid:
    marks = sheet_marks(io.BytesIO(raw), getattr(sheet, "_worksheet_path", ""))
    held: dict[int, Cell] = {}
    rows: list[Row] = []
    last = max(sheet.max_row or 1, 1)
    for number, cells in enumerate(sheet.iter_rows(), start=1):
        values, filled = _values(cells, number, marks, held)
        if any(value != "" for value in values):
            _refuse_beyond(values, len(rows), shown_as=shown_as, line=number)
            struck = marks.strikes and any(_struck(cell) for cell in cells)
            rows.append(Row(line=number, cells=tuple(values), filled=frozenset(filled), struck=struck))
        if tick and number % _EVERY == 0:
            tick(min(number / last, 1.0))
    notes = [f"sheet '{name}'"]
    if marks.merged:
        notes.append("what stands in cells merged downward holds for each of their rows, but for readings")
    if hidden := [row.line for row in rows if row.line in marks.hidden]:
        notes.append(f"hidden in the sheet, and taken like any other row: {spans(hidden)}")
    return Grid(rows=tuple(rows), notes=tuple(notes))


def _values(cells: Any, number: int, marks: SheetMarks, held: dict[int, Cell]) -> tuple[list[Cell], set[int]]:
    """Read the cells of a row, those merged downward from above too; tell which those are."""
    values: list[Cell] = []
    filled = set()
    for index, cell in enumerate(cells):
        value = UNSTORED if (number, index) in marks.unstored else _value(cell)
        for top, bottom in marks.merged.get(index, ()):
            if number == top:
                held[index] = value
            elif top < number <= bottom and held.get(index, "") != "":
                value = held[index]
                filled.add(index)
        values.append(value)
    return values, filled


def _refuse_beyond(values: list[Cell], above: int, *, shown_as: str, line: int) -> None:
    """Refuse a row that goes beyond a table of runs, and one too many; empty cells at its end are none."""
    last = max(index for index, value in enumerate(values) if value != "") + 1
    refuse_row(values[:last], shown_as=shown_as, line=line)
    if above >= MOST_LINES:
        raise FileFaults.of(
            shown_as,
            f"more than {MOST_LINES:,} rows",
            f"at most {MOST_LINES:,}",
            "save the runs alone, or in parts",
        )


def _struck(cell: Any) -> bool:
    return cell.value is not None and bool(cell.font and cell.font.strike)


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
        return _dressed(float(value), style)
    if hasattr(value, "isoformat"):
        return str(value.isoformat()).replace("T00:00:00", "").replace("T", " ")
    return str(value)


def _dressed(value: float, style: str) -> float:
    """Return a number with the words that its format shows around it, as the R of "R"0."""
    if '"' not in style and "\\" not in style and "[$" not in style:
        return value
    words = ["", ""]
    zeros = 0
    behind = 0
    for found in _STYLE.finditer(style.partition(";")[0]):
        if found["digits"]:
            zeros = zeros or found["digits"].partition(".")[0].count("0")
            behind = 1
        else:
            words[behind] += found["quoted"] or found["escaped"] or found["money"] or ""
    if not any(c.isalpha() for c in "".join(words)):
        return value
    whole = cell_text(value).zfill(zeros) if value == int(value) else cell_text(value)
    return Dressed(value, words[0] + whole + words[1], words[1].strip())


def _shortest(value: float) -> str:
    return f"{value:.12g}"


_STYLES = "xl/styles.xml"
_MERGED = re.compile(rb"<(?:\w+:)?mergeCell\s[^>]*?ref=\"([A-Z]+)(\d+):([A-Z]+)(\d+)\"")
_ROW = re.compile(rb"<(?:\w+:)?row\s([^>]*)>")
_NUMBER = re.compile(rb"\br=\"(\d+)\"")
_HIDDEN = re.compile(rb"\bhidden=\"(?:1|true)\"")
_EMPTY_FORMULA = re.compile(
    rb"<(?:\w+:)?c\s[^>]*?\br=\"([A-Z]+)(\d+)\"[^>]*>\s*<(?:\w+:)?f\b(?:[^>]*/>|[^>]*>[^<]*</(?:\w+:)?f>)"
    rb"\s*(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v>\s*</(?:\w+:)?v>)?\s*</(?:\w+:)?c>"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetMarks:
    """Spans of rows merged in a column, hidden rows, and cells with a formula whose value is not stored.

    Columns count from 0, rows are those of the sheet. ``strikes`` tells whether anything in the workbook may be struck
    out.
    """

    merged: Mapping[int, list[tuple[int, int]]] = field(default_factory=dict)
    hidden: frozenset[int] = frozenset()
    unstored: frozenset[tuple[int, int]] = frozenset()
    strikes: bool = False


def sheet_marks(raw: IO[bytes], place: str) -> SheetMarks:
    """Read them."""
    from openpyxl.utils import column_index_from_string  # noqa: PLC0415 - slow to load, and only for sheets

    def column(letters: bytes) -> int:
        return int(column_index_from_string(letters.decode())) - 1

    with zipfile.ZipFile(raw) as archive:
        if place not in archive.namelist():
            return SheetMarks()
        text = archive.read(place)
        styles = archive.read(_STYLES) if _STYLES in archive.namelist() else b""
    merged: dict[int, list[tuple[int, int]]] = {}
    for left, top, _, bottom in _MERGED.findall(text):
        if top != bottom:
            merged.setdefault(column(left), []).append((int(top), int(bottom)))
    hidden = {
        int(number[1])
        for about in _ROW.findall(text)
        if _HIDDEN.search(about) and (number := _NUMBER.search(about))
    }
    unstored = {(int(row), column(letters)) for letters, row in _EMPTY_FORMULA.findall(text)}
    return SheetMarks(
        merged=merged, hidden=frozenset(hidden), unstored=frozenset(unstored), strikes=b"strike" in styles
    )
