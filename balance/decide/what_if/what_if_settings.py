"""The settings of a what-if, each moved along its curve."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.car.changed_car import Assumption
from balance.decide.day.own_draws import Source, own_normals
from balance.decide.settings.families import family_for, of_other_runs, of_suspect_runs, value_of
from balance.decide.settings.moved_setting import Moved, stds_like
from balance.decide.settings.response import fit_response
from balance.model.channels import CHANNELS
from balance.model.errors import InputError
from balance.model.records import std_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from balance.decide.car.changed_car import ChangedCar
    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.settings.response import Response
    from balance.model.what_ifs import WhatIf

    Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MovedAreas:
    """Areas after every setting was moved, (3,) [m²]; their draws, (3, draws); stds of front, rear, drag, total, (4,)."""

    areas: Array
    draws: Array | None
    area_stds: Array
    assumptions: tuple[Assumption, ...]


def moved_by_settings(
    prepared: PreparedDay, car: ChangedCar, what_if: WhatIf, *, limit: float = 1.0, drawn: bool = True
) -> MovedAreas:
    """Move the settings of a changed car along their curves.

    A setting at a tested value past the useful range is a measurement and is given, with that said; between
    such values nothing is. Several settings are moved as if each did not know of the others. Where a curve is
    used, scatter is that of the draws; without draws it is that of straight lines between the tested
    settings.
    """
    areas, draws, found = car.areas, car.draws, []
    weights = car.weights
    for number, (setting, wanted) in enumerate(what_if.settings):
        car.refuse_moving(setting)
        family = family_for(prepared, what_if.start, setting, what_if.family)
        response = fit_response(prepared, family, limit=limit, drawn=drawn)
        start = value_of(prepared, what_if.start, setting)
        for value in (start, wanted):
            _refuse_untested(response, value)
        moved = Moved(prepared=prepared, car=car, response=response, base=response, start=start)
        areas = areas + (moved.areas(wanted) - car.areas)
        of_setting = moved.drawn(wanted) if drawn else None
        if draws is not None and of_setting is not None and car.draws is not None:
            draws = draws + (of_setting - car.draws)
            spread_of = std_of(what_if.uncertainties.get(f"settings.{setting}"))
            if spread_of > 0.0:
                normals = own_normals(prepared.shared, Source.SETTING, number, 1)
                draws = draws + _by_setting(response, wanted, spread_of)[:, None] * normals
        ends = [_straight(family.values, value) for value in (wanted, start)]
        weights = weights + (ends[0] - ends[1]) @ family.weights
        found += _about_the_curve(prepared, response, what_if, wanted)
    if len(what_if.settings) > 1:
        names = ", ".join(name for name, _ in what_if.settings)
        found.append(Assumption(kind="settings moved together", values={"settings": names}))
    stds = np.hypot(prepared.stds(weights), car.stated_std)
    if what_if.settings and draws is not None and car.draws is not None:
        own = np.hypot(prepared.stds(car.weights), car.stated_std)
        stds = stds_like(own, car.draws, draws, prepared.day.confidence)
    return MovedAreas(areas=areas, draws=draws, area_stds=stds, assumptions=tuple(found))


def _by_setting(response: Response, wanted: float, std: float) -> Array:
    """Find what one standard uncertainty of a setting does to the areas, (3,) [m²], within what was tested."""
    low, high = response.tested
    ends = [float(np.clip(wanted + side * std, low, high)) for side in (-1.0, 1.0)]
    if ends[0] == ends[1]:
        return np.zeros(len(CHANNELS))
    before, after = (response.curve(end)[:, 0] for end in ends)
    return np.asarray((after - before) * std / (ends[1] - ends[0]))


def _refuse_untested(response: Response, value: float) -> None:
    family = response.family
    low, high = response.tested
    if not low <= value <= high:
        nearest = low if value < low else high
        raise InputError(
            f"{family.setting}: found {value:g} {family.unit}, not tested; expected from {low:g} to {high:g} "
            f"{family.unit}; the nearest tested is {nearest:g} {family.unit}"
        )
    inside = response.useful[0] <= value <= response.useful[1]
    if not inside and value not in family.values.tolist():
        raise InputError(
            f"{family.setting}: found {value:g} {family.unit}, past the useful range, which ends at "
            f"{response.loaded_end:g} {family.unit} ({response.ends_because}); expected a setting inside it, or one "
            "that was tested"
        )


def _about_the_curve(
    prepared: PreparedDay, response: Response, what_if: WhatIf, wanted: float
) -> list[Assumption]:
    family = response.family
    values: dict[str, float | str] = {"setting": family.setting, "value": wanted, "unit": family.unit}
    found = of_other_runs(family)
    if found and what_if.start not in family.labels:
        found.append(Assumption(kind="start not on the curve", values={"run": what_if.start}))
    if not response.useful[0] <= wanted <= response.useful[1]:
        found.append(Assumption(kind="past the useful range", values=values))
    else:
        found += [Assumption(kind=str(one), values=values) for one in response.stall_at(wanted)]
    if wanted not in family.values.tolist():
        found.append(Assumption(kind="shape between tested settings"))
    return [*found, *of_suspect_runs(prepared, family)]


def _straight(values: Array, at: float) -> Array:
    """Return the weights of tested settings in a straight line between neighbours, (settings,)."""
    weights = np.zeros(values.size)
    right = int(np.clip(np.searchsorted(values, at), 1, values.size - 1))
    share = (at - values[right - 1]) / (values[right] - values[right - 1])
    weights[right - 1], weights[right] = 1.0 - share, share
    return weights
