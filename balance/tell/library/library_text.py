"""A library in words and tables: days, parts, one part on each car, and no more of the next than the cars allow."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.compare.ratios import RatioKind
from balance.compare.student import student_factor
from balance.decide.library.pooled import MEAN_NEEDS, RANGE_NEEDS
from balance.model.channels import CHANNELS, WITH_TOTAL
from balance.model.errors import one_line, quoted
from balance.tell.figures import NONE, counted, low_to_high, number
from balance.tell.library.car_facts import FACTS, fact_of, fact_unit, fact_words, with_words
from balance.tell.library.names_apart import told_apart
from balance.tell.table import Cell, Column, Table, table_of

if TYPE_CHECKING:
    from balance.decide.library.pooled import Interval
    from balance.files.library.library import Library
    from balance.model.libraries import KeptEffect
    from balance.tell.figures import Show
    from balance.tell.library.car_facts import Only
    from balance.tell.library.part_rows import PartRows

_GONE, _OPEN = "gone", "?"
_SHORT_NAME = 14
"""Cells of a shortened name that tell it apart from others."""


def library_line(library: Library, *, place: bool = True) -> str:
    """Name a library, where it stands if wanted, and how much it holds."""
    cars = len({day.car_key for day in library.days})
    held = f"{counted(len(library.days), 'day')}, {counted(cars, 'car')}, {counted(len(library.parts()), 'part')}"
    return " · ".join(
        part
        for part in (one_line(library.file.name), one_line(str(library.folder)) if place else "", held)
        if part
    )


def library_notes(library: Library) -> list[str]:
    """State what is left out, gone or not yet confirmed, and whether anything can be written."""
    notes = [_left_out(shown, str(error)) for shown, error in library.broken]
    if gone := [day.head.folder for day in library.days if day.gone]:
        notes.append(
            f"gone from its folder, shown as it was read last, until axletrim library forget: {one_line(', '.join(gone))}"
        )
    if library.changed:
        notes.append(f"changed since it was added: {one_line(', '.join(library.changed))} (read again)")
    lost: dict[str, list[str]] = {}
    for part, day in library.unsaid():
        lost.setdefault(part, []).append(day.head.folder)
    notes += [
        f"{quoted(part)}: no longer measured on {one_line(', '.join(days))}, where it was when the day was added"
        for part, days in lost.items()
    ]
    if waiting := library.unconfirmed():
        days = list(dict.fromkeys(day.head.folder for day, _ in waiting))
        notes.append(
            f"{counted(len(waiting), 'effect')} of {counted(len(days), 'day')} not yet confirmed as a part, and not counted: "
            f"axletrim library add asks; {one_line(', '.join(days[:3]))}{' …' if len(days) > 3 else ''}"
        )
    if not library.writes:
        notes.append("the library cannot be written: it is shown as it can be read")
    return notes


def days_table(library: Library, *, short: bool = False) -> Table:
    """List the days, the oldest first; ``short`` drops of the cars' names what they share."""
    columns = (
        Column("date", "date", priority=1),
        Column("car", "car", width=12, flexible=True),
        Column("title", "day", width=12, flexible=True, priority=3),
        Column("body", "body", priority=5),
        Column("floor", "floor", priority=4),
        Column("runs", "runs", align="right", priority=2),
        Column("effects", "effects", align="right", priority=2),
        Column("state", "", priority=1),
        # whole before all others: it is what `forget` takes
        Column("id", "name in the library", priority=-1),
    )
    names = told_apart([day.car_name for day in library.days]) if short else {}
    rows = [
        [
            Cell(day.head.date or NONE),
            Cell(one_line(names.get(day.car_name, day.car_name)) + ("" if day.car else f" {_OPEN}")),
            Cell(one_line(day.head.title)),
            Cell(one_line(day.head.body) or NONE),
            Cell(day.head.floor or NONE),
            Cell(str(day.head.runs)),
            Cell(str(day.head.effects)),
            Cell(_GONE if day.gone else ""),
            Cell(day.head.id),
        ]
        for day in library.days
    ]
    return table_of(columns, rows, key="library_days")


