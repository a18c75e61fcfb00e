"""What a part did, in one class, from which of its changes are resolved."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import DRAG, FRONT, REAR, TOTAL

if TYPE_CHECKING:
    from balance.compare.contrasts import Changes


class PartClass(StrEnum):
    """What a part did, as far as the day can show."""

    GAINS_FOR_A_PRICE = "gains for a price"
    SHEDS_FOR_A_SAVING = "sheds for a saving"
    GAINS_AND_SAVES = "gains and saves"
    LOSES_AND_COSTS = "loses and costs"
    GAINS_AT_NO_MEASURED_COST = "gains at no measured cost"
    LOSES_AT_NO_MEASURED_SAVING = "loses at no measured saving"
    COSTS_FOR_NO_MEASURED_GAIN = "costs for no measured gain"
    SAVES_AT_NO_MEASURED_LOSS = "saves at no measured loss"
    MOVES_LOAD_FORWARD = "moves load forward"
    MOVES_LOAD_REARWARD = "moves load rearward"
    LESS_THAN_SHOWN = "less than this day can show"
    SCATTER_UNKNOWN = "scatter unknown"
    REFIT_ASSUMED = "refit scatter assumed"
    REPEAT = "same configuration"


_BY_SENSE = {
    (1, 1): PartClass.GAINS_FOR_A_PRICE,
    (-1, -1): PartClass.SHEDS_FOR_A_SAVING,
    (1, -1): PartClass.GAINS_AND_SAVES,
    (-1, 1): PartClass.LOSES_AND_COSTS,
    (1, 0): PartClass.GAINS_AT_NO_MEASURED_COST,
    (-1, 0): PartClass.LOSES_AT_NO_MEASURED_SAVING,
    (0, 1): PartClass.COSTS_FOR_NO_MEASURED_GAIN,
    (0, -1): PartClass.SAVES_AT_NO_MEASURED_LOSS,
    (0, 0): PartClass.LESS_THAN_SHOWN,
}
_AXLES = {1: "front", 2: "rear", 3: "both"}


def part_classes(changes: Changes) -> tuple[tuple[PartClass, str | None], ...]:
    """Classify contrasts.

    Parameters
    ----------
    changes : Changes
        Contrasts of front and rear downforce, drag and total downforce. [1]

    Returns
    -------
    tuple of (PartClass, str or None)
        For each contrast its class, and the axle ("front", "rear", "both") that stood for total downforce where
        the total itself is not resolved. [1]

    Notes
    -----
    Only resolved changes count. Downforce is judged by the total where it is resolved. Where it is not: two axles
    resolved in opposite senses move load, whatever the drag did; else an axle that is resolved stands for the
    total, because a gain at one axle is a gain, and the axle is named with it. Where neither total nor an axle is
    resolved, drag alone decides; where nothing is, the part did less than the day can show. With the scatter
    of any channel unknown or assumed and nothing resolved nobody can say even that.
    """
    sense = np.sign(changes.change).astype(int) * changes.resolved
    nothing = PartClass.LESS_THAN_SHOWN if changes.scatter_known else PartClass.SCATTER_UNKNOWN
    if changes.refit_assumed.any():
        nothing = PartClass.REFIT_ASSUMED
    found: list[tuple[PartClass, str | None]] = []
    for row in sense.tolist():
        front, rear, drag, total = row[FRONT], row[REAR], row[DRAG], row[TOTAL]
        axle = None
        if total == 0 and front * rear < 0:
            forward = front > 0
            found.append((PartClass.MOVES_LOAD_FORWARD if forward else PartClass.MOVES_LOAD_REARWARD, "both"))
            continue
        if total == 0 and (front or rear):
            axle = _AXLES[abs(front) + 2 * abs(rear)]
            total = front or rear
        word = _BY_SENSE[total, drag]
        found.append((nothing if word is PartClass.LESS_THAN_SHOWN else word, axle))
    return tuple(found)
