"""A track in words and tables: its length, whether its ends meet, its corners and straights."""

from __future__ import annotations

from math import degrees, pi
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.decide.laps.stations import closure, find_corners, find_straights
from balance.tell.figures import NONE, number
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from balance.decide.laps.stations import Closure, Corner, Straight
    from balance.model.tracks import Track
    from balance.tell.figures import Show

LEAST_STRAIGHT = 50.0
"""What lies between two corners is listed as a straight from this length on. [m]"""
_NOTHING = 2.0  # m between ends that meet
_LONGEST = 30_000.0  # m; longer than what is driven in laps
_OPEN_GAP = 0.02  # of the length: ends farther apart on the ground are a slip in a length or a radius


def straights_of(track: Track) -> tuple[Straight, ...]:
    """List what lies between corners, 50 m or longer; all of it where there is no corner."""
    found = find_straights(track)
    return tuple(one for one in found if one.length >= LEAST_STRAIGHT or not (one.after or one.before))


def track_line(track: Track, show: Show) -> str:
    """Name a track, its length, and which way round it goes."""
    count = len(find_corners(track))
    turned = ("anticlockwise" if track.turned > 0.0 else "clockwise") if abs(track.turned) > pi else ""
    way = track.direction or turned if track.closed else "open: one way, not a lap"
    parts = [track.name, length_text(track.length, show), way, f"{count} corner{'s' * (count != 1)}"]
    return " · ".join(part for part in parts if part)


def length_text(length: float, show: Show) -> str:
    """Write a length along a track, whole metres or feet with thousands set off."""
    unit = show.system.unit("distance")
    return f"{unit.from_si(length):,.0f} {unit.label}"


def closure_line(track: Track, show: Show, found: Closure | None = None) -> str:
    """State how far a track turns, and whether its ends meet."""
    ends = closure(track) if found is None else found
    turned = f"Turns {_turn(ends.turned)} in all"
    if not track.closed:
        return f"{turned}."
    apart = length_text(ends.gap, show)
    if not ends.meets:
        return (
            f"{turned}, {number(abs(degrees(ends.missing)), 0)}° {'short of' if _short(ends) else 'beyond'} a full "
            f"turn: its ends do not meet, they are {apart} apart. A lap is simulated all the same; look at the angles."
        )
    if ends.gap > _OPEN_GAP * track.length:
        return (
            f"{turned}, but its ends are {apart} apart on the ground: a length, a radius or the heading is off. "
            "A lap is simulated all the same."
        )
    if ends.gap > _NOTHING:
        return f"{turned}: its ends are {apart} apart on the ground, near enough for a lap."
    return f"{turned}: its ends meet, {apart} apart on the ground."


def track_doubts(track: Track, show: Show) -> list[str]:
    """State what makes a track doubtful, which has to stand wherever its seconds stand."""
    if track.made_up:
        return [
            f"warning: the line of {track.name} is made up, the one that a new track begins with: type over its line.csv"
        ]
    said = []
    ends = closure(track)
    if track.closed and (not ends.meets or ends.gap > _OPEN_GAP * track.length):
        said.append(f"warning: {track.name}: {closure_line(track, show, ends)}")
    if track.length > _LONGEST:
        said.append(
            f"warning: {track.name} is {length_text(track.length, show)} long: check the unit in its line.csv"
        )
    if track.closed and not find_corners(track):
        said.append(f"warning: {track.name} has no corner: check radius and unit in its line.csv")
    return said


def _short(ends: Closure) -> bool:
    return abs(ends.turned + ends.missing) > abs(ends.turned)


def _turn(angle: float) -> str:
    text = number(abs(degrees(angle)), 0)
    return f"{text}°" if text == "0" else f"{text}° {side_word(angle)}"


def side_word(angle: float) -> str:
    """Name the side to which a corner turns, as its sign says after ISO 8855."""
    return "left" if angle > 0.0 else "right"


def noise_line(track: Track, show: Show) -> str:
    """State how well a traced track's curvature is known; nothing of a track made by hand."""
    noise = curvature_noise(track)
    if noise is None:
        return ""
    text = f"Curvature: sd {_small(noise)} 1/m along the line, from how the laps differ"
    corners = find_corners(track)
    if not corners:
        return f"{text}."
    sharpest = min(corners, key=lambda one: one.radius)
    return (
        f"{text}; of the radius of corner {sharpest.number}, {length_text(sharpest.radius, show)}, "
        f"that is sd {number(100.0 * noise * sharpest.radius, 1)} %."
    )


