"""Checksums of the files behind a session, so that a page can be held against its input."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING

from balance.files.session_path import RUNS_FILE, SESSION_FILE

if TYPE_CHECKING:
    from balance.model.records import Session


def checksums(session: Session, *others: str) -> tuple[tuple[str, str], ...]:
    """Give the SHA-256 of each file that a session was read from."""
    if not session.folder:
        return ()
    folder = Path(session.folder)
    paths = [folder / SESSION_FILE, folder / RUNS_FILE, *(folder / name for name in others)]
    if session.vehicle.source:
        paths.insert(2, Path(session.vehicle.source))
    return tuple(
        (path.name, hashlib.sha256(path.read_bytes()).hexdigest()) for path in paths if path.is_file()
    )