def parts_table(parts: list[PartRows], show: Show) -> Table:
    """List the parts by family, each with as much as its cars allow."""
    unit = show.unit("force")
    columns = (
        Column("family", "family", priority=2),
        Column("part", "part", width=16, flexible=True),
        Column("cars", "cars", align="right"),
        Column("days", "days", align="right", priority=3),
        *(Column(key, key, unit=unit, align="right", priority=1) for key in CHANNELS),
        Column("says", "which is", width=8, priority=1),
    )
    rows = []
    for part in sorted(parts, key=lambda one: (one.family or "~", one.name)):
        figures = _middles(part)
        rows.append(
            [
                Cell(part.family or NONE),
                Cell(one_line(part.name)),
                Cell(str(part.over.cars)),
                Cell(str(part.days)),
                *(Cell(show.bare("force", figures[k] * part.pressure)) for k in range(3)),
                Cell(_standing(part)),
            ]
        )
    return table_of(columns, rows, key="library_parts")


def only_words(parts: list[PartRows], only: Only) -> str:
    """State which parts a list is of, where not of all."""
    found = f"{counted(len(parts), 'part')} measured so" if parts else "no part was measured so"
    return f"only {one_line(only.words)}: {found}"


def part_line(part: PartRows, show: Show) -> str:
    """Name a part, how often it was measured, and the speed and density at which its forces stand."""
    at = f"at {show.speed(part.speed)}, {show.quantity('density', part.air_density)}" if part.rows else ""
    held = f"{counted(part.over.cars, 'car')}, {counted(part.days, 'day')}"
    if part.only:
        held += f", only {one_line(part.only.words)}, of {counted(part.all_cars, 'car')} in all"
    return " · ".join(text for text in (one_line(part.name), part.family, held, at) if text)


def effects_table(part: PartRows, show: Show, *, short: bool = False) -> Table:
    """List what a part did on each day, each force with half of its 95 % interval.

    ``short`` drops of the cars' names what they share, so that the rows are told apart where room is short.
    """
    names = told_apart([day.car_name for day, _ in part.rows]) if short else {}
    unit, sorted_by = show.unit("force"), [one for one in FACTS if one.key == part.by]
    columns = (
        Column("car", "car", width=_SHORT_NAME if short else 10, flexible=True, priority=-1 if short else 0),
        Column("body", "body", priority=2),
        *(Column(one.key, one.head, unit=fact_unit(one, show), align="right") for one in sorted_by),
        Column("date", "date", priority=0 if short else 3),  # tells days of one car apart
        Column("floor", "floor", priority=3),
        Column("with", "with", width=12, flexible=True, priority=1),
        *(Column(key, key, unit=f"{unit}, ± 95 %", align="right") for key in CHANNELS),
        Column("runs", "runs", width=4, priority=4),
    )
    rows = []
    for day, effect in part.rows:
        mark = "*" if effect.suspect else ""
        rows.append(
            [
                Cell(one_line(names.get(day.car_name, day.car_name))),
                Cell(one_line(day.head.body) or NONE),
                *(Cell(fact_words(one, fact_of((day, effect), one.key), show)) for one in sorted_by),
                Cell(day.head.date or NONE),
                Cell(day.head.floor or NONE),
                Cell(one_line(", ".join(with_words(effect))) or "as delivered"),
                *(Cell(_force(effect, k, part.pressure, show)) for k in range(3)),
                Cell(one_line(", ".join(effect.runs)) + mark),
            ]
        )
    return table_of(columns, rows, key="library_effects")


def together_table(part: PartRows, show: Show) -> Table:
    """Lay out mean and range for the next car, each only where there are cars enough; else nothing."""
    unit = show.unit("force")
    columns = (
        Column("what", ""),
        *(Column(key, key, unit=unit, align="right") for key in WITH_TOTAL),
    )
    pooled, rows = part.over.pooled, []
    if part.over.known >= MEAN_NEEDS:
        rows.append(
            [Cell(f"mean of {part.over.known}"), *(Cell(_scaled(one.mean, part, show)) for one in pooled)]
        )
        rows.append(
            [Cell("its 95 % interval"), *(Cell(_between(one.interval, part, show)) for one in pooled)]
        )
        rows.append(
            [Cell("sd between cars"), *(Cell(_scaled(one.between_std, part, show)) for one in pooled)]
        )
    if part.over.known >= RANGE_NEEDS:
        rows.append(
            [Cell("next car, 95 %"), *(Cell(_between(one.next_interval, part, show)) for one in pooled)]
        )
    return table_of(columns, rows, key="library_together")


