"""A track drawn from its curvature: places on the ground for a picture, and rows of braille for a terminal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.laps.stations import find_corners, line_on_ground

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from balance.model.tracks import Track

    Array = NDArray[np.float64]

START = "S"
"""The letter beside where a lap begins."""
_ACROSS, _DOWN = 2, 4  # dots of a cell of braille; a dot is as high as it is wide
_BLANK = 0x2800
_BITS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])  # row from the top, then column
_MARGIN = (3, 1)  # cells left free at the sides, and above and below, for the numbers of the corners
_LEAST = (8, 4)
_MOST_POINTS = 40_000


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackLabel:
    """A corner's number, or where the lap begins, beside the line: its text and its first cell, from the top left.

    ``distance`` is where along the line it belongs [m].
    """

    text: str
    column: int
    row: int
    distance: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrackDrawing:
    """A track drawn into cells of a terminal, turned so that it lies across.

    ``rows`` are lines of text, each as wide as was asked, the labels in them. ``along`` is (height, width): how far
    along the line each drawn cell is, not a number elsewhere [m], so that whoever shows it may mark a stretch.
    ``characters`` is the same drawing without labels.
    """

    rows: tuple[str, ...]
    characters: tuple[str, ...]
    along: Array
    labels: tuple[TrackLabel, ...]


def line_across(track: Track, distance: Array) -> Array:
    """Give places of the line on the ground, (n, 2) [m], turned so that the track lies across, y upwards."""
    usual = track.length * np.arange(400) / 400
    middle = line_on_ground(track, usual).mean(axis=0)
    apart = line_on_ground(track, usual) - middle
    _, _, axes = np.linalg.svd(apart, full_matrices=False)
    long = axes[0] if axes[0, 0] >= 0.0 else -axes[0]
    turned = np.array([long, [-long[1], long[0]]])  # a turn alone: a left corner stays one
    return np.asarray((line_on_ground(track, distance) - middle) @ turned.T)


def draw_track(
    track: Track,
    width: int,
    height: int,
    *,
    ascii_only: bool = False,
    beside: Mapping[int, str] | None = None,
) -> TrackDrawing:
    """Draw a track into cells, its corners numbered and its start marked; where there is no room, blank rows.

    ``beside`` is what stands behind the number of a corner, by that number.
    """
    width, height = max(width, 0), max(height, 0)
    along = np.full((height, width), np.nan)
    bits = np.zeros((height, width), int)
    if width < _LEAST[0] or height < _LEAST[1]:
        blank = (" " * width,) * height
        return TrackDrawing(rows=blank, characters=blank, along=along, labels=())
    count = int(np.clip(8 * (width * _ACROSS + height * _DOWN), 400, _MOST_POINTS))
    distance = track.length * (np.arange(count + 1) / count)
    line = line_across(track, distance)
    low, high = line.min(axis=0), line.max(axis=0)
    dots = np.array([(width - 2 * _MARGIN[0]) * _ACROSS - 1, (height - 2 * _MARGIN[1]) * _DOWN - 1])
    scale = float(np.min(dots / np.maximum(high - low, 1e-9)))
    centre = np.array([width * _ACROSS - 1, height * _DOWN - 1]) / 2.0

    def dots_of(places: Array) -> Array:
        away = (places - (low + high) / 2.0) * scale
        return np.asarray(centre + away * np.array([1.0, -1.0]))

    x, y = np.rint(dots_of(line)).astype(int).T
    np.bitwise_or.at(bits, (y // _DOWN, x // _ACROSS), _BITS[y % _DOWN, x % _ACROSS])
    along[y[::-1] // _DOWN, x[::-1] // _ACROSS] = distance[
        ::-1
    ]  # where the line crosses itself, what came first
    marks = [
        [("." if ascii_only else chr(_BLANK + one)) if one else " " for one in cells]
        for cells in bits.tolist()
    ]
    characters = tuple("".join(cells) for cells in marks)
    labels = []
    wanted = _wanted(track, beside or {})
    ends = np.array([[where, where + 1.0] for _, where, _ in wanted])
    placed = dots_of(line_across(track, ends.ravel())).reshape(-1, 2, 2)
    for (text, where, side), dots in zip(wanted, placed, strict=True):
        free = _free(marks, dots, side, text)
        if free is not None:
            column, row = free
            marks[row][column : column + len(text)] = text
            labels.append(TrackLabel(text=text, column=column, row=row, distance=where))
    return TrackDrawing(
        rows=tuple("".join(cells) for cells in marks),
        characters=characters,
        along=along,
        labels=tuple(labels),
    )


def _wanted(track: Track, beside: Mapping[int, str]) -> list[tuple[str, float, float]]:
    """List what stands beside the line: text, where along it, and the side, left positive: outside of a corner."""
    corners = [
        (f"{one.number}{beside.get(one.number, '')}", one.apex, -np.sign(one.angle))
        for one in find_corners(track)
    ]
    inward = np.sign(track.turned) or 1.0
    return [(START, 0.0, float(inward)), *((text, at, float(side)) for text, at, side in corners)]


def _free(marks: list[list[str]], dots: Array, side: float, text: str) -> tuple[int, int] | None:
    """Find free cells for a label beside a place of the line, the nearest on its side first, else on the other."""
    place, ahead = dots[0], dots[1] - dots[0]
    ahead = ahead / max(float(np.hypot(*ahead)), 1e-9)
    left = np.array([ahead[1], -ahead[0]])  # rows count downwards
    for reach in (4.0, 6.0, 8.0):
        for way in (side, -side):
            x, y = place + way * reach * left
            column = round(x / _ACROSS - len(text) / 2.0)
            row = int(y // _DOWN)
            if 0 <= row < len(marks) and column >= 0 and column + len(text) <= len(marks[0]):
                around = marks[row][max(column - 1, 0) : column + len(text) + 1]
                if not any(cell.strip() and not _drawn(cell) for cell in around) and not any(
                    cell.strip() for cell in marks[row][column : column + len(text)]
                ):
                    return column, row
    return None


def _drawn(cell: str) -> bool:
    """Tell a dot of the line from a letter of another label."""
    return cell == "." or ord(cell) >= _BLANK
