"""The sheet of increments: what every run with a baseline changed, with the interval of each change."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.compare.column_increments import ONLY
from balance.decide.parts.parts import assess_parts
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.export.sheet_cells import filled, letters, sheet_table, write_table
from balance.tell.figures import Show
from balance.tell.parts.effects import part_effect_in_full
from balance.tell.parts.part_words import part_sentence

if TYPE_CHECKING:
    from balance.compare.contrasts import Changes
    from balance.decide.day.assessment import Assessment
    from balance.tell.export.sheet_cells import Filled

_CHANNELS = (("front downforce", FRONT), ("rear downforce", REAR), ("downforce", TOTAL), ("drag", DRAG))
_BEFORE = 4
"""Columns that stand before the figures: run, baseline, what differs, whether it is a package."""


def increments_sheet(book: Any, result: Assessment) -> None:
    """Add the sheet of increments, run less baseline, downforce positive.

    The ends of an interval are the change less and plus its half width, as formulas. Compared columns follow the forces,
    each in the unit of its file.
    """
    parts = assess_parts(result.day, speed=result.speed, air_density=result.air_density)
    increments = list(parts.increments)
    columns = [
        filled(title="run", values=[i.run for i in increments], width=8),
        filled(title="baseline", values=[i.baseline for i in increments], width=8),
        filled(title="differs", values=[", ".join(i.differs) for i in increments], width=24),
        filled(title="package", values=["yes" if i.package else "no" for i in increments]),
    ]
    compared = [(f"{name} change", "N", parts.increments.changes, column) for name, column in _CHANNELS]
    compared += [(f"{one.column.title} change", one.column.unit, one.changes, ONLY) for one in parts.columns]
    for k, (title, unit, changes, column) in enumerate(compared):
        columns += _changed(title, unit, changes, column, _BEFORE + 5 * k)
    columns += [
        filled(
            title="downforce per drag",
            unit="N per N",
            values=[i.ratio.value for i in increments],
            style="0.00",
        ),
        filled(
            title="effect",
            values=[part_effect_in_full(parts, row) for row in range(len(increments))],
            width=34,
        ),
        filled(
            title="in words",
            values=[part_sentence(parts, row, Show()) for row in range(len(increments))],
            width=80,
        ),
    ]
    write_table(book, book.add_worksheet("Increments"), sheet_table(columns))


def _changed(title: str, unit: str, changes: Changes, column: int, before: int) -> list[Filled]:
    """Return the columns of one quantity's changes, behind as many others."""
    name = title.removesuffix(" change")
    value, half = letters(before), letters(before + 1)
    found = [float(v) for v in changes.change[:, column]]
    wide = [float(v) for v in (changes.high[:, column] - changes.low[:, column]) / 2.0]
    return [
        filled(title=title, unit=unit, values=_finite(found)),
        filled(
            key=f"{name} half",
            title="half interval",
            unit=f"{unit}, {changes.confidence:.0%}",
            values=_finite(wide),
        ),
        filled(
            key=f"{name} low",
            title="low",
            unit=unit,
            values=_finite([v - w for v, w in zip(found, wide, strict=True)]),
            formula=lambda row: f"{value}{row}-{half}{row}",
        ),
        filled(
            key=f"{name} high",
            title="high",
            unit=unit,
            values=_finite([v + w for v, w in zip(found, wide, strict=True)]),
            formula=lambda row: f"{value}{row}+{half}{row}",
        ),
        filled(
            key=f"{name} significant",
            title="significant",
            values=["yes" if r else "no" for r in changes.resolved[:, column]],
        ),
    ]


def _finite(values: list[float]) -> list[float | None]:
    return [value if math.isfinite(value) else None for value in values]
