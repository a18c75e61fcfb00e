"""The speed and density at which figures are stated."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import DomainError

if TYPE_CHECKING:
    from balance.model.records import Session


def reference_conditions(
    session: Session, speed: float | None, air_density: float | None
) -> tuple[float, float]:
    """Fill in the facility's speed and density where none is asked for.

    The facility's own are the default, because nothing is scaled there.
    """
    speed = session.facility.speed if speed is None else speed
    density = session.facility.air_density if air_density is None else air_density
    if not 0.0 < speed < 1e3:
        raise DomainError(f"speed: found {speed:g} m/s, expected above 0 and below 1000")
    if not 0.0 < density < 10.0:
        raise DomainError(f"air density: found {density:g} kg/m³, expected above 0 and below 10")
    return speed, density
