"""What a verdict rests on that no repeat of a run can show, where that is large: one short line beside the interval."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.overturned import overturned
from balance.decide.day.verdict import VerdictWord
from balance.model.channels import AXLES, CHANNELS
from balance.tell.runs.remarks import floor_parts
from balance.tell.runs.run_table import shortened

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.day.assessment import Assessment
    from balance.decide.day.overturn import What
    from balance.tell.figures import Show

NEAR = 3.0
"""Usual doubts within which something assumed is large enough to be named."""


def beyond_repeats(table: Assessment, row: int, show: Show) -> str:
    """State what repeats do not show of a verdict, where it is large."""
    found = [] if table.ranges[row].awaited else list(_named(table, row, show))
    return f"Repeats do not show: {'; '.join(found)}." if found else ""


def _named(table: Assessment, row: int, show: Show) -> Iterator[str]:
    session, vehicle = table.day.session, table.day.session.vehicle
    parts = floor_parts(table.runs[row])
    if session.facility.floor == "fixed" and parts:
        names = [shortened(name, session.setting_names) for name in parts]
        yield f"what the fixed floor does under the {' and the '.join(names)}"
    scatter = table.day.repeatability
    large = [
        f"{axle} sd {show.quantity('force', float(scatter.systematic[k]))}"
        for k, axle in enumerate(CHANNELS[AXLES])
        if scatter.systematic[k] > 0.0 and not scatter.systematic[k] < np.nan_to_num(scatter.deviation[k])
    ]
    if large:
        yield f"the facility's systematic figure ({', '.join(large)})"
    stated = vehicle.uncertainties.get("mass.front_share")
    guessed = vehicle.corners is None and (stated is None or not stated.explicit)
    if guessed and _matters(table, row, "front_weight_share"):
        yield "the front weight share, stated without corner weights"
    if vehicle.grip_exponent.assumed and _matters(table, row, "exponent_difference"):
        yield "the tyre load sensitivity, assumed"


def _matters(table: Assessment, row: int, what: What) -> bool:
    """Return whether a quantity could overturn the verdict within a few of its usual doubts, or the verdict is open anyway."""
    found, word = overturned(table, [row])[0], table.ranges[row].word
    if not found and word in (VerdictWord.AT_THE_EDGE, VerdictWord.CANNOT_TELL):
        return True
    return any(one.what == what and one.doubts <= NEAR for one in found)
