"""What parts of a day did on other cars before, for a page of a customer: counts and kinds of bodies, and no names."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from balance.decide.library.kept import effects_of_day, said_setting
from balance.decide.library.pooled import MEAN_NEEDS, RANGE_NEEDS
from balance.files.library.library import Library
from balance.files.library.library_file import library_folder
from balance.model.channels import DRAG, FRONT, REAR
from balance.model.errors import InputError
from balance.model.libraries import SaidChange
from balance.model.plans import LABEL
from balance.reduce.air import dynamic_pressure
from balance.tell.figures import counted
from balance.tell.library.other_cars import OtherCars
from balance.tell.library.source_words import cars_words
from balance.tell.parts.change_text import change_words, signed

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from balance.compare.increment import Increment
    from balance.compare.pairing import Pair
    from balance.decide.library.over_cars import PartOverCars
    from balance.decide.library.pooled import PooledEffect
    from balance.model.libraries import Said
    from balance.model.records import Run, Session
    from balance.tell.figures import Show

_NAMES = {FRONT: "front", REAR: "rear", DRAG: "drag"}
NOBODY = "kind of body not stated"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartBefore:
    """A part on other cars: what they say together, and the kind of body of each that says it, as far as it is stated."""

    over: PartOverCars
    bodies: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CarsBefore:
    """What the library knows from other cars of the parts of a day, by how the day says them.

    ``days`` is how many the library holds, ``state`` what it says as it stands.
    """

    parts: Mapping[Said, PartBefore]
    days: int
    state: str


def said_of_pair(pair: Pair, runs: tuple[Run, ...]) -> Said:
    """Say what a comparison changed as a library keeps it; nothing where something was taken off."""
    run, before = runs[pair.run], runs[pair.baseline]
    if pair.differs == (LABEL,):
        return (SaidChange(LABEL, run.configuration, before.configuration),)
    changes = tuple(
        SaidChange(name, said_setting(run.settings.get(name)), said_setting(before.settings.get(name)))
        for name in sorted(pair.differs)
    )
    return changes if any(one.value for one in changes) else ()


def cars_before(session: Session, said: Iterable[Said], library: str | None = None) -> CarsBefore:
    """Gather what the library knows from other cars of some parts; those that it does not know, or not surely, are absent."""
    found: dict[Said, PartBefore] = {}
    with Library(library_folder(library), effects_of_day) as opened:
        others = OtherCars(opened, session)
        for one in dict.fromkeys(said):
            try:
                rows = others.rows(others.part_of(one))
            except InputError:
                continue
            pooled = [car for car in rows.each_car if np.all(np.isfinite(car.std))]
            bodies = tuple(rows.rows[car.effects[-1]][0].head.body for car in pooled)
            found[one] = PartBefore(over=rows.over, bodies=bodies)
        return CarsBefore(parts=found, days=len(opened.days), state=opened.state)


def before_words(part: PartBefore, own: Increment, show: Show, *, speed: float, air_density: float) -> str:
    """State what a part did on other cars, and beside it what it did on this one; nothing of fewer than three cars.

    Of the axles that one is named whose load it changed more on this car, and the other where its mean is not within noise.
    """
    over = part.over
    if over.known < MEAN_NEEDS:
        return ""
    pressure = float(dynamic_pressure(speed, air_density))
    changes = {FRONT: own.front_downforce, REAR: own.rear_downforce, DRAG: own.drag}
    axle = max((FRONT, REAR), key=lambda k: abs(changes[k].change))
    other = REAR if axle == FRONT else FRONT
    told = (axle, other, DRAG) if _beyond_noise(over.pooled[other]) else (axle, DRAG)
    before = [f"{_NAMES[k]} {_mean(over.pooled[k], pressure, show)}" for k in told]
    expected = ""
    if over.known >= RANGE_NEEDS:
        low, high = (end * pressure for end in over.pooled[axle].next_interval)
        ends = f"{show.low_to_high('force', low, high)} {show.unit('force')}"
        expected = f"; a next car was expected from {ends} (95 %) at the {_NAMES[axle]}"
    yours = ", ".join(f"{_NAMES[k]} {change_words(changes[k], show)}" for k in told)
    return (
        f"On {cars_words(over.known)} before{_bodies(part)}, mean of them: {', '.join(before)}{expected}. "
        f"On yours: {yours}, at {show.speed(speed)}."
    )


def _beyond_noise(one: PooledEffect) -> bool:
    """Return whether the interval of a mean leaves zero out."""
    low, high = one.interval
    return low > 0.0 or high < 0.0


def library_words(before: CarsBefore) -> str:
    """State where sentences on other cars come from, for the small print; the state is for whoever keeps the library."""
    return (
        f"What parts did before was measured on other cars, none of it on this one: the engineer's records of "
        f"{counted(before.days, 'test day')}, mark {before.state}. It says what to expect; what counts for this car is what was measured on it."
    )


def _bodies(part: PartBefore) -> str:
    """Count kinds of bodies; nothing where none is stated."""
    counted = Counter(body.strip().casefold() for body in part.bodies)
    if not any(counted):
        return ""
    kinds = sorted((kind for kind in counted if kind), key=lambda kind: (-counted[kind], kind))
    said = [f"{counted[kind]} × {kind}" for kind in kinds]
    said += [f"{counted['']} × {NOBODY}"] if counted[""] else []
    return f" ({', '.join(said)})"


def _mean(one: PooledEffect, pressure: float, show: Show) -> str:
    std = one.std * pressure
    low, high = (end * pressure for end in one.interval)
    ends = show.low_to_high("force", low, high, std=std)
    return f"{signed(show, one.mean * pressure, std)} {show.unit('force')} ({ends})"
