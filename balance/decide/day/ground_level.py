"""What a car would be called were its drag reacted at ground level, where it is held above it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.decide.day.range_verdict import judge_range
from balance.decide.day.verdict import VerdictWord, classify
from balance.handling.axle_state import axle_state
from balance.reduce.drag_couple import at_ground_level

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    from balance.decide.day.day import Day
    from balance.model.records import Session, Vehicle


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundLevel:
    """The surplus with drag reacted at the height that was stated, and at ground level [1], nominal, and both classes."""

    surplus: float
    at_ground: float
    word: VerdictWord
    word_at_ground: VerdictWord

    @property
    def differs(self) -> bool:
        """Whether the height alone puts the car in another class."""
        return self.word is not self.word_at_ground


def ground_level(
    session: Session,
    areas: NDArray[np.float64],
    pressure: float,
    vehicle: Vehicle,
    *,
    set_up: Vehicle | None = None,
    drag_area: ArrayLike | None = None,
) -> GroundLevel | None:
    """Judge a car with its drag reacted at the height that was stated, and at ground level.

    Parameters
    ----------
    session : Session
        The session, with the height. [1]
    areas : numpy.ndarray
        (3,) front downforce, rear downforce, drag. [m^2]
    pressure : float
        Dynamic pressure. [Pa]
    vehicle : Vehicle
        The car. [1]
    set_up : Vehicle, optional
        The car whose set-up it has. [1]
    drag_area : array_like, optional
        Drag that was measured, where some of it was stated. [m^2]

    Returns
    -------
    GroundLevel or None
        Nothing where drag is reacted at ground level. [1]

    Notes
    -----
    Of the surplus that verdicts are judged on, the lower of without and under power. As of
    `balance.reduce.drag_couple`.
    """
    lowered = at_ground_level(session, areas, drag_area)
    if lowered is None:
        return None
    own, low = (
        float(axle_state(one, pressure, vehicle, set_up=set_up).decisive_surplus) for one in (areas, lowered)
    )
    return GroundLevel(
        surplus=own,
        at_ground=low,
        word=classify(own, vehicle.target),
        word_at_ground=classify(low, vehicle.target),
    )


def judged_otherwise(day: Day, rows: Sequence[int]) -> tuple[bool, ...]:
    """Find the rows of a day whose class over the range hangs on the height at which drag is reacted.

    For each, whether ground level would put it in another class: nominal, at the facility's density, as of
    `balance.decide.day.range_verdict.judge_range` without draws.
    """
    areas = day.areas(rows)
    lowered = at_ground_level(day.session, areas)
    if lowered is None:
        return (False,) * len(rows)
    density = day.session.facility.air_density
    own, low = (judge_range(day.session, one, None, density, day.shared) for one in (areas, lowered))
    return tuple(a.word is not b.word for a, b in zip(own, low, strict=True))
