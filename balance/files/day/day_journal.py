"""Which journal is a day's: told by its identity and by what it knows of the run sheet, never by a path or a clock.

A day gets its identity, a random word, when it is first opened for work; it stands in the journal beside the session,
so it goes with the folder wherever that goes. A folder that cannot be written has none of its own: its session.toml
stands for it. What cannot be written beside the session is kept in the user's data under that identity. Of several
journals of one day the one that knows the present run sheet, and of those the one that goes on furthest, is the
day's; any other that holds something unsaved is named, and left where it is. A copy of a folder has the identity of
the original: there too the run sheet decides which journal fits.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from balance.files.day.durable import digest_of
from balance.files.day.journal import JOURNAL_FILE, Journal, Replayed, is_file, replay
from balance.files.session_path import RUNS_FILE, SESSION_FILE

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A journal in the user's data that holds what no run sheet has."""

    path: Path
    day: str
    title: str
    steps: tuple[str, ...]


def journals_home() -> Path:
    """Return the folder of the user's data in which journals are kept that find no other place."""
    from platformdirs import user_data_path  # noqa: PLC0415 - not needed before a day is opened

    return Path(user_data_path("axletrim")) / "journals"


def by_path(folder: Path) -> Path:
    """Return where a folder's lock is kept if it cannot be in it, and where older journals were."""
    name = digest_of(str(folder.resolve()).encode(errors="replace"))[:24]
    return journals_home() / f"{name}.journal"


def find_journal(folder: Path, title: str = "") -> tuple[Journal, tuple[str, ...]]:
    """Find the journal of a day, or begin one."""
    beside = folder / JOURNAL_FILE
    here = _told(beside) if is_file(beside) else Replayed()
    stands_for = content_identity(folder)
    day = here.day or (uuid4().hex if _writable(folder) else stands_for)
    kin = {day, stands_for}
    disk = digest_of(_bytes_of(folder / RUNS_FILE))
    found = {beside: here} if is_file(beside) else {}
    found |= {
        path: told
        for path, told in _kept()
        if told.day in kin or (not told.day and path == by_path(folder) and disk in told.states)
    }
    best = max(
        found,
        key=lambda path: (disk in found[path].states, found[path].number, path == beside),
        default=None,
    )
    places = (beside, journals_home() / f"{day}.journal")
    journal = Journal(places, found=best, day=day, title=title)
    known = {disk, *(found[best].states if best is not None else ())}
    notes = tuple(
        f"{path} holds {_named(told.unsaved_steps)} of this day, which does not follow from this {RUNS_FILE}; it is left there"
        for path, told in found.items()
        if path != best and told.unsaved_steps and told.history is not None
        and digest_of(told.history.text.encode()) not in known
    )  # fmt: skip
    return journal, notes


def waiting_journals(folder: Path | None = None) -> tuple[Waiting, ...]:
    """List the journals in the user's data that hold what is in no run sheet."""
    kin: set[str] | None = None
    disk = ""
    if folder is not None:
        beside = folder / JOURNAL_FILE
        kin = {_told(beside).day if is_file(beside) else "", content_identity(folder)} - {""}
        disk = digest_of(_bytes_of(folder / RUNS_FILE))
    return tuple(
        Waiting(path=path, day=told.day, title=told.title, steps=tuple(told.unsaved_steps))
        for path, told in _kept()
        if told.unsaved_steps
        and (kin is None or told.day in kin)
        and told.history is not None
        and digest_of(told.history.text.encode()) != disk
    )


def _named(steps: list[str]) -> str:
    return f"'{steps[0]}'" if len(steps) == 1 else f"{len(steps)} steps, the last '{steps[-1]}',"


def _kept() -> Iterator[tuple[Path, Replayed]]:
    with contextlib.suppress(OSError):
        for path in sorted(journals_home().glob("*.journal")):
            yield path, _told(path)


def _told(path: Path) -> Replayed:
    try:
        return replay(path.read_bytes().splitlines(keepends=True))
    except OSError:
        return Replayed()


def content_identity(folder: Path) -> str:
    """Return what stands for a day that has no identity of its own: its session.toml."""
    return f"content-{digest_of(_bytes_of(folder / SESSION_FILE))[:24]}"


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _writable(folder: Path) -> bool:
    """Try whether a file can be made in a folder: rights alone do not tell it of every disk."""
    probe = folder / f"{JOURNAL_FILE}.{uuid4().hex[:8]}"
    try:
        probe.touch(exist_ok=False)
        probe.unlink()
    except OSError:
        return False
    return True
