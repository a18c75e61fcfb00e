"""Changes and cost ratios as text: sign, unit, interval, and no more digits than the day supports."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.compare.ratios import RatioCase
from balance.model.channels import DRAG, FRONT, REAR, TOTAL, WITH_TOTAL
from balance.tell.figures import NONE, decimals_for, number, with_sign
from balance.tell.table import Cell

if TYPE_CHECKING:
    from balance.compare.contrasts import Change
    from balance.compare.ratios import CostRatio
    from balance.tell.figures import Show

FORCES = (("front", FRONT), ("rear", REAR), ("total", TOTAL), ("drag", DRAG))
"""The forces of a change in the order of a table, and where each stands."""


def quantity_of(channel: int) -> str:
    """Name what a channel measures."""
    return "drag" if channel == DRAG else f"{WITH_TOTAL[channel]} downforce"


def amount_words(change: Change, show: Show) -> str:
    """Write how much a change is, whichever way, with its interval."""
    mirrored = change.change < 0.0
    low, high = (-change.high, -change.low) if mirrored else (change.low, change.high)
    text = show.quantity("force", abs(change.change), std=change.std)
    return text + _between(low, high, change.std, show)


def change_words(change: Change, show: Show, *, interval: bool = True) -> str:
    """Write a change with its sign, unit and interval."""
    text = f"{signed(show, change.change, change.std)} {show.unit('force')}"
    return text + (_between(change.low, change.high, change.std, show) if interval else "")


def signed(show: Show, value: float, std: float = math.nan) -> str:
    """Write a force with its sign, without its unit."""
    return with_sign(show.bare("force", value, std=std), value)


def half_cell(figure: str, half: str, *, known: bool) -> Cell:
    """Return the cell of a change with half of its interval; marked and faint where it is within noise."""
    text = f"{figure} ±{half}"
    return Cell(text) if known else Cell(f"~{text}", "muted")


def ratio_words(ratio: CostRatio, show: Show) -> str:
    """State what a part's downforce costs in drag, or that this cannot be told."""
    unit = show.unit("force")
    if ratio.case is RatioCase.MORE_AND_LESS:
        return "no ratio: downforce rose and drag fell"
    if ratio.case is RatioCase.LESS_AND_MORE:
        return "no ratio: downforce fell and drag rose"
    if ratio.value is None:
        return "within noise"
    deed = (
        f"gained per {unit} of drag"
        if ratio.case is RatioCase.MORE_FOR_MORE
        else f"given up per {unit} saved"
    )
    value, between = ratio_figures(ratio)
    return f"{value} {unit} {deed}" + (f" ({between})" if between else "")


def ratio_figures(ratio: CostRatio) -> tuple[str, str]:
    """Write a ratio and its interval, two digits of its uncertainty deep."""
    if ratio.case in (RatioCase.MORE_AND_LESS, RatioCase.LESS_AND_MORE):
        return NONE, ""
    if ratio.value is None or ratio.low is None or ratio.high is None:
        return "within noise", ""
    places = decimals_for((ratio.value - ratio.low) / 20.0, fallback=2, most=2)
    low, high = (number(end, places if abs(end) < 100.0 else 0) for end in (ratio.low, ratio.high))
    return number(ratio.value, places), f"{low} to {high}"


def typed_ratio_words(ratio: CostRatio, show: Show) -> str:
    """State what a ratio is by the figures as typed, where the scatter is unknown."""
    if ratio.value is None:
        return ""
    return f"{ratio_words(ratio, show)} by the figures as typed and their rounding alone; repeatability is not in it"


def _between(low: float, high: float, std: float, show: Show) -> str:
    """Write an interval, one digit deeper where an end would read as zero and be none."""
    if not math.isfinite(std):
        return ""
    places = show.decimals("force", std)
    half_digit = show.system.unit("force").to_si(0.5 * 10.0**-places)
    places += any(0.0 < abs(end) < half_digit for end in (low, high))
    return f" ({show.low_to_high('force', low, high, decimals=places)})"
