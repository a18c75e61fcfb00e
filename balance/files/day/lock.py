"""A lock against a second copy of the tool on one session: who holds it, where, and since when."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import os
import socket
from typing import TYPE_CHECKING, Any
from uuid import uuid4

from balance.files.day.durable import place_new
from balance.files.day.processes import MARK, own_mark, runs, started
from balance.model.errors import AlreadyOpen

if TYPE_CHECKING:
    from pathlib import Path

LOCK_FILE = ".axletrim-lock"
_GIVEN_BACK: set[bytes] = set()
"""Locks that this process has given back, should the file of one stand elsewhere by now."""


class SessionLock:
    """The lock of one folder, held until `release`."""

    def __init__(self, path: Path, raw: bytes) -> None:
        self.path, self._raw = path, raw

    def release(self) -> None:
        """Give the lock back, if it is still ours; one that went away with its folder counts as given back."""
        _GIVEN_BACK.add(self._raw)
        with contextlib.suppress(OSError):
            if self.path.read_bytes() == self._raw:
                self.path.unlink()


def take_lock(folder: Path, *, shown_as: str, take_over: bool = False) -> SessionLock:
    """Take the lock of a folder.

    A lock is stale when its process, of this computer, no longer runs, or when it came here with a copy of its folder; it
    is then taken over without a word.
    """
    path = folder / LOCK_FILE
    raw = _ours(folder)
    for _ in range(3):
        try:
            _make(path, raw)
        except FileExistsError:
            held = _read(path)
            if held is None:
                continue  # released at this very moment
            owner = _owner(held)
            if not (take_over or held in _GIVEN_BACK or _stale(owner, folder)):
                raise AlreadyOpen(
                    shown_as, pid=owner["pid"], host=owner["host"], since=owner["since"]
                ) from None
            _set_aside(path, held)
        else:
            return SessionLock(path, raw)
    raise AlreadyOpen(shown_as, pid=0, host="", since="")


def _ours(folder: Path) -> bytes:
    owner = {
        "pid": os.getpid(),
        "host": socket.gethostname(),
        "since": dt.datetime.now().astimezone().isoformat(timespec="seconds"),
        "started": started(os.getpid()),
        "lock": uuid4().hex,
        **_folder(folder),
    }
    return json.dumps(owner).encode()


def _folder(folder: Path) -> dict[str, str]:
    """Tell a folder from every other one of this computer: a copy has neither its place nor its number."""
    status = folder.stat()
    return {"place": os.path.realpath(folder), "number": f"{status.st_dev}-{status.st_ino}"}


def _make(path: Path, raw: bytes) -> None:
    """Make the file with its content in one step, so that nobody reads half a lock."""
    temporary = path.with_name(f"{path.name}.{own_mark()}{MARK}")
    try:
        temporary.write_bytes(raw)
        place_new(temporary, path)
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink()


def _read(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None


def _owner(raw: bytes) -> dict[str, Any]:
    try:
        owner = json.loads(raw)
        return {
            "pid": int(owner["pid"]),
            "host": str(owner["host"]),
            "since": str(owner["since"]),
            "started": str(owner["started"]),
            **{name: str(owner[name]) for name in ("place", "number") if name in owner},
        }
    except (ValueError, KeyError, TypeError):
        return {"pid": 0, "host": "", "since": "", "started": ""}  # damaged: nobody's


def _stale(owner: dict[str, Any], folder: Path) -> bool:
    if owner["pid"] <= 0:
        return True
    if owner["host"] != socket.gethostname():
        return False
    if not runs(owner["pid"]):
        return True
    here = _folder(folder)
    if all(owner.get(name, there) != there for name, there in here.items()):
        return True
    since = started(owner["pid"])
    return bool(since and owner["started"] and since != owner["started"])  # the number was given anew


def _set_aside(path: Path, held: bytes) -> None:
    """Remove a lock that was found stale, and put it back if it was another one by then."""
    aside = path.with_name(f"{path.name}.stale.{own_mark()}{MARK}")
    with contextlib.suppress(FileNotFoundError):
        path.rename(aside)
        if aside.read_bytes() != held:
            with contextlib.suppress(OSError):
                os.link(aside, path)
        aside.unlink()
