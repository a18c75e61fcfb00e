"""Reading a session and noticing when its files change: plain functions for worker threads."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from balance.errors import Fault, FileFaults, InputError

if TYPE_CHECKING:
    from balance.decide.assessment import Day


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What reading a session gave: a day, or what is wrong with its files; and the files as they stood."""

    path: str
    day: Day | None = None
    faults: tuple[Fault, ...] = ()
    stamps: tuple[tuple[str, int, int], ...] = ()


def load(path: str) -> Loaded:
    """Read and reduce a session.

    Parameters
    ----------
    path : str
        Its folder.

    Returns
    -------
    Loaded
        Never raises for what a user's files may hold.
    """
    from balance.decide.assessment import reduce_day  # noqa: PLC0415 - after the first paint
    from balance.files.loader import load_session  # noqa: PLC0415 - after the first paint

    before = stamps_of(path)
    try:
        return Loaded(path=path, day=reduce_day(load_session(path)), stamps=before)
    except FileFaults as faults:
        return Loaded(path=path, faults=faults.faults, stamps=before)
    except InputError as fault:
        wrong = Fault(file=path, found=str(fault), expected="a session that can be read")
        return Loaded(path=path, faults=(wrong,), stamps=before)


def stamps_of(path: str) -> tuple[tuple[str, int, int], ...]:
    """Note size and time of a session's files, to notice a change made outside.

    Parameters
    ----------
    path : str
        The session's folder.

    Returns
    -------
    tuple of (str, int, int)
        Name, nanoseconds of the last change and size of each file that is there.
    """
    folder = Path(path)
    stamps = []
    for file in (folder / "session.toml", folder / "runs.csv", folder.parent / "vehicle.toml"):
        try:
            stat = file.stat()
        except OSError:
            continue
        stamps.append((file.name, stat.st_mtime_ns, stat.st_size))
    return tuple(stamps)
