"""What is expected of a part on the next car: its range as a mean and a standard deviation, channel by channel."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from balance.decide.library.pooled import RANGE_NEEDS
from balance.model.arrays import read_only
from balance.model.channels import FRONT, MEASURED, REAR, TOTAL
from balance.model.records import HALF_95

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.library.over_cars import PartOverCars


class NextCar(NamedTuple):
    """What a part does on the next car: mean and standard deviation of front, rear and drag, (3,) each [m²].

    ``front_rear`` is the correlation of the two axles. [1]
    """

    mean: NDArray[np.float64]
    std: NDArray[np.float64]
    front_rear: float

    @classmethod
    def of(cls, mean: NDArray[np.float64], std: NDArray[np.float64]) -> NextCar:
        """Take those of front, rear, drag and total, (4,) each: the total's says how the axles go together."""
        front, rear, total = std[FRONT], std[REAR], std[TOTAL]
        together = (total**2 - front**2 - rear**2) / (2.0 * front * rear)
        return cls(read_only(mean[MEASURED]), read_only(std[MEASURED]), float(np.clip(together, -1.0, 1.0)))


def next_car(part: PartOverCars) -> NextCar | None:
    """State what is expected of a part on the next car.

    The normal distribution with the same 95 % range in each channel: middle of the range, and half of it over
    1.96; nothing with fewer than five cars. The range is that of a mixture of normals, whose tails beyond it
    are heavier; beliefs and draws are normal. How the axles go together follows from the range of total
    downforce, a channel of its own: ``(s_t^2 - s_f^2 - s_r^2)/(2 s_f s_r)``, never beyond 1 (JCGM 100:2008,
    GUM, 5.2.2). Drag is taken by itself: no range says how it goes with them.
    """
    if part.known < RANGE_NEEDS:
        return None
    low, high = np.array([one.next_interval for one in part.pooled]).T
    return NextCar.of((low + high) / 2.0, (high - low) / (2.0 * HALF_95))
