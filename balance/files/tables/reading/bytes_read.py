"""The bytes of a file to import, and how the work on it is watched and stopped."""

from __future__ import annotations

import stat
from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.files.tables.importing.plan import ImportStopped
from balance.model.errors import Fault, FileFaults

if TYPE_CHECKING:
    import threading
    from collections.abc import Callable
    from pathlib import Path

_LIMIT = 50_000_000
_WHAT = "a table as CSV, text or XLSX"
ZIP = b"PK\x03\x04"
"""How an XLSX file begins."""


@dataclass(slots=True, kw_only=True)
class Ticker:
    """Tells how far the work is, and stops it when asked to."""

    progress: Callable[[float, str], None] | None
    stop: threading.Event | None
    low: float = 0.0
    high: float = 1.0
    words: str = ""

    def span(self, low: float, high: float, words: str) -> None:
        """Begin a part of the work."""
        self.low, self.high, self.words = low, high, words
        self(0.0)

    def __call__(self, share: float) -> None:
        """Say how far this part is, and stop if asked to."""
        if self.stop is not None and self.stop.is_set():
            raise ImportStopped("stopped; nothing was written")
        if self.progress is not None:
            self.progress(self.low + (self.high - self.low) * share, self.words)


def read_bytes(path: Path) -> bytes:
    """Read a whole file."""
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise _fault(path, "a folder", _WHAT, "give the file itself")
        if not stat.S_ISREG(status.st_mode):
            raise _fault(path, "something that is not a plain file", _WHAT, "save the table as a file first")
        if status.st_size > _LIMIT:
            raise _fault(
                path,
                f"{status.st_size / 1e6:.0f} MB",
                f"at most {_LIMIT / 1e6:.0f} MB",
                "save the runs alone, or in parts",
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise _fault(path, "no such file", _WHAT, "check its name and place") from None
    except PermissionError:
        raise _fault(
            path, "a file that may not be read", _WHAT, "give yourself the right to read it"
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _fault(path, f"a file that cannot be read ({reason})", _WHAT) from None


def _fault(path: Path, found: str, expected: str, mend: str = "") -> FileFaults:
    return FileFaults([Fault(file=str(path), found=found, expected=expected, mend=mend)])
