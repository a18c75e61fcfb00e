"""line.csv: the line of a track, by rows along it or by segments; a line that begins with # is a remark."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.files.formats.cells import cell_problem, read_cell
from balance.files.formats.table_reader import TableReader
from balance.files.text_file import clean_text, read_text, refuse_beyond
from balance.model.errors import FileFaults, UnitError, did_you_mean, quoted
from balance.units.text import unit_scale

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray

    from balance.model.kinds import Kind

REMARK = "#"
_LIMIT = 20_000_000
_WHAT = "the line of a track as comma-separated text"
_HEADER = re.compile(r"([^\[\]]*?)\s*(?:\[([^\[\]]*)\])?")
_ROWS_OR_SEGMENTS = "rows along the line have a distance, segments a length"
_CURVED = ("curvature", "curvature_std")
_AGREE = 0.02  # of a length, between a segment's length and its radius times its angle


@dataclass(frozen=True, slots=True)
class _Known:
    """What a column may hold: kind of quantity, its unit to show, and what is credible, in SI."""

    kind: Kind
    unit: str
    low: float
    high: float
    expected: str


_COLUMNS: Mapping[str, _Known] = {
    "distance": _Known("length", "m", 0.0, 1e5, "a distance from 0 to 100 km"),
    "length": _Known("length", "m", 0.01, 1e5, "a length above 0, up to 100 km"),
    "curvature": _Known("length", "1/m", -0.5, 0.5, "a curvature within 0.5 1/m, left positive"),
    "radius": _Known("length", "m", -1e6, 1e6, "a radius of 2 m or more, left positive, right negative, empty where it is straight"),
    "angle": _Known("angle", "deg", -4.0 * math.pi, 4.0 * math.pi, "an angle within two full turns, left positive"),
    "bank": _Known("angle", "deg", -math.pi / 4, math.pi / 4, "a bank within 45 deg"),
    "gradient": _Known("fraction", "%", -0.5, 0.5, "a gradient within 50 %"),
    "width": _Known("length", "m", 2.0, 200.0, "a width from 2 m to 200 m"),
    "curvature_std": _Known("length", "1/m", 0.0, 0.5, "a standard uncertainty of the curvature, up to 0.5 1/m"),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line as read: pieces between ``edges`` (pieces + 1,), the others (pieces, 2), SI, a width not a number where unknown."""

    edges: NDArray[np.float64]
    curvature: NDArray[np.float64]
    bank: NDArray[np.float64]
    gradient: NDArray[np.float64]
    width: NDArray[np.float64] | None
    curvature_std: NDArray[np.float64] | None


def read_line(path: Path, *, shown_as: str = "line.csv") -> Line:
    """Read the line of a track, every fault of the file told together."""
    text = read_text(path, shown_as=shown_as, limit=_LIMIT, what=_WHAT)
    refuse_beyond(text.encode(errors="replace"), shown_as=shown_as, make_smaller="a row every 2 m is enough")
    return _Reader(shown_as).read(text)


