"""What a library lets one car expect of parts, from its own other days, else from other cars; and why there is nothing."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from balance.decide.library.kept import effects_of_day, said_setting
from balance.decide.library.next_car import next_car, own_days
from balance.files.formats.plan_edit import KnownLine
from balance.files.library.library import Library
from balance.files.library.library_file import library_folder
from balance.files.library.parts_file import family_told, read_parts_file
from balance.files.library.proposals import (
    called_otherwise,
    car_of_session,
    in_words_of,
    parts_by_likeness,
    parts_said,
)
from balance.model.errors import InputError, UnknownName, did_you_mean, one_line
from balance.model.libraries import FromLibrary, SaidChange
from balance.model.plans import LABEL
from balance.tell.library.part_rows import part_rows
from balance.tell.library.source_words import expected_source, too_few_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from balance.decide.library.next_car import NextCar
    from balance.files.library.parts_file import PartsFile
    from balance.model.libraries import KeptEffect, Said
    from balance.model.plans import DayPlan, ExpectedEffect, Value
    from balance.model.records import Session, Setting
    from balance.model.what_ifs import WhatIf
    from balance.tell.library.part_rows import PartRows


class OtherCars:
    """A library as it is asked about one car: the days of that car are left out."""

    def __init__(self, library: Library, session: Session) -> None:
        self._library, self._session = library, session
        self._own = car_of_session(library, session)

    @cached_property
    def _file(self) -> PartsFile:
        return read_parts_file(self._library.folder)

    def rows(self, part: str) -> PartRows:
        """Return what was measured of a part on other cars, at the facility's speed and air density."""
        return self._all_rows(part).without(self._own.keys)

    def _all_rows(self, part: str) -> PartRows:
        facility = self._session.facility
        return part_rows(self._library, part, speed=facility.speed, air_density=facility.air_density)

    def part_of(self, said: Said) -> str:
        """Name the part that a day means by its words: as it was confirmed, else the one that is said just so."""
        for part in self._file.parts:
            if any(day in self._own.day and one == said for day, one in part.seen):
                return part.name
        found = parts_said(said, self._file)
        if len(found) == 1:
            return found[0]
        if not found:
            raise InputError("no part of the library is said so: name it, as { from_library = NAME }")
        raise InputError(
            f"{len(found)} parts of the library are said so ({one_line('; '.join(found))}): name the one"
        )

    def likely(self, said: Said) -> tuple[str, ...]:
        """Name the parts of the library, those first that are most like what a day says."""
        return parts_by_likeness(said, self._file)

    def differs(self, setting: str, value: Value, part: str) -> str:
        """State how a part seems to be another one than a setting of the day: by its family, or by what days call it."""
        told = family_told(str(value) if setting == LABEL else setting)
        family = self._library.family(part)
        called = next((called_otherwise(setting, one) for one in self._file.parts if one.name == part), "")
        said = [f"of family {family}"] if family and told not in {"", family} else []
        said += [f"called {one_line(called.replace('_', ' '))} there"] if called else []
        return ", ".join(said)

    def expects(self, part: str) -> FromLibrary:
        """State what is expected of a part on this car, or why nothing is."""
        try:
            everything = self._all_rows(part)
        except UnknownName as fault:
            near = did_you_mean(part, fault.known)
            return FromLibrary(part=part, why_not=f"no part of that name{f'; {near}' if near else ''}")
        found = everything.without(self._own.keys)
        dates, expected = self._own_days(everything)
        if expected is None:
            expected = next_car(found.over)
        days = {day.head.id for day, _ in everything.rows if day.car_key in self._own.keys} - self._own.day
        known = FromLibrary(
            part=part,
            cars=found.over.known,
            own=0 if dates else len(days),
            state=self._library.state,
            own_dates=dates,
            measured=self._measured(part),
            said=self._said(part),
        )
        if expected is None:
            return replace(known, why_not=too_few_words(known.cars))
        front, rear, drag = expected.mean.tolist()
        front_std, rear_std, drag_std = expected.std.tolist()
        return replace(
            known,
            mean=(front, rear, drag),
            std=(front_std, rear_std, drag_std),
            front_rear=expected.front_rear,
        )

    def _own_days(self, part: PartRows) -> tuple[tuple[str, ...], NextCar | None]:
        """State what the car itself showed of a part on other days than the open one, with their dates."""
        if not self._own.sure:
            return (), None
        this = self._own.day | self._own.copies
        rows = [row for row in part.rows if row[0].car_key in self._own.keys and row[0].head.id not in this]
        rows = [(day, one) for day, one in rows if all(x > 0.0 for x in one.std)]  # not where it is unknown
        expected = own_days(
            [one.effect for _, one in rows],
            [one.covariance for _, one in rows],
            [one.degrees_of_freedom for _, one in rows],
            [day.head.scatter.variance for day, _ in rows],
            days=[day.head.id for day, _ in rows],
        )
        dates = dict.fromkeys(day.head.date or day.head.title for day, _ in rows)
        return (tuple(dates), expected) if expected is not None else ((), None)

    @cached_property
    def _open_day(self) -> tuple[KeptEffect, ...]:
        """What the open day says of its parts."""
        return effects_of_day(self._session).effects if self._session.used else ()

    def _measured(self, part: str) -> tuple[str, ...]:
        """Name the runs of the open day that measured a part: as it was confirmed, else as some day says it."""
        confirmed = {
            one: known.name for known in self._file.parts for day, one in known.seen if day in self._own.day
        }
        return tuple(
            run
            for effect in self._open_day
            if part
            in (
                (confirmed[effect.changes],)
                if effect.changes in confirmed
                else parts_said(effect.changes, self._file)
            )
            for run in effect.runs
        )

    def _said(self, part: str) -> tuple[Said, ...]:
        """Say a part in every way in which days say it, each in the names and sizes of the open day."""
        own = [SaidChange(name, said_setting(one)) for name, one in fitted_on(self._session)]
        seen = [one for known in self._file.parts if known.name == part for _, one in known.seen]
        return tuple(dict.fromkeys(in_words_of(one, own) for one in seen))


