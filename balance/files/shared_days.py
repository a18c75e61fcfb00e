"""Days of other cars in the same hired hours, as session.toml names them under `shares`; what cannot be shared is said."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.day.durable import glance
from balance.files.session_path import RUNS_FILE, SESSION_FILE, session_folder
from balance.files.track_path import LINE_FILE, TRACK_FILE, track_of
from balance.model.errors import Fault, FileFaults, quoted

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from balance.files.day.durable import Stamp
    from balance.files.toml.document import Document
    from balance.model.records import Session

_ALONE = "until then nothing is shared with it"
_READ: dict[str, tuple[Session, list[Stamp | None]]] = {}
"""Days that were read, by their folders, with how their files looked: nobody waits for them again at each change."""
_SETTLED = 2_000_000_000
"""Nanoseconds after a change until which a file may be changed again and look the same."""


def with_shared_days(
    own: Session, document: Document, shares: Sequence[str], read: Callable[[Path], Session]
) -> Session:
    """Load the days that a day shares its facility with, and say why any is left out.

    A day is never at fault for another: what does not belong to it is left out, and it stands by itself. Their own
    ``shares`` are not followed, so that two days may name one another.
    """
    found: dict[str, Session] = {}
    notes: list[str] = []
    seen = {os.path.realpath(own.folder)}
    for path in shares:
        try:
            folder = session_folder(Path(own.folder) / path)
            real = os.path.realpath(folder)
            if real in seen:
                itself = real == os.path.realpath(own.folder)
                twice = "this day itself" if itself else f"{quoted(path)} a second time"
                notes.append(_note(document, twice, "each day of another car once", "leave it out"))
                continue
            seen.add(real)
            other = _read_once(folder, read)
        except FileFaults as error:
            first = error.faults[0]
            notes.append(
                _note(
                    document,
                    f"{quoted(path)}, which cannot be read ({first.file}: found {first.found})",
                    "the folder of another car's day",
                    f"correct the path or that day; {_ALONE}",
                )
            )
            continue
        problem = _copied(own, found, other, path) or _apart(own, other, path)
        if problem is None:
            found[path] = other
        else:
            notes.append(_note(document, *problem))
    return replace(own, alongside=tuple(found.values()), left_out=tuple(notes))


def _read_once(folder: Path, read: Callable[[Path], Session]) -> Session:
    """Read a day, unless its files look as they did when it was read last."""
    known, looked = _READ.get(str(folder), (None, []))
    if known is not None and _looks(known) == looked:
        return known
    session = read(folder)
    looks = _looks(session)
    if all(look is not None and time.time_ns() - look.modified > _SETTLED for look in looks):
        _READ[str(folder)] = session, looks
    return session


def _looks(session: Session) -> list[Stamp | None]:
    """Look at the files that a day was read from."""
    folder, car = Path(session.folder), Path(session.vehicle.source)
    tracks = [track_of(car.parent, place.track_name) for place in session.places if place.track_name]
    files = [folder / SESSION_FILE, folder / RUNS_FILE, car]
    return [
        glance(file)
        for file in (*files, *(track / name for track in tracks for name in (TRACK_FILE, LINE_FILE)))
    ]


def _copied(own: Session, others: dict[str, Session], one: Session, path: str) -> tuple[str, str, str] | None:
    """State of which day another is a copy: of the same car, and most runs of the shorter one in both to the last digit."""
    for name, known in {"this day": own, **{quoted(key): day for key, day in others.items()}}.items():
        pairs = [{(run.label, run.reading) for run in day.runs} for day in (known, one)]
        same = len(pairs[0] & pairs[1])
        if known.vehicle.name == one.vehicle.name and 2 * same > min(map(len, pairs)):
            return f"{quoted(path)}, a copy of {name}", "each day of another car once", "leave it out"
    return None


def _apart(own: Session, other: Session, path: str) -> tuple[str, str, str] | None:
    """State why two days do not share their facility; nothing where they do."""
    names = (own.facility.name, other.facility.name)
    if not all(names):
        where = f"in {quoted(path)}" if names[0] else "here"
        return (
            f"no name of the facility {where}",
            "the same one on both days",
            f'add name = "North tunnel", as it is called, to [facility]; {_ALONE}',
        )
    if names[0] != names[1]:
        return (
            f"a day in {quoted(names[1])}",
            f"one in {quoted(names[0])}",
            f"correct a name, or leave the day out; {_ALONE}",
        )
    if own.date is None or other.date is None:
        where = "here" if own.date is None else f"in {quoted(path)}"
        return f"no date {where}", "the same one on both days", f"add date = 2026-05-14, as it was; {_ALONE}"
    if own.date != other.date:
        return (
            f"a day of {other.date.isoformat()}",
            f"one of {own.date.isoformat()}",
            f"correct a date, or leave the day out: days apart are joined by axletrim join; {_ALONE}",
        )
    return None


def _note(document: Document, found: str, expected: str, mend: str) -> str:
    line = document.line(("shares",))
    return str(
        Fault(file=document.file, line=line, column="shares", found=found, expected=expected, mend=mend)
    )
