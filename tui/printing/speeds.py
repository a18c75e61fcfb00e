"""One configuration against speed as plain text: a column for each quantity, in the units shown."""

from __future__ import annotations

import math
from statistics import median
from typing import TYPE_CHECKING, Any

from balance.model.quantities import quantities
from balance.tell.figures import NONE, decimals_for, number
from balance.tell.head import session_line
from balance.tell.runs.remarks import session_remarks, sweep_remarks
from balance.tell.table import Cell, Column, table_of
from balance.tell.words import verdict_mark, verdict_short
from tui.printing.lines import folded, foot, grid

if TYPE_CHECKING:
    from balance.decide.day.sweeps import Sweep
    from balance.model.quantities import Quantity
    from balance.tell.figures import Show

_SPEED = "speed_m_s"
_INTERVAL = "grip_surplus_interval"
_USUAL = (
    "verdict",
    "rear_downforce_N",
    "front_downforce_N",
    "grip_surplus",
    "drag_N",
    _INTERVAL,
    "downforce_N",
    "neutral_steer_shift",
    "front_load_share",
)
"""What is shown if no quantity was picked; the last gives way first."""


def print_sweep(
    result: Sweep, record: dict[str, Any], name: str | None, show: Show, width: int, *, full: bool
) -> tuple[str, tuple[str, ...]]:
    """Write a run against speed as a table: the usual quantities, or the one that was picked."""
    keys = [key for key in record if isinstance(record[key], list) and key not in (_SPEED, "runs")]
    if name is None:
        record = record | _judged(result)
        keys = [key for key in record if key in _USUAL]
    speed = show.system.unit("speed")
    texts = {_SPEED: [number(speed.from_si(v), 0) for v in record[_SPEED]]}
    columns = [Column(key=_SPEED, title="speed", unit=speed.label, align="right", width=6, priority=0)]
    for key in keys:
        quantity = _quantity(key)
        title = quantity.head if key == quantity.key else _title(key, result.day.confidence)
        texts[key] = _verdicts(result) if key == "verdict" else _texts(record, key, show)
        columns.append(
            Column(
                key=key,
                title=title,
                unit=show.unit(quantity.kind),
                align="left" if quantity.kind == "word" else "right",
                width=max(8, *map(len, texts[key])),
                priority=1 + _USUAL.index(key) if name is None else 2,
                group="verdict" if quantity.kind == "word" else "",
            )
        )
    count = len(record[_SPEED])
    cells = ([Cell(texts[column.key][row]) for column in columns] for row in range(count))
    drawn, dropped = grid(table_of(columns, cells), range(count), width)
    head = (
        session_line(result.day.session),
        result.name,
        f"downforce positive, LIFT negative · at {show.quantity('density', result.air_density)}",
    )
    lines = [line for text in head for line in folded(text, width)]
    notes, others = ([], []) if name else ([*sweep_remarks(result, show)], [*session_remarks(result, show)])
    if name and "grip_surplus" in record and any(v.with_drive for v in result.handling.verdicts):
        notes = ["from air loads alone: verdicts use grip_surplus_driven"]
    return "\n".join([*lines, "", drawn, *foot(notes, others, width, full=full)]), dropped


def _verdicts(result: Sweep) -> list[str]:
    """Write the verdict of each speed as tables do."""
    return [f"{verdict_mark(one)} {verdict_short(one)}" for one in result.handling.verdicts]


def _judged(result: Sweep) -> dict[str, Any]:
    """Return the surplus that each verdict was made from, with the drive force in it where that is the lower."""

    def end(value: float | None) -> float | None:
        return value if value is not None and math.isfinite(value) else None

    verdicts = result.handling.verdicts
    found: dict[str, Any] = {"grip_surplus": [end(v.surplus) for v in verdicts]}
    if any(v.low is not None for v in verdicts):
        found[_INTERVAL] = [None if v.low is None else [end(v.low), end(v.high)] for v in verdicts]
    return found


def _title(key: str, confidence: float) -> str:
    return "std. uncertainty" if key.endswith("_std") else f"{confidence * 100:g} % interval"


def _quantity(key: str) -> Quantity:
    """Find the quantity that a key, or its uncertainty or interval, belongs to."""
    return quantities()[key.removesuffix("_std").removesuffix("_interval")]


def _texts(record: dict[str, Any], key: str, show: Show) -> list[str]:
    """Write a column, every figure with the same digits, as many as the usual uncertainty supports."""
    quantity = _quantity(key)
    unit = show.system.unit(quantity.kind)
    stds = [s for s in record.get(f"{quantity.key}_std", ()) if s is not None]
    digits = decimals_for(median(stds) / unit.scale if stds else math.nan, fallback=quantity.digits)
    digits += key.endswith("_std")

    def figure(value: float) -> str:
        return number(unit.from_si(value), digits)

    def text(value: Any) -> str:
        if value is None:
            return NONE
        if isinstance(value, str):
            return value
        if isinstance(value, dict):
            return ", ".join(f"{word} {figure(share)} %" for word, share in value.items())
        if isinstance(value, list):
            low, high = value
            return f"{'below all' if low is None else figure(low)} to {'beyond all' if high is None else figure(high)}"
        return figure(value)

    return [text(value) for value in record[key]]
