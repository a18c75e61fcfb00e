"""A scatter that one wrong run cannot blow up."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import MEASURED
from balance.reduce.median import median

if TYPE_CHECKING:
    from balance.decide.day.day import Day


def noise_force(day: Day) -> float:
    """Return a scatter that one wrong run cannot blow up.

    For judging what is unlikely, never for an interval: the facility's standard deviation of one reading, the
    largest channel's; else 1 % of the usual drag [N].
    """
    stated = day.repeatability.stated
    if stated is not None and np.all(np.isfinite(stated.deviation[MEASURED])):
        return float(np.max(stated.deviation[MEASURED]))
    readings = day.readings
    return 0.01 * float(median(np.abs(readings.drag_area) * readings.force_pressure))
