"""Reading a session and noticing when its files change: plain functions for worker threads."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.day.durable import glance
from balance.model.errors import AxletrimError, Fault, FileFaults

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.day.day import Day
    from balance.decide.doubts.plausibility import Doubt
    from balance.files.day.durable import Stamp
    from balance.model.records import Session


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What reading a session gave: a day, or what is wrong with its files; and the files as they stood.

    ``blank`` is the session where it has no run yet that counts; ``unlikely`` are the figures of the day that are worth
    a second look.
    """

    path: str
    day: Day | None = None
    blank: Session | None = None
    unlikely: tuple[Doubt, ...] = ()
    faults: tuple[Fault, ...] = ()
    files: tuple[Path, ...] = ()
    stamps: tuple[Stamp | None, ...] = ()


def load(path: str) -> Loaded:
    """Read and reduce a session."""
    from balance.files.loader import stated_session  # noqa: PLC0415 - after the first paint
    from tui.host.kept_memory import keep_memory  # noqa: PLC0415 - loads numpy, and the chooser does without

    keep_memory()
    files = files_of(path)
    before = stamps_of(files)
    try:
        session = stated_session(Path(path))
    except FileFaults as faults:
        return Loaded(path=path, faults=faults.faults, files=files, stamps=before)
    return reduced(session, path, files, before)


def reduced(
    session: Session,
    path: str,
    files: tuple[Path, ...],
    stamps: tuple[Stamp | None, ...],
    known: Loaded | None = None,
) -> Loaded:
    """Reduce a session that was read, or is being worked on; what is known of the very same one stands."""
    from balance.decide.day.day import reduce_day  # noqa: PLC0415 - after the first paint
    from balance.decide.doubts.plausibility import doubts  # noqa: PLC0415 - after the first paint

    if known is not None and known.path == path and known.day is not None and known.day.session == session:
        return replace(known, files=files, stamps=stamps)
    if not session.used:
        return Loaded(path=path, blank=session, files=files, stamps=stamps)
    try:
        day = reduce_day(session)
        return Loaded(path=path, day=day, unlikely=doubts(day), files=files, stamps=stamps)
    except AxletrimError as fault:
        wrong = Fault(file=path, found=f"a day without figures ({fault})", expected="a day that can be read")
        return Loaded(path=path, faults=(wrong,), files=files, stamps=stamps)


def files_of(path: str) -> tuple[Path, ...]:
    """Name the files of a session: its own two, and the vehicle's that it names."""
    folder = Path(path)
    own = folder / "session.toml"
    try:
        place = tomllib.loads(own.read_text(encoding="utf-8")).get("vehicle")
    except (OSError, ValueError):
        place = None
    vehicle = folder / (place if isinstance(place, str) else "../vehicle.toml")
    return own, folder / "runs.csv", vehicle


def stamps_of(files: Sequence[Path]) -> tuple[Stamp | None, ...]:
    """Glance at files, to notice a change made outside."""
    return tuple(map(glance, files))
