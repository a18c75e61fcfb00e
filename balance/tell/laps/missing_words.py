"""Why there is no lap of a day on a track, and what to do about it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from balance.decide.laps.stations import find_corners
from balance.model.errors import FileFaults
from balance.tell.figures import capital
from balance.tell.laps.corner_table import corner_name

if TYPE_CHECKING:
    from balance.model.errors import AxletrimError
    from balance.model.records import Session
    from balance.model.tracks import Track

FIT = "axletrim track fit finds friction and power from a driver's log."


def no_track_words(session: Session) -> tuple[str, ...]:
    """State that a car has no track, and how one is made."""
    car = Path(session.vehicle.source).parent.resolve()
    return (
        f"{session.vehicle.name} has no track yet.",
        f"By hand, from a map or a walk: axletrim new track {car} NAME",
        f"Of a driver's log: axletrim track import LOG --car {car} --name NAME",
    )


def fault_words(fault: AxletrimError) -> tuple[str, ...]:
    """State what is wrong with a track's files or a car, fault by fault."""
    if isinstance(fault, FileFaults):
        return tuple(f"× {one}" for one in fault.faults)
    return (f"× {capital(str(fault))}",)


def no_lap_words(fault: AxletrimError) -> tuple[str, ...]:
    """State which keys of the car a lap is missing, and what finds them."""
    return (*fault_words(fault), FIT)


def stuck_words(track: Track, where: float) -> tuple[str, ...]:
    """Name the corner that the start cannot take, or where else it gets stuck, and what to look at."""
    inside = [
        corner
        for corner in find_corners(track)
        for shift in (0.0, track.length)
        if corner.start <= where + shift <= corner.end
    ]
    if not inside:
        return (
            f"× The start gets stuck at {where:,.0f} m, in no corner.",
            "Look at the gradient there in line.csv, and at the car's power.",
        )
    return (
        f"× The start cannot take corner {corner_name(inside[0])}, at {where:,.0f} m, at any speed.",
        "Look at radius, bank and gradient there in line.csv, and at the friction of the tyres in vehicle.toml.",
    )
