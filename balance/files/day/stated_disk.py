"""What a car's file or a session.toml says on the disk, changes of it, and undo and redo of them where the file is as they left it."""

from __future__ import annotations

import os
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from balance.files.day.durable import (
    Stamp,
    digest_of,
    read_stamped,
    save_problem,
    sync_folder,
    write_atomically,
)
from balance.files.day.history import step_between
from balance.files.day.run_sheet import sheet_from
from balance.files.formats.plan import PLAN_FILE
from balance.files.formats.session import SESSION
from balance.files.formats.vehicle import VEHICLE
from balance.files.loader import stated_session
from balance.files.session_path import RUNS_FILE, SESSION_FILE
from balance.files.toml.document import read_toml
from balance.files.toml.edit import edited_toml
from balance.files.toml.lines import layout
from balance.model.errors import Fault, FileFaults, OutsideChange, SaveError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from balance.files.day.history import History, Step
    from balance.files.day.run_sheet import RunSheet
    from balance.model.records import Session


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedOnDisk:
    """A file as it stands: ``texts`` by dotted keys as they are written, and the ``stamp`` of the file."""

    path: Path
    texts: Mapping[str, str]
    stamp: Stamp


@dataclass(frozen=True, slots=True, kw_only=True)
class Edited:
    """What comes of a change: the session as its files state it then, the runs under it, the text before and after."""

    session: Session
    sheet: RunSheet
    old: str
    new: str


def look_at_stated(path: Path) -> StatedOnDisk:
    """Read a car's file or a session.toml for editing, whatever its values are."""
    document = read_toml(path, shown_as=path.name, what="a file that can be edited")
    try:
        raw, stamp = read_stamped(path)
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileFaults.of(path.name, reason, "a file that can be read") from None
    if raw.decode(errors="replace").removeprefix("\ufeff") != document.text.removeprefix("\ufeff"):
        return look_at_stated(path)  # changed between the two looks
    return StatedOnDisk(path=path, texts=MappingProxyType(stated_texts(document.text)), stamp=stamp)


def stated_texts(text: str) -> dict[str, str]:
    r"""Return every key of a TOML text as a person would type its value.

    Examples
    --------
    >>> stated_texts('[mass]\ntotal = "2844 lb"\n[[places]]\nspeed = "1 m/s"\n')
    {'mass.total': '2844 lb', 'places.0.speed': '1 m/s'}
    """
    at = layout(text)

    def told(value: Any, path: tuple[str | int, ...]) -> Iterator[tuple[str, str]]:
        key = ".".join(map(str, path))
        if isinstance(value, dict):
            if len(path) > 1 and all(isinstance(one, int | float) for one in value.values()):
                yield key, f"{{ {', '.join(f'{name} = {one}' for name, one in value.items())} }}"
            for name, one in value.items():
                yield from told(one, (*path, name))
        elif isinstance(value, list) and all(isinstance(one, dict) for one in value):
            for number, one in enumerate(value):
                yield from told(one, (*path, number))
        elif isinstance(value, list):
            yield key, ", ".join(map(str, value))
        elif isinstance(value, str):
            yield key, " ".join(value.split())
        else:
            yield key, text[slice(*at.values[path])] if path in at.values else str(value)

    return dict(told(tomllib.loads(text), ()))


def sessions_of_car(car: Path, *, but: Path) -> tuple[str, ...]:
    """Name the other sessions in the folder of a car that use its file."""
    home = car.parent
    found = []
    for file in sorted(
        (*home.glob(SESSION_FILE), *home.glob(f"*/{SESSION_FILE}"), *home.glob(f"*/*/{SESSION_FILE}"))
    ):
        try:
            place = tomllib.loads(file.read_text(encoding="utf-8-sig")).get("vehicle")
            same = isinstance(place, str) and (file.parent / place).samefile(car)
            mine = file.parent.samefile(but)
        except (OSError, ValueError, RecursionError):
            continue
        if same and not mine:
            found.append(file.parent.relative_to(home).as_posix())
    return tuple(found)


def check_others(car: Path, texts: Mapping[Path, str], *, but: Path) -> None:
    """See that the other sessions of a car can still be read with another text of its file."""
    for name in sessions_of_car(car, but=but):
        faults = _faults_of(car.parent / name, texts)
        if faults and not _faults_of(car.parent / name, {}):
            raise FileFaults(replace(fault, file=f"{name}/{fault.file}") for fault in faults)


def _faults_of(folder: Path, texts: Mapping[Path, str]) -> tuple[Fault, ...]:
    try:
        stated_session(folder, texts)
    except FileFaults as error:
        return error.faults
    return ()


def edit_stated(
    folder: Path, path: Path, changes: Mapping[str, str | None], *, seen: Stamp, runs: str
) -> Edited:
    """Work out a change of the file of a session's car, or of its session.toml, and read the whole session with it."""
    read_toml(path, shown_as=path.name, what="a file that can be edited")  # every fault in words
    raw, stamp = read_stamped(path)
    old = raw.decode()
    if seen.digest != stamp.digest:
        raise OutsideChange(path.name, mine="", theirs=old)
    car = path != folder / SESSION_FILE
    new = edited_toml(VEHICLE if car else SESSION, old, changes)
    texts = {Path(os.path.realpath(path)): new}
    session, sheet = read_with(folder, texts, runs)
    if car:
        check_others(path, texts, but=folder)
    return Edited(session=session, sheet=sheet, old=old, new=new)


def read_with(folder: Path, texts: Mapping[Path, str], runs: str) -> tuple[Session, RunSheet]:
    """Read a session with texts in place of files, and with the runs of the open day."""
    stated = stated_session(folder, {Path(os.path.realpath(folder / RUNS_FILE)): runs, **texts})
    return stated, sheet_from(runs, recorded=stated.recorded_names, file_format=stated.file_format)


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
