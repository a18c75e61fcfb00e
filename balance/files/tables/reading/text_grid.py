"""Text into rows of cells: which character parts the columns, and by which line that is known."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from typing import TYPE_CHECKING

from balance.files.tables.header.meanings import recognised
from balance.files.tables.reading.grid import Grid, Row
from balance.files.text_file import refuse_row
from balance.model.errors import FileFaults, UnknownName

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
_SEP_LINE = re.compile(r"\s*\"?sep=([^\w\s\"']|\t)\"?\s*", re.IGNORECASE)
_ONE_MARK = re.compile(r"[^\w\s\"'.]")
_FIGURE = re.compile(r"\s*[+-]?\d[\d.,]*\s*")
_SAMPLE_LINES = 300
_MOST_LINES_IN_A_CELL = 20
_FEW = 2
"""Figures on one line of a cell from which on it is taken for a swallowed row."""
_EVERY = 2000


def text_grid(
    text: str, *, shown_as: str, separator: str | None = None, tick: Callable[[float], None] | None = None
) -> Grid:
    """Part a text into rows and cells."""
    first, _, rest = text.partition("\n")
    stated = _SEP_LINE.fullmatch(first.rstrip("\r"))
    skipped = 1 if stated else 0
    body = rest if stated else text
    mark, how = _mark(separator, stated, body)
    rows = []
    blank = 0
    folded: list[tuple[int, list[str]]] = []
    size = max(len(body), 1)
    seen = 0
    for line, cells in _parted(body, mark):
        refuse_row(cells, shown_as=shown_as, line=line + skipped)
        if any(cell and not cell.isspace() for cell in cells):
            rows.append(Row(line=line + skipped, cells=tuple(cells)))
        else:
            blank += 1
        if any("\n" in cell or "\r" in cell for cell in cells):
            folded.append((line + skipped, cells))
        seen += sum(map(len, cells)) + len(cells)
        if tick and line % _EVERY == 0:
            tick(min(seen / size, 1.0))
    _check_folded(folded, rows, mark, shown_as)
    notes = [f"columns parted by {NAMES.get(mark, repr(mark))}, {how}"]
    if blank:
        notes.append(f"{blank} blank line{'s' if blank > 1 else ''} passed over")
    return Grid(rows=tuple(rows), separator=mark, notes=tuple(notes))


def _mark(separator: str | None, stated: re.Match[str] | None, body: str) -> tuple[str, str]:
    """Return the mark between columns, and how it is known."""
    if separator:
        mark = next((mark for mark, name in NAMES.items() if separator in (name, mark)), separator)
        if mark not in NAMES and not _ONE_MARK.fullmatch(mark):
            raise UnknownName("--separator", separator, NAMES.values())
        return mark, "as given"
    if stated:
        return stated[1], "by its 'sep=' line"
    return _detected(body), "as detected"


def growing_grid(
    text: str, *, shown_as: str, finished: bool, separator: str | None = None
) -> tuple[Grid, str, str]:
    """Part the whole rows of a text that is still being written."""
    lines = io.StringIO(text, newline="").readlines()
    waiting = lines.pop() if lines and not lines[-1].endswith(("\n", "\r")) and not finished else ""
    stated = _SEP_LINE.fullmatch(lines[0].rstrip("\r\n")) if lines else None
    skipped = 1 if stated else 0
    mark, _ = _mark(separator, stated, "".join(lines[skipped:_SAMPLE_LINES]))
    csv.field_size_limit(2**31 - 1)
    reader = csv.reader(lines[skipped:], delimiter=mark, skipinitialspace=mark != "\t", strict=True)
    rows, problem = [], ""
    line = 1 + skipped
    try:
        for cells in reader:
            refuse_row(cells, shown_as=shown_as, line=line)
            if any(cell and not cell.isspace() for cell in cells):
                rows.append(Row(line=line, cells=tuple(cells)))
            line = reader.line_num + 1 + skipped
    except csv.Error as error:
        if "unexpected end" in str(error):
            waiting = "".join(lines[line - 1 :]) + waiting
        else:
            problem = f"{shown_as}:{line}: found text that is no table row ({error}), expected cells"
    return Grid(rows=tuple(rows), separator=mark), waiting, problem


def _check_folded(
    folded: Sequence[tuple[int, list[str]]], rows: Sequence[Row], mark: str, shown_as: str
) -> None:
    """Refuse a cell that has swallowed rows: a line in it is parted as the rows are, or into figures."""
    if not folded:
        return
    width = Counter(len(row.cells) for row in rows).most_common(1)[0][0]
    for line, cells in folded:
        within = [cell.splitlines() for cell in cells]
        inside = [part for parts in within for part in parts[1:]]
        if (
            len(inside) > _MOST_LINES_IN_A_CELL
            or any(part.count(mark) >= max(width - 1, 2) for part in inside)
            or any(_figures(part, mark) >= _FEW for parts in within if len(parts) > 1 for part in parts)
        ):
            raise _unclosed(shown_as, line)


def _figures(line: str, mark: str) -> int:
    return sum(1 for part in line.split(mark) if _FIGURE.fullmatch(part))


def _parted(text: str, mark: str) -> Iterator[tuple[int, list[str]]]:
    csv.field_size_limit(2**31 - 1)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, skipinitialspace=mark != "\t")
    line = 1
    for cells in reader:
        yield line, cells
        line = reader.line_num + 1


def _detected(text: str) -> str:
    """Choose the mark under which a header is understood best, then the one that gives an even table."""
    sample = "".join(text.splitlines(keepends=True)[:_SAMPLE_LINES])

    def worth(mark: str) -> tuple[int, int, int]:
        rows = [cells for _, cells in _parted(sample, mark)]
        understood = max((recognised(cells) for cells in rows[:60]), default=0)
        widths = Counter(len(cells) for cells in rows if len(cells) > 1)
        width, count = max(widths.items(), key=lambda item: item[1], default=(1, 0))
        return understood, count, width

    return max(NAMES, key=worth)


def _unclosed(shown_as: str, line: int) -> FileFaults:
    found, mend = "a quotation mark that is never closed", "take it out, or close it"
    return FileFaults.of(shown_as, found, '" in pairs', mend, line=line)
