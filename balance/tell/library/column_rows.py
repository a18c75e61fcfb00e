"""What a part did to compared columns, day by day and over the cars."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.compare.column_increments import ONLY
from balance.decide.library.each_car import effect_of_each_car
from balance.decide.library.over_cars import column_over_cars
from balance.decide.library.pooled import MEAN_NEEDS, RANGE_NEEDS
from balance.model.errors import one_line
from balance.model.kinds import unit_mark
from balance.tell.figures import capital, low_to_high, number
from balance.tell.parts.column_text import places_for, signed_figure

if TYPE_CHECKING:
    from balance.decide.library.pooled import PooledEffect
    from balance.files.library.library import LibraryDay
    from balance.model.libraries import KeptColumn
    from balance.tell.figures import Show
    from balance.tell.library.part_rows import PartRows

_MOST_NAMED = 4
"""Cars that a line names one by one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnRows:
    """A compared column of a part: its changes in one unit, where it scales at the speed and density shown."""

    name: str
    unit: str
    scales: bool
    days: tuple[LibraryDay, ...]
    values: tuple[float, ...]
    variances: tuple[float, ...]
    degrees: tuple[float, ...]

    @property
    def cars(self) -> tuple[str, ...]:
        """What tells the car of each change from others."""
        return tuple("\n".join(day.car_key) for day in self.days)

    @property
    def day_ids(self) -> tuple[str, ...]:
        """The day of each change: several sizes of one day may be one part."""
        return tuple(day.head.id for day in self.days)

    @property
    def pooled(self) -> PooledEffect | None:
        """What the cars say together."""
        return column_over_cars(self.cars, self.values, self.variances, self.day_ids)


def column_rows(part: PartRows) -> tuple[ColumnRows, ...]:
    """Gather what a part did to every compared column; one of another unit is another column."""
    found: dict[tuple[str, str, bool], list[tuple[LibraryDay, KeptColumn]]] = {}
    for day, effect in part.rows:
        for one in effect.columns:
            found.setdefault((one.name, one.unit, one.scales), []).append((day, one))
    rows = []
    for (name, unit, scales), some in found.items():
        factor = [part.pressure / one.pressure if scales and one.pressure > 0.0 else 1.0 for _, one in some]
        rows.append(
            ColumnRows(
                name=name,
                unit=unit,
                scales=scales,
                days=tuple(day for day, _ in some),
                values=tuple(one.change * f for (_, one), f in zip(some, factor, strict=True)),
                variances=tuple(one.variance * f * f for (_, one), f in zip(some, factor, strict=True)),
                degrees=tuple(one.degrees_of_freedom for _, one in some),
            )
        )
    return tuple(rows)


def column_lines(part: PartRows, show: Show) -> list[str]:
    """State of every compared column what the part did to it, and no more of the next car than the cars allow."""
    return [_line(one, part, show) for one in column_rows(part)]


def _line(one: ColumnRows, part: PartRows, show: Show) -> str:
    cars, pooled = len(set(one.cars)), one.pooled
    said = [f"± 95 %: {_each_car(one)}"] if cars <= _MOST_NAMED else []
    if pooled is not None and pooled.cars >= MEAN_NEEDS:
        places = places_for(pooled.std)
        mean, ends = number(pooled.mean, places), low_to_high(*pooled.interval, places)
        said.append(f"mean of {pooled.cars} cars: {mean} ({ends})")
        if pooled.cars >= RANGE_NEEDS:
            said.append(f"next car, 95 %: {low_to_high(*pooled.next_interval, places)}")
    title = f"{capital(one.name.replace('_', ' '))}, {unit_mark(one.unit)}, {_stands(one, part, show)}"
    return f"{' · '.join([title, *(said or [f'{cars} cars, too few with a known repeatability'])])}."


def _stands(one: ColumnRows, part: PartRows, show: Show) -> str:
    """State at which speed changes stand: the one shown, or those at which they were read."""
    if one.scales:
        return f"at {show.speed(part.speed)}"
    speeds = [day.head.speed for day in one.days]
    low, high = show.speed(min(speeds)), show.speed(max(speeds))
    return f"as read at {low}" if low == high else f"as read at {low} to {high}"


def _each_car(one: ColumnRows) -> str:
    """Name each car with its change and half of its 95 % interval, as the rows of the forces have it."""
    names = {key: day.car_name for key, day in zip(one.cars, one.days, strict=True)}
    each = effect_of_each_car(
        one.cars,
        np.array(one.values)[:, None],
        np.array(one.variances)[:, None, None],
        np.array(one.degrees)[:, None],
        days=one.day_ids,
    )
    said = []
    for car in each:
        value, half, places = (
            float(car.effect[ONLY]),
            float(car.half()[ONLY]),
            places_for(float(car.std[ONLY])),
        )
        known = math.isfinite(half)
        mark = "~" if known and abs(value) <= half else ""
        text = f"{one_line(names[car.car])} {mark}{signed_figure(value, places)}"
        said.append(f"{text} ± {number(half, places)}" if known else f"{text} ?")
    return ", ".join(said)
