"""Pieces that several records share: whose day it is, ends of an interval, an estimate, how well one reading is known."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from balance.model.channels import CHANNELS, DRAG, FRONT, MEASURED, REAR, TOTAL
from balance.tell.export.quantity_values import finite

if TYPE_CHECKING:
    from balance.decide.day.estimate import Estimate
    from balance.model.records import Session
    from balance.reduce.repeatability import Repeatability

FORCE_NAMES = (*CHANNELS, "downforce")
"""What records call the channels and total downforce."""
FORCES = {"front_downforce": FRONT, "rear_downforce": REAR, "downforce": TOTAL, "drag": DRAG}
"""Names of the forces that change, and their columns."""


def session_record(session: Session) -> dict[str, Any]:
    """Return whose day it is."""
    return {
        "title": session.title,
        "date": None if session.date is None else session.date.isoformat(),
        "floor": session.facility.floor,
        "vehicle": session.vehicle.name,
    }


def ends(low: float, high: float) -> list[float | None] | None:
    """Return the ends of an interval, nothing where it is unknown."""
    return None if math.isnan(low) or math.isnan(high) else [finite(low), finite(high)]


def estimate_record(key: str, estimate: Estimate, place: tuple[int, ...] = ()) -> dict[str, Any]:
    """Return a figure with its standard uncertainty and interval."""
    value, std, low, high = (
        float(array[place]) for array in (estimate.value, estimate.std, estimate.low, estimate.high)
    )
    return {key: finite(value), f"{key}_std": finite(std), f"{key}_interval": ends(low, high)}


def deviation_record(scatter: Repeatability) -> dict[str, Any]:
    """Return how far one reading scatters, and from what that is known."""
    sources = {source for source in scatter.source[MEASURED] if source is not None}
    return {
        **{f"{name}_N": finite(scatter.deviation[k]) for k, name in enumerate(FORCE_NAMES)},
        "source": None if not sources else min(sources) if len(sources) == 1 else "facility and repeats",
    }


def channel_record(scatter: Repeatability) -> dict[str, Any]:
    """Return from what each channel's deviation is known, and how well."""
    return {
        name: {"source": scatter.source[k], "degrees_of_freedom": finite(scatter.degrees_of_freedom[k])}
        for k, name in enumerate(FORCE_NAMES)
    }
