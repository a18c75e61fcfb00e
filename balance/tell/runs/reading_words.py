"""What stands in the row of a run: its readings as read, its speed and air, and every other column, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.columns import CONDITIONS, TEXTS
from balance.tell.figures import number, percent

if TYPE_CHECKING:
    from balance.decide.day.assessment import Assessment
    from balance.model.columns import RunsColumn
    from balance.model.records import Column, Run, Session
    from balance.tell.figures import Show


def reading_lines(table: Assessment, row: int, show: Show) -> list[tuple[str, str]]:
    """State what was read in a run, at which speed and in which air, and what else stands in its row."""
    day = table.day
    readings, run = day.readings, day.readings.runs[row]
    columns = day.session.columns
    lines = [
        (columns[c].name.replace("_", " "), _as_read(getattr(run.reading, c), columns[c], show))
        for c in columns
    ]
    total = day.session.total_column
    if total is not None and run.total is not None:
        lines.append((total.name.replace("_", " "), _as_read(run.total, total, show)))
    lines += [
        ("speed", show.speed(float(readings.speed[row])) + ("" if run.speed else " (the facility's)")),
        (
            "air density",
            f"{show.quantity('density', float(readings.air_density[row]))}, from {_whose(readings.density_source[row])}",
        ),
        ("dynamic pressure", show.quantity("dynamic_pressure", float(readings.dynamic_pressure[row]))),
    ]
    return lines + [(one.title, text) for one in _TOLD if (text := _told(run, one, show))]


_ORDER = ("condition", "label", "link", "text", "mark")
_TOLD = sorted(
    (
        one
        for one in (*CONDITIONS.values(), *TEXTS.values())
        if not one.required and one.name not in ("speed", "reason")
    ),
    key=lambda one: (one.name == "note", _ORDER.index(one.kind)),
)
"""What a run may have besides its figures, in the order in which it is told; speed and reason stand with others."""


def _told(run: Run, column: RunsColumn, show: Show) -> str:
    value = getattr(run, column.held)
    if column.name == "status":
        return "" if run.status == "good" else f"{run.status}: {run.reason}"
    if column.kind != "condition":
        return value or ""
    if value is None:
        return ""
    return (
        percent(value, decimals=0) if column.measures == "fraction" else show.quantity(column.measures, value)
    )


def _whose(source: str) -> str:
    return "the facility's figure" if source == "facility" else f"the run's {source}"


def reading_line(session: Session, run: Run, show: Show) -> str:
    """Write one reading in a line, to tell it from others of its configuration."""
    said = []
    for channel, column in session.columns.items():
        value = getattr(run.reading, channel)
        if column.form != "force":
            said.append(
                f"{column.name.replace('_', ' ')} {number(-value if column.positive_up else value, 4)}"
            )
        elif channel == "drag":
            said.append(f"drag {show.quantity('force', value)}")
        else:
            said.append(f"{channel} {show.axle_load(value)}")
    return " · ".join(
        (*said, *(text for text in (run.time, "" if run.status == "good" else run.status) if text))
    )


def _as_read(value: float, column: Column, show: Show) -> str:
    signed = -value if column.positive_up else value
    sign = "positive up" if column.positive_up else "positive down"
    if column.name.startswith("drag"):
        sign = "positive rearward"
    match column.form:
        case "force":
            return f"{show.quantity('force', signed)} as read ({sign})"
        case "area":
            return f"{show.quantity('area', signed, decimals=4)} as read ({sign})"
        case _:
            return f"{number(signed, 4)} as read ({sign})"
