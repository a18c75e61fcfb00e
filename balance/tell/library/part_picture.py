"""The picture of a part over cars: a row a car with its interval, then the mean and the range for the next car.

Screen, printed table and drawn file show the rows of one `PartPicture`, and none says more than so many cars allow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from balance.decide.library.pooled import MEAN_NEEDS, RANGE_NEEDS
from balance.model.channels import CHANNELS, DRAG, REAR, WITH_TOTAL
from balance.model.errors import UnknownName, one_line
from balance.tell.figures import NONE
from balance.tell.library.car_facts import FACTS, fact_of, fact_unit, fact_words, with_words
from balance.tell.library.names_apart import told_apart
from balance.tell.parts.change_text import quantity_of, ratio_words
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from balance.files.library.library import LibraryDay
    from balance.model.libraries import KeptEffect
    from balance.tell.figures import Show
    from balance.tell.library.car_facts import Fact
    from balance.tell.library.part_rows import PartRows

Kind = Literal["car", "mean", "next"]
SEVERAL = "several"
"""Stands for a fact of a car whose days differ in it."""
_NAME, _LEAST_NAME = 22, 12
"""Cells of a car's name that a column less is better than, and that are enough where room is short."""
_WITH_FACT, _WITHOUT = 100, 75
"""Cells from which names are whole, with a column of the fact that rows are sorted by, and without."""
_WHOLE = 120
"""Cells from which even long names have room."""
_TOO_FEW, _GONE = "too few cars", "gone: "


@dataclass(frozen=True, slots=True)
class Span:
    """A force with the ends of its interval [N]; not a number where unknown, or where the cars are too few."""

    value: float
    low: float
    high: float
    kind: Kind = "car"

    @property
    def ends(self) -> tuple[float, ...]:
        """All of it that is known."""
        return tuple(one for one in (self.value, self.low, self.high) if math.isfinite(one))


@dataclass(frozen=True, slots=True, kw_only=True)
class CarRow:
    """One car: its effects day by day, and all of them together as one force."""

    name: str
    effects: tuple[tuple[LibraryDay, KeptEffect], ...]
    span: Span
    std: float

    @property
    def days(self) -> tuple[LibraryDay, ...]:
        """The days of the car that measured the part, each once, the oldest first."""
        return tuple({day.head.id: day for day, _ in self.effects}.values())

    @property
    def suspect(self) -> bool:
        """Whether it rests on suspect readings."""
        return any(effect.suspect for _, effect in self.effects)

    @property
    def gone(self) -> bool:
        """Whether the folder of every day is gone."""
        return all(day.gone for day in self.days)

    def fact(self, of: Callable[[LibraryDay, KeptEffect], str]) -> str:
        """Return a fact of the car as it is shown: of several days that differ, that there are several."""
        said = list(dict.fromkeys(of(day, effect) for day, effect in self.effects))
        return (said[0] or NONE) if len(said) == 1 else SEVERAL

    @property
    def body(self) -> str:
        """Its kind of body."""
        return self.fact(lambda day, _: one_line(day.head.body))

    @property
    def floor(self) -> str:
        """The floor of its days."""
        return self.fact(lambda day, _: day.head.floor)

    @property
    def fitted(self) -> str:
        """What else was fitted."""
        return self.fact(lambda _, effect: one_line(", ".join(with_words(effect))) or "as delivered")


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPicture:
    """A part over cars in one channel; ``mean`` and ``next_car`` are nothing where the cars are too few."""

    part: PartRows
    channel: int
    cars: tuple[CarRow, ...]
    mean: Span | None
    next_car: Span | None

    @property
    def quantity(self) -> str:
        """What is shown: rear downforce, drag."""
        return quantity_of(self.channel)

    @property
    def scale(self) -> tuple[float, float]:
        """Which forces have room [N]: all values, the mean and the range; of a car's interval no more than as far again."""
        spans = [*(car.span for car in self.cars), *(one for one in (self.mean, self.next_car) if one)]
        ends = [0.0]
        for one in spans:
            ends += (one.value,) if one.kind == "car" else one.ends
        ends = [end for end in ends if math.isfinite(end)]
        low, high = min(ends), max(ends)
        room = high - low
        own = [end for one in spans for end in one.ends]
        return max(min([low, *own]), low - room), min(max([high, *own]), high + room)


