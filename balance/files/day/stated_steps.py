"""Undo and redo of the car's file, session.toml and plan.toml: only where the file still says what the step left it with."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.day.durable import digest_of, read_stamped, save_problem, sync_folder, write_atomically
from balance.files.day.history import step_between
from balance.files.day.stated_disk import check_others, read_with
from balance.files.formats.plan import PLAN_FILE
from balance.files.session_path import SESSION_FILE
from balance.model.errors import OutsideChange, SaveError

if TYPE_CHECKING:
    from balance.files.day.history import History, Step
    from balance.files.day.run_sheet import RunSheet
    from balance.model.records import Session


def stated_step(folder: Path, path: Path, what: str, old: str, new: str) -> Step:
    """Describe a change of a file that was made, so that it can be taken back."""
    return replace(
        step_between(what, old, new),
        file=stated_name(folder, path),
        before=digest_of(old.encode()),
        after=digest_of(new.encode()),
    )


def stated_name(folder: Path, path: Path) -> str:
    """Name a file as seen from the session's folder, so that both can be moved together."""
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return str(path)


def move_stated(folder: Path, step: Step, *, back: bool, runs: str) -> tuple[Session, RunSheet]:
    """Take a step of the car's file or session.toml back, or do it again, once the session was read from the new text."""
    path = folder / step.file
    try:
        raw = _held(folder, step)
    except OSError as error:
        raise SaveError(save_problem(path, error)) from None
    here, there = (step.after, step.before) if back else (step.before, step.after)
    digest = digest_of(raw)
    if digest == there:  # a killed process came so far
        return read_with(folder, {}, runs)
    text = raw.decode(errors="replace")
    if digest != here:
        raise OutsideChange(path.name, mine="", theirs=text)
    new = step.undone(text) if back else step.done(text)
    texts = {Path(os.path.realpath(path)): new}
    read = read_with(folder, texts, runs)
    if path.name not in (SESSION_FILE, PLAN_FILE):
        check_others(path, texts, but=folder)
    if path.name == PLAN_FILE and not new:  # there was none before its first step
        path.unlink(missing_ok=True)
        sync_folder(folder)
    else:
        write_atomically(path, new.encode())
    return read


def unsettled(folder: Path, history: History) -> str:
    """Find whether a file has not come as far as the last step of it, or has come one further."""
    if history.done and _holds(folder, history.done[-1], back=True):
        return "undo"
    return "redo" if history.undone and _holds(folder, history.undone[-1], back=False) else ""


def _holds(folder: Path, step: Step, *, back: bool) -> bool:
    """Return whether the file of a step says what it was before the step, or after it."""
    if not step.file:
        return False
    try:
        raw = _held(folder, step)
    except OSError:
        return False
    return digest_of(raw) == (step.before if back else step.after)


def _held(folder: Path, step: Step) -> bytes:
    """Return what the file of a step holds now; a plan that is not there yet holds nothing."""
    path = folder / step.file
    if path.name == PLAN_FILE and not path.exists():
        return b""
    return read_stamped(path)[0]
