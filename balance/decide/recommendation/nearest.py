"""What comes nearest to a recommendation where nothing tested may be recommended."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from balance.decide.day.assessment import Assessment


def nearest_to_balance(table: Assessment) -> int:
    """Find the configuration that keeps its balance to the highest speed.

    One that is not suspect before one that is; then one without more oversteer than in slow corners anywhere
    before one with it; then the higher speed up to which the whole interval is within the limits; then the
    earlier run.
    """

    def rank(row: int) -> tuple[bool, bool, float]:
        over = table.ranges[row]
        return (
            table.runs[row].status != "suspect",
            not over.dangerous,
            float(np.nan_to_num(over.in_balance_to)),
        )

    return max(table.day.rows.configurations, key=rank)