def largest_channel(part: PartRows) -> int:
    """Choose the channel in which a part does most: front, rear or drag; rear where it does nothing."""
    each = [car.effect for car in part.each_car]
    if not each:
        return REAR
    sizes = np.abs(np.mean(each, axis=0))[: len(CHANNELS)]
    return REAR if sizes[REAR] >= sizes.max() else int(np.argmax(sizes))


def part_picture(
    part: PartRows, channel: str | None = None, *, by_effect: bool = False, named: bool = True
) -> PartPicture:
    """Lay out a part over its cars in the order of its rows; without a channel in that in which it does most.

    ``by_effect`` puts the highest figure first. ``named`` as False numbers the cars in place of naming them, for eyes
    that are not to know whose they are.
    """
    if channel is not None and channel not in WITH_TOTAL:
        raise UnknownName("channel", channel, WITH_TOTAL)
    k = largest_channel(part) if channel is None else WITH_TOTAL.index(channel)
    pressure = part.pressure
    cars = []
    for number, car in enumerate(part.each_car, 1):
        effects = tuple(part.rows[row] for row in car.effects)
        value, half = float(car.effect[k]) * pressure, float(car.half()[k]) * pressure
        cars.append(
            CarRow(
                name=effects[0][0].car_name if named else f"car {number}",
                effects=effects,
                span=Span(value, value - half, value + half),
                std=float(car.std[k]) * pressure,
            )
        )
    pooled = part.over.pooled[k] if part.over.pooled else None
    mean = following = None
    if pooled is not None and part.over.known >= MEAN_NEEDS:
        low, high = pooled.interval
        mean = Span(pooled.mean * pressure, low * pressure, high * pressure, "mean")
    if pooled is not None and part.over.known >= RANGE_NEEDS:
        low, high = pooled.next_interval
        following = Span(math.nan, low * pressure, high * pressure, "next")
    if by_effect:
        cars.sort(key=lambda car: -car.span.value)
    return PartPicture(part=part, channel=k, cars=tuple(cars), mean=mean, next_car=following)


def picture_spans(picture: PartPicture) -> tuple[Span | None, ...]:
    """Return what each row of the picture's table shows; nothing where too few cars allow nothing."""
    return (*(car.span for car in picture.cars), picture.mean, picture.next_car)


def picture_table(picture: PartPicture, show: Show, *, width: int = 100) -> Table:
    """Lay out a row a car, then the mean and the range for the next car, or that there are too few cars for them.

    Of a car's name less is shown where the ``width`` of all else is short, so that the figures and the fact that rows are
    sorted by stay.
    """
    by = [one for one in FACTS if one.key == picture.part.by]
    sorted_by = by or picture.part.by in ("body", "floor", "with")
    room = _NAME if width >= (_WITH_FACT if sorted_by else _WITHOUT) else _LEAST_NAME
    called = [car.name for car in picture.cars]
    too_long = width < _WHOLE and max(map(len, called), default=0) > room
    names = told_apart(called) if too_long else {}

    def first(key: str, priority: int) -> int:
        return 1 if key == picture.part.by != "date" else priority

    columns = (
        Column("car", "car", width=room, flexible=True, priority=-1),
        Column("body", "body", priority=first("body", 2)),
        *(Column(one.key, one.head, unit=fact_unit(one, show), align="right", priority=1) for one in by),
        Column("date", "date", priority=first("date", 5)),
        Column("days", "days", align="right"),
        Column("floor", "floor", priority=first("floor", 3)),
        Column("with", "with", priority=first("with", 4)),
        Column("figure", picture.quantity, unit=f"{show.unit('force')}, 95 %", priority=-1),
    )
    rows = [
        [
            Cell((_GONE if car.gone else "") + one_line(names.get(car.name, car.name))),
            Cell(car.body),
            *(Cell(car_fact(car, one, show)) for one in by),
            Cell(max(day.head.date for day in car.days) or NONE),
            Cell(str(len(car.days))),
            Cell(car.floor),
            Cell(car.fitted),
            Cell(car_figure(car, show)),
        ]
        for car in picture.cars
    ]
    nothing = [Cell()] * (len(columns) - 2)
    rows += [
        [Cell(name, role), *nothing, Cell(text, role)] for name, text, role in together_figures(picture, show)
    ]
    return table_of(columns, rows, key="library_picture")


