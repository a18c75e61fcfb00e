"""Bytes onto the disk so that a crash, a full disk or a pulled plug leaves the whole old file or the whole new one."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import shutil
import stat
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from balance.files.day.processes import hidden_path, sweep_leftovers
from balance.model.errors import SaveError, one_line

if TYPE_CHECKING:
    from collections.abc import Mapping

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_DENIED = (errno.EACCES, errno.EPERM)


class Stamp(NamedTuple):
    """What a file was when it was last seen: enough to tell whether somebody else has changed it.

    ``digest`` is empty where the file was only glanced at, and not read.
    """

    size: int
    modified: int
    inode: int
    digest: str = ""

    def looks_like(self, glanced: Stamp | None) -> bool:
        """State from a glance at it whether the file seems untouched."""
        return glanced == self._replace(digest="")


def glance(path: Path) -> Stamp | None:
    """Look at a file without reading it."""
    try:
        return _stamp(path.stat())
    except (OSError, ValueError):
        return None


def _stamp(status: os.stat_result, raw: bytes | None = None) -> Stamp:
    return Stamp(
        size=status.st_size,
        modified=status.st_mtime_ns,
        inode=status.st_ino,
        digest="" if raw is None else digest_of(raw),
    )


def digest_of(raw: bytes) -> str:
    """Return the SHA-256 of some bytes, in hexadecimal."""
    return hashlib.sha256(raw).hexdigest()


def digest_at(path: str | os.PathLike[str]) -> str:
    """Return the SHA-256 of a file as it stands; empty where it cannot be read."""
    try:
        with open(path, "rb") as opened:  # noqa: PTH123 - paths are plain texts in a library
            return digest_of(opened.read())
    except OSError:
        return ""


def read_stamped(path: Path) -> tuple[bytes, Stamp]:
    """Read a file together with its stamp."""
    with path.open("rb") as opened:
        status = os.fstat(opened.fileno())
        raw = opened.read()
    return raw, _stamp(status, raw)


_LOOKED_AT: set[Path] = set()
"""Folders that this process only looks at: days of somebody else's, or of another screen."""


def only_look_at(*folders: Path) -> None:
    """Refuse from now on whatever this process would write into folders, or into those inside them."""
    _LOOKED_AT.update(Path(os.path.realpath(folder)) for folder in folders)


def _refuse_where_looked_at(path: Path) -> None:
    if _LOOKED_AT & set(Path(os.path.realpath(path)).parents):
        raise SaveError(
            one_line(
                f"{path}: found a day that is opened to look, expected one opened for work; open it without --look"
            )
        )


def write_atomically(path: Path, raw: bytes, *, new: bool = False) -> Stamp:
    """Put bytes in place of a file, whole or not at all.

    A temporary file in the same folder is written, brought to the disk, given the old file's permissions and
    renamed over it; then the folder is brought to the disk. What a killed process left of an earlier attempt is
    swept.
    """
    _refuse_where_looked_at(path)
    target = Path(os.path.realpath(path))
    temporary = hidden_path(target)
    try:
        before = target.stat() if target.exists() else None
        if before is not None and not os.access(target, os.W_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        with contextlib.suppress(FileNotFoundError):
            temporary.unlink()
        sweep_leftovers(target.parent, of=target)
        _fill(temporary, raw, before)
        if new:
            place_new(temporary, target)
        else:
            temporary.replace(target)
        sync_folder(target.parent)
        status = target.stat()
    except OSError as error:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise SaveError(save_problem(path, error)) from None
    return _stamp(status, raw)


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Make a new folder of files, so that it is there whole or not at all, and never in place of anything.

    Folders above it are made too. An empty folder of its name is taken.
    """
    _refuse_where_looked_at(folder / "any")
    temporary = hidden_path(folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        sweep_leftovers(folder.parent, of=folder)
        if folder.exists() and not (folder.is_dir() and not any(folder.iterdir())):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
        temporary.mkdir()
        for name, raw in files.items():
            _fill(temporary / name, raw, None)
        sync_folder(temporary)
        temporary.rename(folder)
        sync_folder(folder.parent)
    except OSError as error:
        shutil.rmtree(temporary, ignore_errors=True)
        words = save_problem(folder, error)
        if error.errno in (errno.EEXIST, errno.ENOTEMPTY):
            words = f"{folder}: found something there already, expected nothing; choose another name; nothing was overwritten"
        raise SaveError(one_line(words)) from None


def place_new(temporary: Path, target: Path) -> None:
    """Return a finished file its name, unless something has that name already."""
    try:
        os.link(temporary, target)
    except FileExistsError:
        raise
    except OSError:  # a disk without links: claim the name first
        os.close(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL))
        temporary.replace(target)
    else:
        temporary.unlink()


def _fill(temporary: Path, raw: bytes, before: os.stat_result | None) -> None:
    opened = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        view = memoryview(raw)
        while view:
            view = view[os.write(opened, view) :]
        if before is not None and hasattr(os, "fchmod"):
            with contextlib.suppress(PermissionError):  # another owner's file stays readable all the same
                os.fchown(opened, before.st_uid, before.st_gid)
            os.fchmod(opened, stat.S_IMODE(before.st_mode))
        os.fsync(opened)
    finally:
        os.close(opened)


def sync_folder(folder: Path) -> None:
    """Bring to the disk which names a folder holds."""
    with contextlib.suppress(OSError):  # some systems cannot open a folder, or not bring it to the disk
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def append_durably(path: Path, raw: bytes) -> None:
    """Add bytes to the end of a file, and wait until they are on the disk."""
    _refuse_where_looked_at(path)
    opened = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o600)
    try:
        view = memoryview(raw)
        while view:
            view = view[os.write(opened, view) :]
        os.fsync(opened)
    finally:
        os.close(opened)


def save_problem(path: Path, error: OSError) -> str:
    """State plainly why a file cannot be written.

    Examples
    --------
    >>> save_problem(Path("day/runs.csv"), OSError(errno.ENOSPC, ""))
    'day/runs.csv: found a full disk, expected room to write; free some space and save again'
    """
    if error.errno in _FULL:
        found, expected, mend = "a full disk", "room to write", "free some space and save again"
    elif error.errno == errno.EROFS:
        found, expected, mend = "a read-only disk", "one that can be written", "copy the day elsewhere"
    elif error.errno in _DENIED:
        found, expected = "no permission to write", "a file and folder that may be written"
        mend = "give yourself the right to write there, or copy the day elsewhere"
    elif error.errno == errno.EEXIST:
        found, expected, mend = "a file there already", "none", "choose another name; nothing was overwritten"
    elif error.errno in (errno.ENOENT, errno.ENOTDIR):
        found, expected, mend = (
            "its folder gone",
            "the folder as it was",
            "bring it back and save again",
        )
    else:
        found, expected = f"that it cannot be written ({error.strerror or error})", "a file that can be"
        mend = "save again, or copy the day elsewhere"
    return one_line(f"{path}: found {found}, expected {expected}; {mend}")
