"""Which process is meant: a mark that tells it from every other one, and whether it still runs."""

from __future__ import annotations

import hashlib
import os
import re
import socket
import sys
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