def car_fact(car: CarRow, fact: Fact, show: Show) -> str:
    """Write a fact of a car without its unit."""
    return car.fact(lambda day, effect: fact_words(fact, fact_of((day, effect), fact.key), show))


def floor_words(floor: str) -> str:
    """Name a floor; the road is none.

    Examples
    --------
    >>> floor_words("fixed"), floor_words("road"), floor_words("several")
    ('fixed floor', 'on the road', 'several floors')
    """
    return {"road": "on the road", SEVERAL: f"{SEVERAL} floors"}.get(floor, f"{floor} floor")


def car_words(car: CarRow) -> str:
    """Name a car with what tells it apart: its body, what was fitted, the floor, its days."""
    floor = car.floor if car.floor == NONE else floor_words(car.floor)
    days = f"{len(car.days)} days" if len(car.days) > 1 else NONE
    facts = (one_line(car.name), car.body, car.fitted, floor, days)
    return " · ".join(fact for fact in facts if fact != NONE)


def car_figure(car: CarRow, show: Show) -> str:
    """Write the force of a car with half of its 95 % interval, and its marks: ~ within noise, * suspect, ? unknown."""
    span = car.span
    text, half = show.bare("force", span.value, std=car.std), span.high - span.value
    mark = "*" if car.suspect else ""
    if not math.isfinite(half):
        return f"{text} ?{mark}"
    return f"{'~' if abs(span.value) <= half else ''}{text} ± {show.bare('force', half, std=car.std)}{mark}"


def together_figures(picture: PartPicture, show: Show) -> tuple[tuple[str, str, str], ...]:
    """Name and write the mean and the range for the next car, each with its role; else that there are too few cars."""
    mean, following = picture.mean, picture.next_car
    known = picture.part.over.known

    def written(span: Span) -> str:
        return show.low_to_high("force", span.low, span.high)

    return (
        ("mean", _TOO_FEW, "muted")
        if mean is None
        else (f"mean of {known}", f"{show.bare('force', mean.value)} ({written(mean)})", "strong"),
        ("next car", _TOO_FEW, "muted") if following is None else ("next car", written(following), "strong"),
    )


def drag_line(picture: PartPicture, show: Show) -> str:
    """State what the part costs in drag, its downforce per drag, and how far cars differ; no more than the cars allow."""
    part = picture.part
    if part.over.known < MEAN_NEEDS:
        return ""
    pressure, said = part.pressure, []
    drag = part.over.pooled[DRAG]
    if picture.channel != DRAG:
        low, high = (end * pressure for end in drag.interval)
        mean, ends = show.quantity("force", drag.mean * pressure), show.low_to_high("force", low, high)
        text = f"drag: mean {mean} ({ends})"
        if part.over.known >= RANGE_NEEDS:
            low, high = (end * pressure for end in drag.next_interval)
            text += f", next car {show.low_to_high('force', low, high)}"
        said.append(text)
    if part.over.ratio is not None:
        said.append(f"ΔDF/ΔD: {ratio_words(part.over.ratio.ratio, show)}")
    said.append(between_words(picture, show))
    return " · ".join(said)


def between_words(picture: PartPicture, show: Show) -> str:
    """State how far cars differ, beside how well one car is known; nothing where the cars are too few for a mean."""
    if picture.part.over.known < MEAN_NEEDS:
        return ""
    pooled = picture.part.over.pooled[picture.channel]
    noise = float(np.sqrt(np.mean(pooled.variances)))
    between = pooled.between_std
    if between < noise / 10.0:
        return f"{picture.quantity}: cars differ no more than the noise of one"
    sd = show.quantity("force", between * picture.part.pressure)
    return f"{picture.quantity} between cars: sd {sd}, {between / noise:.1f} times the noise of one car"
