"""Pictures of the screen, as SVG files."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.app import App


_REMOTE_FONT = re.compile(r',\s*url\("https?://[^"]*"\) format\("[^"]*"\)')


def picture(app: App[None]) -> str:
    """Draw what is on the screen as SVG that needs no network: fonts are those of the reader's machine.

    Parameters
    ----------
    app : App
        The application.

    Returns
    -------
    str
        The SVG.
    """
    return _REMOTE_FONT.sub("", app.export_screenshot(title="axletrim"))


def save_picture(app: App[None]) -> Path:
    """Save what is on the screen where the program was started, or in the user's data folder.

    Parameters
    ----------
    app : App
        The application.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    OSError
        If neither folder can be written.
    """
    name = f"axletrim_{datetime.now().astimezone():%Y-%m-%d_%H%M%S}.svg"
    drawing = picture(app)
    try:
        path = Path.cwd() / name
        path.write_text(drawing, encoding="utf-8")
    except OSError:
        from platformdirs import user_data_path  # noqa: PLC0415 - only where the first place fails

        path = user_data_path("axletrim") / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(drawing, encoding="utf-8")
    return path
