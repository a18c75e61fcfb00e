"""What stands over every table and screen: whose figures these are, and at which speed and density."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.model.channels import CHANNELS, FRONT, MEASURED
from balance.tell.figures import number

if TYPE_CHECKING:
    from balance.decide.day.assessment import Assessment
    from balance.model.records import Session, Vehicle
    from balance.tell.figures import Show

_FEW = 3.0
"""Degrees of freedom below which a scatter may well be twice or half of what it is found to be; common practice, no source. [1]"""


def session_line(session: Session) -> str:
    """Name the car, the day and the floor."""
    floor = f"{session.facility.floor} floor" if session.facility.floor else "floor not stated"
    date = session.date.isoformat() if session.date else "date not stated"
    return f"{session.vehicle.name} · {session.title} · {date} · {floor}"


def state_line(table: Assessment, show: Show, *, brief: bool = False) -> str:
    """Name the speed, the density, the sign, how well one reading is known, and a verdict without power."""
    at = f"at {show.speed(table.speed)}, {show.quantity('density', table.air_density)}"
    said = [at, "downforce positive, LIFT negative", scatter_words(table, show, brief=brief)]
    return " · ".join([*said, *unpowered_words(table.day.session.vehicle, brief=brief)])


def unpowered_words(vehicle: Vehicle, *, brief: bool = False) -> tuple[str, ...]:
    """State that verdicts leave power out, where it is not known which axle is driven: under power they may be worse."""
    if vehicle.driven is not None:
        return ()
    return ("! power left out",) if brief else ("! driven axle not stated: verdicts leave power out",)


def scatter_words(table: Assessment, show: Show, *, brief: bool = False) -> str:
    """State how well one reading is known, and, unless briefly, from what."""
    scatter = table.day.repeatability
    if not scatter.known:
        return "one reading: noise unknown, cannot tell how sure"
    figures = [
        f"{name} {number(float(s) / show.system.unit('force').scale, 1)}"
        for name, s in zip(CHANNELS, scatter.deviation[MEASURED], strict=True)
        if math.isfinite(s)
    ]
    tested = show.speed(table.day.session.facility.speed)
    few = "; too few to be sure of it" if scatter.degrees_of_freedom[FRONT] < _FEW else ""
    source = "" if brief else f" ({scatter.source[FRONT]}{few})"
    return f"one reading at {tested}: sd {', '.join(figures)} {show.unit('force')}{source}"
