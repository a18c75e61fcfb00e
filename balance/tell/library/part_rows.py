"""A part of a library with all that was measured of it, as forces at one speed and density."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.library.each_car import CarEffect, effect_of_each_car
from balance.decide.library.facility_scatter import effect_by_facility, pool_scatter
from balance.decide.library.over_cars import PartOverCars, part_over_cars
from balance.reduce.air import dynamic_pressure
from balance.tell.library.car_facts import ANY, Only, known_only, sorted_rows

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from balance.files.library.library import Library, LibraryDay
    from balance.model.libraries import KeptEffect


@dataclass(frozen=True, slots=True, kw_only=True)
class PooledFacility:
    """A facility by whose days together a part's intervals stand: its name, how many, and their degrees of freedom."""

    name: str
    days: int
    degrees_of_freedom: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRows:
    """A part: its effects day by day, and what they say together; speed [m/s] and density [kg/m³] of its forces.

    ``only`` says which of its rows were asked for, ``all_cars`` on how many cars it was measured at all, ``by`` what its
    rows are sorted by; ``facilities`` are those whose days are pooled to know how far one reading scatters.
    """

    name: str
    family: str
    rows: tuple[tuple[LibraryDay, KeptEffect], ...]
    over: PartOverCars
    speed: float
    air_density: float
    only: Only = ANY
    all_cars: int = 0
    by: str = "date"
    facilities: tuple[PooledFacility, ...] = ()

    @property
    def pressure(self) -> float:
        """Dynamic pressure at which its forces stand [Pa]."""
        return float(dynamic_pressure(self.speed, self.air_density))

    @property
    def days(self) -> int:
        """How many days measured it."""
        return len({day.head.id for day, _ in self.rows})

    @property
    def each_car(self) -> tuple[CarEffect, ...]:
        """What it did on each car, in the order in which the cars first come in the rows."""
        return effect_of_each_car(
            [_car(day) for day, _ in self.rows],
            np.array([effect.effect for _, effect in self.rows]),
            np.array([effect.covariance for _, effect in self.rows]),
            np.array([effect.degrees_of_freedom for _, effect in self.rows]),
            days=[day.head.id for day, _ in self.rows],
        )

    def at(self, speed: float, air_density: float) -> PartRows:
        """Return the same with its forces at another speed and density."""
        return replace(self, speed=speed, air_density=air_density)

    def kept(self, only: Only, by: str = "date") -> PartRows:
        """Return what is asked for of a part of which every row is here, sorted."""
        rows = sorted_rows([row for row in self.rows if only.keeps(row[0])], by)
        return replace(self._with(rows), only=only, by=by)

    def without(self, cars: Collection[tuple[str, str]]) -> PartRows:
        """Return what is known without some cars, named by what tells them apart."""
        return self._with(tuple(row for row in self.rows if row[0].car_key not in cars))

    def _with(self, rows: tuple[tuple[LibraryDay, KeptEffect], ...]) -> PartRows:
        over = self.over if len(rows) == len(self.rows) else _over_cars(rows)
        named = {day.head.facility_name for day, _ in rows}
        facilities = tuple(one for one in self.facilities if one.name in named)
        return replace(self, rows=rows, over=over, facilities=facilities)


def part_rows(
    library: Library,
    part: str,
    *,
    speed: float | None = None,
    air_density: float | None = None,
    only: Only = ANY,
    by: str = "date",
) -> PartRows:
    """Gather what a library knows of a part, or only of some of its days; the oldest day first, or sorted otherwise.

    Without speed or density its forces stand at those of the newest day that measured it, whichever days are asked for.
    """
    known_only(library, only)
    measured = library.effects(part)
    newest = measured[-1][0].head if measured else None
    rows, facilities = _by_facility(library, sorted_rows([row for row in measured if only.keeps(row[0])], by))
    return PartRows(
        name=part,
        family=library.family(part),
        rows=rows,
        over=_over_cars(rows),
        speed=speed or (newest.speed if newest else 0.0),
        air_density=air_density or (newest.air_density if newest else 0.0),
        only=only,
        all_cars=len({day.car_key for day, _ in measured}),
        by=by,
        facilities=facilities,
    )


def _by_facility(
    library: Library, rows: Sequence[tuple[LibraryDay, KeptEffect]]
) -> tuple[tuple[tuple[LibraryDay, KeptEffect], ...], tuple[PooledFacility, ...]]:
    """State effects by the repeatability that all days of one named facility know together.

    It is a force, the same at any speed, so that it is pooled as one.
    """
    known: dict[str, tuple[NDArray[np.float64], NDArray[np.float64], int]] = {}
    for name in dict.fromkeys(day.head.facility_name for day, _ in rows if day.head.facility_name):
        heads = [day.head for day in library.by_facility[name]]
        variances = np.array([head.scatter.repeats_variance for head in heads])
        pressures = np.array([dynamic_pressure(head.speed, head.air_density) for head in heads])
        degrees = [head.scatter.repeats_degrees for head in heads]
        pooled, together = pool_scatter([name] * len(heads), variances * pressures[:, None] ** 2, degrees)
        known[name] = pooled[0], together[0], sum(1 for one in degrees if one > 0.0)
    restated, used = [], dict[str, PooledFacility]()
    for day, effect in rows:
        head, name = day.head, day.head.facility_name
        if name in known:
            force, degrees_together, days = known[name]
            area = force / float(dynamic_pressure(head.speed, head.air_density)) ** 2
            stated = effect_by_facility(effect, head.scatter.variance, area, degrees_together)
            if stated is not effect:
                used[name] = PooledFacility(
                    name=name, days=days, degrees_of_freedom=float(degrees_together.max())
                )
            restated.append((day, stated))
        else:
            restated.append((day, effect))
    return tuple(restated), tuple(used.values())


def _over_cars(rows: tuple[tuple[LibraryDay, KeptEffect], ...]) -> PartOverCars:
    return part_over_cars(
        [_car(day) for day, _ in rows],
        np.array([effect.effect for _, effect in rows]),
        np.array([effect.covariance for _, effect in rows]),
        days=[day.head.id for day, _ in rows],
    )


def _car(day: LibraryDay) -> str:
    return "\n".join(day.car_key)
