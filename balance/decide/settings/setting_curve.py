"""A changed car over one of its settings, at one speed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.day.estimate import estimate_handling
from balance.decide.day.join_estimates import join_estimates
from balance.model.channels import FRONT, REAR, TOTAL, WITH_TOTAL
from balance.reduce.draws import spread

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.day.estimate import HandlingEstimates
    from balance.decide.settings.moved_setting import Moved

_POINTS = 33
_AT_ONCE = 5  # settings whose draws are held at one time: few enough to stay in a processor's cache


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SettingCurve:
    """A changed car over its setting, at one speed: handling at each of ``values`` (n,), in the unit of the setting.

    ``useful`` tells which of them lie inside the useful range; the others are tested settings beyond it.
    """

    values: NDArray[np.float64]
    useful: NDArray[np.bool_]
    handling: HandlingEstimates


def setting_curve(moved: Moved, *, speed: float, air_density: float) -> SettingCurve:
    """Compute a changed car over its setting, at one speed.

    Many settings inside the useful range, and every tested one; between tested settings beyond the range
    nothing is given.
    """
    response, prepared = moved.response, moved.prepared
    values = np.unique(np.append(np.linspace(*response.useful, _POINTS), response.family.values))
    useful = (values >= response.useful[0]) & (values <= response.useful[1])
    offset = moved.offset_draws
    parts = []
    for k in range(0, values.size, _AT_ONCE):
        here = values[k : k + _AT_ONCE]
        draws, stds = None, np.full((len(WITH_TOTAL), here.size), np.nan)
        if offset is not None and response.drawn is not None:
            draws = response.drawn(here) + offset[:, :, None]
            stds[TOTAL] = spread(draws[FRONT] + draws[REAR], prepared.day.confidence)[0]
        parts.append(
            estimate_handling(
                response.curve(here) + moved.offset[:, None],
                draws,
                speed,
                air_density,
                stds,
                prepared.day.session.vehicle,
                prepared.shared,
                confidence=prepared.day.confidence,
            )
        )
    return SettingCurve(values=values, useful=useful, handling=join_estimates(parts))
