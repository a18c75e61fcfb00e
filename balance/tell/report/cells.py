"""Figures in both systems of units, one leading, rounded alike wherever they stand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.tell.figures import NONE
from balance.tell.parts.change_text import change_words
from balance.tell.table import Cell

WITHIN_NOISE = "~"
"""Stands before a figure whose interval holds zero."""

if TYPE_CHECKING:
    from balance.compare.contrasts import Change
    from balance.tell.report.report_data import ReportData


def both(
    report: ReportData, kind: str, value: float, std: float = math.nan, *, decimals: int | None = None
) -> str:
    """Write a figure; in both systems of units where everything is told."""
    first, second = (
        show.quantity(kind, value, std=std, decimals=decimals) for show in (report.show, report.other)
    )
    return f"{first}, {second}" if report.full else first


def second(report: ReportData, kind: str, value: float) -> str:
    """Write a figure in the second system of units where everything is told, else nothing."""
    return report.other.quantity(kind, value) if report.full else ""


def quantity_cell(
    report: ReportData, kind: str, value: float, std: float = math.nan, *, decimals: int | None = None
) -> Cell:
    """Return a cell of a figure with its unit."""
    if not math.isfinite(value):
        return Cell(text=NONE, role="muted")
    text, other = (
        show.quantity(kind, value, std=std, decimals=decimals) for show in (report.show, report.other)
    )
    return Cell(text=text, other=other if report.full else "")


def load_cell(report: ReportData, force: float, std: float = math.nan) -> Cell:
    """Return a cell of a load: downforce without a word, LIFT with it."""
    text, other = (
        show.axle_load(force, std).removesuffix(" downforce") for show in (report.show, report.other)
    )
    return Cell(text=text, other=other if report.full else "", role="danger" if force < 0.0 else "")


def change_cell(report: ReportData, change: Change) -> Cell:
    """Return a cell of a change with its sign and interval; with the mark of what is within noise where it is."""
    text, other = (change_words(change, show, interval=False) for show in (report.show, report.other))
    between = change_words(change, report.show).removeprefix(text).strip()
    known = change.resolved or not math.isfinite(change.std)
    mark = "" if known else WITHIN_NOISE
    return Cell(
        text=f"{mark}{text}",
        between=between,
        other=f"{mark}{other}" if report.full else "",
        role="" if known else "muted",
    )
