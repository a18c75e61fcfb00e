"""What the file of a sheet says that a reader which streams does not: merged cells, hidden rows, formulas without a value."""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass, field
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

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
