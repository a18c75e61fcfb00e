"""Facts of the car that may explain why a part did more there than elsewhere: rows kept and sorted by them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.model.channels import CHANNELS
from balance.model.errors import UnknownName
from balance.model.libraries import size_words
from balance.tell.figures import NONE, number

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.files.library.library import Library, LibraryDay
    from balance.model.libraries import KeptEffect
    from balance.tell.figures import Show

    Row = tuple[LibraryDay, KeptEffect]


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact of a car: its key, its head, and what kind of quantity it is."""

    key: str
    head: str
    kind: str

    @property
    def record_key(self) -> str:
        """Its key in a record, with its unit."""
        return f"{self.key}_{'rad' if self.kind == 'angle' else 'm'}"


FACTS = (
    Fact("rear_glass_angle", "rear glass", "angle"),
    Fact("front_ride_height", "front height", "length"),
    Fact("rear_ride_height", "rear height", "length"),
    Fact("mounting_height", "mounted at", "length"),
)
_TEXTS = ("date", "car", "body", "floor")
SORTS = (*_TEXTS, "with", *(one.key for one in FACTS), *CHANNELS)
"""What the rows of a part can be sorted by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Only:
    """Which rows of a part are asked for: those of one kind of body, of one floor; what is empty asks for any."""

    body: str = ""
    floor: str = ""

    def __bool__(self) -> bool:
        """Tell whether anything is left out at all."""
        return bool(self.body or self.floor)

    def keeps(self, day: LibraryDay) -> bool:
        """Tell whether a day is asked for; nobody minds the case of a word."""
        head = day.head
        return all(
            not asked or asked.casefold() == said.casefold()
            for asked, said in ((self.body, head.body), (self.floor, head.floor))
        )

    @property
    def words(self) -> str:
        """Name what is asked for."""
        return ", ".join(text for text in (self.body, self.floor and f"{self.floor} floor") if text)


ANY = Only()
"""Every row is asked for."""


def known_only(library: Library, only: Only) -> Only:
    """Refuse a kind of body that no day of a library has."""
    bodies = {day.head.body.casefold(): day.head.body for day in library.days if day.head.body}
    if only.body and only.body.casefold() not in bodies:
        raise UnknownName("body", only.body, sorted(bodies.values()))
    return only


def fact_of(row: Row, key: str) -> float | None:
    """Return a fact of the car that a row was measured on, in SI; nothing where it is not stated."""
    day, effect = row
    if key != "mounting_height":
        value: float | None = getattr(day.head.facts, key)
        return value
    heights = {setting: height for setting, _, height in day.head.facts.mountings}
    return next((heights[one.setting] for one in effect.changes if one.setting in heights), None)


def fact_words(fact: Fact, value: float | None, show: Show) -> str:
    """Write a fact without its unit, for a column whose head has it."""
    if value is None:
        return NONE
    return number(math.degrees(value), 0) if fact.kind == "angle" else show.bare(fact.kind, value)


def fact_unit(fact: Fact, show: Show) -> str:
    """Name the unit in which a fact is shown."""
    return "°" if fact.kind == "angle" else show.unit(fact.kind)


def with_words(effect: KeptEffect) -> list[str]:
    """Name what else was fitted."""
    return [f"{name.replace('_', ' ')} {size_words(value)}".strip() for name, value in effect.fitted_with]


def stated_facts(rows: Sequence[Row]) -> tuple[str, ...]:
    """List what the rows can be sorted by that any of them states, their figures left out."""
    texts = {key: any(getattr(day.head, key) for day, _ in rows) for key in ("date", "body", "floor")}
    figures = {one.key: any(fact_of(row, one.key) is not None for row in rows) for one in FACTS}
    fitted = any(effect.fitted_with for _, effect in rows)
    stated = {**texts, **figures, "car": True, "with": fitted}
    return tuple(key for key in SORTS if stated.get(key))


def sorted_rows(rows: Sequence[Row], by: str) -> tuple[Row, ...]:
    """Sort rows from the lowest to the highest; what is not stated comes last, and equal ones stay in order."""
    if by not in SORTS:
        raise UnknownName("order", by, SORTS)

    def place(row: Row) -> tuple[bool, str | float]:
        day, effect = row
        if by == "with":
            return False, ", ".join(with_words(effect)).casefold()
        if by in _TEXTS:
            text = {
                "date": day.head.date,
                "car": day.car_name,
                "body": day.head.body,
                "floor": day.head.floor,
            }[by]
            return not text, text.casefold()
        figure = effect.effect[CHANNELS.index(by)] if by in CHANNELS else fact_of(row, by)
        return figure is None, figure or 0.0

    return tuple(sorted(rows, key=place))