class _Reader(TableReader):
    """Turns rows into the pieces of a line; a row that is a remark is none."""

    def read(self, text: str) -> Line:
        rows = (row for row in self.rows(text) if not row[1][0].lstrip().startswith(REMARK))
        line, header = next(rows, (1, []))
        places = self.header(line, header)
        cells = [(number, self.cells(number, row, places, len(header))) for number, row in rows]
        if not self.faults and len(cells) < (2 if "distance" in places else 1):
            self.fault(
                line, None, f"{len(cells)} rows", "a row a segment, or two rows along the line", "add rows"
            )
        self.refuse()
        made = self.along(cells, places) if "distance" in places else self.segments(cells, places)
        self.refuse()
        return made

    def refuse(self) -> None:
        """Raise the faults that were found, if any."""
        if self.faults:
            raise FileFaults(sorted(self.faults, key=lambda one: one.line or 0))

    def header(self, line: int, header: Sequence[str]) -> dict[str, tuple[int, str, float, float]]:
        """Find out what each column is: its place, its head, and the way from its figures to SI."""
        places: dict[str, tuple[int, str, float, float]] = {}
        if self.refuse_other_marks(line, header):
            return places
        for index, cell in enumerate(header):
            text = clean_text(cell) or ""
            match = _HEADER.fullmatch(text)
            name, unit = (match[1], (match[2] or "").strip()) if match else (text, "")
            head = quoted(text).strip("'") or f"column {index + 1}"
            known = _COLUMNS.get(name)
            if known is None:
                mend = did_you_mean(name, _COLUMNS) or f"known here: {', '.join(_COLUMNS)}"
                self.fault(line, head, "an unknown column", "a known one", mend)
            elif name in places:
                self.fault(line, head, "the same name again", "one column of each name", "leave out one")
            elif not unit:
                mend = f"write '{name} [{known.unit}]' if it is in {known.unit}"
                self.fault(line, head, "no unit", "one in square brackets", mend)
            else:
                try:
                    places[name] = (index, head, *_scale(name, known, unit))
                except UnitError as error:
                    self.fault(line, head, error.found, error.expected, error.mend)
        if not self.faults:
            self.hold_together(line, places)
        return places

    def hold_together(self, line: int, places: Mapping[str, object]) -> None:
        """Hold the columns against one another: by rows or by segments, and one way to say how it turns."""
        there = places.keys()
        by_rows, by_segments = "distance" in there, "length" in there
        checks = (
            (by_rows and by_segments, "both distance and length", "one of them", _ROWS_OR_SEGMENTS),
            (not by_rows and not by_segments, "neither distance nor length", "one of them", _ROWS_OR_SEGMENTS),
            ({"curvature", "radius"} <= there, "both curvature and radius", "one of them", "leave out one of the two columns"),
            (by_rows and "angle" in there, "an angle beside distances", "angles of segments", "write the length of each segment"),
            (not {"curvature", "radius", "angle"} & there, "nothing that says how it turns", "curvature or radius", "add a column 'radius [m]'"),
            (by_segments and "curvature_std" in there, "curvature_std beside segments", "it beside distances", "leave it out"),
        )  # fmt: skip
        for wrong, found, expected, mend in checks:
            if wrong:
                self.fault(line, None, found, expected, mend)
                return

    def cells(
        self, line: int, row: Sequence[str], places: Mapping[str, tuple[int, str, float, float]], wanted: int
    ) -> dict[str, float | None]:
        """Read the figures of one row in SI; nothing where a cell is empty."""
        if len(row) != wanted:
            mend = "add a comma for each empty cell" if len(row) < wanted else ""
            self.fault(line, None, f"{len(row)} cells", f"{wanted} as in the header", mend)
            return {}
        values: dict[str, float | None] = {}
        for name, (index, head, factor, offset) in places.items():
            cell, known = row[index], _COLUMNS[name]
            values[name] = None
            if not cell.strip():
                continue
            read = read_cell(cell)
            if read is None:
                self.fault(line, head, cell_problem(cell)[0], "a number", cell_problem(cell)[1])
                continue
            value = read[0] * factor + offset
            small = name == "radius" and abs(value) < 2.0
            if small or not known.low <= value <= known.high:
                mend = (
                    "leave it empty where the track is straight" if small else "check the figure and its unit"
                )
                self.fault(line, head, quoted(cell.strip()), known.expected, mend)
                continue
            values[name] = value
        return values

    def along(
        self, cells: Sequence[tuple[int, dict[str, float | None]]], places: Mapping[str, object]
    ) -> Line:
        """Make pieces between rows; two rows at one distance are a jump."""
        distance: list[float] = []
        for line, row in cells:
            here = row["distance"]
            if here is None:
                self.fault(line, "distance", "an empty cell", "a number", "fill it in, or leave the row out")
                here = math.nan
            elif not distance and abs(here) > 1e-3:
                self.fault(
                    line, "distance", f"{here:g} m on the first row", "0", "count from the start of the lap"
                )
            elif distance and (
                here < distance[-1] or (len(distance) > 1 and here == distance[-1] == distance[-2])
            ):
                self.fault(
                    line,
                    "distance",
                    f"{here:g} m after {distance[-1]:g} m",
                    "rising distances",
                    "put the rows in order",
                )
            distance.append(here)
        if not self.faults and distance[-1] <= 0.0:
            self.fault(cells[-1][0], "distance", "no length at all", "rising distances")
        where = np.array(distance)
        keep = np.diff(where) > 0.0

        def pieces(name: str) -> NDArray[np.float64]:
            values = np.array(
                [_turn(row) if name == "curvature" else _or_none(row, name) for _, row in cells]
            )
            return np.stack([values[:-1], values[1:]], axis=1)[keep]

        edges = np.concatenate((where[:1], where[1:][keep]))
        std = None
        if "curvature_std" in places:
            std = np.interp(edges, where, [row.get("curvature_std") or 0.0 for _, row in cells])
        return Line(
            edges=edges,
            curvature=pieces("curvature"),
            bank=pieces("bank"),
            gradient=pieces("gradient"),
            width=pieces("width") if "width" in places else None,
            curvature_std=std,
        )

    def segments(
        self, cells: Sequence[tuple[int, dict[str, float | None]]], places: Mapping[str, object]
    ) -> Line:
        """Make pieces of segments, each of one curvature."""
        made = [self.segment(line, row) for line, row in cells]
        lengths = np.array([length for length, _ in made])

        def both(values: Sequence[float]) -> NDArray[np.float64]:
            return np.repeat(np.array(values), 2).reshape(-1, 2)

        return Line(
            edges=np.concatenate(([0.0], np.cumsum(lengths))),
            curvature=both([curvature for _, curvature in made]),
            bank=both([row.get("bank") or 0.0 for _, row in cells]),
            gradient=both([row.get("gradient") or 0.0 for _, row in cells]),
            width=both([_or_none(row, "width") for _, row in cells]) if "width" in places else None,
            curvature_std=None,
        )

    def segment(self, line: int, row: Mapping[str, float | None]) -> tuple[float, float]:
        """Make one segment of two of length, radius and angle; three must agree."""
        length, angle, curvature = row["length"], row.get("angle"), _turn(row)
        if not angle and not curvature:
            if length is None:
                self.fault(line, "length", "an empty cell", "a length", "a straight needs one")
            return length or 1.0, 0.0
        if angle and not curvature:
            if length is None:
                self.fault(
                    line, "radius", "an angle alone", "a length or a radius beside it", "fill in one of them"
                )
                return 1.0, 0.0
            return length, angle / length
        if angle and angle * curvature < 0.0:
            self.fault(
                line,
                "angle",
                "a turn against its radius",
                "one sign, left positive",
                "give both the same sign",
            )
        if length is None:
            if not angle:
                self.fault(
                    line, "length", "a radius alone", "a length or an angle beside it", "fill in one of them"
                )
            return abs((angle or 1.0) / curvature), curvature
        if angle and abs(abs(angle / curvature) - length) > _AGREE * length:
            self.fault(
                line, "length", f"{length:g} m", f"the {abs(angle / curvature):.1f} m of its radius and angle",
                "leave out one of the three",
            )  # fmt: skip
        return length, curvature


def _scale(name: str, known: _Known, unit: str) -> tuple[float, float]:
    """Give the way from a column's figures to SI; a curvature's unit is one over a length."""
    if name not in _CURVED:
        return unit_scale(unit, known.kind)
    over = re.fullmatch(r"(?:1\s*/\s*|per\s+)(.+)|(.+?)\^?-1", unit)
    if over is None:
        raise UnitError(
            found=f"the unit {quoted(unit)}",
            expected="one over a length, such as 1/m",
            mend=f"write '{name} [1/m]'",
        )
    return 1.0 / unit_scale((over[1] or over[2]).strip(), "length")[0], 0.0


def _or_none(row: Mapping[str, float | None], name: str) -> float:
    """Give a figure, 0 where nothing is said; of a width, which is never 0, that nothing is known."""
    value = row.get(name)
    return (math.nan if name == "width" else 0.0) if value is None else value


def _turn(row: Mapping[str, float | None]) -> float:
    """Give the curvature of a row, 0 where nothing is said."""
    if (curvature := row.get("curvature")) is not None:
        return curvature
    radius = row.get("radius")
    return 0.0 if radius is None else 1.0 / radius
