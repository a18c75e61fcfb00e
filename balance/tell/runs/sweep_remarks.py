"""What stands beside one run's figures against speed, in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from balance.tell.figures import Show
from balance.tell.runs.remarks import CANNOT_PUSH, Q_RANGE, cannot_push, tested_pressures

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.day.sweeps import Sweep

_SI = Show()


def sweep_remarks(sweep: Sweep, show: Show = _SI) -> Iterator[str]:
    """Say at which speeds figures are scaled far, judged with the drive force, or dangerous."""
    run = sweep.run
    if run.status == "suspect":
        yield f"suspect: {run.reason or 'no reason given'}"
    tested = tested_pressures(sweep.day, sweep.day.rows.members[sweep.row][0])
    low, high = (float(np.sqrt(2.0 * q / sweep.air_density)) for q in (min(tested), max(tested)))
    slow, fast = low * Q_RANGE[0] ** 0.5, high * Q_RANGE[1] ** 0.5
    if sweep.speeds[0] < slow or sweep.speeds[-1] > fast:
        yield (
            f"scaled far outside {show.speed(slow)} to {show.speed(fast)}: there the dynamic pressure is below "
            f"{Q_RANGE[0]:g} or above {Q_RANGE[1]:g} times that at which this configuration was tested"
        )
    verdicts = sweep.handling.verdicts
    if any(v.with_drive for v in verdicts):
        yield "the surplus has the drive force in it that holds each speed against drag, as the verdict has"
    by_drive = [float(s) for s, v in zip(sweep.speeds, verdicts, strict=True) if v.by_drive]
    if by_drive:
        where = show.speed(by_drive[0]) + (f" to {show.speed(by_drive[-1])}" if len(by_drive) > 1 else "")
        yield f"at {where} the drive force decides the verdict; the air load alone would not"
    driven = sweep.handling.grip_surplus_driven
    stuck = (
        []
        if driven is None
        else [s for s, d in zip(sweep.speeds, driven.value, strict=True) if cannot_push(d)]
    )
    if stuck:
        yield f"{CANNOT_PUSH} from {show.speed(float(stuck[0]))}"
    danger = [float(s) for s, v in zip(sweep.speeds, verdicts, strict=True) if v.dangerous]
    if danger:
        yield f"warning: front overpowers rear in 5 % of draws or more from {show.speed(danger[0])} (loose at speed)"
