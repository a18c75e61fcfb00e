"""A day's effects as a library keeps them: plain figures, and the words of the day."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from balance.decide.library.day_effects import parts_of_day
from balance.model.libraries import DayEffects, KeptEffect, SaidChange
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from balance.decide.library.day_effects import PartEffect
    from balance.model.libraries import Figures
    from balance.model.records import Session, Setting


def effects_of_day(session: Session) -> DayEffects:
    """Find what a library keeps of a day's parts.

    Areas and their covariance as plain figures, one effect for each part and size; settings are said with
    value and unit, as in "25 mm".
    """
    alone = replace(session, alongside=())  # what days share they share in the library, once
    found = parts_of_day(session, fits_of_session(alone, reduce_session(alone)))
    return DayEffects(
        effects=tuple(_kept(part) for part in found.parts),
        variance=_figures(found.variance),
        repeats_variance=_figures(found.repeats_variance),
        repeats_degrees=float(found.repeats_degrees),
    )


def _kept(part: PartEffect) -> KeptEffect:
    """State one effect in words and plain figures."""
    return KeptEffect(
        changes=tuple(
            SaidChange(one.name, said_setting(one.value), said_setting(one.before)) for one in part.changes
        ),
        effect=_figures(part.effect),
        covariance=tuple(_figures(row) for row in part.covariance),
        degrees_of_freedom=_figures(part.degrees_of_freedom),
        refit_assumed=bool(part.refit_assumed),
        fitted_with=tuple((name, said_setting(held)) for name, held in part.fitted_with),
        runs=part.runs,
        baseline_runs=part.baseline_runs,
        suspect=part.suspect,
        comparisons=part.comparisons,
        columns=part.columns,
    )


def said_setting(setting: Setting | None) -> str:
    """Say a setting with its unit as a library keeps it.

    Ten digits, so that a figure is said alike on every day; empty where the setting is not fitted.

    Examples
    --------
    >>> from balance.model.records import Setting
    >>> said_setting(Setting(value=25.0, unit="mm")), said_setting(None)
    ('25 mm', '')
    """
    if setting is None:
        return ""
    if isinstance(setting.value, str):
        return setting.value
    return f"{setting.value:.10g} {setting.unit}".strip()


def _figures(values: NDArray[np.float64]) -> Figures:
    """Take an array apart."""
    return tuple(map(float, values.tolist()))
