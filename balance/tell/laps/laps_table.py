"""Laps of a day as tables: each configuration against the start, and each part by the seconds it is worth."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.laps.day_laps import by_seconds, fastest_in_balance
from balance.tell.figures import NONE, number
from balance.tell.laps.worth_words import STUCK, ends_of, faster_words, seconds_cell
from balance.tell.parts.part_names import part_name, setting_words
from balance.tell.runs.range_words import range_role, range_then
from balance.tell.runs.row_names import setting_text
from balance.tell.runs.run_table import shortened
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from balance.decide.day.range_verdict import RangeVerdict
    from balance.decide.laps.day_laps import DayLaps
    from balance.model.records import Setting
    from balance.tell.figures import Show

SECONDS = (
    Column("worth", "a lap", unit="s", align="decimal", width=8, decimals=3, term="seconds_a_lap"),
    Column("between", "interval", unit="s", width=16, term="seconds_a_lap"),
)


def fitted_names(laps: DayLaps) -> tuple[str, ...]:
    """Name each configuration by what is fitted, by its label where nothing is set, with its block where two are alike."""
    return _names(laps, setting_words)


def short_names(laps: DayLaps) -> tuple[str, ...]:
    """Name each configuration in the same way, units in the head."""
    return _names(laps, lambda name, held: f"{name} {setting_text(held.value)}")


def _names(laps: DayLaps, words: Callable[[str, Setting], str]) -> tuple[str, ...]:
    names = laps.day.session.setting_names
    runs = [laps.run(k) for k in range(len(laps.rows))]
    fitted = [
        ", ".join(words(shortened(name, names), held) for name, held in run.settings.items())
        or run.configuration
        for run in runs
    ]
    return tuple(
        f"{words} ({run.block or 'no block'})" if fitted.count(words) > 1 else words
        for words, run in zip(fitted, runs, strict=True)
    )


def setting_units(laps: DayLaps) -> str:
    """Name the units of the settings that stand in the short names."""
    held = [one for run in laps.day.readings.runs for one in run.settings.values() if one.numeric]
    units = dict.fromkeys("°" if one.unit == "deg" else one.unit for one in held if one.unit)
    return ", ".join(units)


def best_words(laps: DayLaps, ranges: Mapping[int, RangeVerdict]) -> str:
    """Name the fastest configuration that is in balance over the range, and what it is worth."""
    best = fastest_in_balance(laps, ranges)
    if best is None:
        return "No configuration is in balance over the car's range of speeds: none is recommended, however fast."
    if best == laps.start:
        return "The start is the fastest configuration in balance."
    worth = faster_words(*ends_of(laps.worths.against_start, best))
    return f"Fastest in balance: {fitted_names(laps)[best]}: {worth} than the start."


def configuration_column(laps: DayLaps) -> Column:
    """Make the column of short names."""
    name = "configuration"
    return Column(name, name, unit=setting_units(laps), width=28, flexible=True, term=name)


def fastest_column(show: Show) -> Column:
    """Make the column of the highest speeds."""
    name, unit = "fastest", show.unit("speed")
    return Column(name, name, unit=unit, align="right", width=7, priority=4, term="fastest_speed")


def laps_table(
    laps: DayLaps, positions: Sequence[int], ranges: Mapping[int, RangeVerdict], show: Show
) -> Table:
    """List configurations, the fastest in balance first, each with its verdict over the range."""
    columns = [
        Column("run", "run", width=3, priority=1, term="run"),
        configuration_column(laps),
        Column("lap", "lap", unit="s", align="right", width=6, priority=3, term="lap_time"),
        SECONDS[0]._replace(title="to start"),
        SECONDS[1],
        fastest_column(show),
        Column("then", "then", unit="all speeds", width=13, term="range_verdict"),
    ]
    times, against = laps.worths.time, laps.worths.against_start
    order = [k for k in by_seconds(laps, ranges) if k in positions]
    rows, names = [], short_names(laps)
    for k in order:
        over = ranges[laps.rows[k]]
        stuck = times.value[k] != times.value[k]
        cell = seconds_cell(*ends_of(against, k))
        rows.append(
            [
                Cell(laps.run(k).label),
                Cell(names[k]),
                Cell(STUCK if stuck else number(float(times.value[k]), 1), value=float(times.value[k])),
                cell,
                _between(cell),
                Cell(NONE) if stuck else Cell(show.bare("speed", float(laps.lap.speed[k].max()))),
                Cell(range_then(over), range_role(over)),
            ]
        )
    return table_of(columns, rows, key="laps")


def parts_table(laps: DayLaps) -> Table:
    """List what each comparison of the day is worth a lap, what gains most first."""
    columns = [
        Column("part", "part", width=34, flexible=True, term="part"),
        *SECONDS,
        Column("run", "run", align="right", width=3, priority=1),
        Column("baseline", "against", align="right", width=7, priority=1, term="baseline"),
    ]
    if laps.increments is None:
        return table_of(columns, [], key="lap_parts")
    rows = []
    for part in sorted(laps.parts, key=lambda one: float(one.seconds.value)):
        cell = seconds_cell(*ends_of(part.seconds))
        pair = laps.increments.pairs[part.increment]
        labels = laps.day.readings.labels
        rows.append(
            [
                Cell(part_name(laps.increments, part.increment)),
                cell,
                _between(cell),
                Cell(labels[pair.run]),
                Cell(labels[pair.baseline]),
            ]
        )
    return table_of(columns, rows, key="lap_parts")


def _between(cell: Cell) -> Cell:
    return Cell(f"({cell.between})" if cell.between else NONE, "muted")
