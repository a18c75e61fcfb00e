"""Which run a report should arrive at where nobody has said: balance first, then load, then drag."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.verdict import VerdictWord

if TYPE_CHECKING:
    from balance.decide.assessment import Assessment


def best_balanced(table: Assessment) -> int:
    """Find the run in balance that has most downforce, and of two alike the one with less drag.

    Parameters
    ----------
    table : Assessment
        Every run at one speed. [1]

    Returns
    -------
    int
        Position among the used runs; where no run is in balance, that of the run nearest to the target. [1]

    Notes
    -----
    Runs marked suspect stand back, as do runs whose verdict the front overpowering the rear may be: where 5 % of the
    draws or more say so.

    References
    ----------
    Common practice, no source.
    """
    handling, runs = table.handling, table.day.readings.runs
    target = table.day.session.vehicle.target.grip_surplus

    def order(row: int) -> tuple[bool, bool, bool, float, float]:
        verdict = handling.verdicts[row]
        balanced = verdict.word is VerdictWord.IN_BALANCE
        away = abs(verdict.surplus - target) if math.isfinite(verdict.surplus) else math.inf
        return (
            runs[row].status == "suspect",
            not balanced,
            verdict.dangerous,
            -float(handling.nominal.downforce[row]) if balanced else away,
            float(handling.nominal.drag[row]),
        )

    return min(range(len(runs)), key=order)
