"""What is expected of a part on the next car: its range as a mean and a standard deviation, channel by channel."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.library.pooled import RANGE_NEEDS
from balance.model.channels import MEASURED
from balance.model.records import HALF_95
from balance.reduce.readings import read_only

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.library.over_cars import PartOverCars


class NextCar(NamedTuple):
    """Mean and standard deviation of what a part does on the next car, (3,) each: front, rear, drag [m²]."""

    mean: NDArray[np.float64]
    std: NDArray[np.float64]


def next_car(part: PartOverCars) -> NextCar | None:
    """State what is expected of a part on the next car.

    Parameters
    ----------
    part : PartOverCars
        The part over its cars, with intervals that hold 95 %. [m^2]

    Returns
    -------
    NextCar or None
        The normal distribution with the same 95 % range in each channel; nothing with fewer than five cars. [m^2]

    Notes
    -----
    Middle of the range, and half of it over 1.96. The range is that of a mixture of normals, whose tails beyond it are
    heavier; beliefs and draws are normal. Channels are taken one by one: five cars do not tell how they go together.

    References
    ----------
    `balance.decide.library.pooled.pool_effects`.
    """
    if part.known < RANGE_NEEDS:
        return None
    low, high = np.array([one.next_interval for one in part.pooled]).T[:, MEASURED]
    return NextCar(mean=read_only((low + high) / 2.0), std=read_only((high - low) / (2.0 * HALF_95)))
