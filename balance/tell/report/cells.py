"""Figures in both systems of units, one leading, rounded alike wherever they stand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import NONE
from balance.tell.parts.change_text import change_words
from balance.tell.table import Cell, figures_columns

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.compare.contrasts import Change
    from balance.handling.axle_state import AxleState
    from balance.tell.report.report_data import ReportData

WITHIN_NOISE = "~"
"""Stands before a figure whose interval holds zero."""
LOADS = (FRONT, REAR, TOTAL, DRAG)
"""The forces of a table in their order, by channel; their heads stand in `LOAD_HEADS`."""
LOAD_HEADS = figures_columns("front axle", "rear axle", "total", "drag")


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


def forces_at(nominal: AxleState, place: int) -> NDArray[np.float64]:
    """Return the forces of one run or speed, each at its channel: front, rear, drag and total."""
    forces = (nominal.front_downforce, nominal.rear_downforce, nominal.drag, nominal.downforce)
    return np.array([force[place] for force in forces])


def load_cells(
    report: ReportData,
    forces: NDArray[np.float64],
    stds: NDArray[np.float64],
    channels: Sequence[int] = LOADS,
) -> tuple[Cell, ...]:
    """Return the cells of some forces, by their channels: loads by their direction, drag as it is."""
    cells = []
    for k in channels:
        force, std = float(forces[k]), float(stds[k])
        drag = k == DRAG
        cells.append(quantity_cell(report, "force", force, std) if drag else load_cell(report, force, std))
    return tuple(cells)


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
