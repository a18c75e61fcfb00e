"""Days of other cars in the same hired hours, as session.toml names them under `shares`; what cannot be shared is said."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from balance.files.session_path import session_folder
from balance.model.errors import Fault, FileFaults, quoted

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from balance.files.formats.session import SessionFile
    from balance.files.toml.document import Document
    from balance.model.records import Session

_ALONE = "until then nothing is shared with it"


def shared_days(
    folder: Path, document: Document, stated: SessionFile, read: Callable[[Path], Session]
) -> tuple[tuple[Session, ...], tuple[str, ...]]:
    """Load the days that a day shares its facility with, and say why any is left out.

    A day is never at fault for another: what does not belong to it is left out, and it stands by itself. Their own
    ``shares`` are not followed, so that two days may name one another.
    """
    found: list[Session] = []
    notes: list[str] = []
    seen = {os.path.realpath(folder)}
    for path in stated.shares:
        try:
            other_folder = session_folder(folder / path)
            real = os.path.realpath(other_folder)
            if real in seen:
                itself = real == os.path.realpath(folder)
                twice = "this day itself" if itself else f"{quoted(path)} a second time"
                notes.append(_note(document, twice, "each day of another car once", "leave it out"))
                continue
            seen.add(real)
            other = read(other_folder)
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
        problem = _apart(stated, other, path)
        if problem is None:
            found.append(other)
        else:
            notes.append(_note(document, *problem))
    return tuple(found), tuple(notes)


def _apart(stated: SessionFile, other: Session, path: str) -> tuple[str, str, str] | None:
    """State why two days do not share their facility; nothing where they do."""
    own = stated.facility.name if stated.facility else ""
    if not own or not other.facility.name:
        where = "here" if not own else f"in {quoted(path)}"
        return (
            f"no name of the facility {where}",
            "the same one on both days",
            f'add name = "North tunnel", as it is called, to [facility]; {_ALONE}',
        )
    if own != other.facility.name:
        return (
            f"a day in {quoted(other.facility.name)}",
            f"one in {quoted(own)}",
            f"correct a name, or leave the day out; {_ALONE}",
        )
    if stated.date is None or other.date is None:
        where = "here" if stated.date is None else f"in {quoted(path)}"
        return f"no date {where}", "the same one on both days", f"add date = 2026-05-14, as it was; {_ALONE}"
    if stated.date != other.date:
        return (
            f"a day of {other.date.isoformat()}",
            f"one of {stated.date.isoformat()}",
            f"correct a date, or leave the day out: days apart are joined by axletrim join; {_ALONE}",
        )
    return None


def _note(document: Document, found: str, expected: str, mend: str) -> str:
    line = document.line(("shares",))
    return str(
        Fault(file=document.file, line=line, column="shares", found=found, expected=expected, mend=mend)
    )
