"""Cells of a log's columns into figures: numbers, times of the clock, and the names of laps."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np

from balance.files.tables.reading.grid import cell_text, told_apart
from balance.files.tables.reading.numerals import missing, number_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.files.tables.reading.grid import Cell
    from balance.files.tables.reading.numerals import Mark

    Array = NDArray[np.float64]

_CLOCK = re.compile(r"(?:\S+[T ])?(?:(\d{1,3}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d+)?)Z?")
_SHORT_MARK = 0.02  # of all samples: a mark is shorter than any lap


def figures(cells: Sequence[Cell], decimal: Mark) -> tuple[Array, list[int]]:
    """Read the figures of a column, and tell the positions of the cells that are neither a number nor missing.

    Examples
    --------
    >>> figures(["1,5", "", "x"], "comma")
    (array([1.5, nan, nan]), [2])
    """
    plain = cells
    if decimal == "comma" and all(isinstance(cell, str) for cell in cells):
        joined = "\n".join(cells)  # type: ignore[arg-type]  # just looked at
        if "." not in joined and joined.count("\n") == len(cells) - 1:
            plain = joined.replace(",", ".").split("\n")
    if decimal == "point" or plain is not cells:
        try:
            values = np.array(plain, dtype=float)
        except ValueError:
            pass  # something is missing, or no number: cell by cell
        else:
            return np.where(np.isfinite(values), values, np.nan), []
    values, bad = np.full(len(cells), np.nan), []
    for k, cell in enumerate(cells):
        if missing(cell):
            continue
        text = number_text(cell, decimal)
        if text is None:
            bad.append(k)
        else:
            values[k] = float(text)
    return values, bad


def on_clock(cells: Sequence[Cell]) -> bool:
    """Return whether a column of time says hours, minutes and seconds with colons between."""
    first = next((cell for cell in cells if isinstance(cell, str) and any(c.isdigit() for c in cell)), "")
    return isinstance(first, str) and _CLOCK.fullmatch(first.strip()) is not None


def clock_figures(cells: Sequence[Cell]) -> tuple[Array, list[int]]:
    """Read times of the clock as seconds; a day's end passed is counted on.

    Examples
    --------
    >>> seconds, bad = clock_figures(["23:59:59.5", "0:00:00.0", "", "soon"])
    >>> seconds.tolist(), bad
    ([86399.5, 86400.0, nan, nan], [3])
    """
    values, bad, days = np.full(len(cells), np.nan), [], 0.0
    before = -np.inf
    for k, cell in enumerate(cells):
        text = cell.strip() if isinstance(cell, str) else ""
        match = _CLOCK.fullmatch(text)
        if match is None:
            if not missing(cell):
                bad.append(k)
            continue
        seconds = 3600.0 * float(match[1] or 0) + 60.0 * float(match[2]) + float(match[3].replace(",", "."))
        if match[1] and before - days - seconds > 43200.0:
            days += 86400.0
        before = values[k] = seconds + days
    return values, bad


def clock_seconds(text: str) -> float | None:
    """Read one time of the clock as seconds.

    Examples
    --------
    >>> clock_seconds("1:02.5"), clock_seconds("62.5")
    (62.5, None)
    """
    values, _ = clock_figures([text])
    return float(values[0]) if np.isfinite(values[0]) else None


def lap_names(cells: Sequence[Cell]) -> tuple[list[str], list[int], bool]:
    """Tell by a column of laps what each piece is called and with which sample it begins; whether it marks lines alone.

    A mark stands on a few samples where a lap begins; a number stands on all of a lap. A blank is as the one before.

    Examples
    --------
    >>> lap_names(["1", "1", "", "2", "2"])
    (['lap 1', 'lap 2'], [0, 3], False)
    """
    texts = [cell_text(cell) for cell in cells]
    off = [missing(text) or _zero(text) for text in texts]
    if _marks(off):
        starts = [k for k, here in enumerate(off) if not here and (k == 0 or off[k - 1])]
        names = [f"lap {number}" for number in range(1, len(starts))]
        if starts[0] > 0:
            starts, names = [0, *starts], ["before the first lap", *names]
        return [*names, "after the last lap"], starts, True
    names, starts, before = list[str](), list[int](), ""
    for k, text in enumerate(texts):
        if k == 0 or (text and text != before):
            names.append(f"lap {_plain(text)}" if text else "before the first lap")
            starts.append(k)
        before = text or before
    return list(told_apart(names, "{} ({})")), starts, False


def _marks(off: Sequence[bool]) -> bool:
    """Tell a mark from a number: it is off most of the time, and never on for long."""
    if not any(off) or all(off):
        return False
    longest = here = 0
    for one in off:
        here = 0 if one else here + 1
        longest = max(longest, here)
    return sum(off) > len(off) / 2 and longest < max(_SHORT_MARK * len(off), 2)


def _zero(text: str) -> bool:
    try:
        return float(text.replace(",", ".")) == 0.0
    except ValueError:
        return False


def _plain(text: str) -> str:
    """Write a lap's number as a person does, with no decimals where there are none."""
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return text
    whole = abs(number) < 1e9 and number == int(number)  # of what is not a number the first is false
    return str(int(number)) if whole else text
