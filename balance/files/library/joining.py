"""A day joins a library, or leaves it: what is written, in an order in which a kill at any moment does no harm."""

from __future__ import annotations

import contextlib
import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

from balance.files.day.durable import write_atomically
from balance.files.library.confirming import join_library
from balance.files.library.day_record import day_text
from balance.files.library.library import Library, absolute, free_id, studied, writing
from balance.files.library.library_file import (
    DAYS,
    LIBRARY_FILE,
    PARTS_FILE,
    LibraryFile,
    read_library_file,
    write_days,
)
from balance.files.library.parts_file import adds, read_parts_file, write_confirmed
from balance.files.session_path import session_folder
from balance.model.errors import InputError, SaveError, UnknownName, one_line

if TYPE_CHECKING:
    from collections.abc import Mapping

    from balance.files.library.confirming import Joining
    from balance.files.library.library import LibraryDay, Study
    from balance.files.library.parts_file import Confirmed, PartsFile
    from balance.model.libraries import KeptDay

State = Literal["added", "there", "moved"]
"""What becomes of a day: new, in the library already, or in it from a folder that is gone."""


class ChangedMeanwhile(InputError):  # noqa: N818 - reads as the sentence it prints
    """Another program confirmed something meanwhile: who is who has to be looked at again."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            one_line(
                f"{folder / PARTS_FILE}: found a change by another program, expected the file as it was read; "
                "add the day again"
            )
        )


def begin_library(folder: Path) -> None:
    """Begin a library in a folder where there is none."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = error.strerror or str(error)
        raise SaveError(
            one_line(
                f"{folder}: found that it cannot be made ({reason}), expected a folder for a library; choose another"
            )
        ) from None
    if not (folder / LIBRARY_FILE).exists():
        with writing(folder):
            if not (folder / LIBRARY_FILE).exists():
                write_days(folder, LibraryFile(name="Parts on all cars"), ())


def read_to_add(day: str, study: Study) -> KeptDay:
    """Read a day that is to join, under the one name that its folder has without links."""
    return studied(Path(os.path.realpath(session_folder(day))), study)


def as_known(library: Library, day: KeptDay) -> tuple[KeptDay, State]:
    """Give a day the name that it has in the library, or a new one."""
    known = _same_day(library, day)
    if known is None:
        heads = {one.head.id: one.head for one in library.days}
        return replace(day, id=free_id(day.id, Path(day.folder), heads)), "added"
    if known.gone:
        return replace(day, id=known.head.id), "moved"
    return replace(day, id=known.head.id, folder=known.head.folder), "there"


def add_day(library: Library, day: KeptDay, confirmed: Confirmed, file: PartsFile) -> None:
    """Add a day to a library: who is who on it, that it belongs, then what it says.

    A kill between two steps leaves a day that the next opening reads by itself. What was settled with another parts.toml
    than stands there now is not written: two new parts of one name would be one, and nobody asked.
    """
    places = {day.folder, *(one.head.folder for one in library.days if one.head.id == day.id)}
    with writing(library.folder):
        if read_parts_file(library.folder).text != file.text:
            raise ChangedMeanwhile(library.folder)
        write_confirmed(library.folder, [confirmed])
        stated = read_library_file(library.folder)
        known = {one: absolute(library.folder, one) for one in stated.days}
        if day.folder not in known.values():
            others = [one for one, place in known.items() if place not in places]
            write_days(library.folder, stated, [*others, day.folder])
        path = library.folder / DAYS / f"{day.id}.json"
        path.parent.mkdir(exist_ok=True)
        write_atomically(path, day_text(day).encode())


def forget_day(library: Library, named: str) -> str:
    """Take a day out of a library, by its name there or by its folder; its own files stay. Give its folder."""
    ids = {day.head.id: day.head.folder for day in library.days}
    with writing(library.folder):
        file = read_library_file(library.folder)
        places = {absolute(library.folder, one): one for one in file.days}
        tried = (ids.get(named, ""), absolute(Path.cwd(), named), os.path.realpath(named))
        place = next((one for one in tried if one in places), None)
        if place is None:
            raise UnknownName("day", named, [*ids, *places])
        write_days(library.folder, file, [one for one in file.days if one != places[place]])
        for day, folder in ids.items():
            if folder == place:
                with contextlib.suppress(FileNotFoundError):
                    (library.folder / DAYS / f"{day}.json").unlink()
    return place


def _same_day(library: Library, day: KeptDay) -> LibraryDay | None:
    """Find the day of a library that a day is: of the same folder, or with the same session and runs to the byte."""
    own = [digest for _, digest in day.files[:2]]
    for one in library.days:
        if day.folder in (one.head.folder, os.path.realpath(one.head.folder)):
            return one
    return next((one for one in library.days if [digest for _, digest in one.head.files[:2]] == own), None)


class Step(NamedTuple):
    """What became of a day: the day as the library knows it, what was settled, and its state once nothing is open."""

    day: KeptDay
    joining: Joining
    state: State


def add_step(folder: Path, read: KeptDay, answers: Mapping[str, str], study: Study) -> Step:
    """Add a day to the library in a folder where the answers leave no question open; else state what is open.

    What another program confirmed meanwhile may be asked about by now: the day is looked at again.
    """
    for last in (False, False, True):
        with Library(folder, study) as library:
            day, state = as_known(library, read)
            file = read_parts_file(folder)
            joining = join_library(library, file, day, answers)
            if not joining.questions and (state != "there" or adds(file, [joining.confirmed])):
                try:
                    add_day(library, day, joining.confirmed, file)
                except ChangedMeanwhile:
                    if last:
                        raise
                    continue
        return Step(day, joining, state)
    raise AssertionError  # pragma: no cover - the last round returns or raises
