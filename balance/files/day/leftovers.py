"""What is being written stands under a hidden name that says whose it is, and is swept once its process was killed."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
import time
from pathlib import Path

from balance.files.day.processes import has_ended, own_mark

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
