"""How far a day's readings moved, block by block, and what to do where that cannot be told."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import WITH_TOTAL
from balance.tell.parts.change_text import signed

if TYPE_CHECKING:
    from balance.compare.drift import Drift, Drifts
    from balance.compare.increments import Increments
    from balance.tell.figures import Show

WHAT_TO_DO = (
    "run the baseline again after the car was changed: at the start, every five to eight runs, and at the end"
)
"""The way out of unknown scatter and drift."""


def drift_lines(drifts: Drifts, show: Show) -> list[tuple[str, str]]:
    """State block by block how far readings moved."""
    if not drifts.blocks:
        return [("", f"Cannot be told: no configuration was run again after another. Do this: {WHAT_TO_DO}.")]
    lines: list[tuple[str, str]] = []
    for block in drifts.blocks:
        lines += block_lines(block, show)
    if drifts.cars > 1:
        lines.append(
            ("", f"Told by the runs of {drifts.cars} cars that took turns, in the order of the clock.")
        )
    return lines


def taken_words(increments: Increments, row: int) -> str:
    """State where no drift is taken out of an increment while it is out of others, or where that changes no figure."""
    if not increments.drift_corrected:
        return ""
    if increments.taken[row]:
        corrected, measured = increments.changes, increments.uncorrected
        stays = np.allclose(corrected.weights[row], measured.weights[row]) and np.allclose(
            corrected.change[row], measured.change[row]
        )
        cancels = "a steady drift cancels in its order of running: its figures stay, its intervals are without the drift"
        return cancels if stays else ""
    used = np.flatnonzero(increments.uncorrected.weights[row])
    blocks = {int(increments.fitted.blocks[k]) for k in used}
    why = "it reaches over blocks" if len(blocks) > 1 else "none is significant in its block"
    return f"no drift is removed from it: {why}"


def block_lines(block: Drift, show: Show) -> list[tuple[str, str]]:
    """State how far the readings of one block moved from its first run to its last."""
    name = f"block {block.block}, " if block.block else ""
    returned = "; ".join(", ".join(runs) for runs in block.returned)
    told = f"from repeats {returned}" if returned else "from repeats of other cars"
    lines = [(f"{name}first to last run", f"{block.span} runs apart, {told}")]
    for k, quantity in enumerate(WITH_TOTAL):
        std = float(block.std[k]) * block.span
        moved = signed(show, float(block.slope[k]) * block.span, std)
        unit = show.unit("force")
        if not math.isfinite(std):
            lines.append((quantity, f"{moved} {unit}, too few repeats for an interval"))
            continue
        low, high = float(block.low[k]) * block.span, float(block.high[k]) * block.span
        ends = show.low_to_high("force", low, high, std=std)
        word = "significant" if block.resolved[k] else "within noise"
        lines.append((quantity, f"{moved} {unit} ({ends}), {word}"))
    offered = (
        "offered: 'axletrim parts DAY --correct-drift', or F4 among the parts"
        if block.offered
        else "not offered: no drift is significant"
    )
    lines.append(("correction", offered))
    lines += [
        (bracket.pattern, f"runs {', '.join(bracket.runs)}: a steady drift cancels in this order")
        for bracket in block.brackets
    ]
    return lines
