"""Channels: what is read of a car, and where each stands along an array's axis of channels.

Arrays of areas, forces and their draws hold front downforce, rear downforce and drag. Changes and standard uncertainties
hold total downforce behind them. A further channel, such as side force or a moment, goes behind drag; nothing else has
to know its place.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Channel = Literal["front", "rear", "drag"]
CHANNELS: tuple[Channel, ...] = ("front", "rear", "drag")
WITH_TOTAL: tuple[str, ...] = (*CHANNELS, "total")
"""The channels, and total downforce behind them."""

FRONT, REAR, DRAG = range(len(CHANNELS))
"""Places of the channels; front and rear also in whatever holds one figure for each axle."""
TOTAL = len(CHANNELS)
"""Place of total downforce, behind the channels."""
AXLES = slice(FRONT, REAR + 1)
"""Places of front and rear."""
MEASURED = slice(len(CHANNELS))
"""Places of the channels alone, where the total stands behind them."""


def front_rear_drag(
    channels: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Take front downforce, rear downforce and drag out of an array whose first axis is the channels'."""
    return channels[FRONT], channels[REAR], channels[DRAG]
