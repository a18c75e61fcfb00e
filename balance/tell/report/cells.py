"""Figures in both systems of units, one leading, rounded alike wherever they stand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.tell.figures import NONE
from balance.tell.parts.change_text import change_words
from balance.tell.table import Cell

if TYPE_CHECKING:
    from balance.compare.contrasts import Change
    from balance.tell.report.report_data import ReportData


def both(
    report: ReportData, kind: str, value: float, std: float = math.nan, *, decimals: int | None = None
) -> str:
    """Write a figure in both systems of units."""
    first, second = (
        show.quantity(kind, value, std=std, decimals=decimals) for show in (report.show, report.other)
    )
    return f"{first} ({second})"


def both_loads(report: ReportData, force: float, std: float = math.nan) -> str:
    """Write a load in both systems of units, with downforce or LIFT as a word."""
    word = "downforce" if force >= 0.0 else "LIFT"
    return f"{both(report, 'force', abs(force), std)} {word}"


def quantity_cell(
    report: ReportData, kind: str, value: float, std: float = math.nan, *, decimals: int | None = None
) -> Cell:
    """Return a cell of a figure with its unit."""
    if not math.isfinite(value):
        return Cell(NONE, "muted")
    text, other = (
        show.quantity(kind, value, std=std, decimals=decimals) for show in (report.show, report.other)
    )
    return Cell(text, other=other)


def load_cell(report: ReportData, force: float, std: float = math.nan) -> Cell:
    """Return a cell of a load: downforce without a word, LIFT with it."""
    text, other = (
        show.axle_load(force, std).removesuffix(" downforce") for show in (report.show, report.other)
    )
    return Cell(text, other=other, role="danger" if force < 0.0 else "")


def change_cell(report: ReportData, change: Change) -> Cell:
    """Return a cell of a change with its sign and interval; in brackets where it is not resolved."""
    text, other = (change_words(change, show, interval=False) for show in (report.show, report.other))
    between = change_words(change, report.show).removeprefix(text).strip()
    if change.resolved or not math.isfinite(change.std):
        return Cell(text, between=between, other=other)
    return Cell(f"[{text}]", between=between, other=f"[{other}]", role="muted")
