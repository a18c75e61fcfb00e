"""Curves drawn in dots finer than cells: two by four braille dots a cell, or one character."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

Point = tuple[float, float]

_BRAILLE = 0x2800
_BITS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))  # column, then row from the top


class Raster:
    """Dots in the unit square, x to the right and y upward, gathered into cells."""

    def __init__(self, width: int, height: int, *, ascii_only: bool = False) -> None:
        self.width, self.height = width, height
        self._across, self._down = (1, 1) if ascii_only else (2, 4)
        self._ascii_only = ascii_only
        self._cells: dict[tuple[int, int], tuple[int, str, str]] = {}

    def row_of(self, y: float) -> int:
        """Find the row of cells, from the top, that holds a height in the unit square."""
        return self._pixel((0.0, y))[1] // self._down

    def column_of(self, x: float) -> int:
        """Find the column of cells that holds a place in the unit square."""
        return self._pixel((x, 0.0))[0] // self._across

    def curve(self, points: list[Point | None], role: str, character: str, pattern: str = "1") -> None:
        """Join points by lines; ``None`` is a gap."""
        travelled = 0
        for index, end in enumerate(points):
            start = points[index - 1] if index else None
            if end is None:
                continue
            clipped = _clip(start or end, end)
            if clipped is None:
                continue
            for step, (x, y) in enumerate(_walk(self._pixel(clipped[0]), self._pixel(clipped[1]))):
                if step or start is None or clipped[0] != start:
                    if pattern[travelled % len(pattern)] == "1":
                        self._dot(x, y, role, character)
                    travelled += 1

    def fill(self, points: list[tuple[float, float, float]], role: str, character: str) -> None:
        """Shade sparsely between two curves."""
        for (x0, low0, high0), (x1, low1, high1) in pairwise(points):
            first, last = (self._pixel((min(1.0, max(0.0, x)), 0.0))[0] for x in (x0, x1))
            for column in range(first, last + 1):
                place = column / max(1, self.width * self._across - 1)
                share = min(1.0, max(0.0, (place - x0) / (x1 - x0))) if x1 > x0 else 0.0
                low, high = low0 + share * (low1 - low0), high0 + share * (high1 - high0)
                if high < 0.0 or low > 1.0:
                    continue
                top, bottom = (self._pixel((place, min(1.0, max(0.0, y))))[1] for y in (high, low))
                for row in range(top, bottom + 1):
                    if self._ascii_only or (column % 2 == 0 and row % 2 == 0):
                        self._dot(column, row, role, character)

    def cells(self) -> Iterator[tuple[int, int, str, str]]:
        """Return column, row, character and role of every cell with a dot."""
        for (x, y), (bits, role, character) in self._cells.items():
            yield x, y, character if self._ascii_only else chr(_BRAILLE + bits), role

    def _pixel(self, point: Point) -> tuple[int, int]:
        across, down = self.width * self._across - 1, self.height * self._down - 1
        return round(point[0] * across), round((1.0 - point[1]) * down)

    def _dot(self, x: int, y: int, role: str, character: str) -> None:
        cell = (x // self._across, y // self._down)
        bits, _, _ = self._cells.get(cell, (0, "", ""))
        self._cells[cell] = (bits | _BITS[x % self._across][y % self._down], role, character)


def _walk(start: tuple[int, int], end: tuple[int, int]) -> Iterator[tuple[int, int]]:
    """Step from dot to dot along a straight line, both ends included."""
    (x0, y0), (x1, y1) = start, end
    steps = max(abs(x1 - x0), abs(y1 - y0))
    for step in range(steps + 1):
        share = step / steps if steps else 0.0
        yield round(x0 + share * (x1 - x0)), round(y0 + share * (y1 - y0))


def _clip(start: Point, end: Point) -> tuple[Point, Point] | None:
    """Cut a line to the unit square (method of Liang and Barsky, from memory)."""
    (x0, y0), (x1, y1) = start, end
    enter, leave = 0.0, 1.0
    for delta, room_below, room_above in ((x1 - x0, x0, 1.0 - x0), (y1 - y0, y0, 1.0 - y0)):
        if delta == 0.0:
            if room_below < 0.0 or room_above < 0.0:
                return None
            continue
        first, last = sorted((-room_below / delta, room_above / delta))
        enter, leave = max(enter, first), min(leave, last)
    if enter > leave:
        return None

    def at(share: float) -> Point:
        return (
            min(1.0, max(0.0, x0 + share * (x1 - x0))),
            min(1.0, max(0.0, y0 + share * (y1 - y0))),
        )

    return (start if enter == 0.0 else at(enter)), (end if leave == 1.0 else at(leave))
