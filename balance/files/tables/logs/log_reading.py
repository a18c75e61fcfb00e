"""A driver's log of somebody else's, read through the door that all foreign tables come by."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from balance.files.tables.header.head import HeadColumn, likely_head, placed
from balance.files.tables.importing.plan import Dropped, Findings, ImportOptions, Question
from balance.files.tables.logs.log_cells import (
    clock_figures,
    clock_seconds,
    figures,
    lap_names,
    on_clock,
)
from balance.files.tables.logs.log_credible import Against, judged, likely_units, ratio_to
from balance.files.tables.logs.log_words import COLUMNS, OF_LOGS, log_unit, scale_of
from balance.files.tables.reading.file_grid import LOG, grid_of, read_table
from balance.files.tables.reading.grid import cell_text
from balance.files.tables.reading.numerals import settle_decimal
from balance.model.driven_log import DrivenLog, LogPiece
from balance.model.errors import (
    Fault,
    FileFaults,
    InputError,
    UnitError,
    UnknownName,
    quoted,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.files.tables.header.head import Head
    from balance.files.tables.reading.grid import Cell, Grid, Row

    Array = NDArray[np.float64]

_SAMPLED = 5_000  # rows by which the decimal mark is found
_MOST_FAULTS = 20
NONE = "none"
"""What a column is said to be that is not to be used."""
WHOLE = "whole"
"""What is said of laps where the file is one."""
_EARTH = 6_371_000.0  # m: mean radius, IUGG
_TURNS = ("yaw_rate", "lateral_acceleration", "places")
_LEAST_SAMPLES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadLog:
    """A log as it was understood: ``log`` is None while ``questions`` is not empty.

    ``columns`` gives for each of our names the header in the file and its unit, as our files write it.
    """

    source: Path
    log: DrivenLog | None
    understood: tuple[str, ...]
    assumed: tuple[str, ...]
    questions: tuple[Question, ...]
    columns: tuple[tuple[str, str, str], ...]
    dropped: tuple[Dropped, ...] = ()


@np.errstate(over="ignore", invalid="ignore")  # a figure beyond reason is refused in words, not warned of
def read_log(source: str | Path, options: ImportOptions, *, laps: str | None = None) -> ReadLog:
    """Read a log; what it leaves open is asked, and nothing is guessed in silence."""
    path = Path(source)
    findings = Findings(options)
    _, grid = grid_of(read_table(path, LOG), path.name, LOG, findings)
    findings.understood.extend(grid.notes)
    return _Reader(path, findings, laps).read(grid)


class _Reader:
    """The steps from rows and cells to the columns of a log."""

    def __init__(self, path: Path, findings: Findings, laps: str | None) -> None:
        self.path, self.findings, self.laps = path, findings, laps
        self.options = findings.options
        self.chosen: dict[str, HeadColumn] = {}
        self.units: dict[str, str] = {}
        for name in (*findings.options.columns, *findings.options.units):
            if name not in COLUMNS:
                raise UnknownName("column of a log", name, COLUMNS)

    def finish(self, log: DrivenLog | None = None) -> ReadLog:
        found = self.findings
        return ReadLog(
            source=self.path,
            log=None if found.questions else log,
            understood=tuple(dict.fromkeys(found.understood)),
            assumed=tuple(dict.fromkeys(found.assumed)),
            questions=tuple(found.questions),
            columns=tuple((name, one.header, self.units.get(name, "")) for name, one in self.chosen.items()),
            dropped=tuple(found.dropped),
        )

    def read(self, grid: Grid) -> ReadLog:
        if self.findings.questions:
            return self.finish()
        options, findings = self.options, self.findings
        head = likely_head(grid, options, OF_LOGS)
        if head is None:
            findings.ask(
                "header_line", "no line is understood as the header", "--header-line N", "header_line"
            )
            return self.finish()
        findings.understood.append(head.told(grid))
        self.choose(head)
        rows = [
            row
            for row in grid.rows[head.after :]
            if options.lines is None or options.lines[0] <= row.line <= options.lines[1]
        ]
        if not rows:
            raise FileFaults.of(
                self.path.name, "a header without rows", "a row for each sample", "is it another file that was meant?", line=grid.rows[head.after - 1].line
            )  # fmt: skip
        if findings.questions:
            return self.finish()
        return self.samples(rows)

    def choose(self, head: Head) -> None:
        """Find which column is which, or ask."""
        headers = {" ".join(c.header.split()): c for c in reversed(head.columns)}
        headers |= {placed(c.index): c for c in head.columns}
        for name in COLUMNS:
            given = self.options.columns.get(name)
            if given == NONE:
                continue
            if given is not None:
                column = headers.get(" ".join(given.split()))
                if column is None:
                    raise UnknownName(f"--column {name}", given, [c.header for c in head.columns if c.header])
                self.chosen[name] = column
                continue
            found = [c for c in head.columns if c.meaning.name == name]
            if len(found) > 1:
                listed = ", ".join(quoted(c.header) for c in found)
                self.findings.ask(
                    f"column.{name}", f"which column is the {COLUMNS[name].words}: {listed}?", f'--column {name}="HEADER"', "columns",
                    tuple(c.header for c in found),
                )  # fmt: skip
            elif found:
                self.chosen[name] = found[0]
        self.need(head)

    def need(self, head: Head) -> None:
        """Ask for what is missing: speed, time or distance, and something that tells how the car turns."""
        there = self.chosen.keys() | {q.key.removeprefix("column.") for q in self.findings.questions}
        listed = ", ".join(quoted(c.header) for c in head.columns if c.header)[:300]
        wanted = []
        if "speed" not in there:
            wanted.append(("speed", "no column is understood as the speed", '--column speed="HEADER"'))
        if not there & {"time", "distance"}:
            wanted.append(("time", "no column is understood as time or distance", '--column time="HEADER"'))
        turning = (
            there & {"yaw_rate", "lateral_acceleration"}
            or {"x", "y"} <= there
            or {"latitude", "longitude"} <= there
        )
        if not turning:
            words = "nothing tells how the car turns: yaw rate, lateral acceleration, or places"
            wanted.append(
                ("yaw_rate", words, '--column yaw_rate="HEADER", lateral_acceleration=…, or x=… and y=…')
            )
        for name, words, option in wanted:
            self.findings.ask(
                f"column.{name}", f"{words}; the file has {listed}", option, "columns", tuple(c.header for c in head.columns if c.header)
            )  # fmt: skip

    def samples(self, rows: list[Row]) -> ReadLog:
        """Read the figures, then their units, then the laps."""
        cells = {name: _column(rows, one) for name, one in self.chosen.items()}
        read = self.numbers(rows, cells)
        if read is None:
            return self.finish()
        raw, rows_left = read
        lap_cells = [cells["lap"][k] for k in rows_left] if "lap" in cells else None
        columns = self.in_si(raw, lap_cells)
        if self.findings.questions or columns is None:
            return self.finish()
        return self.finish(self.put_together(columns, lap_cells))

    def numbers(
        self, rows: list[Row], cells: dict[str, list[Cell]]
    ) -> tuple[dict[str, Array], list[int]] | None:
        """Read all columns of figures; a row without any is left out, a cell that is none beside others is a fault."""
        names = [name for name in cells if name != "lap"]
        plain = [name for name in names if not (name == "time" and on_clock(cells[name]))]
        sampled = [[*cells[name][:_SAMPLED]] for name in plain]
        decimal, _ = settle_decimal(sampled, [], self.findings)
        if decimal is None:
            return None
        raw, wrong = {}, {}
        for name in names:
            raw[name], bad = figures(cells[name], decimal) if name in plain else clock_figures(cells[name])
            wrong[name] = set(bad)
        empty = np.all([~np.isfinite(one) for one in raw.values()], axis=0)
        self.tell_faults(rows, cells, wrong, empty)
        for k in np.flatnonzero(empty):
            self.findings.dropped.append(
                Dropped(line=rows[k].line, text=rows[k].start, reason="no figure in any column that is read")
            )
        kept = [int(k) for k in np.flatnonzero(~empty)]
        if len(kept) < _LEAST_SAMPLES:
            raise FileFaults.of(
                self.path.name, f"{len(kept)} sample{'s' * (len(kept) != 1)}", f"{_LEAST_SAMPLES} or more", "is it another file that was meant?", line=rows[0].line
            )  # fmt: skip
        if len(kept) < len(rows):
            raw = {name: one[kept] for name, one in raw.items()}
        if "time" not in plain and "time" in raw:
            self.units["time"] = "s"
        return raw, kept

    def tell_faults(
        self,
        rows: list[Row],
        cells: dict[str, list[Cell]],
        wrong: dict[str, set[int]],
        empty: NDArray[np.bool_],
    ) -> None:
        """Raise the faults of cells that are no numbers, the first ones one by one."""
        found = sorted((k, name) for name, bad in wrong.items() for k in bad if not empty[k])
        faults = [
            Fault(
                file=self.path.name, line=rows[k].line, column=self.chosen[name].header,
                found=quoted(cell_text(cells[name][k])), expected="a number", mend="mend the cell, empty it, or leave lines out with --lines",
            )
            for k, name in found[:_MOST_FAULTS]
        ]  # fmt: skip
        if len(found) > _MOST_FAULTS:
            k, name = found[_MOST_FAULTS]
            more = f"{len(found) - _MOST_FAULTS:,} more cells that are no numbers"
            faults.append(
                Fault(file=self.path.name, line=rows[k].line, column=self.chosen[name].header, found=more, expected="numbers")
            )  # fmt: skip
        if faults:
            raise FileFaults(faults)

    def in_si(self, raw: dict[str, Array], lap_cells: list[Cell] | None) -> dict[str, Array] | None:
        """Bring the columns to SI, time and speed first, for by them the units of others can be told."""
        count = len(next(iter(raw.values())))
        pieces = self.rough_pieces(raw, lap_cells, count)
        against = Against(
            time=None, speed=None, pieces=pieces, laps_known=len(pieces) > 1 and self.laps is None
        )
        columns: dict[str, Array] = {}
        for name in ("time", "speed", "distance", "yaw_rate", "lateral_acceleration", "roll"):
            if name not in raw:
                continue
            scaled = self.scaled(name, raw[name], against)
            if scaled is None:
                continue
            columns[name] = scaled
            if name == "time":
                against = replace(against, time=scaled)
            if name == "speed":
                against = replace(against, speed=scaled)
            if name == "distance" and "time" not in raw and "speed" in columns:
                against = replace(against, time=_time_of(scaled, columns["speed"]))
        columns |= self.places(raw, against)
        if "time" not in columns and against.time is not None and "time" not in raw:
            columns["time"] = against.time
            self.findings.assumed.append("no column of time: it is summed from distance and speed")
        return columns

    def rough_pieces(
        self, raw: dict[str, Array], lap_cells: list[Cell] | None, count: int
    ) -> tuple[LogPiece, ...]:
        """Give pieces by which a median over laps can be taken before the laps themselves are known."""
        if lap_cells is not None:
            names, starts, _ = lap_names(lap_cells)
            return _pieces(names, starts, count)
        starts = _anew(raw)
        return _pieces([""] * len(starts), starts, count)

    def scaled(self, name: str, raw: Array, against: Against) -> Array | None:
        """Bring a column to SI by its unit: as said, as its header has it, or as nothing else can be; else ask."""
        column, given = self.chosen[name], self.options.units.get(name)
        unit = given or self.units.get(name) or column.unit
        if not unit:
            likely = likely_units(name, raw, against)
            words = COLUMNS[name].words
            if len(likely) != 1:
                listed = tuple(likely or COLUMNS[name].units)
                most = (
                    f"its largest figure is {np.nanmax(np.abs(raw)):.3g}"
                    if np.any(np.isfinite(raw))
                    else "it is empty"
                )
                self.findings.ask(
                    f"unit.{name}", f"in which unit is the {words}, {quoted(column.header)}? {most}", f"--unit {name}={'|'.join(listed)}", "units",
                    listed,
                )  # fmt: skip
                return None
            (unit,) = likely
            self.findings.assumed.append(
                f"{words}, {quoted(column.header)}, is taken in {unit}: {_evidence(name, raw * COLUMNS[name].units[unit], against)}"
            )
        try:
            scale = scale_of(name, unit)
        except UnitError as fault:
            place = f"--unit {name}" if given else self.path.name
            where = "" if given else f" {quoted(column.header)}:"
            raise InputError(f"{place}:{where} {fault}") from None
        self.units[name] = log_unit(unit)
        values = raw * scale
        self.refuse_incredible(name, values, scale, against)
        return values

    def refuse_incredible(self, name: str, values: Array, scale: float, against: Against) -> None:
        """Refuse figures that cannot be in their unit; what only seems odd is said."""
        header, unit = self.chosen[name].header, self.units[name]
        for one in judged(name, values, against):
            if one.holds:
                continue
            if one.words == "turned in a lap" and one.value < one.beyond:
                self.findings.assumed.append(
                    f"by {quoted(header)} the car turns {math.degrees(one.value):,.0f}° in a lap, where about 360° is usual: "
                    "look at its unit and at the laps"
                )
                continue
            others = [other for other in likely_units(name, values / scale, against) if other != unit]
            mend = (
                f"is it in {' or '.join(others)}? say so with --unit {name}=…"
                if others
                else "check the column and its unit"
            )
            if one.words.startswith("of what"):
                found, expected = f"{one.value:.3g} times the way that speed over time makes", "the same"
                mend = f"{mend}; or the unit of the speed is wrong"
            elif one.words == "turned in a lap":
                found, expected = f"a car that turns {math.degrees(one.value):,.0f}° in a lap", "about 360°"
                mend = f"{mend}; or that of the speed, or the laps are wrong"
            else:
                found = f"{one.value / scale:.3g} {unit} {one.words}"
                expected = f"{one.low / scale:.3g} to {one.high / scale:.3g} {unit}"
            raise FileFaults.of(self.path.name, found, expected, mend, column=header)

    def places(self, raw: dict[str, Array], against: Against) -> dict[str, Array]:
        """Bring places to metres, from degrees on the map or along two axes."""
        if {"latitude", "longitude"} <= raw.keys():
            for name in ("latitude", "longitude"):
                self.units[name] = log_unit(self.options.units.get(name) or self.chosen[name].unit or "deg")
            north, east = (raw[name] * scale_of(name, self.units[name]) for name in ("latitude", "longitude"))
            middle = (float(np.nanmean(north)), float(np.nanmean(east)))
            return {
                "x": np.asarray(_EARTH * math.cos(middle[0]) * (east - middle[1])),
                "y": np.asarray(_EARTH * (north - middle[0])),
                "placed": np.ones(1),
            }
        if not {"x", "y"} <= raw.keys():
            return {}
        units = [self.options.units.get(name) or self.chosen[name].unit for name in ("x", "y")]
        if not all(units):
            likely = likely_units("x", raw["x"] + 1j * raw["y"], against)
            if len(likely) != 1:
                self.findings.ask(
                    "unit.x",
                    "in which unit are the places x and y?",
                    "--unit x=m --unit y=m",
                    "units",
                    ("m", "km", "ft"),
                )
                return {}
            units = [likely[0], likely[0]]
            self.findings.assumed.append(f"places x and y are taken in {likely[0]}, as speed over time says")
        self.units["x"], self.units["y"] = (log_unit(unit) for unit in units)
        return {name: raw[name] * scale_of(name, self.units[name]) for name in ("x", "y")}

    def put_together(self, columns: dict[str, Array], lap_cells: list[Cell] | None) -> DrivenLog | None:
        """Make the log of its columns, split into laps; one of several that tell how the car turns is used."""
        placed_ = columns.pop("placed", None) is not None
        pieces = self.split(columns, lap_cells)
        if pieces is None:
            return None
        self.compare(columns)
        turning = [n for n in ("yaw_rate", "lateral_acceleration") if n in columns] + (
            ["places"] if "x" in columns else []
        )
        used = turning[0]
        if len(turning) > 1:
            words = {
                "yaw_rate": "yaw rate",
                "lateral_acceleration": "lateral acceleration",
                "places": "the places",
            }
            others = " and ".join(words[name] for name in turning[1:])
            self.findings.assumed.append(
                f"how the car turns is read from {words[used]}, and not from {others}; --column {used}={NONE} leaves it out"
            )
        if used == "lateral_acceleration" and "roll" not in columns:
            self.findings.assumed.append(
                "no column of roll: the share of gravity that a leaning body adds to lateral acceleration stays in, 5 % at 3°"
            )
        kept = {
            "yaw_rate": ("yaw_rate",),
            "lateral_acceleration": ("lateral_acceleration", "roll"),
            "places": ("x", "y"),
        }[used]
        return DrivenLog(
            name=self.path.name,
            time=columns["time"],
            speed=columns["speed"],
            distance=columns.get("distance"),
            pieces=pieces,
            placed=placed_ and used == "places",
            **{name: columns.get(name) for name in kept},
        )

    def compare(self, columns: dict[str, Array]) -> None:
        """Hold yaw rate, lateral acceleration and roll against one another, and say what does not agree."""
        speed = columns["speed"]
        if "lateral_acceleration" in columns and "yaw_rate" in columns:
            ratio = ratio_to(columns["lateral_acceleration"], columns["yaw_rate"] * speed)
            if ratio < 0.0:
                self.findings.assumed.append(
                    "yaw rate and lateral acceleration are counted positive to opposite sides"
                )
            if not 0.7 < abs(ratio) < 1.4:
                self.findings.assumed.append(
                    f"lateral acceleration is {abs(ratio):.2g} times what yaw rate and speed make: look at the units of both"
                )
        if (
            "lateral_acceleration" in columns
            and "roll" in columns
            and ratio_to(columns["roll"], columns["lateral_acceleration"]) < 0.0
        ):
            columns["roll"] = -columns["roll"]
            self.findings.assumed.append("roll is turned round: a body leans out of a corner")

    def split(self, columns: dict[str, Array], lap_cells: list[Cell] | None) -> tuple[LogPiece, ...] | None:
        """Split the samples into laps, or ask where they begin."""
        count = len(columns["time"])
        if self.laps is not None and self.laps.strip().casefold() == WHOLE:
            self.findings.understood.append("the file is one lap, as given")
            return (LogPiece("lap 1", 0, count),)
        if self.laps is not None:
            return self.split_at(columns["time"])
        if lap_cells is not None:
            names, starts, marks = lap_names(lap_cells)
            if len(starts) > 1 or not marks:
                how = "marks where each lap begins" if marks else "numbers the laps"
                self.findings.understood.append(
                    f"{quoted(self.chosen['lap'].header)} {how}: {len(starts)} pieces"
                )
                return _pieces(names, starts, count)
        starts = _anew(columns)
        if len(starts) > 1:
            self.findings.assumed.append(
                f"a lap begins where time or distance starts anew: {len(starts)} pieces"
            )
            return _pieces([f"lap {k + 1}" for k in range(len(starts))], starts, count)
        self.findings.ask(
            "laps", "where does each lap begin? no column says it", f'--column lap="HEADER", --laps "62.1 s, 1:55.3" (times at which a lap begins), or --laps {WHOLE}',
            "laps", (WHOLE,),
        )  # fmt: skip
        return None

    def split_at(self, time: Array) -> tuple[LogPiece, ...]:
        """Split at the times that were given; the last one ends the last lap."""
        starts = []
        for text in str(self.laps).split(","):
            seconds = clock_seconds(text.strip())
            if seconds is None:
                try:
                    seconds = _seconds(text.strip())
                except UnitError as fault:
                    raise InputError(f"--laps: {fault}") from None
            starts.append(seconds)
        low, high = float(np.nanmin(time)), float(np.nanmax(time))
        if len(starts) < 2 or any(b <= a for a, b in pairwise(starts)):
            raise InputError(
                f"--laps: found {quoted(str(self.laps))}, expected two times or more, rising: where each lap begins, and where the last one ends"
            )
        if starts[0] < low - 1e-6 or starts[-1] > high + 1e-6:
            raise InputError(
                f"--laps: found {starts[0]:g} s to {starts[-1]:g} s, expected times within the log's, {low:g} s to {high:g} s"
            )
        first = [int(np.searchsorted(time, one, side="left")) for one in starts]
        return tuple(LogPiece(f"lap {k + 1}", a, b) for k, (a, b) in enumerate(pairwise(first)))


def _seconds(text: str) -> float:
    """Read a time with its unit."""
    for unit, scale in (("min", 60.0), ("ms", 0.001), ("s", 1.0)):
        if text.endswith(unit):
            try:
                return float(text.removesuffix(unit)) * scale
            except ValueError:
                break
    raise UnitError(
        found=quoted(text), expected="a time as in '62.1 s' or '1:02.1'", mend="write its unit behind it"
    )


def _column(rows: Sequence[Row], column: HeadColumn) -> list[Cell]:
    index = column.index
    return [row.cells[index] if index < len(row.cells) else "" for row in rows]


def _pieces(names: Sequence[str], starts: Sequence[int], count: int) -> tuple[LogPiece, ...]:
    return tuple(
        LogPiece(name, a, b) for name, (a, b) in zip(names, pairwise((*starts, count)), strict=True) if b > a
    )


def _anew(columns: dict[str, Array]) -> list[int]:
    """Find where time or distance falls back to its beginning."""
    starts = {0}
    for name in ("time", "distance"):
        if name in columns:
            values = columns[name]
            there = np.flatnonzero(np.isfinite(values))
            steps = np.diff(values[there])
            reach = float(np.ptp(values[there])) if there.size else 0.0
            starts |= {int(there[k + 1]) for k in np.flatnonzero(steps < -0.3 * reach)}
    return sorted(starts)


def _time_of(distance: Array, speed: Array) -> Array:
    """Sum time from distance and speed; where distance starts anew time goes on."""
    steps = np.maximum(np.diff(distance), 0.0)
    mean = (speed[1:] + speed[:-1]) / 2.0
    with np.errstate(divide="ignore", invalid="ignore"):
        spans = np.where(mean > 0.5, steps / mean, 0.0)
    return np.concatenate(([0.0], np.cumsum(np.nan_to_num(spans))))


def _evidence(name: str, values: Array, against: Against) -> str:
    """State by what the unit of a column was told."""
    found = []
    for one in judged(name, values, against):
        if one.words == "turned in a lap":
            found.append(f"the car then turns {math.degrees(one.value):.0f}° in a lap")
        elif one.words.startswith("of what"):
            found.append(f"it then makes {one.value:.2f} of the way of speed over time")
        elif name == "time":
            found.append(f"samples are then {one.value:.3g} s apart")
        else:
            found.append(f"it then is {one.value:.3g} {_SI[name]} at most")
    return " and ".join(found) or "nothing else is credible"


_SI = {"speed": "m/s", "yaw_rate": "rad/s", "lateral_acceleration": "m/s²", "roll": "rad"}
