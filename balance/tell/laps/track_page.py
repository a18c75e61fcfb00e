"""The track page: which configuration is best there, its corners on the drawing, and what each part is worth a lap."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.laps.day_laps import fastest_in_balance, offered
from balance.decide.parts.parts import RankBy, rank_parts
from balance.tell.figures import NONE, capital
from balance.tell.laps.corner_table import corner_table, straight_table
from balance.tell.laps.laps_table import SECONDS, best_words, fitted_names
from balance.tell.laps.track_drawing import draw_track
from balance.tell.laps.track_text import length_text
from balance.tell.laps.worth_words import (
    SURER,
    ends_of,
    faster_words,
    lap_notes,
    lap_words,
    seconds_cell,
)
from balance.tell.parts.part_names import differing
from balance.tell.runs.range_words import range_phrase, range_role, range_short, range_then
from balance.tell.runs.run_table import shortened
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from balance.decide.day.estimate import Estimate
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.laps.worth import ExchangeRate
    from balance.decide.parts.parts import Parts
    from balance.tell.figures import Show

    Ranges = Mapping[int, RangeVerdict]

LIMIT_MARKS = {"front": "f", "rear": "r", "power": "p"}
"""What stands beside a corner's number, so that which axle limits it does not hang on colour."""
LEGEND = "f front limits · r rear limits · p power: neither"


class Run(NamedTuple):
    """Some cells of a drawing with one role: front, rear, power, label, or nothing."""

    text: str
    role: str


def track_head(laps: DayLaps, position: int, show: Show) -> str:
    """Name car, track and length, and the lap of the configuration that is looked at."""
    lap = lap_words(*ends_of(laps.worths.time, position))
    length = length_text(laps.track.length, show)
    return (
        f"{laps.day.session.vehicle.name} at {laps.track.name} · {length} · "
        f"{fitted_names(laps)[position]}: lap {lap} · {SURER}"
    )


def best_line(laps: DayLaps, ranges: Ranges, show: Show) -> tuple[str, str]:
    """Name the fastest configuration in balance, with seconds and verdict, and how that is set off."""
    best = fastest_in_balance(laps, ranges)
    if best is None:
        return best_words(laps, ranges), "warn"
    over = ranges[laps.rows[best]]
    return f"{best_words(laps, ranges)} · {range_phrase(over, show)}", range_role(over)


def configurations_table(laps: DayLaps, ranges: Ranges, order: Sequence[int], show: Show) -> Table:
    """List configurations against the start, each with its verdict over all speeds; one that is not offered is muted."""
    columns = [
        Column("configuration", "configuration", width=16, flexible=True, term="configuration"),
        Column("worth", "to start", unit="s", align="decimal", width=8, decimals=3, term="seconds_a_lap"),
        SECONDS[1],
        Column(
            "fastest",
            "fastest",
            unit=show.unit("speed"),
            align="right",
            width=7,
            priority=4,
            term="fastest_speed",
        ),
        Column("then", "then", unit="all speeds", width=14, term="range_verdict"),
    ]
    rows, names, fit = [], fitted_names(laps), offered(laps, ranges)
    for k in order:
        over, cell = ranges[laps.rows[k]], seconds_cell(*ends_of(laps.worths.against_start, k))
        top = float(laps.lap.speed[k].max())
        rows.append(
            [
                Cell(names[k], "" if fit[k] else "muted"),
                cell,
                _between(cell),
                Cell(show.bare("speed", top)) if np.isfinite(laps.lap.time[k]) else Cell(NONE, "muted"),
                Cell(range_then(over), range_role(over)),
            ]
        )
    return table_of(columns, rows, key="laps")


def worth_table(laps: DayLaps, parts: Parts) -> Table:
    """List what each comparison of the day is worth a lap, what brings most first, with the verdict of the car after it."""
    columns = [
        Column("part", "part", width=16, flexible=True, term="part"),
        *SECONDS,
        Column("then", "after it", unit="all speeds", width=14, term="range_verdict"),
    ]
    worths = {one.increment: one.seconds for one in laps.parts}
    labels, names = laps.day.readings.labels, laps.day.session.setting_names
    short = {name: shortened(name, names) for name in names}
    rows = []
    for k in parts_by_seconds(laps, parts):
        pair, over = parts.increments.pairs[k], parts.ranges_after[k]
        cell = seconds_cell(*ends_of(worths[k]))
        what = ", ".join(differing(parts.increments, k, shortened=short))
        rows.append(
            [
                Cell(f"{what} · run {labels[pair.run]} against {labels[pair.baseline]}"),
                cell,
                _between(cell),
                Cell(range_short(over), range_role(over)),
            ]
        )
    return table_of(columns, rows, key="worth")


def parts_by_seconds(laps: DayLaps, parts: Parts) -> tuple[int, ...]:
    """Put the comparisons in order of their seconds, each only once, what does not get round last."""
    once = {*rank_parts(parts, RankBy.DOWNFORCE)}
    seconds = {
        one.increment: float(one.seconds.value) if np.isfinite(one.seconds.value) else np.inf
        for one in laps.parts
        if one.increment in once
    }
    return tuple(sorted(seconds, key=lambda k: seconds[k]))


def marked_drawing(
    laps: DayLaps, position: int, width: int, height: int, *, ascii_only: bool = False
) -> tuple[tuple[Run, ...], ...]:
    """Draw the track with each corner marked by the axle that limits it: by a letter beside its number, and by a role."""
    paces = laps.corners()
    limits = {
        pace.corner.number: str(pace.limited_by[position])
        for pace in paces
        if np.isfinite(pace.lowest[position])
    }
    drawing = draw_track(
        laps.track,
        width,
        height,
        ascii_only=ascii_only,
        beside={number: LIMIT_MARKS[limit] for number, limit in limits.items()},
    )
    roles = np.full(drawing.along.shape, "", dtype="<U8")
    for pace in paces:
        start, end = pace.corner.start, pace.corner.end
        for shift in (0.0, laps.track.length):
            inside = (drawing.along + shift >= start) & (drawing.along + shift <= end)
            roles[inside] = limits.get(pace.corner.number, "")
    for label in drawing.labels:
        roles[label.row, label.column : label.column + len(label.text)] = "label"
    return tuple(tuple(_runs(text, line)) for text, line in zip(drawing.rows, roles.tolist(), strict=True))


def _runs(text: str, roles: Sequence[str]) -> Iterator[Run]:
    """Gather neighbouring cells of one role."""
    start = 0
    for end in range(1, len(text) + 1):
        if end == len(text) or roles[end] != roles[start]:
            yield Run(text[start:end], roles[start])
            start = end


def configuration_detail(
    laps: DayLaps,
    position: int,
    over: RangeVerdict,
    show: Show,
    *,
    losses: Sequence[Estimate] | None = None,
    rate: ExchangeRate | None = None,
) -> tuple[tuple[str, str], tuple[Table, ...], tuple[str, ...]]:
    """Tell all of one configuration's lap: its line and how that is set off, its corners and straights, and the notes."""
    seconds = faster_words(*ends_of(laps.worths.against_start, position))
    lap = lap_words(*ends_of(laps.worths.time, position))
    line = f"{capital(fitted_names(laps)[position])} · lap {lap} · {seconds} · {range_phrase(over, show)}"
    return (
        (line, range_role(over)),
        (corner_table(laps, position, show, losses=losses), straight_table(laps, position, show)),
        tuple(lap_notes(laps, force=show.unit("force"), rate=rate)),
    )


def _between(cell: Cell) -> Cell:
    return Cell(f"({cell.between})" if cell.between else NONE, "muted")
