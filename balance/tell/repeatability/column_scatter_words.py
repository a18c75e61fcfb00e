"""What a day can show of its compared columns, in words and as records."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.compare.column_increments import ONLY
from balance.model.kinds import with_unit
from balance.tell.aligned import table_lines
from balance.tell.export.quantity_values import finite
from balance.tell.export.record_parts import ends
from balance.tell.figures import NONE, capital, number
from balance.tell.parts.column_text import compared_words, missing_words, places_for, signed_figure

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.compare.drift import Drift
    from balance.decide.day.day_scatter import ColumnScatter, DayScatter
    from balance.tell.figures import Show

_FROM = {
    None: "noise unknown",
    "repeats": "the repeats alone",
    "facility": "the facility's figure alone",
    "facility and repeats": "repeats and facility together",
}


def column_scatter_lines(day: DayScatter, show: Show) -> list[tuple[str, str]]:
    """State of each compared column how far values scatter, what that resolves, and how they drifted."""
    if not day.columns:
        return []
    lines = table_lines(
        ("column", "sd", "df", "least significant", "detectable"), [_row(one) for one in day.columns]
    )
    for one in day.columns:
        lines += [("", text) for text in _sentences(one, day, show)]
    return lines


def _row(one: ColumnScatter) -> tuple[str, ...]:
    deviation, degrees = float(one.scatter.deviation[ONLY]), float(one.scatter.degrees_of_freedom[ONLY])

    def figure(value: float) -> str:
        if not math.isfinite(value):
            return NONE
        return with_unit(number(value, places_for(deviation)), one.column.unit)

    return (
        one.column.title,
        figure(deviation) if math.isfinite(deviation) else "unknown",
        number(degrees, 0),
        figure(one.least_significant),
        figure(one.detectable),
    )


def _sentences(one: ColumnScatter, day: DayScatter, show: Show) -> Iterator[str]:
    title = capital(one.column.title)
    how = compared_words(one.readings, day.day.session.facility, show)
    assumed = ", refitting assumed: nothing is called significant" if one.scatter.refit_assumed else ""
    yield f"{title}: {how}; {_FROM[one.scatter.source[ONLY]]}{assumed}."
    if one.missing:
        yield f"{capital(missing_words(one.column, one.missing))}."
    yield from (f"{capital(note)}." for note in one.scatter.notes)
    for block in one.drifts.blocks:
        yield f"{title}: {_drift_words(block, one.column.unit)}."


def _drift_words(block: Drift, unit: str) -> str:
    """State how far values moved from a block's first run to its last."""
    name = f"block {block.block}, " if block.block else ""
    std = float(block.std[ONLY]) * block.span
    places = places_for(std)
    moved = with_unit(signed_figure(float(block.slope[ONLY]) * block.span, places), unit)
    if not math.isfinite(std):
        return f"{name}drift {moved} from first to last run, too few repeats for an interval"
    low, high = (number(float(end) * block.span, places) for end in (block.low[ONLY], block.high[ONLY]))
    word = "significant" if block.resolved[ONLY] else "within noise"
    return f"{name}drift {moved} ({low} to {high}) from first to last run, {word}"


def column_scatter_record(one: ColumnScatter) -> dict[str, Any]:
    """Return the record of what a day can show of a compared column, in the unit of its file."""
    scatter = one.scatter
    return {
        "unit": one.column.unit,
        "std": finite(float(scatter.deviation[ONLY])),
        "source": scatter.source[ONLY],
        "degrees_of_freedom": finite(float(scatter.degrees_of_freedom[ONLY])),
        "refit_assumed": scatter.refit_assumed,
        "least_significant_difference": finite(one.least_significant),
        "smallest_detectable_difference": finite(one.detectable),
        "without_value": list(one.missing),
        "drift": [
            {
                "block": block.block,
                "returned": [list(runs) for runs in block.returned],
                "span_runs": block.span,
                "drift_per_run": finite(float(block.slope[ONLY])),
                "drift_per_run_std": finite(float(block.std[ONLY])),
                "drift_per_run_interval": ends(float(block.low[ONLY]), float(block.high[ONLY])),
                "drift_per_run_resolved": bool(block.resolved[ONLY]),
            }
            for block in one.drifts.blocks
        ],
        "notes": list(scatter.notes),
    }
