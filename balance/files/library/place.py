"""Where a library stands, and what in it is called how."""

from __future__ import annotations

import os
from pathlib import Path

LIBRARY_FILE, PARTS_FILE, DAYS, INDEX_FILE = "library.toml", "parts.toml", "days", "index.sqlite"
VARIABLE = "AXLETRIM_LIBRARY"
"""The variable of the environment that names a library."""


def library_folder(given: str | None) -> Path:
    """Return the folder of the library that was named, of the environment's, or of the user's own."""
    named = given or os.environ.get(VARIABLE)
    if named:
        return Path(named).expanduser().absolute()
    from platformdirs import user_data_path  # noqa: PLC0415 - not needed where a library is named

    return Path(user_data_path("axletrim")) / "library"
