"""What the mounts of the fitted parts carry at the top speed, as far as the day measured each part on and off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.fitted import NOT_FITTED
from balance.model.channels import DRAG, TOTAL
from balance.reduce.air import dynamic_pressure

if TYPE_CHECKING:
    from balance.compare.pairing import Pair
    from balance.decide.day.day import Day
    from balance.decide.parts.parts import Parts
    from balance.model.records import Setting


@dataclass(frozen=True, slots=True, kw_only=True)
class Mount:
    """A fitted part and what it pulls at its mounts; nothing where it was never run on and off with all else equal [N]."""

    name: str
    setting: Setting
    force: float | None


def mount_loads(day: Day, parts: Parts, row: int, speed: float) -> tuple[Mount, ...]:
    """Estimate what the mounts of a configuration's parts carry at a speed.

    The resultant of the downforce and the drag that came with the part, brought to the speed by its square;
    one a fitted setting, in the order of the file. What the part does to the flow over the rest of the car is
    in it; bumps, gusts and the part's own weight are not. Of several comparisons that one counts whose car is
    this configuration, else the one with the largest force.
    """
    increments = parts.increments
    fitted, member = increments.fitted, day.rows.members[row][0]
    changes = increments.changes
    factor = float(dynamic_pressure(speed, parts.air_density)) / changes.dynamic_pressure
    found = []
    for column, name in enumerate(fitted.names):
        code = int(fitted.codes[member, column])
        held = fitted.values[column][code]
        if code == NOT_FITTED or held is None or held.off:
            continue

        def shows(pair: Pair, *, name: str = name, column: int = column, code: int = code) -> bool:
            own, before = fitted.codes[pair.run, column], fitted.codes[pair.baseline, column]
            was = fitted.values[column][before]
            return pair.shows_part and pair.differs == (name,) and own == code and (was is None or was.off)

        forces = [
            (
                bool(np.array_equal(fitted.codes[pair.run], fitted.codes[member])),
                float(np.hypot(changes.change[k, TOTAL], changes.change[k, DRAG])) * factor,
            )
            for k, pair in enumerate(increments.pairs)
            if shows(pair)
        ]
        found.append(Mount(name=name, setting=held, force=max(forces)[1] if forces else None))
    return tuple(found)
