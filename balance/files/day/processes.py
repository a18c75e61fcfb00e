"""Which process is meant and whether it still runs; what is being written has a hidden name that says whose it is, and is swept."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import shutil
import socket
import sys
import tempfile
import time
from pathlib import Path

_MARK = re.compile(r"(?P<pid>\d{1,10})-(?P<started>\d*)-(?P<host>[0-9a-f]{8})")


def own_mark() -> str:
    """Return the mark of this process: its number, when it started, and its computer."""
    return f"{os.getpid()}-{started(os.getpid())}-{_host()}"


def has_ended(mark: str) -> bool | None:
    """Return whether the process of a mark has ended.

    Examples
    --------
    >>> has_ended(own_mark())
    False
    >>> has_ended("12-34-somewhere") is None
    True
    """
    found = _MARK.fullmatch(mark)
    if found is None or found["host"] != _host():
        return None
    pid = int(found["pid"])
    if not runs(pid):
        return True
    since = started(pid)
    return bool(since and found["started"] and since != found["started"])  # the number was given anew


def runs(pid: int) -> bool:
    """Return whether a process of this computer runs."""
    if sys.platform == "win32":
        import ctypes  # noqa: PLC0415 - there is no other way to ask there

        handle = ctypes.windll.kernel32.OpenProcess(0x1000, False, pid)
        if handle:
            ctypes.windll.kernel32.CloseHandle(handle)
        return bool(handle)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return _state(pid) not in ("Z", "X")  # ended, though nobody has asked after it yet


def _state(pid: int) -> str:
    """Return the letter of the state of a process; empty where the system does not say."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except (OSError, IndexError):
        return ""


def started(pid: int) -> str:
    """State when a process started, in the system's own count; empty where the system does not say."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[19]
    except (OSError, IndexError):
        return ""


def _host() -> str:
    return hashlib.sha256(socket.gethostname().encode(errors="replace")).hexdigest()[:8]


MARK = ".axletrim-tmp"
_SHOWN = 40
"""Characters of a name that its hidden name begins with, so that a long name leaves room for the rest."""
_LONG = 86400.0
"""Seconds after which nobody is still writing, where a process cannot be asked after: it ran on another computer."""


def hidden_path(target: Path) -> Path:
    """Return the hidden name, in the same folder, under which this process writes a file."""
    return target.with_name(f"{_beginning(target)}{own_mark()}{MARK}")


def hidden_folder(target: Path) -> Path:
    """Make a hidden folder beside a folder to be, in which this process fills it."""
    return Path(tempfile.mkdtemp(prefix=_beginning(target), suffix=f".{own_mark()}{MARK}", dir=target.parent))


def sweep_leftovers(folder: Path, *, of: Path | None = None) -> None:
    """Remove what killed processes left half-written in a folder, and nothing that may still be written.

    Something is left behind when its process, of this computer, no longer runs, or when its process cannot be
    asked after and has not touched it for a day.
    """
    beginning = "." if of is None else _beginning(of)
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.startswith(beginning) and entry.name.endswith(MARK):
                with contextlib.suppress(OSError):
                    _sweep(entry)


def _sweep(entry: os.DirEntry[str]) -> None:
    ended = has_ended(entry.name.removesuffix(MARK).rpartition(".")[2])
    if ended is None:
        ended = time.time() - entry.stat(follow_symlinks=False).st_mtime > _LONG
    if not ended:
        return
    if entry.is_dir(follow_symlinks=False):
        shutil.rmtree(entry.path, ignore_errors=True)
    else:
        Path(entry.path).unlink()


def _beginning(target: Path) -> str:
    return f".{target.name[:_SHOWN].lstrip('.')}."
