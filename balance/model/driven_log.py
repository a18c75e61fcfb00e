"""A driver's log as columns of samples, and where its laps begin and end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]


class LogPiece(NamedTuple):
    """A lap of a log, or what lies before the first and after the last: its name, its first sample and the first beyond it."""

    name: str
    first: int
    beyond: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrivenLog:
    """Samples of a drive, (samples,) each, SI, not a number where one is missing.

    ``time`` [s] rises within a piece, ``speed`` [m/s]. At least one of ``yaw_rate`` [rad/s], ``lateral_acceleration``
    [m/s²], both counted positive to one side, or ``x`` and ``y`` [m] is there. ``distance`` [m] may start anew with each
    lap. ``roll`` [rad] is positive where the body leans out of a corner whose lateral acceleration is positive.
    ``placed`` tells that x and y are places on the map, so that left is left.
    """

    name: str
    time: Array
    speed: Array
    pieces: tuple[LogPiece, ...]
    distance: Array | None = None
    yaw_rate: Array | None = None
    lateral_acceleration: Array | None = None
    roll: Array | None = None
    x: Array | None = None
    y: Array | None = None
    placed: bool = False
