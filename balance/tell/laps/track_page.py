"""The track page: which configuration is best there, its corners on the drawing, and what each part is worth a lap."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.laps.day_laps import fastest_in_balance, offered
from balance.decide.parts.parts import RankBy, rank_parts
from balance.tell.figures import NONE, capital
from balance.tell.laps.changed_words import step_words
from balance.tell.laps.corner_table import LIMIT_MARKS, corner_table, paces_of, straight_table
from balance.tell.laps.laps_table import (
    best_words,
    configuration_column,
    fastest_column,
    fitted_names,
    short_names,
)
from balance.tell.laps.track_drawing import draw_track
from balance.tell.laps.track_text import length_text, track_doubts
from balance.tell.laps.worth_words import (
    NOT_A_LAP,
    SURER,
    assumed_words,
    ends_of,
    faster_words,
    friction_words,
    half_cell,
    half_unit,
    lap_notes,
    lap_words,
    rate_words,
)
from balance.tell.parts.part_names import differing
from balance.tell.runs.range_words import range_phrase, range_role, range_short, range_then
from balance.tell.runs.run_table import shortened
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from balance.decide.day.estimate import Estimate
    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.laps.changed_laps import SettingSteps
    from balance.decide.laps.day_laps import DayLaps
    from balance.decide.laps.worth import ExchangeRate
    from balance.decide.parts.parts import Parts
    from balance.tell.figures import Show
    from balance.tell.laps.track_drawing import TrackDrawing

    Ranges = Mapping[int, RangeVerdict]

PICKED = "►"
"""Stands before what is of the picked row."""
LEGEND = "f front, r rear, p power"
WORTH_HEADING = "What each part is worth a lap, in seconds"


class Run(NamedTuple):
    """Some cells of a drawing with one role: front, rear, power, label, or nothing."""

    text: str
    role: str


def track_head(laps: DayLaps, position: int, show: Show) -> str:
    """Name car, track and length, and the lap of the configuration that is looked at."""
    lap = lap_words(*ends_of(laps.worths.time, position))
    length = length_text(laps.track.length, show)
    return f"{laps.day.session.vehicle.name} at {laps.track.name} · {length} · {PICKED} lap {lap} · {SURER}"


def best_line(laps: DayLaps, ranges: Ranges, show: Show) -> tuple[str, str]:
    """Name the fastest configuration in balance, with seconds and verdict, and how that is set off."""
    best = fastest_in_balance(laps, ranges)
    if best is None:
        return best_words(laps, ranges), "warn"
    over = ranges[laps.rows[best]]
    return f"{best_words(laps, ranges).removesuffix('.')} · {range_phrase(over, show)}", range_role(over)


def rows_heading(laps: DayLaps) -> str:
    """Head the configurations: what their seconds are, and what they rest on."""
    resting = friction_words(laps.day.session.vehicle, laps.car)
    return f"Seconds a lap to the start, minus faster, {resting}"


def page_notes(
    laps: DayLaps, show: Show, rate: ExchangeRate | None, *, brief: bool = False
) -> tuple[str, ...]:
    """State below the lists what drag is paid by at the picked configuration, what a lap is not, what was assumed."""
    paid = "working out what drag is paid by …" if rate is None else rate_words(rate, show.unit("force"))
    assumed = (assumed_words(laps.car),) if laps.car.assumed and not brief else ()
    return *track_doubts(laps.track, show), f"{PICKED} {capital(paid)}", NOT_A_LAP, *assumed


def configurations_table(laps: DayLaps, ranges: Ranges, order: Sequence[int], show: Show) -> Table:
    """List configurations against the start, each with its verdict over all speeds; one that is not offered is muted."""
    unit = half_unit(laps.day.confidence)
    columns = [
        Column("run", "run", width=3, term="run"),
        configuration_column(laps),
        Column("worth", "to start", unit=unit, align="right", width=15, term="seconds_a_lap"),
        fastest_column(show),
        Column("then", "then", unit="all speeds", width=14, term="range_verdict"),
    ]
    rows, names, fit = [], short_names(laps), offered(laps, ranges)
    for k in order:
        over = ranges[laps.rows[k]]
        top = float(laps.lap.speed[k].max())
        rows.append(
            [
                Cell(laps.run(k).label),
                Cell(names[k], "" if fit[k] else "muted"),
                half_cell(*ends_of(laps.worths.against_start, k)),
                Cell(show.bare("speed", top)) if np.isfinite(laps.lap.time[k]) else Cell(NONE, "muted"),
                Cell(range_then(over), range_role(over)),
            ]
        )
    return table_of(columns, rows, key="laps")


def worth_table(laps: DayLaps, parts: Parts) -> Table:
    """List what each comparison of the day is worth a lap, what brings most first, with the verdict of the car after it."""
    unit = half_unit(laps.day.confidence)
    columns = [
        Column("run", "run", width=3, term="run"),
        Column("against", "against", width=7, priority=3, term="baseline"),
        Column("part", "what differs", width=22, flexible=True, term="part"),
        Column("worth", "a lap", unit=unit, align="right", width=15, term="seconds_a_lap"),
        Column("then", "after it", unit="all speeds", width=14, term="range_verdict"),
    ]
    worths = {one.increment: one.seconds for one in laps.parts}
    labels, names = laps.day.readings.labels, laps.day.session.setting_names
    short = {name: shortened(name, names) for name in names}
    rows = []
    for k in parts_by_seconds(laps, parts):
        pair, over = parts.increments.pairs[k], parts.ranges_after[k]
        what = ", ".join(differing(parts.increments, k, shortened=short))
        rows.append(
            [
                Cell(labels[pair.run]),
                Cell(labels[pair.baseline]),
                Cell(what),
                half_cell(*ends_of(worths[k])),
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
    paces = paces_of(laps)
    limits = {
        pace.corner.number: str(pace.limited_by[position])
        for pace in paces
        if np.isfinite(pace.lowest[position])
    }
    marks = tuple((number, LIMIT_MARKS[limit]) for number, limit in limits.items())
    drawing = _drawn(laps, width, height, ascii_only=ascii_only, marks=marks)
    roles = np.full(drawing.along.shape, "", dtype="<U8")
    for pace in paces:
        start, end = pace.corner.start, pace.corner.end
        for shift in (0.0, laps.track.length):
            inside = (drawing.along + shift >= start) & (drawing.along + shift <= end)
            roles[inside] = limits.get(pace.corner.number, "")
    for label in drawing.labels:
        roles[label.row, label.column : label.column + len(label.text)] = "label"
    return tuple(tuple(_runs(text, line)) for text, line in zip(drawing.rows, roles.tolist(), strict=True))


@lru_cache(maxsize=8)
def _drawn(
    laps: DayLaps, width: int, height: int, *, ascii_only: bool, marks: tuple[tuple[int, str], ...]
) -> TrackDrawing:
    """Draw the track once for all configurations that the same axles limit."""
    return draw_track(laps.track, width, height, ascii_only=ascii_only, beside=dict(marks))


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
    steps: Sequence[SettingSteps] = (),
) -> tuple[tuple[str, str], tuple[Table, ...], tuple[str, ...]]:
    """Tell all of one configuration's lap: its line and how that is set off, its corners and straights, and the notes."""
    seconds = faster_words(*ends_of(laps.worths.against_start, position))
    lap = lap_words(*ends_of(laps.worths.time, position))
    line = f"{capital(fitted_names(laps)[position])} · lap {lap} · {seconds} · {range_phrase(over, show)}"
    return (
        (line, range_role(over)),
        (corner_table(laps, position, show, losses=losses), straight_table(laps, position, show)),
        (*map(capital, map(step_words, steps)), *lap_notes(laps, force=show.unit("force"), rate=rate)),
    )
