"""Pictures of the screen, as SVG files."""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from balance.model.errors import SaveError

if TYPE_CHECKING:
    from textual.app import App


_REMOTE_FONT = re.compile(r',\s*url\("https?://[^"]*"\) format\("[^"]*"\)')


def picture(app: App[None]) -> str:
    """Draw what is on the screen as SVG that needs no network: fonts are those of the reader's machine."""
    return _REMOTE_FONT.sub("", app.export_screenshot(title="axletrim"))


def save_picture(drawing: str) -> Path:
    """Save a picture where the program was started, or in the user's data folder."""
    from balance.files.day.durable import write_atomically  # noqa: PLC0415 - only when a picture is saved

    name = f"axletrim_{datetime.now().astimezone():%Y-%m-%d_%H%M%S}.svg"
    try:
        path = Path.cwd() / name
        write_atomically(path, drawing.encode())
    except (OSError, SaveError):  # the folder may be gone, or closed
        from platformdirs import user_data_path  # noqa: PLC0415 - only where the first place fails

        path = user_data_path("axletrim") / name
        with suppress(OSError):  # said by what follows
            path.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(path, drawing.encode())
    return path
