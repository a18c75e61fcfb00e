"""How the library is looked at, as one frozen value: replaced whole, never changed in place."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from balance.files.day.durable import Stamp
    from balance.files.library.joining import Step
    from balance.files.library.library import LibraryDay
    from balance.model.libraries import KeptDay
    from balance.tell.library.car_facts import Only
    from balance.tell.library.part_rows import PartRows

LISTS = ("parts", "cars")
"""What the keys move in: the parts of the library, or the cars of the picked one."""


class LibraryWanted(NamedTuple):
    """What a reading of the library hangs on: its folder, and its files as they stand."""

    folder: Path
    stamps: tuple[Stamp | None, ...]


class LibraryRead(NamedTuple):
    """A library as it was read: its parts with every row, or why there are none and what to do.

    ``line`` names it and where it stands, ``head`` it alone; ``folders`` are those of its days without links.
    """

    wanted: LibraryWanted
    line: str = ""
    head: str = ""
    notes: tuple[str, ...] = ()
    days: tuple[LibraryDay, ...] = ()
    parts: tuple[PartRows, ...] = ()
    missing: tuple[str, ...] = ()
    folders: frozenset[str] = frozenset()

    @property
    def bodies(self) -> tuple[str, ...]:
        """The kinds of body that are stated, each once, whatever the case of its letters."""
        return tuple({day.head.body.casefold(): day.head.body for day in self.days if day.head.body}.values())

    @property
    def floors(self) -> tuple[str, ...]:
        """The floors that are stated, each once."""
        return tuple(dict.fromkeys(day.head.floor for day in self.days if day.head.floor))


class LibraryFigures(NamedTuple):
    """The parts of a library as far as they are asked for."""

    read: LibraryRead
    only: Only
    parts: tuple[PartRows, ...]


class Added(NamedTuple):
    """What became of a day that is added, with what was answered so far; or why it could not be."""

    read: KeptDay | None = None
    answers: Mapping[str, str] = {}
    step: Step | None = None
    fault: str = ""


@dataclass(frozen=True, eq=False)
class LibraryView:
    """The figures with what they hang on, what is asked for, and how the picked part is looked at.

    ``only`` is nothing while everything is asked for; ``by`` is empty where the highest figure stands first, ``channel``
    where that is shown in which the part does most.
    """

    figures: LibraryFigures | None = None
    only: Only | None = None
    part: str = ""
    by: str = ""
    channel: str = ""
    listed: str = LISTS[0]
    car: int = 0

    @property
    def parts(self) -> tuple[PartRows, ...]:
        """The parts that are listed."""
        return () if self.figures is None else self.figures.parts

    @property
    def cursor(self) -> int:
        """Where the picked part stands in the list; where it is not listed, the first of those with most cars."""
        most = max((part.over.cars for part in self.parts), default=0)
        first = next((k for k, part in enumerate(self.parts) if part.over.cars == most), 0)
        return next((k for k, part in enumerate(self.parts) if part.name == self.part), first)

    @property
    def picked(self) -> PartRows | None:
        """The picked part."""
        return self.parts[self.cursor] if self.parts else None

    def with_figures(self, figures: LibraryFigures) -> LibraryView:
        """Take in figures."""
        return replace(self, figures=figures)

    def with_part(self, part: str) -> LibraryView:
        """Pick a part; its cars are looked at from the first."""
        return self if part == self.part else replace(self, part=part, car=0)

    def with_next_channel(self, shown: str) -> LibraryView:
        """Show the channel behind the one that is shown."""
        from balance.model.channels import WITH_TOTAL  # noqa: PLC0415 - after the first paint

        following = (WITH_TOTAL.index(shown) + 1) % len(WITH_TOTAL)
        return replace(self, channel=WITH_TOTAL[following])

    def with_next_order(self) -> LibraryView:
        """Put the cars in order by the next fact that any of them states, the highest figure first at the end."""
        part = self.picked
        if part is None:
            return self
        from balance.tell.library.car_facts import stated_facts  # noqa: PLC0415 - after the first paint

        orders = ("", *stated_facts(part.rows))
        here = orders.index(self.by) if self.by in orders else 0
        return replace(self, by=orders[(here + 1) % len(orders)])


def part_shown(part: PartRows, by: str, conditions: tuple[float, float] | None) -> PartRows:
    """Return a part at a speed and a density, else at those of its newest day, its rows in an order asked for."""
    placed = part.kept(part.only, by) if by else part
    return placed if conditions is None else placed.at(*conditions)


def library_wanted() -> LibraryWanted:
    """State what a reading of the library has to hang on."""
    from balance.files.day.durable import glance  # noqa: PLC0415 - after the first paint
    from balance.files.library.library_file import LIBRARY_FILE, PARTS_FILE, library_folder  # noqa: PLC0415 - as above

    folder = library_folder(None)
    return LibraryWanted(folder, tuple(glance(folder / name) for name in (LIBRARY_FILE, PARTS_FILE)))


def read_library(wanted: LibraryWanted) -> LibraryRead:
    """Read the library, in a thread; what is missing is told in words."""
    from balance.decide.library.kept import effects_of_day  # noqa: PLC0415 - after the first paint
    from balance.files.library.library import Library  # noqa: PLC0415 - as above
    from balance.files.library.library_file import LIBRARY_FILE  # noqa: PLC0415 - as above
    from balance.model.errors import AxletrimError  # noqa: PLC0415 - as above
    from balance.tell.library.library_text import library_line, library_notes  # noqa: PLC0415 - as above
    from balance.tell.library.missing_words import broken_words, no_library_words  # noqa: PLC0415 - as above
    from balance.tell.library.part_rows import part_rows  # noqa: PLC0415 - as above
    from tui.host.demo import demo_library  # noqa: PLC0415 - as above

    try:
        if not (wanted.folder / LIBRARY_FILE).exists():
            return LibraryRead(wanted, missing=no_library_words(wanted.folder, demo_library()))
        with Library(wanted.folder, effects_of_day) as library:
            parts = sorted(
                (part_rows(library, name) for name, *_ in library.parts()),
                key=lambda one: (one.family or "~", one.name),
            )
            return LibraryRead(
                wanted,
                line=library_line(library),
                head=library_line(library, place=False),
                notes=tuple(library_notes(library)),
                days=library.days,
                parts=tuple(parts),
                folders=frozenset(os.path.realpath(day.head.folder) for day in library.days),
            )
    except (AxletrimError, OSError) as fault:
        return LibraryRead(wanted, missing=broken_words(wanted.folder, fault))


def work_out_library(wanted: LibraryWanted, only: Only | None, read: LibraryRead | None) -> LibraryFigures:
    """Gather the parts that are asked for, in a thread; the library is read where it was not yet, or has changed."""
    from balance.tell.library.car_facts import ANY  # noqa: PLC0415 - after the first paint

    if read is None or read.wanted != wanted:
        read = read_library(wanted)
    asked = ANY if only is None else only
    kept = (part.kept(asked) for part in read.parts)
    return LibraryFigures(read, asked, tuple(part for part in kept if part.rows))


def add_to_library(folder: Path, day: str, before: Added) -> Added:
    """Add a day as far as the answers go, in a thread."""
    from balance.decide.library.kept import effects_of_day  # noqa: PLC0415 - after the first paint
    from balance.files.library.joining import (  # noqa: PLC0415 - as above
        add_step,
        begin_library,
        read_to_add,
    )
    from balance.model.errors import AxletrimError  # noqa: PLC0415 - as above

    try:
        read = before.read or read_to_add(day, effects_of_day)
        begin_library(folder)
        return before._replace(read=read, step=add_step(folder, read, before.answers, effects_of_day))
    except (AxletrimError, OSError) as fault:
        return before._replace(fault=str(fault), step=None)


def take_out_of_library(folder: Path, day: str) -> tuple[str, str]:
    """Take a day out, in a thread; give its folder, or what went wrong."""
    from balance.decide.library.kept import effects_of_day  # noqa: PLC0415 - after the first paint
    from balance.files.library.joining import forget_day  # noqa: PLC0415 - as above
    from balance.files.library.library import Library  # noqa: PLC0415 - as above
    from balance.model.errors import AxletrimError  # noqa: PLC0415 - as above

    try:
        with Library(folder, effects_of_day) as library:
            return forget_day(library, day), ""
    except (AxletrimError, OSError) as fault:
        return "", str(fault)
