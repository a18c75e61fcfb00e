"""What the readings of a table's rows say by themselves, at their own speed and air, whatever speed is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.model.channels import front_rear_drag
from balance.reduce.coefficients import Coefficients, coefficients

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from balance.decide.day.day import Day


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OwnFigures:
    """Figures of rows, (rows,) each: of a mean, the means over its readings. Areas [m²]; the rest as of `Readings`."""

    speed: NDArray[np.float64]
    dynamic_pressure: NDArray[np.float64]
    air_density: NDArray[np.float64]
    density_source: tuple[str, ...]
    front_area: NDArray[np.float64]
    rear_area: NDArray[np.float64]
    drag_area: NDArray[np.float64]
    frontal_area: float | None

    @property
    def downforce_area(self) -> NDArray[np.float64]:
        """Total downforce area."""
        return np.asarray(self.front_area + self.rear_area)

    @property
    def coefficients(self) -> Coefficients | None:
        """Coefficients after SAE J1594; nothing where the frontal area is not known."""
        if self.frontal_area is None:
            return None
        return coefficients(self.front_area, self.rear_area, self.drag_area, self.frontal_area)


def own_figures(day: Day, rows: Sequence[int]) -> OwnFigures:
    """Return what the readings of some rows say by themselves.

    A mean's figures are means with the weights of its readings.
    """
    weights = day.rows.weighted(rows)
    readings = day.readings
    front, rear, drag = front_rear_drag(day.areas(rows))
    sources = tuple(
        " or ".join(dict.fromkeys(readings.density_source[one] for one in day.rows.members[row]))
        for row in rows
    )
    return OwnFigures(
        speed=weights @ readings.speed,
        dynamic_pressure=weights @ readings.dynamic_pressure,
        air_density=weights @ readings.air_density,
        density_source=sources,
        front_area=front,
        rear_area=rear,
        drag_area=drag,
        frontal_area=day.session.vehicle.frontal_area,
    )
