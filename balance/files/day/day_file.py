"""runs.csv on the disk, as this process last saw it: read, saved whole, and never written over unseen."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from balance.files.day.durable import Stamp, digest_of, glance, read_stamped, write_atomically
from balance.files.session_path import RUNS_FILE
from balance.model.errors import FileFaults

if TYPE_CHECKING:
    from pathlib import Path


class DayFile:
    """The file of a day's runs in a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.path = folder / RUNS_FILE
        self._stamp: Stamp | None = None

    def read(self) -> str:
        """Read the file, which from then on counts as seen."""
        try:
            raw, stamp = read_stamped(self.path)
            text = raw.decode()
        except (OSError, UnicodeDecodeError) as error:
            reason = (isinstance(error, OSError) and error.strerror) or "it is not UTF-8 text"
            found = f"a file that cannot be read ({reason})"
            raise FileFaults.of(RUNS_FILE, found, "a table of runs") from None
        self._stamp = stamp
        return text

    def holds(self, text: str) -> bool:
        """Return whether the file as last seen holds a text."""
        return self._stamp is not None and self._stamp.digest == digest_of(text.encode())

    def write(self, text: str) -> None:
        """Save a text in place of the file, whole or not at all; `SaveError` where that fails."""
        self._stamp = write_atomically(self.path, text.encode())

    def changed_outside(self, *, at_a_glance: bool = False) -> str | None:
        """Look whether somebody else has changed the file since it was last seen."""
        with contextlib.suppress(OSError):  # gone or not readable: there is nothing to write over
            if self._stamp is None or (at_a_glance and self._stamp.looks_like(glance(self.path))):
                return None
            raw, stamp = read_stamped(self.path)
            if stamp.digest != self._stamp.digest:
                return raw.decode(errors="replace")
            self._stamp = stamp
        return None

    def write_apart(self, text: str) -> Path:
        """Save a text under a new name beside the file; `SaveError` where that fails."""
        number = 1
        while (path := self.folder / f"runs-kept-{number}.csv").exists():
            number += 1
        write_atomically(path, text.encode(), new=True)
        return path