def fitted_on(session: Session) -> tuple[tuple[str, Setting], ...]:
    """List the settings of a day's runs, each with a value, once."""
    return tuple(dict.fromkeys((name, one) for run in session.used for name, one in run.settings.items()))


def plan_with_library(session: Session, plan: DayPlan, library: str | None = None) -> DayPlan:
    """Let a library state what a plan expects from it; the library is opened only where the plan asks for it.

    ``library`` names its folder, else the environment does, or it is the user's own. Where it has nothing to say, it is
    kept with the reason, and what is believed is what is assumed without it.
    """
    if not any(one.library is not None for one in plan.expected):
        return plan
    try:
        with Library(library_folder(library), effects_of_day) as opened:
            others = OtherCars(opened, session)
            expected = tuple(_expected(others, one, plan.units.get(one.setting, "")) for one in plan.expected)
    except InputError as fault:
        why_not = str(fault).splitlines()[0]
        expected = tuple(
            one if one.library is None else replace(one, library=replace(one.library, why_not=why_not))
            for one in plan.expected
        )
    return replace(plan, expected=expected)


def _expected(others: OtherCars, one: ExpectedEffect, unit: str) -> ExpectedEffect:
    """Ask a library what is expected of a setting at a value, where it is to say so."""
    if one.library is None:
        return one
    try:
        part = one.library.part or others.part_of(said_of(one.setting, one.value, unit))
    except InputError as fault:
        return replace(one, library=replace(one.library, why_not=str(fault)))
    found = others.expects(part)
    if found.mean is None or found.std is None:
        return replace(one, library=found)
    return replace(one, library=found, mean=found.mean, std=found.std)


def said_of(setting: str, value: Value, unit: str) -> Said:
    """Say a setting at a value as a library keeps it."""
    text = value if isinstance(value, str) else f"{value:.10g} {unit}".strip()
    return (SaidChange(setting, text),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A part of a library that a plan may expect of a setting at a value, and how it seems to be another part."""

    setting: str
    value: Value
    found: FromLibrary
    differs: str = ""


def offers_for(session: Session, plan: DayPlan, settings: Iterable[tuple[str, Value]]) -> tuple[Offer, ...]:
    """List the parts of the library that settings may be, those first that are most like what the day says."""
    with Library(library_folder(None), effects_of_day) as opened:
        others = OtherCars(opened, session)
        return tuple(
            Offer(
                setting=name,
                value=value,
                found=others.expects(part),
                differs=others.differs(name, value, part),
            )
            for name, value in settings
            for part in others.likely(said_of(name, value, plan.units.get(name, "")))[:MOST_OFFERS]
        )


MOST_OFFERS = 12
"""Parts that are offered for one setting."""


def known_lines(session: Session, library: str | None = None) -> tuple[list[KnownLine], str]:
    """List the settings of a day's runs of which a library expects something, said there just as here; or why there is none.

    Without a library there is neither.
    """
    found: list[KnownLine] = []
    too_little: list[str] = []
    try:
        with Library(library_folder(library), effects_of_day) as opened:
            others = OtherCars(opened, session)
            for name, one in fitted_on(session):
                said = said_of(name, one.value, one.unit)
                with contextlib.suppress(InputError):
                    part = others.expects(others.part_of(said))
                    if part.mean is None:
                        too_little.append(f"{one_line(part.part)}: {one_line(part.why_not)}")
                    else:
                        words = f"{one_line(part.part)}: {expected_source(part)}"
                        found.append(KnownLine(name, said[0].value, words))
    except InputError:
        return [], ""
    if found:
        return found, ""
    if not fitted_on(session):
        return [], "no run of this day has a setting yet; page 8 offers its parts with l"
    return [], "; ".join(
        too_little
    ) or "no part of it is said as a setting of this day is; page 8 offers the likeliest with l"


def what_ifs_with_library(
    session: Session, what_ifs: Sequence[WhatIf], library: str | None = None
) -> tuple[WhatIf, ...]:
    """Let a library state what what-ifs expect from it; what it cannot say is kept with the reason."""
    if not any(one.library for one in what_ifs):
        return tuple(what_ifs)
    try:
        with Library(library_folder(library), effects_of_day) as opened:
            others = OtherCars(opened, session)
            found = {part.part: others.expects(part.part) for one in what_ifs for part in one.library}
    except InputError as fault:
        why_not = str(fault).splitlines()[0]
        found = {part.part: replace(part, why_not=why_not) for one in what_ifs for part in one.library}
    return tuple(replace(one, library=tuple(found[part.part] for part in one.library)) for one in what_ifs)


def parts_to_put_on(session: Session) -> tuple[FromLibrary, ...]:
    """List the parts of the library with what each is expected to do on this car, or why nothing is."""
    with Library(library_folder(None), effects_of_day) as opened:
        others = OtherCars(opened, session)
        return tuple(others.expects(name) for name, *_ in opened.parts())
