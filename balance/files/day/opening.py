"""Opening a day for work: take its lock, clear what a killed save left, bring back what is gone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.day.day_file import DayFile
from balance.files.day.day_journal import by_path, find_journal
from balance.files.day.journal import replay
from balance.files.day.lock import SessionLock, take_lock
from balance.files.day.open_day import OpenDay
from balance.files.day.processes import sweep_leftovers
from balance.files.session_path import RUNS_FILE, session_folder

if TYPE_CHECKING:
    import os
    from pathlib import Path


def open_day(path: str | os.PathLike[str], *, take_over: bool = False) -> OpenDay:
    """Open a day for work: lock it, read it, and bring back what a crash had left unsaved."""
    folder = session_folder(path)
    lock = _lock(folder, take_over=take_over)
    if lock is not None and lock.path.parent == folder:
        sweep_leftovers(folder)
        sweep_leftovers(folder.resolve().parent)  # an import that was to become this folder, or one beside it
    try:
        back = _bring_back_missing(folder)
        day = OpenDay(folder, lock)
        day.recovered += back
    except BaseException:
        if lock is not None:
            lock.release()
        raise
    return day


def _bring_back_missing(folder: Path) -> tuple[str, ...]:
    """Write a runs.csv that is gone anew from the journal, where that has it."""
    if (folder / RUNS_FILE).exists():
        return ()
    told = replay(find_journal(folder)[0].lines)
    if told.history is None:
        return ()
    DayFile(folder).write(told.history.text)
    return (f"{RUNS_FILE}, which was gone",)


def _lock(folder: Path, *, take_over: bool) -> SessionLock | None:
    """Lock the folder, or where it is read-only its journal in the user's own data, or nothing."""
    try:
        return take_lock(folder, shown_as=str(folder), take_over=take_over)
    except OSError:
        pass
    elsewhere = by_path(folder).with_suffix("")
    try:
        elsewhere.mkdir(parents=True, exist_ok=True)
        return take_lock(elsewhere, shown_as=str(folder), take_over=take_over)
    except OSError:
        return None