def curvature_noise(track: Track) -> float | None:
    """Give the root mean square of a traced track's standard uncertainty of curvature [1/m]."""
    if track.curvature_std is None:
        return None
    return float(np.sqrt(np.mean(np.square(track.curvature_std))))


def _small(value: float) -> str:
    return f"{value:.1g}" if value < 1e-5 else f"{value:.5f}"


def corners_table(track: Track, show: Show) -> Table:
    """Lay out the corners: where, how tight, how far and to which side they turn."""
    unit = show.unit("distance")
    columns: tuple[Column, ...] = (
        Column("number", "corner", align="right"),
        Column("name", "name", width=8, flexible=True, priority=1),
        Column("at", "at", unit=unit, align="right"),
        Column("radius", "radius", unit=unit, align="right"),
        Column("angle", "turns", unit="°", align="right"),
        Column("side", "side"),
    )
    rows = [
        [
            Cell(str(one.number)),
            Cell(one.name or NONE, "" if one.name else "muted"),
            Cell(_bare(one.apex, show)),
            Cell(_bare(one.radius, show)),
            Cell(number(abs(degrees(one.angle)), 0)),
            Cell(side_word(one.angle)),
        ]
        for one in find_corners(track)
    ]
    if not any(one.name for one in find_corners(track)):
        columns = tuple(column for column in columns if column.key != "name")
        rows = [[row[0], *row[2:]] for row in rows]
    return table_of(columns, rows)


def straights_table(track: Track, show: Show) -> Table:
    """Lay out the straights: between which corners, from where, how long."""
    unit = show.unit("distance")
    columns = (
        Column("between", "straight"),
        Column("from", "from", unit=unit, align="right"),
        Column("length", "length", unit=unit, align="right"),
    )
    rows = [
        [Cell(straight_name(one)), Cell(_bare(one.start % track.length, show)), Cell(_bare(one.length, show))]
        for one in straights_of(track)
    ]
    return table_of(columns, rows)


def straight_name(straight: Straight) -> str:
    """Name a straight by the corners about it.

    Examples
    --------
    >>> from balance.decide.laps.stations import Straight
    >>> straight_name(Straight(after=3, before=4, start=0.0, end=80.0))
    'corner 3 to 4'
    """
    if not straight.after and not straight.before:
        return "all of it"
    if not straight.after:
        return f"start to corner {straight.before}"
    if not straight.before:
        return f"corner {straight.after} to the end"
    return f"corner {straight.after} to {straight.before}"


def _bare(length: float, show: Show) -> str:
    return f"{show.system.unit('distance').from_si(length):,.0f}"


def track_notes(track: Track, show: Show) -> list[str]:
    """State what a track's file adds in words, and its places."""
    notes = [track.note] if track.note else []
    notes += [f"place {one.name} at {length_text(one.distance, show)}" for one in track.places]
    absent = [name for name in ("bank", "gradient") if not np.any(getattr(track, name))]
    return (
        [*notes, f"no {' and no '.join(absent)} stated: the road is taken for level there"]
        if absent
        else notes
    )


def track_record(track: Track) -> dict[str, Any]:
    """Return the record of a track, SI."""
    ends = closure(track)
    return {
        "format": "axletrim-track/1",
        "track": track.name,
        "length_m": track.length,
        "closed": track.closed,
        "direction": track.direction or None,
        "air_density_kg_m3": track.air_density,
        "turned_rad": ends.turned,
        "missing_rad": ends.missing,
        "gap_m": ends.gap,
        "ends_meet": ends.meets if track.closed else None,
        "curvature_std_per_m": curvature_noise(track),
        "corners": [_corner_record(one) for one in find_corners(track)],
        "straights": [
            {
                "after": one.after or None,
                "before": one.before or None,
                "start_m": one.start % track.length,
                "length_m": one.length,
            }
            for one in straights_of(track)
        ],
        "places": [{"name": one.name, "distance_m": one.distance} for one in track.places],
    }


def _corner_record(one: Corner) -> dict[str, Any]:
    return {
        "number": one.number,
        "name": one.name or None,
        "start_m": one.start,
        "distance_m": one.apex,
        "end_m": one.end,
        "radius_m": one.radius,
        "angle_rad": one.angle,
    }
