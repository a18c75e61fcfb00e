"""Corners and straights of a lap as tables: how fast, which axle limits, what the air does, time against the start."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from balance.tell.figures import NONE, number
from balance.tell.laps.track_text import LEAST_STRAIGHT
from balance.tell.laps.worth_words import ends_of, half_cell, half_unit
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.day.estimate import Estimate
    from balance.decide.laps.corners import CornerPace, StraightPace
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.laps.stations import Corner
    from balance.tell.figures import Show

LIMIT_MARKS = {"front": "f", "rear": "r", "power": "p"}
"""What stands behind a corner's number, so that which axle limits it does not hang on colour."""
_LONGEST_NAME = 16
"""Cells that the name of a corner may take before it is cut where there is little room."""
_NOTHING = Cell(NONE, "muted")


@lru_cache(maxsize=2)
def paces_of(laps: DayLaps) -> tuple[CornerPace, ...]:
    """Give the corners of a day's laps, found once for all that shows them."""
    return laps.corners()


def corner_name(corner: Corner) -> str:
    """Name a corner: its number, and what a place of the track calls it."""
    return f"{corner.number} {corner.name}".rstrip()


def marked_name(pace: CornerPace, position: int) -> str:
    """Name a corner with the mark of what limits a configuration there, as the drawing has it."""
    if not math.isfinite(float(pace.lowest[position])):
        return corner_name(pace.corner)
    mark = LIMIT_MARKS[str(pace.limited_by[position])]
    return f"{pace.corner.number}{mark} {pace.corner.name}".rstrip()


def corner_table(
    laps: DayLaps, position: int, show: Show, *, losses: Sequence[Estimate] | None = None
) -> Table:
    """List the corners of one configuration's lap, with the time lost against the start where it was worked out."""
    unit = show.unit("speed")
    longest = max((len(marked_name(pace, position)) for pace in paces_of(laps)), default=0)
    columns = [
        Column("corner", "corner", width=min(longest, _LONGEST_NAME), flexible=True, term="corner"),
        Column("slowest", "slowest", unit=unit, align="right", width=7, term="slowest_speed"),
        Column("limited", "limited by", width=10, priority=1, term="limited_by"),
        Column("without_air", "no air", unit=unit, align="right", width=6, priority=2, term="without_air"),
    ]
    if losses is not None:
        unit = half_unit(laps.day.confidence)
        columns.append(
            Column("against", "to start", unit=unit, align="right", width=14, term="seconds_a_lap")
        )
    rows = [
        [
            Cell(marked_name(pace, position)),
            _speed(show, float(pace.lowest[position])),
            limited_cell(pace, position),
            _speed(show, float(pace.without_air[position]), none="flat out"),
            *(() if losses is None else (half_cell(*ends_of(losses[k])),)),
        ]
        for k, pace in enumerate(paces_of(laps))
    ]
    return table_of(columns, rows, key="corners")


def straight_table(laps: DayLaps, position: int, show: Show) -> Table:
    """List the straights of one configuration's lap: the speed at its end, against the start's, and what holds it back."""
    unit = show.unit("speed")
    columns = [
        Column("straight", "straight", width=10, flexible=True, term="straight"),
        Column("fastest", "fastest", unit=unit, align="right", width=7, term="fastest_speed"),
        Column("against", "to start", unit=unit, align="decimal", width=8, decimals=1, term="fastest_speed"),
        Column("held", "held by", width=7, priority=2, term="fastest_speed"),
    ]
    names = {pace.corner.number: corner_name(pace.corner) for pace in paces_of(laps)}
    rows = [
        [
            Cell(straight_name(pace, names)),
            _speed(show, float(pace.fastest[position])),
            _NOTHING
            if position == laps.start
            else _gained(show, float(pace.fastest[position] - pace.fastest[laps.start])),
            Cell("drag" if bool(pace.drag_limited[position]) else "length"),
        ]
        for pace in laps.straights()
        if pace.end - pace.start >= LEAST_STRAIGHT
    ]
    return table_of(columns, rows, key="straights")


def straight_name(pace: StraightPace, names: dict[int, str]) -> str:
    """Name a straight by the corner that it leads to."""
    return f"to {names[pace.before]}" if pace.before in names else "to the end"


def limited_cell(pace: CornerPace, position: int) -> Cell:
    """Say what limits a configuration in a corner: front, rear, or power where it could go faster."""
    if not math.isfinite(float(pace.lowest[position])):
        return _NOTHING
    return Cell(str(pace.limited_by[position]))


def _speed(show: Show, value: float, *, none: str = NONE) -> Cell:
    if math.isinf(value):
        return Cell(none, "muted")
    return Cell(show.bare("speed", value), "muted" if math.isnan(value) else "", value=value)


def _gained(show: Show, value: float) -> Cell:
    if not math.isfinite(value):
        return _NOTHING
    shown = show.system.unit("speed").from_si(value)
    text = number(shown, 1)
    return Cell(f"+{text}" if shown > 0.0 and text.strip("0.") else text, value=shown)