def allowed_words(part: PartRows) -> list[str]:
    """State what so many cars allow to be said, and what not, and what downforce they cost in drag."""
    said = standing_words(part)
    ratio = part.over.ratio
    if ratio is not None and ratio.ratio.kind is RatioKind.BOUNDED and ratio.ratio.value is not None:
        low, high = ratio.ratio.low, ratio.ratio.high
        ends = f" ({low_to_high(low, high, 1)})" if low is not None and high is not None else ""
        said.append(f"Downforce per drag of the means: {number(ratio.ratio.value, 1)}{ends}.")
    return said


def standing_words(part: PartRows) -> list[str]:
    """State what so many cars allow to be said, and what not."""
    cars, known = part.over.cars, part.over.known
    if not cars:
        return [f"No day of the library measured it{' so' if part.only else ''}."]
    said = []
    if known < cars:
        missing = counted(cars - known, "car")
        said.append(f"Repeatability unknown on {missing}: listed, and left out of what is said of several.")
    if assumed := len({day.head.id for day, effect in part.rows if effect.refit_assumed}):
        said.append(
            f"On {counted(assumed, 'day')} nothing was fitted twice: what refitting does is assumed there."
        )
    said += [
        f"Repeatability in {quoted(one.name)} pooled over {counted(one.days, 'day')}: {number(one.degrees_of_freedom, 0)} "
        "degrees of freedom."
        for one in part.facilities
    ]
    if part.facilities and (
        alone := len({day.head.id for day, _ in part.rows if not day.head.facility_name})
    ):
        said.append(f"{counted(alone, 'day')} without a name of the facility: each by its own repeatability.")
    said += _floors(part)
    if cars == 1:
        once = "" if part.days == 1 else f", however many days ({part.days})"
        said.append(f"One car{once}: it says what the part did there, and nothing of another car.")
    elif known < 2:
        said.append("Nothing is said of several cars together.")
    elif known == 2:
        said.append("Two cars: both are shown. A mean needs three, a range for the next car five.")
    elif known < RANGE_NEEDS:
        said.append(
            f"{_word(known)} cars: a mean with its interval. Too few cars for a range for the next one: it needs five."
        )
    else:
        said.append(
            f"{_word(known)} cars: the next car like these is expected inside the range, not at the mean."
        )
    return said


def _floors(part: PartRows) -> list[str]:
    """State how many cars stood on which floor, where floors differ: what a part does may hang on it."""
    cars: dict[str, set[tuple[str, str]]] = {}
    for day, _ in part.rows:
        cars.setdefault(day.head.floor or "not stated", set()).add(day.car_key)
    if len(cars) < 2:
        return []
    said = ", ".join(f"{floor} on {counted(len(on), 'car')}" for floor, on in cars.items())
    return [f"Floors differ: {said}."]


def _left_out(day: str, fault: str) -> str:
    """Name a day that cannot be read, with its first fault."""
    first, *others = fault.splitlines()
    more = f" (and {counted(len(others), 'fault')} more: axletrim check {one_line(day)})" if others else ""
    return f"left out: {one_line(day)}: {first}{more}"


def _standing(part: PartRows) -> str:
    """Name what a figure in the list of parts is."""
    if part.over.cars == 1:
        return "one car"
    if part.over.known < MEAN_NEEDS:
        return "two cars" if part.over.cars == 2 else "too few"
    return "mean" if part.over.known < RANGE_NEEDS else "mean, range"


def _middles(part: PartRows) -> tuple[float, ...]:
    """Return the areas that stand for a part: of its one car, or the mean of three and more; else unknown."""
    if part.over.cars == 1:
        return tuple(map(float, part.each_car[0].effect))
    if part.over.known >= MEAN_NEEDS:
        return tuple(one.mean for one in part.over.pooled)
    return (math.nan,) * len(WITH_TOTAL)


def _force(effect: KeptEffect, k: int, pressure: float, show: Show) -> str:
    force, std = effect.effect[k] * pressure, effect.std[k] * pressure
    text = show.bare("force", force, std=std)
    half = float(student_factor(effect.degrees_of_freedom[k])) * std
    if not math.isfinite(half):
        return f"{text} {_OPEN}"
    return f"{'~' if abs(force) <= half else ''}{text} ± {show.bare('force', half, std=std)}"


def _scaled(area: float, part: PartRows, show: Show) -> str:
    return show.bare("force", area * part.pressure)


def _between(ends: Interval, part: PartRows, show: Show) -> str:
    low, high = (end * part.pressure for end in ends)
    return show.low_to_high("force", low, high)


def _word(count: int) -> str:
    return {3: "Three", 4: "Four", 5: "Five"}.get(count, str(count))
