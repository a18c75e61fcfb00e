"""What becomes of each column of a file, for the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from balance.files.tables.importing.plan import PlannedColumn
from balance.files.tables.rows.table import reading_header

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from balance.files.tables.header.head import Head, HeadColumn
    from balance.files.tables.header.roles import Roles
    from balance.files.tables.rows.fittings import Fitting
    from balance.files.tables.rows.measures import Measure


def planned_columns(
    head: Head,
    roles: Roles,
    readings: Mapping[str, Measure],
    fittings: Sequence[Fitting],
    conditions: Mapping[str, Measure],
) -> tuple[PlannedColumn, ...]:
    """Say for each column with a header what it becomes."""
    becomes: dict[int, tuple[str, Any, str]] = {}
    for name, column in roles.texts.items():
        becomes[column.index] = (name, "text", "")
    for name, measure in conditions.items():
        becomes[measure.column.index] = (f"{name} [{measure.unit}]", "condition", "")
    for quantity, measure in readings.items():
        words = (
            "positive down" if measure.down else "positive up" if quantity not in ("drag", "moment") else ""
        )
        target = (
            "front and rear lift"
            if quantity in ("total", "moment")
            else reading_header(measure, quantity, down=measure.down)
        )
        becomes[measure.column.index] = (target, "reading", words)
    for one in fittings:
        outcome = "reading" if one.total else "recorded" if one.recorded else "setting"
        becomes[one.column.index] = (one.header, outcome, one.why)
    return tuple(
        _planned(column, *becomes.get(column.index, ("", "left out", "")))
        for column in head.columns
        if column.header
    )


def _planned(column: HeadColumn, becomes: str, outcome: Any, why: str) -> PlannedColumn:
    return PlannedColumn(header=column.header, unit=column.unit, becomes=becomes, outcome=outcome, why=why)
