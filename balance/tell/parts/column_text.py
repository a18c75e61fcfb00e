"""Compared columns in words: their short heads, changes with sign, unit and interval, and how they were compared."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.classes import PartClass
from balance.compare.column_increments import ONLY
from balance.model.kinds import unit_mark, with_unit
from balance.reduce.median import median
from balance.tell.figures import (
    NONE,
    capital,
    decimals_for,
    low_to_high,
    number,
    percent,
    runs_named,
    with_sign,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.compare.column_increments import ColumnIncrements
    from balance.compare.contrasts import Change
    from balance.decide.parts.parts import Parts
    from balance.model.records import ComparedColumn, Facility
    from balance.reduce.readings import Readings
    from balance.tell.figures import Show

COLUMN = "column:"
"""Before the name of a compared column in the key of a table's column."""
_USUAL_DECIMALS = 1
_ALIKE = 0.005
"""Share of each other within which speeds are told as one."""


def column_heads(columns: Sequence[ComparedColumn], taken: Sequence[str]) -> tuple[str, ...]:
    """Return for each column as few of its first words as tell it from the others and from heads that are taken."""
    titles = [column.title for column in columns]
    heads = []
    for title in titles:
        words, others = title.split(), [one for one in titles if one != title]
        tries = (" ".join(words[:count]) for count in range(1, len(words) + 1))
        free = (
            head for head in tries if head not in taken and not any(one.startswith(head) for one in others)
        )
        heads.append(next(free, title))
    return tuple(heads)


def signed_figure(value: float, places: int) -> str:
    """Write a figure with its sign, without its unit."""
    return with_sign(number(value, places), value)


def usual_places(column: ColumnIncrements) -> int:
    """Choose the decimals that the usual uncertainty of a column's changes supports."""
    stds = column.changes.std[:, ONLY]
    known = stds[np.isfinite(stds)]
    return places_for(float(median(known)) if known.size else math.nan)


def places_for(std: float) -> int:
    """Choose the decimals that an uncertainty of a column supports."""
    return decimals_for(std, fallback=_USUAL_DECIMALS)


def changed_words(change: Change, unit: str) -> str:
    """Write a change of a column with its sign, unit and interval, and whether it is more than noise."""
    if not math.isfinite(change.change):
        return "none: no value on one side, or in blocks that nothing ties"
    places = places_for(change.std)
    text = with_unit(signed_figure(change.change, places), unit)
    if not math.isfinite(change.std):
        return f"{text}, noise unknown"
    return f"{text} ({low_to_high(change.low, change.high, places)}), {resolved_word(change)}"


def resolved_word(change: Change) -> str:
    """State whether a change is more than noise, or that there is none."""
    if not math.isfinite(change.change):
        return "not compared"
    return "significant" if change.resolved else "within noise"


def resolved_columns(parts: Parts, row: int) -> tuple[int, ...]:
    """Return which compared columns a part changed by more than noise; none for the same configuration again."""
    if not parts.increments.pairs[row].differs:
        return ()
    return tuple(k for k, one in enumerate(parts.columns) if one.of(row).resolved)


def only_columns(parts: Parts, row: int) -> bool:
    """Return whether a part did to compared columns what it did not to loads and drag: it would look like nothing."""
    nothing = parts.increments.classes[row][0] is PartClass.LESS_THAN_SHOWN
    return nothing and bool(resolved_columns(parts, row))


def resolved_words(parts: Parts, row: int, *, interval: bool = True) -> tuple[str, ...]:
    """Write each change of a compared column that is more than noise, with the column's name before it."""
    said = []
    for k in resolved_columns(parts, row):
        one, change = parts.columns[k], parts.columns[k].of(row)
        places = places_for(change.std)
        figure = with_unit(signed_figure(change.change, places), one.column.unit)
        ends = f" ({low_to_high(change.low, change.high, places)})" if interval else ""
        said.append(f"{one.column.title} {figure}{ends}")
    return tuple(said)


def column_lines(parts: Parts, row: int) -> list[str]:
    """State what a part did to every compared column, a sentence each."""
    return [
        f"{capital(one.column.title)}: {changed_words(one.of(row), one.column.unit)}."
        for one in parts.columns
    ]


def column_rows(parts: Parts, row: int) -> list[tuple[str, ...]]:
    """Return the cells of a small table of a part's changes of every compared column."""
    rows: list[tuple[str, ...]] = []
    for one in parts.columns:
        change = one.of(row)
        places, known = places_for(change.std), math.isfinite(change.std)
        rows.append(
            (
                one.column.title,
                with_unit(signed_figure(change.change, places), one.column.unit)
                if math.isfinite(change.change)
                else NONE,
                low_to_high(change.low, change.high, places) if known else "unknown",
                resolved_word(change),
                number(change.detectable, places) if known else NONE,
            )
        )
    return rows


def compared_words(readings: Readings, facility: Facility, show: Show) -> str:
    """State how a column's values were compared: as read, and at what speed, or brought to one dynamic pressure."""
    pressure = readings.dynamic_pressure
    if np.any(readings.force_pressure != 1.0):
        apart = percent(float(pressure.max() / pressure.min()) - 1.0, decimals=0)
        at = f"{show.speed(facility.speed)} and {show.quantity('density', facility.air_density)}"
        return f"brought to {at}, for the runs differ by {apart} in dynamic pressure"
    low, high = float(readings.speed.min()), float(readings.speed.max())
    if high - low <= _ALIKE * high:
        return f"as read at {show.speed(high)}"
    why = "; so far above the dynamic pressure they are no differences of pressure in the flow"
    absolute = readings.column is not None and readings.column.absolute
    return f"as read at {show.bare('speed', low)} to {show.speed(high)}{why if absolute else ''}"


def column_remarks(parts: Parts, show: Show) -> Iterator[str]:
    """State of every compared column how it was compared, how well one value is known, and what is left out."""
    facility = parts.day.session.facility
    for one in parts.columns:
        how = compared_words(one.fits.readings, facility, show)
        yield f"{one.column.title} in {unit_mark(one.column.unit)}, {how}; {value_words(one)}; it enters no balance"
        if one.missing:
            yield missing_words(one.column, one.missing)
        yield from one.fits.repeatability.notes


def column_drifts(parts: Parts, key: str) -> list[str]:
    """State of each compared column whose own drift is significant whether it is removed; ``key`` turns it."""
    return [
        f"drift of {one.column.title} "
        + (
            f"REMOVED ({key} leaves it in)"
            if one.drift_corrected
            else f"is significant and NOT REMOVED ({key} removes it)"
        )
        for one in parts.columns
        if one.corrected is not None
    ]


def value_words(one: ColumnIncrements) -> str:
    """State how well one value of a column is known, and from what."""
    scatter = one.drifts.fits.repeatability if one.drift_corrected else one.fits.repeatability
    deviation, source = float(scatter.deviation[ONLY]), scatter.source[ONLY]
    if source is None:
        return "noise unknown"
    figure = with_unit(number(deviation, places_for(deviation)), one.column.unit)
    origin = "refitting assumed" if scatter.refit_assumed else source.replace(" and", ",")
    return f"one value, sd {figure} ({origin})"


def missing_words(column: ComparedColumn, missing: Sequence[str]) -> str:
    """Name the runs that have no value of a column and are left out of its changes."""
    return f"{column.title}: no value in {runs_named(missing)}, left out of its changes"
